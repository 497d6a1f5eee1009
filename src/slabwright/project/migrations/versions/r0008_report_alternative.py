"""A report that was handed over says of which alternative it was; "" where an older version did not write it down."""

from collections.abc import Sequence

import sqlalchemy as sa
from alembic import op

revision: str = "0008"
down_revision: str | None = "0007"
branch_labels: Sequence[str] | None = None
depends_on: Sequence[str] | None = None


def upgrade() -> None:
    op.add_column("report", sa.Column("alternative", sa.Text, nullable=False, server_default=""))
