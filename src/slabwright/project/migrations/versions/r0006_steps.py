"""Undo and redo are entries of the history, and a change that was undone and replaced stays in it."""

from collections.abc import Sequence

import sqlalchemy as sa
from alembic import op

revision: str = "0006"
down_revision: str | None = "0005"
branch_labels: Sequence[str] | None = None
depends_on: Sequence[str] | None = None


def upgrade() -> None:
    for name in ("undoes", "redoes", "replaced"):
        op.add_column("change", sa.Column(name, sa.Integer))
