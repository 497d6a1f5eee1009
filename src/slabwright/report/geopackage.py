"""Map layers as a GeoPackage: sections, tests, cores, distresses, repairs, bridges and ramps.

With an alignment and a coordinate system the features lie on the map; without, x is the station and y the offset
from the median, in the unit shown and with no coordinate system. Lanes are drawn side by side from a nominal
median: their offsets are for reading, not surveyed.
"""

from __future__ import annotations

import warnings
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright import units
from slabwright.calculation import Array
from slabwright.errors import InputError
from slabwright.records.display import cell
from slabwright.records.facts import FACTS, Facts
from slabwright.records.results import StageResult
from slabwright.records.table import Schema
from slabwright.report.files import replacing
from slabwright.report.map_styles import STYLED_BY, add_styles, style_of
from slabwright.report.placing import Placing, placing_of
from slabwright.roadway.places import lane_width
from slabwright.stages import outcomes

__all__ = ["write_geopackage"]

MEDIAN_HALF = 2.0  # m, nominal
STEP = 20.0  # m between the points of a drawn line


def write_geopackage(path: Path, *, facts: Facts, results: Mapping[str, StageResult], system: units.System) -> None:
    """Write the layers whole or not at all. Raises InputError for a coordinate system that does not exist."""
    import geopandas as gpd
    from pyogrio.errors import DataLayerError, DataSourceError, FeatureError
    from pyproj import CRS
    from pyproj.exceptions import CRSError

    place = placing_of(facts, system)
    try:
        crs = (
            CRS.from_user_input(place.system if ":" in place.system else f"EPSG:{place.system}")
            if place.system
            else None
        )
    except CRSError as problem:
        raise InputError(
            "there is no such coordinate system", given=place.system, remedy="Give an EPSG code."
        ) from problem
    offsets = _lane_offsets(facts)
    with replacing(path, "gpkg") as made, warnings.catch_warnings():
        warnings.filterwarnings("ignore", message=".*crs.*", category=UserWarning)  # linear referencing has none
        made.unlink()
        styles = {}
        for name, frame, schema, shapes in _layers(facts, results, place, offsets):
            shown = _shown(frame, schema, system)
            try:
                gpd.GeoDataFrame(shown, geometry=shapes, crs=crs).to_file(
                    made, layer=name, driver="GPKG", engine="pyogrio"
                )
            except (DataSourceError, DataLayerError, FeatureError) as problem:
                said = str(problem)[:120]  # the rest is the statement of the database
                raise OSError(f"the layer {name} was not written ({said})") from problem
            words = sorted(shown[STYLED_BY[name]].astype(str)) if name in STYLED_BY else []
            styles[name] = style_of(name, "line" if "begin" in schema.names else "marker", words)
        add_styles(made, styles)


def _lane_offsets(facts: Facts) -> dict[str, float]:
    """Offset of the middle of each lane, positive on the side of travel with the stationing."""
    found: dict[str, float] = {}
    for lane in facts.lanes.itertuples(index=False):
        side = -1.0 if lane.direction == "against stationing" else 1.0
        found[lane.lane] = side * (MEDIAN_HALF + (lane.position - 0.5) * lane_width(facts, lane.lane))
    return found


def _layers(facts: Facts, results: Mapping[str, StageResult], place: Placing, offsets: Mapping[str, float]) -> Any:
    evaluation, overlay = results["evaluation"].tables, results["design"].tables
    sections = overlay["thicknesses"]
    side = {
        way: np.mean([offsets[n] for n in facts.lanes.loc[facts.lanes["direction"] == way, "lane"]] or [0.0])
        for way in set(sections["direction"])
    }
    yield (
        "sections",
        sections,
        outcomes()["thicknesses"],
        _lines(place, sections, sections["direction"].map(side).to_numpy(dtype=float)),
    )
    for name, frame in (
        ("moduli", evaluation["moduli"]),
        ("load_transfer", evaluation["transfers"]),
        ("voids", evaluation["voids"]),
    ):
        yield name, frame, outcomes()[frame_schema(name)], _points(place, frame, offsets)
    yield "cores", facts.cores, FACTS["cores"], _points(place, facts.cores, offsets)
    rated = results["survey"].tables["rated_distresses"]
    yield "distresses", rated, outcomes()["rated_distresses"], _points(place, rated, offsets)
    repairs = results["repair"].tables["repairs"]
    across = repairs["lane"].map(offsets).fillna(0.0).to_numpy(dtype=float)
    yield "repairs", repairs, outcomes()["repairs"], _lines(place, repairs, across)
    yield "bridges", facts.bridges, FACTS["bridges"], _lines(place, facts.bridges, np.zeros(len(facts.bridges)))
    yield "ramps", facts.ramps, FACTS["ramps"], _points(place, facts.ramps, offsets)


def frame_schema(layer: str) -> str:
    """The name of the result table behind a layer."""
    return {"load_transfer": "transfers"}.get(layer, layer)


def _points(place: Placing, frame: pd.DataFrame, offsets: Mapping[str, float]) -> npt.NDArray[np.object_]:
    import shapely

    across = frame["lane"].map(offsets).fillna(0.0).to_numpy(dtype=float)
    made: npt.NDArray[np.object_] = shapely.points(place.points(frame["station"].to_numpy(dtype=float), across))
    return made


def _lines(place: Placing, frame: pd.DataFrame, across: Array) -> list[Any]:
    """Lines from begin to end; a repair of no length is drawn half a metre long."""
    import shapely

    lines = []
    for begin, end, offset in zip(frame["begin"], frame["end"], across, strict=True):
        last = max(end, begin + 0.5)
        station = np.linspace(begin, last, max(2, int((last - begin) / STEP) + 1))
        lines.append(shapely.linestrings(place.points(station, np.full(len(station), offset))))
    return lines


def _shown(frame: pd.DataFrame, schema: Schema, system: units.System) -> pd.DataFrame:
    """Columns in the units shown, each named with its unit so that a map reader needs no key."""
    made = {}
    for column in schema.columns:
        values = frame[column.name]
        if column.unit_kind is None:
            made[column.name] = [cell(v, column, system) for v in values]
            continue
        unit = units.unit_of(column.unit_kind, system)
        name = column.name if unit == "1" else f"{column.name} ({unit.replace('%', 'percent')})"
        made[name] = units.convert(values.to_numpy(dtype=float), column.unit_kind, system)
    return pd.DataFrame(made)
