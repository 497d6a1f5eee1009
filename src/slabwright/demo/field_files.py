"""The field files of the demo road, written as an engineer would be handed them: no two crews write alike.

Each file is a sheet: for each of its columns the heading that crew uses, the column of our table behind it, and
how its numbers are written. Sheets are made in memory, so a refusal leaves nothing half-written.
"""

from __future__ import annotations

import io
import os
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pandas as pd
import xlsxwriter

from slabwright.demo import cores, deflections, distress, office, weather
from slabwright.demo.truth import TRUTH
from slabwright.errors import InputError
from slabwright.units import format_station, from_si

__all__ = ["SEED", "field_files", "write"]

SEED = 1988
CORE_DATE = datetime(2025, 5, 6)


class As(NamedTuple):
    """How one column is written: table column, and for a number its kind, unit and digits."""

    column: str
    kind: str = "text"
    unit: str = ""
    digits: int = 0


Sheet = Mapping[str, As]
STATION, BEGIN, END = (As(name, "station") for name in ("station", "begin", "end"))
LANE = As("lane")
SENSORS = range(1, len(TRUTH.sensor_offsets) + 1)

ROAD: Sheet = {
    "Road name": As("name"),
    "Stationing": As("stationing"),
    "Begin station": BEGIN,
    "End station": END,
    "Coordinate system": As("coordinate_system"),
}
ALIGNMENT: Sheet = {
    "Station": STATION,
    "Easting (m)": As("x", "length", "m", 2),
    "Northing (m)": As("y", "length", "m", 2),
}
LANES: Sheet = {
    "Lane": LANE,
    "Direction": As("direction"),
    "Lane number": As("position", "count", "1"),
    "Lane width (ft)": As("width", "length", "ft", 1),
}
BRIDGES: Sheet = {
    "Structure": As("name"),
    "From station": BEGIN,
    "To station": END,
    "Passes": As("passes"),
    "Vertical clearance (ft)": As("clearance", "length", "ft", 2),
    "Minimum clearance (ft)": As("required_clearance", "length", "ft", 2),
    "Allowable raise (in)": As("allowable_raise", "thickness", "in", 1),
}
RAMPS: Sheet = {"Ramp": As("name"), "Sta": STATION, "Lane": LANE, "Type": As("kind")}
LAYERS: Sheet = {
    "From": BEGIN,
    "To": END,
    "Pavement type": As("pavement"),
    "Slab thickness (in)": As("thickness", "thickness", "in", 1),
    "Joint spacing (ft)": As("joint_spacing", "length", "ft", 1),
    "Dowels": As("dowelled"),
    "Steel ratio (%)": As("steel", "share", "%", 2),
    "Base type": As("base"),
    "Base thickness (in)": As("base_thickness", "thickness", "in", 1),
    "Shoulder type": As("shoulder"),
    "Drainage": As("drainage"),
    "Year built": As("year_built", "count", "1"),
}
NORTHBOUND: Sheet = {
    "Station": STATION,
    "Lane": LANE,
    "Test Location": As("position"),
    "Point ID": As("point"),
    "Drop No": As("drop", "count", "1"),
    "Test Date": As("date"),
    "Load (lbf)": As("load", "force", "lbf"),
    "Plate Radius (in)": As("plate_radius", "thickness", "in", 4),
    **{f"D{i} (mils)": As(f"deflection_{i}", "deflection", "mil", 2) for i in SENSORS},
    **{f"R{i} (in)": As(f"offset_{i}", "thickness", "in") for i in SENSORS},
    "Air Temp (F)": As("air_temperature", "temperature", "degF"),
    "Surface Temp (F)": As("surface_temperature", "temperature", "degF"),
}
SOUTHBOUND: Sheet = {
    "Test no": As("point"),
    "Test date": As("date"),
    "Lane ID": LANE,
    "Stationing": STATION,
    "Position": As("position"),
    "Drop number": As("drop", "count", "1"),
    "Peak load (kN)": As("load", "force", "kN", 2),
    **{f"Sensor {i} (microns)": As(f"deflection_{i}", "deflection", "um", 1) for i in SENSORS},
    "Plate radius (mm)": As("plate_radius", "thickness", "mm"),
    **{f"Sensor offset {i} (mm)": As(f"offset_{i}", "thickness", "mm", 1) for i in SENSORS},
    "Air temperature (°C)": As("air_temperature", "temperature", "degC", 1),
    "Pavement temp (°C)": As("surface_temperature", "temperature", "degC", 1),
}
CORES: Sheet = {
    "Core No": As("core"),
    "Station": STATION,
    "Lane": LANE,
    "Core length (in)": As("thickness", "thickness", "in", 2),
    "Core diameter (in)": As("diameter", "thickness", "in", 2),
    "Trimmed length (in)": As("specimen_length", "thickness", "in", 2),
    "Compressive strength (psi)": As("compressive_strength", "stress", "psi"),
    "Split tensile (psi)": As("split_strength", "stress", "psi"),
    "Moisture": As("moisture"),
    "Petrography": As("material_distress"),
    "Delamination depth (in)": As("delamination_depth", "thickness", "in", 1),
}
DISTRESS_NORTH: Sheet = {
    "Station": STATION,
    "Lane": LANE,
    "Distress": As("kind"),
    "Severity": As("severity"),
    "Length (ft)": As("length", "length", "ft", 1),
    "Width (ft)": As("width", "length", "ft", 1),
    "Area (sq ft)": As("area", "area", "ft^2", 1),
    "Crack width (in)": As("crack_width", "width", "in", 3),
    "Spall width (in)": As("spall_width", "width", "in", 2),
    "Faulting (in)": As("faulting", "width", "in", 3),
    "Depth (in)": As("depth", "thickness", "in", 2),
    "Remarks": As("note"),
}
DISTRESS_SOUTH: Sheet = {
    "Lane ID": LANE,
    "Location": STATION,
    "Distress type": As("kind"),
    "Level": As("severity"),
    "Crack length (m)": As("length", "length", "m", 2),
    "Extent (m)": As("width", "length", "m", 2),
    "Area (m²)": As("area", "area", "m^2", 2),
    "Crack opening (mm)": As("crack_width", "width", "mm", 1),
    "Spalling (mm)": As("spall_width", "width", "mm"),
    "Fault (mm)": As("faulting", "width", "mm", 1),
    "Depth (mm)": As("depth", "thickness", "mm"),
    "Comment": As("note"),
}
COUNTS: Sheet = {
    "Year": As("year", "count", "1"),
    "AADT": As("daily_traffic", "count", "1"),
    "Percent trucks (%)": As("truck_share", "share", "%", 1),
}
TRUCK_CLASSES: Sheet = {
    "Truck class": As("vehicle_class", "count", "1"),
    "Share (%)": As("share", "share", "%", 1),
    **{f"{name} axles": As(f"{name.lower()}_axles", "number", "1", 1) for name in ("Single", "Tandem", "Tridem")},
}
AXLES: Sheet = {
    "Axle type": As("axle"),
    "Axle load (kip)": As("load", "axle_load", "kip"),
    "Axles per 1000 trucks": As("per_thousand_trucks", "number", "1", 2),
}
CORE_NOTES = (
    "Cores drilled full depth with a 4-in bit, numbered in order of station.",
    "Every fourth core was split; the others were trimmed, ground and tested in compression.",
    "The core with a delamination depth came out in two pieces and was not tested.",
)


