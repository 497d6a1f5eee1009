"""Cores carry a remark, and bridges the dead load that their deck can still take."""

from collections.abc import Sequence

import sqlalchemy as sa
from alembic import op

revision: str = "0004"
down_revision: str | None = "0003"
branch_labels: Sequence[str] | None = None
depends_on: Sequence[str] | None = None


def upgrade() -> None:
    op.add_column("fact_cores", sa.Column("note", sa.Text, nullable=False, server_default=""))
    op.add_column("fact_bridges", sa.Column("spare_load", sa.Float))
