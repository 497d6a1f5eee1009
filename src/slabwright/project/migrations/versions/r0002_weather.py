"""A table for the hours of a year of weather."""

from collections.abc import Sequence

import sqlalchemy as sa
from alembic import op

revision: str = "0002"
down_revision: str | None = "0001"
branch_labels: Sequence[str] | None = None
depends_on: Sequence[str] | None = None

# Frozen, as the columns were in this format.
WEATHER = (
    "month",
    "day",
    "hour",
    "air_temperature",
    "relative_humidity",
    "wind_speed",
    "global_radiation",
    "direct_radiation",
    "diffuse_radiation",
    "sky_cover",
    "sky_radiation",
)


def upgrade() -> None:
    op.create_table(
        "fact_weather",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("born", sa.Integer, nullable=False),
        sa.Column("died", sa.Integer),
        sa.Column("source_file", sa.Integer, sa.ForeignKey("source_file.id")),
        sa.Column("source_row", sa.Integer),
        *(sa.Column(name, sa.Float) for name in WEATHER),
    )
