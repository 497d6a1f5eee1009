"""Distresses of kinds that no method uses keep the file's own word."""

from collections.abc import Sequence

import sqlalchemy as sa
from alembic import op

revision: str = "0007"
down_revision: str | None = "0006"
branch_labels: Sequence[str] | None = None
depends_on: Sequence[str] | None = None


def upgrade() -> None:
    op.add_column("fact_distresses", sa.Column("written", sa.Text, nullable=False, server_default=""))