def write(folder: Path | str, *, seed: int = SEED) -> tuple[Path, ...]:
    """Write the field files of the demo road into ``folder`` and return their paths; the seed fixes every byte.

    Raises InputError for a seed that is not a whole number from zero up, for a folder that cannot be written, and
    for a folder that holds a file of one of the names with other content: nothing is ever written over.
    """
    if isinstance(seed, bool) or not isinstance(seed, int) or seed < 0:
        raise InputError("the seed must be a whole number", given=seed, allowed="0 or more")
    folder, files = Path(folder), field_files(seed)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        held = [name for name, content in files.items() if _differs(folder / name, content)]
        if held:
            raise InputError(
                "the folder already holds other files of these names",
                where=str(folder),
                given=", ".join(held),
                remedy="Choose an empty folder, or move them away.",
            )
        return _put(folder, files)
    except OSError as problem:
        raise InputError(
            f"the demo road cannot be written here ({problem.strerror})",
            where=str(folder),
            remedy="Choose a folder that can be written to.",
        ) from problem


def _differs(path: Path, content: bytes) -> bool:
    return path.exists() and path.read_bytes() != content


def _put(folder: Path, files: Mapping[str, bytes]) -> tuple[Path, ...]:
    """All files under their names only once each is whole beside them."""
    unfinished = {folder / name: folder / f".{name}.part" for name in files}
    try:
        for path, part in unfinished.items():
            part.write_bytes(files[path.name])
        for path, part in unfinished.items():
            os.replace(part, path)
    finally:
        for part in unfinished.values():
            part.unlink(missing_ok=True)
    return tuple(unfinished)


