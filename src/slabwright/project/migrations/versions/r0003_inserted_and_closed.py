"""The changes that inserted and closed a row are called so, and findings are warnings that are accepted or rejected."""

from collections.abc import Sequence

from alembic import op

revision: str = "0003"
down_revision: str | None = "0002"
branch_labels: Sequence[str] | None = None
depends_on: Sequence[str] | None = None

# Frozen: the temporal tables of this format.
TABLES = (
    "source_file",
    "header_mapping",
    "finding",
    "alternative",
    "decision",
    "fact_road",
    "fact_alignment",
    "fact_lanes",
    "fact_bridges",
    "fact_ramps",
    "fact_layers",
    "fact_deflections",
    "fact_cores",
    "fact_distresses",
    "fact_counts",
    "fact_truck_classes",
    "fact_axles",
    "fact_loadings",
    "fact_events",
    "fact_ride_runs",
    "fact_climate",
    "fact_weather",
)
WORDS = (("weight", "doubt", "warning"), ("answer", "struck", "rejected"))


def upgrade() -> None:
    for table in TABLES:
        op.alter_column(table, "born", new_column_name="inserted")
        op.alter_column(table, "died", new_column_name="closed")
    for column, old, new in WORDS:
        op.execute(f"UPDATE finding SET {column} = '{new}' WHERE {column} = '{old}'")
