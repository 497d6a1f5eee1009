"""The tables of facts: what was measured or given. Column synonyms serve the matching of headers.

Each table is one ``Schema``; ``FACTS`` lists them in the order of the job. Bounds are physical limits
that no real road passes; values outside are refused, values that are merely odd are findings of intake.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from typing import TYPE_CHECKING

from slabwright.errors import MissingFact
from slabwright.records.table import Column, Schema, empty
from slabwright.records.words import CARRIES, OVER
from slabwright.units import INCH, KIP, MIL, PSI

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["FACTS", "LARGEST_SENSOR_COUNT", "NO_DISTRESS", "OTHER_DISTRESS", "PAVEMENTS", "POSITIONS", "Facts"]

PAVEMENTS = ("JPCP", "JRCP", "CRCP")
POSITIONS = ("mid-slab", "joint approach", "joint leave", "corner", "edge")
SEVERITIES = ("none", "low", "moderate", "high")
DISTRESS_KINDS = (
    "transverse crack",
    "longitudinal crack",
    "corner break",
    "durability cracking",
    "joint spalling",
    "joint seal damage",
    "faulting",
    "patch",
    "punchout",
    "map cracking",
    "scaling",
    "pumping",
    "delamination",
    "no distress",
    "other",
)
OTHER_DISTRESS = "other"  # a kind that no method uses; the file's own word stands beside it
NO_DISTRESS = "no distress"  # says that a place was looked at and nothing was found
MATERIAL_DISTRESSES = ("none", "durability cracking", "alkali-silica reaction", "other")
SHOULDERS = ("asphalt", "tied concrete", "untied concrete", "widened lane")
DRAINAGE = ("excellent", "good", "fair", "poor", "very poor")
LARGEST_SENSOR_COUNT = 9

STATION = Column(
    "station",
    "station",
    "station along the road",
    -1e6,
    1e7,
    required=True,
    synonyms=("sta", "chainage", "milepost", "location", "distance", "stationing"),
)
LANE = Column("lane", "text", "lane", required=True, synonyms=("lane name", "lane id", "lane no", "ln"))
BEGIN = Column(
    "begin",
    "station",
    "first station",
    -1e6,
    1e7,
    required=True,
    synonyms=("from", "start", "begin station", "start station", "from station", "begin sta"),
)
END = Column(
    "end",
    "station",
    "last station",
    -1e6,
    1e7,
    required=True,
    synonyms=("to", "stop", "end station", "to station", "end sta"),
)
SECTION = Column("section", "text", "road section of a multi-section data set", synonyms=("section id",))
STATE = Column("state_code", "text", "state code of a multi-section data set")

ROAD = Schema(
    "road",
    "Road",
    "the road",
    (
        Column("name", "text", "name of the road", required=True),
        Column("stationing", "choice", "stationing", choices=("feet", "metres")),
        BEGIN,
        END,
        Column(
            "coordinate_system", "text", "coordinate system of the alignment, as an EPSG code", synonyms=("crs", "epsg")
        ),
    ),
)
ALIGNMENT = Schema(
    "alignment",
    "Alignment",
    "a point of the centre line",
    (
        STATION,
        Column("x", "length", "easting in the stated coordinate system", required=True, synonyms=("easting", "east")),
        Column(
            "y", "length", "northing in the stated coordinate system", required=True, synonyms=("northing", "north")
        ),
    ),
)
LANES = Schema(
    "lanes",
    "Lanes",
    "a lane",
    (
        LANE,
        Column("direction", "choice", "direction of travel", choices=("with stationing", "against stationing")),
        Column(
            "position",
            "integer",
            "place counted from the median, 1 next to it",
            1,
            12,
            required=True,
            synonyms=("lane number",),
        ),
        Column("width", "length", "lane width", 2.0, 7.5, required=True, synonyms=("lane width",)),
    ),
)
BRIDGES = Schema(
    "bridges",
    "Bridges",
    "a bridge on or over the road",
    (
        Column("name", "text", "name of the bridge", required=True, synonyms=("bridge", "structure")),
        BEGIN,
        END,
        Column(
            "passes",
            "choice",
            "whether the bridge carries the road or passes over it",
            choices=(OVER, CARRIES),
            synonyms=("type", "kind"),
        ),
        Column(
            "clearance", "length", "vertical clearance now", 2.0, 30.0, synonyms=("vertical clearance", "clearance now")
        ),
        Column(
            "required_clearance",
            "length",
            "vertical clearance that must remain",
            2.0,
            30.0,
            synonyms=("minimum clearance",),
        ),
        Column(
            "allowable_raise",
            "thickness",
            "grade raise that a bridge carrying the road can take",
            0.0,
            1.0,
            synonyms=("max raise", "allowable raise"),
        ),
        Column(
            "spare_load",
            "area_load",
            "dead load that the deck of a bridge carrying the road can still take",
            0.0,
            20000.0,
            synonyms=("spare dead load", "reserve load"),
        ),
    ),
)
RAMPS = Schema(
    "ramps",
    "Ramps",
    "a ramp",
    (
        Column("name", "text", "name of the ramp", required=True, synonyms=("ramp",)),
        STATION,
        LANE,
        Column("kind", "choice", "on-ramp or off-ramp", choices=("on", "off"), synonyms=("type",)),
    ),
)
LAYERS = Schema(
    "layers",
    "Existing pavement",
    "a stretch of one pavement",
    (
        BEGIN,
        END,
        Column("lane", "text", "lane; empty for all lanes", synonyms=("lane id",)),
        Column(
            "pavement",
            "choice",
            "kind of concrete pavement",
            choices=PAVEMENTS,
            required=True,
            synonyms=("pavement type", "type"),
        ),
        Column(
            "thickness",
            "thickness",
            "slab thickness from the plans",
            3 * INCH,
            24 * INCH,
            required=True,
            synonyms=("slab thickness", "depth", "pcc thickness"),
        ),
        Column(
            "joint_spacing", "length", "transverse joint spacing", 2.0, 40.0, synonyms=("joint spacing", "slab length")
        ),
        Column(
            "dowelled",
            "choice",
            "dowels in the transverse joints",
            choices=("yes", "no"),
            synonyms=("dowels", "doweled"),
        ),
        Column("steel", "share", "longitudinal steel ratio", 0.0, 0.02, synonyms=("steel ratio", "percent steel")),
        Column("base", "text", "base material", synonyms=("base type", "base material")),
        Column("base_thickness", "thickness", "base thickness", 0.0, 1.0, synonyms=("base depth",)),
        Column("shoulder", "choice", "shoulder", choices=SHOULDERS, synonyms=("shoulder type",)),
        Column("drainage", "choice", "quality of drainage", choices=DRAINAGE),
        Column(
            "year_built", "integer", "year of construction", 1900, 2100, synonyms=("year", "built", "year constructed")
        ),
    ),
)
DEFLECTIONS = Schema(
    "deflections",
    "Deflection tests",
    "one drop of a deflection test",
    (
        STATION,
        LANE,
        Column(
            "position",
            "choice",
            "where the plate stood on the slab",
            choices=POSITIONS,
            synonyms=("test location", "location code", "test type", "pos", "position code"),
        ),
        Column(
            "point",
            "text",
            "test point; the drops of one point belong together",
            synonyms=("test", "test id", "point id", "test no"),
        ),
        Column("drop", "integer", "number of the drop at its point", 1, 100, synonyms=("drop no", "drop number")),
        Column(
            "load",
            "force",
            "peak load",
            0.5 * KIP,
            60 * KIP,
            required=True,
            synonyms=("force", "drop load", "peak load"),
        ),
        Column("plate_radius", "thickness", "radius of the load plate", 0.05, 0.5, synonyms=("plate", "radius")),
        *(
            Column(
                f"deflection_{i}",
                "deflection",
                f"peak deflection of sensor {i}",
                0.0,
                200 * MIL,
                required=i == 1,
                synonyms=(f"d{i}", f"defl {i}", f"sensor {i}", f"df{i}"),
            )
            for i in range(1, LARGEST_SENSOR_COUNT + 1)
        ),
        *(
            Column(
                f"offset_{i}",
                "thickness",
                f"distance of sensor {i} from the load, negative behind the plate",
                -2.0,
                3.0,
                synonyms=(f"r{i}", f"sensor offset {i}"),
            )
            for i in range(1, LARGEST_SENSOR_COUNT + 1)
        ),
        Column("air_temperature", "temperature", "air temperature", -50.0, 60.0, synonyms=("air", "air temp", "tair")),
        Column(
            "surface_temperature",
            "temperature",
            "surface temperature",
            -50.0,
            90.0,
            synonyms=("surface", "surface temp", "pavement temp"),
        ),
        Column("date", "date", "day of the test", synonyms=("test date",)),
    ),
)
CORES = Schema(
    "cores",
    "Cores",
    "a core",
    (
        STATION,
        LANE,
        Column("core", "text", "core number", required=True, synonyms=("core id", "core no", "id")),
        Column(
            "thickness",
            "thickness",
            "slab thickness at the core",
            1 * INCH,
            24 * INCH,
            synonyms=("core length", "length", "slab thickness", "core thickness"),
        ),
        Column("diameter", "thickness", "core diameter", 1 * INCH, 12 * INCH, synonyms=("core diameter", "dia")),
        Column(
            "specimen_length",
            "thickness",
            "length of the tested specimen after trimming",
            1 * INCH,
            24 * INCH,
            synonyms=("trimmed length", "capped length"),
        ),
        Column(
            "compressive_strength",
            "stress",
            "compressive strength as tested",
            100 * PSI,
            20000 * PSI,
            synonyms=("fc", "strength", "compressive strength", "core strength"),
        ),
        Column(
            "split_strength",
            "stress",
            "split tensile strength",
            50 * PSI,
            2000 * PSI,
            synonyms=("split tensile", "indirect tensile strength", "it"),
        ),
        Column("moisture", "choice", "moisture of the specimen", choices=("standard", "soaked", "dried")),
        Column(
            "material_distress",
            "choice",
            "materials-related distress seen in the core; none where it was looked for and not seen",
            choices=MATERIAL_DISTRESSES,
            synonyms=("mrd", "petrography", "material distress"),
        ),
        Column(
            "delamination_depth",
            "thickness",
            "depth of a horizontal crack or parting; 0 where it was looked for and not seen",
            0.0,
            24 * INCH,
        ),
        Column("note", "text", "remark", synonyms=("comment", "remarks", "notes", "remark", "observations")),
        Column(
            "delaminated",
            "choice",
            "whether the core came out delaminated; empty where it was not looked for",
            choices=("yes", "no"),
            synonyms=("delam", "delamination", "debonded", "split", "delaminated core"),
        ),
    ),
)
DISTRESSES = Schema(
    "distresses",
    "Distress survey",
    "one distress",
    (
        STATION,
        LANE,
        Column(
            "kind",
            "choice",
            "kind of distress",
            choices=DISTRESS_KINDS,
            required=True,
            synonyms=("distress", "type", "distress type"),
        ),
        Column(
            "severity",
            "choice",
            "severity as rated in the field; empty to rate from the measurements",
            choices=SEVERITIES,
            synonyms=("sev", "level"),
        ),
        Column("length", "length", "length", 0.0, 5000.0, synonyms=("crack length", "len")),
        Column("width", "length", "extent across", 0.0, 60.0, synonyms=("extent",)),
        Column("area", "area", "area", 0.0, 1e5, synonyms=("sq ft", "sq m")),
        Column("crack_width", "width", "crack or joint opening", 0.0, 0.2, synonyms=("opening", "crack opening")),
        Column(
            "spall_width",
            "width",
            "width of spalling from the crack or joint face",
            0.0,
            2.0,
            synonyms=("spall", "spalling"),
        ),
        Column("faulting", "width", "faulting across the crack or joint", -0.1, 0.1, synonyms=("fault",)),
        Column("depth", "thickness", "depth of loss or delamination", 0.0, 24 * INCH),
        Column("note", "text", "remark", synonyms=("comment", "remarks", "notes")),
        Column("written", "text", "kind in the file's own word, where it is none of the kinds"),
    ),
)
COUNTS = Schema(
    "counts",
    "Traffic counts",
    "one year of counts",
    (
        Column("year", "integer", "year of the count", 1900, 2150, required=True),
        Column(
            "daily_traffic",
            "count",
            "average daily traffic, both directions",
            1,
            1e6,
            required=True,
            synonyms=("aadt", "adt", "average daily traffic", "vehicles per day"),
        ),
        Column(
            "truck_share",
            "share",
            "share of trucks",
            0.0,
            1.0,
            synonyms=("trucks", "truck percent", "percent trucks", "truck pct"),
        ),
    ),
)
TRUCK_CLASSES = Schema(
    "truck_classes",
    "Truck classes",
    "one class of trucks",
    (
        Column(
            "vehicle_class", "integer", "federal vehicle class", 4, 13, required=True, synonyms=("class", "truck class")
        ),
        Column(
            "share",
            "share",
            "share of this class among trucks",
            0.0,
            1.0,
            required=True,
            synonyms=("percent", "pct of trucks"),
        ),
        Column("single_axles", "number", "single axles per truck", 0.0, 12.0),
        Column("tandem_axles", "number", "tandem axle groups per truck", 0.0, 6.0),
        Column("tridem_axles", "number", "tridem axle groups per truck", 0.0, 4.0),
    ),
)
AXLES = Schema(
    "axles",
    "Axle-load spectrum",
    "one load class of one axle group",
    (
        Column(
            "axle",
            "choice",
            "axle group",
            choices=("single", "tandem", "tridem"),
            required=True,
            synonyms=("axle type", "group"),
        ),
        Column(
            "load",
            "axle_load",
            "load on the axle group",
            0.1 * KIP,
            200 * KIP,
            required=True,
            synonyms=("axle load", "weight"),
        ),
        Column(
            "per_thousand_trucks",
            "number",
            "axle groups per 1,000 trucks",
            0.0,
            20000.0,
            required=True,
            synonyms=("axles per 1000 trucks", "per 1000 trucks"),
        ),
    ),
)
LOADINGS = Schema(
    "loadings",
    "Yearly loading",
    "one year of recorded loading of one section",
    (
        STATE,
        SECTION,
        Column("construction_no", "integer", "construction number", 0, 100, synonyms=("construction number",)),
        Column("year", "integer", "year", 1900, 2150, required=True),
        Column("annual_esal", "count", "equivalent axles in the year, study lane", 0, 1e9),
        Column("annual_gesal", "count", "equivalent axles by the general equation", 0, 1e9),
        Column("trucks_per_day", "count", "trucks per day in the study lane", 0, 1e5),
        Column("annual_truck_volume", "count", "trucks in the year", 0, 1e8),
        Column("esal_per_truck", "number", "equivalent axles per truck", 0, 1e4),
    ),
)
EVENTS = Schema(
    "events",
    "Construction events",
    "one dated event of one section",
    (
        STATE,
        SECTION,
        Column("construction_no", "integer", "construction number", 0, 100, synonyms=("construction number",)),
        Column("event_date", "date", "day of the event", required=True),
        Column("event_codes", "text", "event codes"),
        Column("events", "text", "what was done"),
        Column("family_code", "text", "pavement family after the event"),
        Column("pavement_family_after_event", "text", "pavement family in words"),
        Column("study_start", "date", "first day in the study"),
        Column("study_end", "date", "last day in the study"),
        Column("experiment_kind", "text", "kind of experiment"),
        Column("experiment_no", "integer", "number of the experiment", 0, 1000),
        Column("experiment", "text", "experiment"),
    ),
)
RIDE_RUNS = Schema(
    "ride_runs",
    "Ride runs",
    "one run of one visit",
    (
        STATE,
        SECTION,
        Column("visit_date", "date", "day of the visit", required=True),
        Column("construction_no", "integer", "construction number", 0, 100),
        Column("visit_no", "text", "visit"),
        Column("run", "integer", "run", 1, 100, required=True),
        Column("iri_left", "roughness", "roughness index, left wheel path", 0, 0.05, synonyms=("iri left",)),
        Column("iri_right", "roughness", "roughness index, right wheel path", 0, 0.05, synonyms=("iri right",)),
        Column(
            "iri_centre", "roughness", "roughness index, lane centre", 0, 0.05, synonyms=("iri centre", "iri center")
        ),
        Column("mean_iri", "roughness", "mean of both wheel paths", 0, 0.05, synonyms=("mean iri", "mri")),
    ),
)
CLIMATE = Schema(
    "climate",
    "Yearly climate",
    "one year of one section",
    (
        STATE,
        SECTION,
        Column("year", "integer", "year", 1900, 2150, required=True),
        Column(
            "mean_annual_temperature", "temperature", "mean annual temperature", -40, 50, synonyms=("mean annual temp",)
        ),
        Column("freezing_index", "freezing", "freezing index", 0, 10000, synonyms=("freeze index",)),
        Column("freeze_thaw_cycles", "count", "freeze-thaw cycles", 0, 366),
    ),
)
WEATHER = Schema(
    "weather",
    "Hourly weather",
    "one hour of a year, named by its end",
    (
        Column("month", "integer", "month", 1, 12, required=True, synonyms=("mo",)),
        Column("day", "integer", "day of the month", 1, 31, required=True),
        Column(
            "hour",
            "integer",
            "hour of the day that ends then, 1 to 24",
            1,
            24,
            required=True,
            synonyms=("hour ending",),
        ),
        Column(
            "air_temperature",
            "temperature",
            "air temperature at the end of the hour",
            -70,
            60,
            synonyms=("air temp", "dry bulb", "dry-bulb", "temperature", "temp"),
        ),
        Column("relative_humidity", "share", "relative humidity", 0.0, 1.1, synonyms=("rh", "humidity", "rhum")),
        Column(
            "wind_speed", "speed", "wind speed at the height of weather stations", 0.0, 113.0, synonyms=("wind", "wspd")
        ),
        Column(
            "global_radiation",
            "irradiance",
            "sun and sky on the level, mean of the hour",
            0.0,
            1600.0,
            synonyms=("ghi", "global horizontal", "solar radiation"),
        ),
        Column(
            "direct_radiation",
            "irradiance",
            "sun square to its beam, mean of the hour",
            0.0,
            1500.0,
            synonyms=("dni", "direct normal"),
        ),
        Column(
            "diffuse_radiation",
            "irradiance",
            "sky on the level without the sun, mean of the hour",
            0.0,
            1200.0,
            synonyms=("dhi", "diffuse horizontal"),
        ),
        Column(
            "sky_cover",
            "share",
            "share of the sky that clouds cover",
            0.0,
            1.0,
            synonyms=("cloud cover", "total sky cover"),
        ),
        Column(
            "sky_radiation",
            "irradiance",
            "long-wave radiation from the sky on the level",
            30.0,
            700.0,
            synonyms=("horizontal infrared", "infrared", "long wave"),
        ),
    ),
)

FACTS: dict[str, Schema] = {
    s.name: s
    for s in (
        ROAD,
        ALIGNMENT,
        LANES,
        BRIDGES,
        RAMPS,
        LAYERS,
        DEFLECTIONS,
        CORES,
        DISTRESSES,
        COUNTS,
        TRUCK_CLASSES,
        AXLES,
        LOADINGS,
        EVENTS,
        RIDE_RUNS,
        CLIMATE,
        WEATHER,
    )
}


def _table(name: str) -> pd.DataFrame:
    return field(default_factory=lambda: empty(FACTS[name]))


@dataclass(frozen=True)
class Facts:
    """All facts of one project: a table for each schema, never changed in place."""

    road: pd.DataFrame = _table("road")
    alignment: pd.DataFrame = _table("alignment")
    lanes: pd.DataFrame = _table("lanes")
    bridges: pd.DataFrame = _table("bridges")
    ramps: pd.DataFrame = _table("ramps")
    layers: pd.DataFrame = _table("layers")
    deflections: pd.DataFrame = _table("deflections")
    cores: pd.DataFrame = _table("cores")
    distresses: pd.DataFrame = _table("distresses")
    counts: pd.DataFrame = _table("counts")
    truck_classes: pd.DataFrame = _table("truck_classes")
    axles: pd.DataFrame = _table("axles")
    loadings: pd.DataFrame = _table("loadings")
    events: pd.DataFrame = _table("events")
    ride_runs: pd.DataFrame = _table("ride_runs")
    climate: pd.DataFrame = _table("climate")
    weather: pd.DataFrame = _table("weather")

    def need(self, name: str, stage: str) -> pd.DataFrame:
        """The table of that name, or MissingFact when it has no rows."""
        frame: pd.DataFrame = getattr(self, name)
        if frame.empty:
            raise MissingFact(
                f"the {stage} stage needs the table {name!r} ({FACTS[name].title}), which is empty",
                lacks=f"the table {name!r} ({FACTS[name].title}) is empty",
                remedy=f"Load a file that holds it: each row is {FACTS[name].row}.",
            )
        return frame


assert [f.name for f in fields(Facts)] == list(FACTS)
