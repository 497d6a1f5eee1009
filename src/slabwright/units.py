"""Units live at the rim. Inside, every number is SI; this file holds the only conversions.

A *kind* says what a number measures and how an engineer likes to read it in each system. Functions and
records name kinds; commands, pages and reports ask here for the text. Two conventions are not SI base
units because nobody in the trade would read them otherwise: temperatures are in degrees Celsius, and
long spans of time are in years. Shares cross function boundaries as ratios (0.7) and are shown as
per cent (70 %).
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any, Literal, TypeVar

from slabwright.errors import InputError

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

__all__ = [
    "BTU",
    "FOOT",
    "HOUR",
    "KELVIN",
    "INCH",
    "KINDS",
    "KIP",
    "LBF",
    "MIL",
    "MILE",
    "MPH",
    "PCI",
    "POUND",
    "POUND_PER_SQUARE_FOOT",
    "PSI",
    "Kind",
    "System",
    "convert",
    "format_quantity",
    "format_station",
    "from_si",
    "kind",
    "label",
    "parse",
    "parse_many",
    "parse_station",
    "to_si",
    "unit_of",
]

System = Literal["us", "metric"]
Number = TypeVar("Number", float, "npt.NDArray[np.float64]")

# Exact by definition (international yard and pound, 1959; standard gravity).
INCH = 0.0254
FOOT = 12 * INCH
MILE = 5280 * FOOT
MIL = INCH / 1000
POUND = 0.45359237
LBF = POUND * 9.80665
KIP = 1000 * LBF
PSI = LBF / INCH**2
PCI = PSI / INCH
HOUR = 3600.0
KELVIN = 273.15  # K at 0 deg C, exact
MPH = MILE / HOUR
POUND_PER_SQUARE_FOOT = POUND / FOOT**2
BTU = 1055.05585262  # the international table's, exact


@dataclass(frozen=True)
class Kind:
    """What a number measures: its unit inside, its customary units, and digits after the point."""

    si: str
    us: str
    metric: str
    us_digits: int
    metric_digits: int

    def unit(self, system: System) -> str:
        return self.us if system == "us" else self.metric

    def digits(self, system: System) -> int:
        return self.us_digits if system == "us" else self.metric_digits


KINDS: dict[str, Kind] = {
    "number": Kind("1", "1", "1", 3, 3),
    "count": Kind("1", "1", "1", 0, 0),
    "calendar_year": Kind("1", "1", "1", 0, 0),
    "money": Kind("1", "1", "1", 0, 0),
    "money_per_length": Kind("money/m", "money/ft", "money/m", 2, 2),
    "money_per_area": Kind("money/m^2", "money/yd^2", "money/m^2", 2, 2),
    "money_per_volume": Kind("money/m^3", "money/yd^3", "money/m^3", 2, 2),
    "share": Kind("1", "%", "%", 1, 1),
    "years": Kind("year", "year", "year", 1, 1),
    "thickness": Kind("m", "in", "mm", 2, 0),
    "width": Kind("m", "in", "mm", 3, 2),
    "length": Kind("m", "ft", "m", 1, 2),
    "distance": Kind("m", "mi", "km", 3, 3),
    "deflection": Kind("m", "mil", "um", 2, 0),
    "deflection_per_force": Kind("m/N", "mil/kip", "um/kN", 4, 3),
    "area": Kind("m^2", "ft^2", "m^2", 1, 2),
    "paved_area": Kind("m^2", "yd^2", "m^2", 0, 0),
    "volume": Kind("m^3", "yd^3", "m^3", 1, 2),
    "first_moment": Kind("m^3/m", "in^3/in", "mm^3/mm", 2, 0),
    "second_moment": Kind("m^4/m", "in^4/in", "mm^4/mm", 1, 0),
    "steel_area": Kind("m^2/m", "in^2/ft", "mm^2/m", 4, 1),
    "force": Kind("N", "lbf", "kN", 0, 2),
    "axle_load": Kind("N", "kip", "kN", 2, 1),
    "stress": Kind("Pa", "psi", "MPa", 1, 3),
    "modulus": Kind("Pa", "psi", "MPa", 0, 0),
    "slab_modulus": Kind("Pa", "Mpsi", "GPa", 2, 1),
    "cumulative_difference": Kind("m^2", "mil*ft", "um*m", 1, 0),
    "million_axles": Kind("1", "million", "million", 2, 2),
    "foundation": Kind("Pa/m", "pci", "MPa/m", 0, 1),
    "unit_weight": Kind("N/m^3", "lbf/ft^3", "kN/m^3", 1, 2),
    "rigidity": Kind("N*m", "lbf*in", "kN*m", 0, 1),
    "temperature": Kind("degC", "degF", "degC", 1, 1),
    "temperature_change": Kind("K", "delta_degF", "delta_degC", 1, 1),
    "damage": Kind("1", "1", "1", 6, 6),
    "temperature_gradient": Kind("K/m", "delta_degF/inch", "delta_degC/m", 2, 1),
    "expansion": Kind("1/K", "1/delta_degF", "1/delta_degC", 9, 9),
    "frequency": Kind("1/m", "1/mi", "1/km", 1, 1),
    "roughness": Kind("m/m", "in/mi", "m/km", 1, 3),
    "freezing": Kind("K*day", "delta_degF*day", "delta_degC*day", 0, 0),
    "strain": Kind("1", "1", "1", 6, 6),
    "per_length": Kind("1/m", "1/in", "1/m", 6, 6),
    "area_load": Kind("Pa", "lbf/ft^2", "kPa", 1, 2),
    "line_force": Kind("N/m", "lbf/in", "kN/m", 1, 2),
    "line_stiffness": Kind("N/m", "lbf/in", "kN/mm", 0, 1),
    "energy_release": Kind("N/m", "lbf/in", "N/m", 4, 2),
    "duration": Kind("s", "h", "h", 1, 1),
    "frequency_in_time": Kind("1/s", "1/h", "1/h", 4, 4),
    "age": Kind("s", "day", "day", 1, 1),
    "compliance": Kind("1/Pa", "1/psi", "1/MPa", 9, 9),
    "speed": Kind("m/s", "mph", "m/s", 1, 1),
    "irradiance": Kind("W/m^2", "W/m^2", "W/m^2", 0, 0),
    "conductivity": Kind("W/m/K", "BTU/h/ft/delta_degF", "W/m/K", 2, 2),
    "heat_capacity": Kind("J/kg/K", "BTU/lb/delta_degF", "J/kg/K", 2, 0),
    "density": Kind("kg/m^3", "pound/ft^3", "kg/m^3", 0, 0),
    "vapour_pressure": Kind("Pa", "psi", "kPa", 4, 3),
    "evaporation": Kind("kg/m^2/s", "pound/ft^2/h", "kg/m^2/h", 3, 2),
    "maturity": Kind("K*s", "delta_degF*h", "delta_degC*h", 0, 0),
    "activation_energy": Kind("J/mol", "kJ/mol", "kJ/mol", 1, 1),
    "heat_of_hydration": Kind("J/kg", "J/g", "J/g", 1, 1),
    "fineness": Kind("m^2/kg", "m^2/kg", "m^2/kg", 0, 0),
    "content": Kind("kg/m^3", "pound/yd^3", "kg/m^3", 0, 0),
    "heat_rate": Kind("W/m^3", "W/m^3", "W/m^3", 0, 0),
    "surface_coefficient": Kind("W/m^2/K", "BTU/h/ft^2/delta_degF", "W/m^2/K", 2, 1),
}

# How a unit is printed; anything else is printed as written.
LABELS = {
    "1": "",
    "um": "µm",
    "m^2": "m²",
    "ft^2": "ft²",
    "yd^2": "yd²",
    "m^3": "m³",
    "yd^3": "yd³",
    "mil*ft": "mil·ft",
    "um*m": "µm·m",
    "um/kN": "µm/kN",
    "Mpsi": "million psi",
    "in^2/ft": "in²/ft",
    "in^3/in": "in³/in",
    "mm^3/mm": "mm³/mm",
    "in^4/in": "in⁴/in",
    "mm^4/mm": "mm⁴/mm",
    "mm^2/m": "mm²/m",
    "m^2/m": "m²/m",
    "degF": "°F",
    "degC": "°C",
    "delta_degF": "°F",
    "delta_degC": "°C",
    "delta_degF/inch": "°F/in",
    "delta_degC/m": "°C/m",
    "1/delta_degF": "1/°F",
    "1/delta_degC": "1/°C",
    "lbf": "lb",
    "lbf/ft^3": "lb/ft³",
    "lbf/ft^2": "lb/ft²",
    "kN/m^3": "kN/m³",
    "N/m^3": "N/m³",
    "lbf*in": "lb·in",
    "kN*m": "kN·m",
    "year": "years",
    "delta_degF*day": "°F·days",
    "delta_degC*day": "°C·days",
    "W/m^2": "W/m²",
    "W/m/K": "W/(m·K)",
    "BTU/h/ft/delta_degF": "BTU/(h·ft·°F)",
    "J/kg/K": "J/(kg·K)",
    "BTU/lb/delta_degF": "BTU/(lb·°F)",
    "money/m": "per m",
    "money/ft": "per ft",
    "money/m^2": "per m²",
    "money/yd^2": "per yd²",
    "money/m^3": "per m³",
    "money/yd^3": "per yd³",
    "kg/m^3": "kg/m³",
    "pound/ft^3": "lb/ft³",
    "W/m^2/K": "W/(m²·K)",
    "BTU/h/ft^2/delta_degF": "BTU/(h·ft²·°F)",
}

# The spellings met in field files that a general unit library reads as something else, or not at all.
SPELLINGS = {
    "": "1",
    "-": "1",
    "lb": "lbf",
    "lbs": "lbf",
    "pound": "lbf",
    "pounds": "lbf",
    "kips": "kip",
    "inch": "in",
    "inches": "in",
    '"': "in",
    "feet": "ft",
    "'": "ft",
    "miles": "mi",
    "mils": "mil",
    "micron": "um",
    "microns": "um",
    "micrometer": "um",
    "micrometers": "um",
    "µm": "um",
    "μm": "um",
    "f": "degF",
    "°f": "degF",
    "deg f": "degF",
    "c": "degC",
    "°c": "degC",
    "deg c": "degC",
    "percent": "%",
    "pct": "%",
    "per cent": "%",
    "lb/in^3": "pci",
    "psi/in": "pci",
    "lb/ft^3": "lbf/ft^3",
    "pcf": "lbf/ft^3",
    "lb/in^2": "psi",
    "lb/ft^2": "lbf/ft^2",
    "psf": "lbf/ft^2",
    "yr": "year",
    "years": "year",
    "sq ft": "ft^2",
    "sf": "ft^2",
    "sq m": "m^2",
    "sq yd": "yd^2",
    "sy": "yd^2",
    "cy": "yd^3",
    "m²": "m^2",
    "ft²": "ft^2",
    "yd²": "yd^2",
    "m³": "m^3",
    "yd³": "yd^3",
    "m2": "m^2",
    "ft2": "ft^2",
    "yd2": "yd^2",
    "m3": "m^3",
    "yd3": "yd^3",
    "meter": "m",
    "meters": "m",
    "metre": "m",
    "metres": "m",
    "klbf": "kip",
    "kpa/mm": "MPa/m",
    "mpa": "MPa",
    "kpa": "kPa",
    "kn": "kN",
    "n/mm2": "MPa",
    "n/mm^2": "MPa",
    "n": "N",
    "gpa": "GPa",
    "pa": "Pa",
    "thou": "mil",
    "$": "1",
    "usd": "1",
    "w/m2": "W/m^2",
    "w/m²": "W/m^2",
}

DIFFERENCES = ("temperature_change",)  # "75 °F" is a difference here, not a point of the scale

# What is printed can be read again.
SPELLINGS |= {shown.lower(): unit for unit, shown in LABELS.items() if shown and shown.lower() not in SPELLINGS} | {
    "°f/in": "delta_degF/inch",
    "°c/m": "delta_degC/m",
    "/°f": "1/delta_degF",
    "/°c": "1/delta_degC",
}

NUMBER = r"[-+]?(?:\d{1,3}(?:,\d{3})+(?:\.\d*)?|\d+\.?\d*|\.\d+)(?:[eE][-+]?\d{1,3})?"
VALUE = re.compile(rf"\s*({NUMBER})\s*((?:1/)?[^\s\d,;][^,;]{{0,39}}|)\s*\Z")
PER = re.compile(r"\s*(?:money|\$|usd|1)?\s*(?:/|\bper\s)\s*(.+)", re.IGNORECASE)  # of a price: "$/yd²", "per sq yd"
UNIT_CHARACTERS = re.compile(r"[A-Za-z0-9_%/*^().\-]{1,40}\Z")


def kind(name: str) -> Kind:
    """The kind of that name; a plain error when there is none."""
    try:
        return KINDS[name]
    except KeyError:
        raise InputError("there is no such kind of quantity", given=name, allowed=", ".join(KINDS)) from None


def unit_of(name: str, system: System = "us") -> str:
    """The unit in which a kind is shown, e.g. ``unit_of("thickness") == "in"``."""
    return kind(name).unit(system)


def label(unit: str) -> str:
    """A unit as it is printed, e.g. ``"yd^2"`` as ``"yd²"``."""
    return LABELS.get(unit, unit)


@cache
def _registry() -> Any:
    import pint  # heavy, so only when a unit is really converted

    registry: Any = pint.UnitRegistry(cache_folder=None)
    registry.define("pci = psi / inch")
    registry.define("million = 1e6")
    registry.define("money = [money]")
    return registry


def _spelled(unit: str) -> str:
    return SPELLINGS.get(unit.strip().lower(), unit.strip())


@cache
def _scale(unit: str, si: str) -> tuple[float, float]:
    """(factor, offset) with value_si = value * factor + offset."""
    spelled = _spelled(unit)
    if si.startswith("money/") and (per := PER.match(unit)):
        spelled = f"money/{_spelled(per[1])}"
    spelled = re.sub(r"\bmil\b", "thou", spelled)  # the unit library reads mil as an angle
    if spelled == si:
        return 1.0, 0.0
    if not UNIT_CHARACTERS.match(spelled):
        raise InputError("this is not a unit", given=unit)
    registry = _registry()
    try:
        zero = registry.Quantity(0.0, registry.parse_units(spelled)).to(registry.parse_units(si)).magnitude
        one = registry.Quantity(1.0, registry.parse_units(spelled)).to(registry.parse_units(si)).magnitude
    except Exception as problem:  # the unit library raises many kinds, all meaning the same to a user
        raise InputError(f"cannot be read as a unit of {si!r}", given=unit, remedy="Check the unit.") from problem
    factor = float(one) - float(zero)
    if not (math.isfinite(factor) and factor > 0):
        raise InputError(f"cannot be read as a unit of {si!r}", given=unit)
    return factor, float(zero)


def to_si(value: Number, unit: str, kind_name: str) -> Number:
    """A value in ``unit`` as the SI value of the kind (arrays or floats).

    Raises InputError when the unit does not measure that kind.
    """
    factor, offset = _scale(unit, kind(kind_name).si)
    return value * factor + offset if offset and kind_name not in DIFFERENCES else value * factor


def from_si(value: Number, unit: str, kind_name: str) -> Number:
    """An SI value of the kind in ``unit`` (arrays or floats)."""
    factor, offset = _scale(unit, kind(kind_name).si)
    return (value - offset) / factor if offset and kind_name not in DIFFERENCES else value / factor


def convert(value: Number, kind_name: str, system: System) -> Number:
    """An SI value of the kind in the customary unit of a system."""
    return from_si(value, unit_of(kind_name, system), kind_name)


def parse(text: str | float, kind_name: str, system: System = "us") -> float:
    """Read ``"4 in"``, ``"101.6 mm"`` or a bare number (in the customary unit) as an SI float.

    Raises InputError for anything that is not one finite number with a unit of that kind.
    """
    if isinstance(text, (int, float)):
        number, unit = float(text), ""
    else:
        text = _without_fraction(text[:200])
        match = VALUE.match(text.lstrip("$€£ ") if kind_name.startswith("money") else text)
        if match is None or match[2].strip()[:1] in (".", ","):
            raise InputError("this is not a number with a unit", given=text, allowed=_example(kind_name, system))
        number, unit = float(match[1].replace(",", "")), match[2].strip()
    if not math.isfinite(number):
        raise InputError("a finite number is needed", given=text)
    try:
        value = to_si(number, unit or unit_of(kind_name, system), kind_name)
    except InputError as problem:
        raise InputError(
            f"{unit!r} is no unit of this quantity", given=text, allowed=_example(kind_name, system)
        ) from problem
    if not math.isfinite(value):
        raise InputError("a finite number is needed", given=text)
    return value


def _example(kind_name: str, system: System) -> str:
    return f'for example "{f"4 {label(unit_of(kind_name, system))}".strip()}"'


FRACTION = re.compile(r"\s*(?:(\d{1,4})[ -])?\s*(\d{1,4})/([1-9]\d{0,3})(?!\d)(.*)\Z", re.DOTALL)


def _without_fraction(text: str) -> str:
    """A number written as on a ruler, ``3 1/2 in``, as a decimal one; anything else as it is."""
    match = FRACTION.match(text)
    if match is None:
        return text
    whole, over, under, rest = match.groups()
    return f"{int(whole or 0) + int(over) / int(under)!r}{rest}"


def parse_many(text: str, kind_name: str, system: System = "us") -> list[float]:
    """Read ``"5.9, 5.6, 5.4 mil"``: several numbers, with the unit once at the end or on each."""
    pieces = [p for p in re.split(r"\s*[,;]\s*", text.strip()) if p]
    if not pieces:
        raise InputError("at least one number is needed", given=text)
    last = VALUE.match(pieces[-1])
    shared = last[2].strip() if last else ""
    with_unit = [p if (m := VALUE.match(p)) is None or m[2] else f"{p} {shared}" for p in pieces]
    return [parse(p, kind_name, system) for p in with_unit]


LARGEST_WRITTEN_OUT = 1e15  # beyond it digits say nothing: the number is written by its power of ten


def format_quantity(value: float, kind_name: str, system: System = "us", *, unit: bool = True) -> str:
    """An SI value as a person reads it: ``"4.00 in"``; a missing value is an en dash."""
    if value is None or not math.isfinite(value):
        return "–"
    shown = kind(kind_name)
    number = convert(float(value), kind_name, system)
    digits = shown.digits(system)
    group = "" if kind_name == "calendar_year" else ","
    if abs(number) >= LARGEST_WRITTEN_OUT:
        text = f"{number:.3g}".replace("e+", "e")
    else:
        text = f"{number:{group}.3g}" if digits >= 6 else f"{number:{group}.{digits}f}"
    if text.startswith("-") and not text.strip("-0.,"):
        text = text[1:]  # nothing is less than nothing: no "-0.0"
    name = label(shown.unit(system)) if unit else ""
    return f"{text} {name}".rstrip()


STATION = re.compile(r"\s*(?:sta\.?\s*)?(-?\d{1,7})\s*\+\s*(\d{2,3})(?!\d)((?:\.\d*)?)\s*\Z", re.IGNORECASE)


def parse_station(text: str, system: System = "us") -> float:
    """Read a station as metres from zero.

    ``12+34.5`` (two digits after the plus sign) is 1,234.5 ft; ``1+234.5`` (three digits) is 1,234.5 m.
    A number with a unit of length is taken as such, and a bare number is in feet or metres by ``system``.
    """
    match = STATION.match(text[:60])
    if match is None:
        return parse(text, "length", system)
    whole, rest, fraction = match.groups()
    sign = -1 if whole.startswith("-") else 1
    feet = len(rest) == 2
    size = float(whole) * (100 if feet else 1000) + sign * float(rest + (fraction or ""))
    return size * FOOT if feet else size


def format_station(metres: float, system: System = "us") -> str:
    """Metres from zero as ``12+34.5`` (feet) or ``1+234.5`` (metres)."""
    if not math.isfinite(metres):
        return "–"
    size, each, width = (metres / FOOT, 100, 4) if system == "us" else (metres, 1000, 5)
    tenths = round(abs(size) * 10)
    whole, rest = divmod(tenths, each * 10)
    return f"{'-' if size < 0 and tenths else ''}{whole}+{rest / 10:0{width}.1f}"
