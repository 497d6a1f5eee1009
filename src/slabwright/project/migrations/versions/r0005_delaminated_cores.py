"""Cores say whether they came out delaminated, beside the depth of it."""

from collections.abc import Sequence

import sqlalchemy as sa
from alembic import op

revision: str = "0005"
down_revision: str | None = "0004"
branch_labels: Sequence[str] | None = None
depends_on: Sequence[str] | None = None


def upgrade() -> None:
    op.add_column("fact_cores", sa.Column("delaminated", sa.Text, nullable=False, server_default=""))
