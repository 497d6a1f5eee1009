"""The first format of the project file."""

from collections.abc import Sequence

import sqlalchemy as sa
from alembic import op

revision: str = "0001"
down_revision: str | None = None
branch_labels: Sequence[str] | None = None
depends_on: Sequence[str] | None = None

# Frozen: the columns of each table of facts as they were in this format; a star marks text, the rest are numbers.
FACTS = {
    "road": "name* stationing* begin end coordinate_system*",
    "alignment": "station x y",
    "lanes": "lane* direction* position width",
    "bridges": "name* begin end passes* clearance required_clearance allowable_raise",
    "ramps": "name* station lane* kind*",
    "layers": "begin end lane* pavement* thickness joint_spacing dowelled* steel base* base_thickness shoulder* drainage*"
    " year_built",
    "deflections": "station lane* position* point* drop load plate_radius deflection_1 deflection_2 deflection_3"
    " deflection_4 deflection_5 deflection_6 deflection_7 deflection_8 deflection_9 offset_1 offset_2 offset_3 offset_4"
    " offset_5 offset_6 offset_7 offset_8 offset_9 air_temperature surface_temperature date*",
    "cores": "station lane* core* thickness diameter specimen_length compressive_strength split_strength moisture*"
    " material_distress* delamination_depth",
    "distresses": "station lane* kind* severity* length width area crack_width spall_width faulting depth note*",
    "counts": "year daily_traffic truck_share",
    "truck_classes": "vehicle_class share single_axles tandem_axles tridem_axles",
    "axles": "axle* load per_thousand_trucks",
    "loadings": "state_code* section* construction_no year annual_esal annual_gesal trucks_per_day annual_truck_volume"
    " esal_per_truck",
    "events": "state_code* section* construction_no event_date* event_codes* events* family_code*"
    " pavement_family_after_event* study_start* study_end* experiment_kind* experiment_no experiment*",
    "ride_runs": "state_code* section* visit_date* construction_no visit_no* run iri_left iri_right iri_centre mean_iri",
    "climate": "state_code* section* year mean_annual_temperature freezing_index freeze_thaw_cycles",
}


def upgrade() -> None:
    key, text, whole, number = _key, _text, _whole, _number
    op.create_table("meta", key(), text("created"), text("version"))
    op.create_table("head", key(), whole("change"), whole("last"))
    op.create_table("change", key(), text("time"), text("user"), text("what"), text("detail"))
    op.create_table("report", key(), text("time"), text("user"), text("path"), whole("head"), text("taken_back"))
    op.create_table("source_file", *_temporal(), text("name"), text("sha256"), whole("size"), whole("rows"))
    op.create_table(
        "header_mapping",
        *_temporal(),
        _parent("source_file", False),
        text("headers"),
        text("headers_key"),
        text("mapping"),
    )
    op.create_table(
        "finding",
        *_temporal(),
        _parent("source_file", False),
        text("answer"),
        text("weight"),
        text("rule"),
        text("file"),
        sa.Column("row", sa.Integer),
        text("column"),
        text("value"),
        text("message"),
        text("remedy"),
    )
    op.create_table("alternative", *_temporal(), text("name"))
    op.create_table(
        "decision",
        *_temporal(),
        _parent("alternative", False),
        text("name"),
        number("number"),
        sa.Column("word", sa.Text),
    )
    for table, columns in FACTS.items():
        made = (text(name[:-1]) if name.endswith("*") else number(name) for name in columns.split())
        origin = _parent("source_file", True), sa.Column("source_row", sa.Integer)
        op.create_table(f"fact_{table}", *_temporal(), *origin, *made)
    op.create_table(
        "result",
        key(),
        text("stage"),
        text("fingerprint"),
        text("time"),
        sa.Column("content", sa.LargeBinary, nullable=False),
        sa.UniqueConstraint("stage", "fingerprint"),
    )


def _key() -> sa.Column[int]:
    return sa.Column("id", sa.Integer, primary_key=True)


def _text(name: str) -> sa.Column[str]:
    return sa.Column(name, sa.Text, nullable=False)


def _whole(name: str) -> sa.Column[int]:
    return sa.Column(name, sa.Integer, nullable=False)


def _number(name: str) -> sa.Column[float]:
    return sa.Column(name, sa.Float)


def _temporal() -> tuple[sa.Column[int], ...]:
    return _key(), _whole("born"), sa.Column("died", sa.Integer)


def _parent(table: str, optional: bool) -> sa.Column[int]:
    return sa.Column(table, sa.Integer, sa.ForeignKey(f"{table}.id"), nullable=optional)