def field_files(seed: int) -> dict[str, bytes]:
    """The content of every file by name; each survey has its own stream of chance."""
    north, south, core, crack, count, sky = (np.random.default_rng(s) for s in np.random.SeedSequence(seed).spawn(6))
    survey = distress.distress_survey(crack)
    northward = survey["lane"].str.startswith("NB")
    return {
        "road.csv": _csv(office.road(), ROAD),
        "alignment.csv": _csv(office.alignment(), ALIGNMENT),
        "lanes.csv": _csv(office.lanes(), LANES),
        "bridges.csv": _csv(office.bridges(), BRIDGES),
        "ramps.csv": _csv(office.ramps(), RAMPS),
        "layers.csv": _csv(office.layers(), LAYERS),
        "deflections_northbound.csv": _csv(_deflections(deflections.NORTHBOUND, north), NORTHBOUND),
        "deflections_southbound.csv": _csv(_deflections(deflections.SOUTHBOUND, south), SOUTHBOUND),
        "cores.xlsx": _workbook(cores.core_log(core), CORES),
        "distress_northbound.csv": _csv(survey[northward], DISTRESS_NORTH),
        "distress_southbound.csv": _csv(survey[~northward], DISTRESS_SOUTH),
        "traffic_counts.csv": _csv(office.counts(count), COUNTS),
        "truck_classes.csv": _csv(office.truck_classes(), TRUCK_CLASSES),
        "axle_spectrum.csv": _csv(office.axles(), AXLES),
        "weather.epw": weather.epw_file(sky),
    }


def _deflections(run: deflections.Run, rng: np.random.Generator) -> pd.DataFrame:
    written = deflections.drops(deflections.survey_points(run, rng), rng)
    offsets = {f"offset_{i}": offset for i, offset in zip(SENSORS, TRUTH.sensor_offsets, strict=True)}
    return written.assign(plate_radius=TRUTH.plate_radius, **offsets)


def _written(values: pd.Series, how: As) -> list[str]:
    """A column as its crew writes it; a missing number is empty."""
    if how.kind == "text":
        return [str(value) for value in values]
    if how.kind == "station":
        return [format_station(float(value), "us") for value in values]
    shown = from_si(values.to_numpy(dtype=float), how.unit, how.kind)
    return ["" if np.isnan(number) else f"{number:.{how.digits}f}" for number in shown]


def _sheet(table: pd.DataFrame, sheet: Sheet) -> pd.DataFrame:
    return pd.DataFrame({heading: _written(table[how.column], how) for heading, how in sheet.items()})


def _csv(table: pd.DataFrame, sheet: Sheet) -> bytes:
    return _sheet(table, sheet).to_csv(index=False, lineterminator="\n").encode()


def _workbook(table: pd.DataFrame, sheet: Sheet) -> bytes:
    """The core log with a title above its headings, and a second sheet of remarks."""
    buffer = io.BytesIO()
    book = xlsxwriter.Workbook(buffer, {"in_memory": True, "strings_to_numbers": True})
    book.set_properties({"title": "Core log", "created": CORE_DATE})
    log = book.add_worksheet("Core log")
    log.write(0, 0, f"{TRUTH.road}: cores of {CORE_DATE:%B %Y}")
    written = _sheet(table, sheet)
    for row, values in enumerate([written.columns, *written.to_numpy()], start=2):
        log.write_row(row, 0, [value or None for value in values])
    book.add_worksheet("Remarks").write_column(0, 0, CORE_NOTES)
    book.close()
    return buffer.getvalue()
