"""The AASHTO pavement deflection data exchange format (PDDX): sections in brackets, ``Key = value`` lines.

Looked up (FHWA-HRT-07-040, appendix C, opening pages; the index of the AASHTO data guide): a text file of
sections with descriptive names, a heading or an entry with one or more values on each line, in the manner of
an initialisation file; the names DelimiterSymbol, DecimalSymbol, LoadUnits, NumberOfTestLocations,
NumberOfDrops, NumberOfTemperatureSensors, TestTemperatures, DropData1, DeflectionSensorYAxisDistances.
From memory: everything else, so keys are compared without case and signs, numbered keys are read however they
are numbered, sections are recognised by the keys they hold, and an entry that is not used is reported.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

import numpy as np

from slabwright.errors import InputError
from slabwright.intake.container import LONGEST_CELL, Content
from slabwright.intake.delimited import decode
from slabwright.intake.sheets import Cell, MemorySheet
from slabwright.intake.spellings import find_unit
from slabwright.intake.words import compact
from slabwright.records.facts import LARGEST_SENSOR_COUNT

__all__ = ["exchange_sheet", "is_exchange"]

NAMED = 200  # lines that were not used and are named one by one
SECTION = re.compile(r"\s*\[([^\[\]]{1,120})\]\s*\Z")
# What each of our columns is called in an entry or in [Units], compact; numbers at the end are cut before.
UNIT_KEYS = {
    "load": ("loadunits", "force"),
    "deflection": ("deflectionunits", "deflection"),
    "offset": ("sensorlocationunits", "sensordistanceunits", "thickness"),
    "plate_radius": ("loadplateradiusunits", "plateradiusunits", "thickness"),
    "station": ("testlocationunits", "stationunits", "locationunits", "length"),
    "air_temperature": ("temperatureunits", "temperature"),
}
OFFSET_KEYS = (
    "deflectionsensorxaxisdistances",
    "sensorxaxisdistances",
    "deflectionsensordistances",
    "sensordistances",
    "deflectionsensorlocations",
    "sensorlocations",
)
RADIUS_KEYS = ("loadplateradius", "plateradius")
PLACE_KEYS = {
    "station": ("testlocation", "station", "stationing", "chainage", "location"),
    "lane": ("testlane", "lane", "lanenumber", "lanename", "lanedesignation"),
    "position": ("testtype", "testposition", "slabposition", "locationtype", "position"),
    "point": ("testlocationid", "testid", "pointid", "locationidentification"),
    "date": ("testdate", "date"),
    "air_temperature": ("airtemperature",),
    "surface_temperature": ("surfacetemperature", "pavementsurfacetemperature"),
}
DROP = re.compile(r"(?:dropdata|drop|droploadanddeflections?)(\d{1,4})\Z")
ABOUT = frozenset([
    "versionnumber",
    "delimitersymbol",
    "decimalsymbol",
    "numberofdrops",
    "numberoftestlocations",
    "numberofdeflectionsensors",
    "numberoftemperaturesensors",
    "filename",
    "startdate",
    "enddate",
    "operatorname",
    "testtime",
])


@dataclass
class _State:
    """What has been said so far, from the top of the file down."""

    delimiter: str = ","
    decimal: str = "."
    general: dict[str, str] = field(default_factory=dict)
    here: dict[str, str] = field(default_factory=dict)
    drops: list[tuple[int, int, list[Cell], dict[str, str]]] = field(default_factory=list)
    unread: list[tuple[int, str]] = field(default_factory=list)
    long: list[tuple[int, int]] = field(default_factory=list)


def is_exchange(content: Content) -> bool:
    """Whether a text starts with a section in brackets (comments and empty lines aside)."""
    start = content.data[: 4096 if content.data[:2] not in (b"\xff\xfe", b"\xfe\xff") else 8192]
    text = start.decode("utf-16" if start[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig", errors="ignore")
    lines = [line for line in text.splitlines() if line.strip() and line.strip()[0] not in ";#"]
    return bool(lines) and SECTION.match(lines[0][:200]) is not None


def exchange_sheet(content: Content) -> MemorySheet:
    """The drops of an exchange file as a sheet under our own headings, one row for each drop.

    Raises InputError when the file holds no drops.
    """
    data, notes = decode(content)
    state = _State()
    for number, line in enumerate(data.decode("utf-8").split("\n"), start=1):
        _take(state, number, line)
    if not state.drops:
        raise InputError(
            "the exchange file holds no drops",
            where=content.name,
            remedy="Each test location needs entries such as 'DropData1 = load, deflections'.",
        )
    return _sheet(content.name, state, notes)


def _take(state: _State, number: int, line: str) -> None:
    if len(line) > LONGEST_CELL:
        state.long.append((number, len(line)))
        line = line[:200]
    if not line.strip() or line.strip()[0] in ";#":
        return
    section = SECTION.match(line)
    if section:
        if compact(section[1]).startswith(("testlocation", "testdata", "location")):
            state.here = {}
        return
    key, sign, value = line.partition("=")
    key, value = compact(key), value.strip()
    if not sign or not key:
        state.unread.append((number, line))
    elif key == "delimitersymbol":
        state.delimiter = _symbol(value, ",")
    elif key == "decimalsymbol":
        state.decimal = "," if _symbol(value, ".") == "," else "."
    else:
        _entry(state, number, key, value)


def _symbol(value: str, default: str) -> str:
    names = {"comma": ",", "semicolon": ";", "tab": "\t", "space": " ", "point": ".", "period": ".", "bar": "|"}
    plain = value.strip("'\"")
    return names.get(plain.lower(), plain[:1] or default)


def _entry(state: _State, number: int, key: str, value: str) -> None:
    drop = DROP.match(key)
    if drop:
        cells: list[Cell] = [_number(piece, state.decimal) for piece in _split(value, state.delimiter)]
        state.drops.append((number, int(drop[1]), cells, state.here))
    elif any(key in keys for keys in PLACE_KEYS.values()) or key.startswith("testtemperatures"):
        state.here[key] = value
    else:
        state.general[key] = value
        if key not in ABOUT and not key.endswith("units") and key not in (*OFFSET_KEYS, *RADIUS_KEYS):
            state.unread.append((number, f"{key} = {value}"))


def _split(value: str, delimiter: str) -> list[str]:
    return [piece.strip() for piece in value.split(delimiter)] if delimiter != " " else value.split()


def _number(piece: str, decimal: str) -> Cell:
    return piece.replace(",", ".") if decimal == "," else piece


def _sheet(place: str, state: _State, notes: tuple[tuple[str, str], ...]) -> MemorySheet:
    offsets = next((state.general[k] for k in OFFSET_KEYS if k in state.general), "")
    distances = [_number(p, state.decimal) for p in _split(offsets, state.delimiter)] if offsets else []
    distances = distances[:LARGEST_SENSOR_COUNT]
    radius = next((state.general[k] for k in RADIUS_KEYS if k in state.general), "")
    sensors = min(max(len(d[2]) for d in state.drops) - 1, LARGEST_SENSOR_COUNT)
    heading = [
        *PLACE_KEYS,
        "drop",
        "load",
        *(f"deflection_{i}" for i in range(1, sensors + 1)),
        "plate_radius",
        *(f"offset_{i}" for i in range(1, len(distances) + 1)),
    ]
    rows: list[list[Cell]] = [[_with_unit(name, state) for name in heading]]
    for _, drop, cells, here in state.drops:
        padded = [*cells[: sensors + 1], *[None] * (sensors + 1 - len(cells))]
        rows.append([*_place(state, here), float(drop), *padded, _number(radius, state.decimal) or None, *distances])
        rows[-1] += cells[sensors + 1 :]  # more values than sensors can be held: reported as a row too long
    numbers = np.array([0, *(d[0] for d in state.drops)], dtype=np.int64)
    unread = [
        ("column not used", f"line {number} was not used: {line[:80]!r}") for number, line in state.unread[:NAMED]
    ]
    if len(state.unread) > NAMED:
        unread.append(("column not used", f"and {len(state.unread) - NAMED} more lines were not used"))
    long = [("cell too long", f"line {number} has {length} characters") for number, length in state.long]
    return MemorySheet(place, rows, numbers, notes=(*notes, *unread, *long))


def _with_unit(name: str, state: _State) -> str:
    stem = "air_temperature" if name == "surface_temperature" else re.sub(r"_\d+\Z", "", name)
    if stem not in UNIT_KEYS:
        return name
    *keys, kind = UNIT_KEYS[stem]
    spelled = next((state.general[k] for k in keys if k in state.general), "")
    first = _split(spelled, state.delimiter)[0] if spelled else ""
    return f"{name} ({find_unit(first, kind) or first})" if first else name


def _place(state: _State, here: dict[str, str]) -> list[Cell]:
    """Station, lane and so on of one test location; a station entry may hold more values after the first."""
    found: list[Cell] = []
    for name, keys in PLACE_KEYS.items():
        value = next((here[k] for k in keys if k in here), "") or next(
            (state.general[k] for k in keys if k in state.general), ""
        )
        if name == "station" and value:
            value = _split(value, state.delimiter)[0]
        if name.endswith("temperature") and not value and "testtemperatures" in here:
            pieces = _split(here["testtemperatures"], state.delimiter)
            value = pieces[min(("air_temperature", "surface_temperature").index(name), len(pieces) - 1)]
        found.append(_number(value, state.decimal) or None)
    return found
