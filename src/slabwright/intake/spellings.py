"""Units as people write them in headings and cells, and what is typical on a real concrete road.

Only units listed here are understood in a file: the general unit library reads far more than any field
file means (and reads some of it as something else), so a heading is never handed to it.
"""

from __future__ import annotations

import unicodedata
from functools import cache, lru_cache

from slabwright.units import FOOT, INCH, KINDS, KIP, MIL, PSI, to_si

__all__ = ["TYPICAL", "alternatives", "find_unit", "known_unit", "typical"]

# For each SI unit, the units of files with their spellings (compact: lower case, no spaces or signs).
SPELLED: dict[str, dict[str, str]] = {
    "m": {
        "m": "m meter meters metre metres",
        "mm": "mm millimeter millimeters millimetre millimetres",
        "cm": "cm centimeter centimeters centimetre centimetres",
        "km": "km kilometer kilometers kilometre kilometres",
        "um": "um micron microns micrometer micrometers micrometre micrometres",
        "ft": "ft foot feet '",
        "in": 'in inch inches "',
        "yd": "yd yard yards",
        "mi": "mi mile miles",
        "mil": "mil mils thou",
    },
    "N": {
        "N": "n newton newtons",
        "kN": "kn kilonewton kilonewtons",
        "lbf": "lb lbs lbf pound pounds poundforce",
        "kip": "kip kips klbf",
    },
    "Pa": {
        "Pa": "pa pascal",
        "kPa": "kpa kilopascal",
        "MPa": "mpa n/mm2 megapascal",
        "GPa": "gpa",
        "psi": "psi lb/in2 lbf/in2",
        "ksi": "ksi",
        "lbf/ft^2": "psf lb/ft2 lbf/ft2",
    },
    "Pa/m": {"pci": "pci psi/in lb/in3", "MPa/m": "mpa/m kpa/mm"},
    "m^2": {
        "m^2": "m2 sqm squaremeter squaremeters squaremetres",
        "ft^2": "ft2 sqft sf squarefeet",
        "yd^2": "yd2 sqyd sy",
    },
    "m^3": {"m^3": "m3 cum", "ft^3": "ft3 cuft cf", "yd^3": "yd3 cuyd cy"},
    "degC": {"degC": "c degc celsius degcelsius", "degF": "f degf fahrenheit degfahrenheit"},
    "K*day": {
        "delta_degC*day": "degcday degcdays cday cdays degreedaysc degcd",
        "delta_degF*day": "degfday degfdays fday fdays degfd",
    },
    "m/s": {"m/s": "m/s mps", "mph": "mph mi/h", "km/h": "km/h kph kmh", "knot": "kt knot knots"},
    "W/m^2": {"W/m^2": "w/m2 w/m² wm2"},
    "m/m": {"m/km": "m/km mm/m", "in/mi": "in/mi in/mile inches/mile"},
    "1/m": {"1/mi": "/mi 1/mi", "1/km": "/km 1/km"},
    "1": {"%": "% percent pct", "1": "1 ratio fraction decimal -"},
}

# Where the median of a column lies on real roads (SI); from practice, no source, used only to raise warnings.
TYPICAL: dict[tuple[str, str], tuple[float, float]] = {
    ("deflections", "load"): (4 * KIP, 30 * KIP),
    ("deflections", "deflection_1"): (0.8 * MIL, 30 * MIL),
    ("deflections", "plate_radius"): (0.10, 0.24),
    ("layers", "thickness"): (5 * INCH, 18 * INCH),
    ("layers", "joint_spacing"): (10 * FOOT, 110 * FOOT),
    ("layers", "base_thickness"): (2 * INCH, 16 * INCH),
    ("lanes", "width"): (9 * FOOT, 16 * FOOT),
    ("cores", "thickness"): (3 * INCH, 18 * INCH),
    ("cores", "diameter"): (2 * INCH, 8 * INCH),
    ("cores", "compressive_strength"): (1500 * PSI, 12000 * PSI),
    ("cores", "split_strength"): (200 * PSI, 1200 * PSI),
    ("axles", "load"): (3 * KIP, 60 * KIP),
    ("ride_runs", "mean_iri"): (0.5e-3, 6e-3),
    ("ride_runs", "iri_left"): (0.5e-3, 6e-3),
    ("ride_runs", "iri_right"): (0.5e-3, 6e-3),
}


def typical(table: str, column: str) -> tuple[float, float] | None:
    """The typical range of a column's median in SI; sensors share the upper end of the first sensor's."""
    return TYPICAL.get((table, column))


@lru_cache(4096)
def compact_unit(text: str) -> str:
    """A unit without case, spaces, dots and signs of multiplication: ``"M_per_KM"`` as ``"m/km"``."""
    plain = unicodedata.normalize("NFKC", text[:60]).lower().strip().strip("()[]{}").strip()
    plain = (
        plain
        .replace("μ", "u")
        .replace("µ", "u")
        .replace("°", "deg")
        .replace("degree ", "deg")
        .replace("degrees ", "deg")
    )
    words = ["/" if w == "per" else w for w in plain.replace("_", " ").replace("-", " ").split()]
    return "".join(words).replace(".", "").replace("^", "").replace("*", "").replace("·", "") or plain


@cache
def _by_spelling() -> dict[str, tuple[str, str]]:
    return {
        s: (unit, si) for si, group in SPELLED.items() for unit, spellings in group.items() for s in spellings.split()
    }


def known_unit(text: str) -> tuple[str, str] | None:
    """(unit, its SI unit) of a spelling, or None when it is not a unit of any column."""
    return _by_spelling().get(compact_unit(text)) if 0 < len(text) <= 60 else None


def find_unit(text: str, kind: str) -> str | None:
    """The unit that a text spells, if it measures that kind."""
    found = known_unit(text)
    return found[0] if found and found[1] == KINDS[kind].si else None


@cache
def alternatives(kind: str) -> tuple[tuple[str, float], ...]:
    """Every unit of a kind with its factor to SI (kinds without an offset only)."""
    group = SPELLED.get(KINDS[kind].si, {})
    return tuple((unit, to_si(1.0, unit, kind)) for unit in group) if KINDS[kind].si != "degC" else ()
