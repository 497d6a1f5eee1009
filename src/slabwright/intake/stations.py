"""Stations as they are written beside the plain ``12+34.5``: ``km 3+490``, ``PK 3+490``, ``PR 3+490``, ``MP 2.1``.

Kilometre points (km, PK) count metres from the road's zero. Reference posts (PR) and mileposts (MP) stand where they were
put, so their distance from the zero is declared, or assumed with a finding. A line that is renumbered (a station equation,
``12+00 back = 15+00 ahead``) is not one line of stations and is refused by name.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright.errors import InputError
from slabwright.intake.sheets import Values
from slabwright.intake.words import compact
from slabwright.units import MILE, STATION, System, parse_station

__all__ = [
    "EQUATION",
    "MARKS",
    "UNITS",
    "could_be_thousands",
    "marks",
    "shifts",
    "whole_metres",
    "station_cell",
    "whole_kilometres",
]

Cell = tuple[float, str | None, str, str]
UNITS = ("km", "m", "ft", "mi")  # in which a bare number may count stations
MARKS = {"MP": "milepost", "PR": "reference post"}
HEADINGS = {"pr": "PR"} | dict.fromkeys(("mp", "milepost", "milepoint", "milemarker"), "MP")
DEEPEST_KM = 1000.0  # a whole number beyond this after "km" is metres, or a slip: both readings are asked
PLUS = re.compile(r"\s*(km|pk|p\.k\.|pr)\s*\.?:?\s*(-?\d{1,4})\s*\+\s*(\d{1,4})((?:[.,]\d*)?)\s*m?\s*\Z", re.IGNORECASE)
POINT = re.compile(r"\s*(?:km|pk|p\.k\.)\s*\.?:?\s*(-?\d{1,7})((?:[.,]\d*)?)\s*\Z", re.IGNORECASE)
MILEPOST = re.compile(
    r"\s*(?:mp|mile ?post|mile ?point|mile ?marker|mm)\s*\.?:?\s*(-?\d{1,4}(?:\.\d*)?)\s*\Z", re.IGNORECASE
)
COMMA = re.compile(r"\s*(?:sta\.?\s*)?-?\d{1,7}\s*\+\s*\d{2,3},\d{1,3}\s*\Z", re.IGNORECASE)
EQUATION = re.compile(
    r"[^=]{0,20}\d\s*\+\s*\d{2,3}[^=]{0,20}=[^=]{0,20}\d\s*\+\s*\d{2,3}|"
    r"\s*(?:sta\.?\s*)?\d{1,7}\s*\+\s*\d{2,3}(?:\.\d*)?\s*\(?(?:ah|bk|ahead|back)\.?\)?\s*\Z",
    re.IGNORECASE,
)
WHOLE = re.compile(r"(?:(?:km|pk|p\.k\.)\s*\.?:?\s*)?(\d{4,7})", re.IGNORECASE)
THREE_DIGITS = re.compile(
    r"(?:(?:km|pk|p\.k\.|sta\.?)\s*\.?:?\s*)?-?\d{1,4}\s*\+\s*\d{3}(?:[.,]\d*)?\s*m?", re.IGNORECASE
)
THOUSANDS = re.compile(r"-?\d{1,3}[.,]\d{3}\Z")


def station_cell(text: str) -> Cell | None:
    """(value, its unit or "SI" for metres, rule broken or "", unit as counted) of a station; None when it is a bare number.

    A comma after the plus sign marks decimals: no station has thousands of feet or metres there.
    """
    if COMMA.match(text[:60]):
        text = text.replace(",", ".")
    if STATION.match(text[:60]):
        feet = len(re.split(r"\+\s*", text)[-1].split(".")[0].strip()) == 2
        return parse_station(text), "SI", "", "ft" if feet else "m"
    if EQUATION.match(text[:80]):
        return np.nan, None, "station equation", ""
    if (plus := PLUS.match(text[:60])) is not None:
        return _after_plus(plus)
    if (point := POINT.match(text[:60])) is not None:
        value = float(point[1] + point[2].replace(",", "."))
        whole = not point[2] and abs(value) > DEEPEST_KM
        return (np.nan, None, "station read two ways", "") if whole else (value, "km", "", "m")
    if (post := MILEPOST.match(text[:60])) is not None:
        return float(post[1]), "mi", "", "mi"
    return None


def _after_plus(found: re.Match[str]) -> Cell:
    mark, whole, rest, fraction = found.groups()
    if mark.lower() != "pr" and len(rest) != 3:
        return np.nan, None, "station read two ways", ""
    sign = -1 if whole.startswith("-") else 1
    return 1000 * float(whole) + sign * float(rest + fraction.replace(",", ".")), "SI", "", "m"


def marks(cells: Values, heading: str) -> dict[str, npt.NDArray[np.int64]]:
    """The rows whose stations are counted from posts, by kind of post; a heading may say it for all of them."""
    kind = HEADINGS.get(compact(re.sub(r"[\(\[].*", "", heading)), "")
    if kind:
        held = ~np.isnan(np.asarray(cells, dtype=np.float64)) if cells.dtype.kind == "f" else cells != ""
        return {kind: np.flatnonzero(held)} if held.any() else {}
    if cells.dtype.kind == "f":
        return {}
    codes, uniques = pd.factorize(np.asarray(cells, dtype=object))
    kinds = np.array([_mark(str(text)) for text in uniques] or [""], dtype=object)[codes]
    return {kind: np.flatnonzero(kinds == kind) for kind in MARKS if (kinds == kind).any()}


def _mark(text: str) -> str:
    if text[:1].isdigit():
        return ""
    if MILEPOST.match(text[:60]):
        return "MP"
    plus = PLUS.match(text[:60])
    return "PR" if plus and plus[1].lower() == "pr" else ""


def shifts(references: Mapping[str, str], system: System) -> dict[str, float]:
    """How far the zero of each kind of post lies from that of the stations [m], from ``{"MP 2": "105+60"}``."""
    found = {}
    for post, station in references.items():
        kind = _mark(post) or _mark(f"{post.strip()}+000")
        read = station_cell(post if _mark(post) else f"{post.strip()}+000")
        if not kind or read is None or not np.isfinite(read[0]):
            raise InputError(
                "this is not a post", given=post, allowed="MP 2.1 for a milepost, PR 3+000 for a reference post"
            )
        found[kind] = parse_station(station, system) - (read[0] * MILE if read[1] == "mi" else read[0])
    return found


def whole_metres(cells: Values) -> tuple[Values, npt.NDArray[np.int64]]:
    """The cells with ``3490`` and ``PK 3490`` as ``3490 m``, and their rows, where those with a plus sign are written as ``3+490``."""
    none = np.zeros(0, dtype=np.int64)
    if cells.dtype.kind == "f":
        return cells, none
    codes, uniques = pd.factorize(np.asarray(cells, dtype=object))
    texts = [str(text).strip()[:60] for text in uniques]
    bare = [WHOLE.fullmatch(text) for text in texts]
    others = [text for text in texts if "+" in text]
    if not others or not all(THREE_DIGITS.fullmatch(text) for text in others):
        return cells, none
    made = [text if found is None else f"{found[1]} m" for text, found in zip(texts, bare, strict=True)]
    rows = np.flatnonzero(np.array([found is not None for found in bare])[codes])
    return (np.array(made, dtype=object)[codes], rows) if len(rows) else (cells, none)


def could_be_thousands(rows: Sequence[Sequence[str]], index: int) -> str:
    """The first bare number of a column when all are written as ``3.490``: kilometres, or metres with a dot; else ""."""
    found = [row[index].strip() for row in rows if index < len(row) and row[index].strip()]
    return found[0] if found and all(THOUSANDS.match(cell) for cell in found) else ""


def whole_kilometres(rows: Sequence[Sequence[str]], index: int) -> str:
    """The first bare whole number of a column of kilometres beyond 1,000, where metres are likelier; else ""."""
    found = [row[index].strip() for row in rows if index < len(row) and row[index].strip()]
    large = [cell for cell in found if re.fullmatch(r"\d{4,7}", cell) and float(cell) > DEEPEST_KM]
    return large[0] if len(large) > len(found) / 2 else ""
