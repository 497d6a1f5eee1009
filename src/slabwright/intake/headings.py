"""Which column a heading means, in which unit, and which table a sheet is.

A heading is compared without case, spaces and signs, with the unit in brackets, after a comma or as a suffix
taken off: ``D1 (mils)``, ``load_kN``, ``Load [lbf]``, ``freeze_index_degC_day``. An exact name outranks a
synonym, and a synonym a similar spelling; a similar spelling is always confirmed by the engineer.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from typing import Literal

from slabwright.errors import InputError
from slabwright.intake.spellings import find_unit, known_unit
from slabwright.intake.wordings import IMPLIED, PRESSURES, SAY_UNITS, WORDINGS
from slabwright.intake.words import compact
from slabwright.records.facts import FACTS, LARGEST_SENSOR_COUNT
from slabwright.records.table import Column, Schema
from slabwright.units import INCH

__all__ = [
    "ColumnMatch",
    "Fit",
    "How",
    "closest",
    "fit",
    "known_headings",
    "known_whole",
    "of_another_quantity",
    "off_centre",
    "sensor_offsets",
    "suiting_unit",
    "vocabulary",
]

How = Literal["exact", "synonym", "fuzzy", "remembered", "given", "offset", "none"]
UMLAUTS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "å": "aa"})
NUMBERED = ("no", "nr", "id", "number", "nummer", "numero")  # a name outranks a number
LONGEST_HEADING = 200
LEAST_LIKENESS = 0.85
SENSOR = re.compile(
    r"(?:d|df|w|defl|deflection|d[ée]flexion|deflexión|durchbiegung|einsenkung|deflectie|deflessione|sensor|geophone?)"
    r"[ _]{0,2}(-?\d{1,4}(?:[.,]\d{1,2})?)(mm|cm|in|\")?(?:[ _]{1,2}([A-Za-zµμ]{1,8}))?",
    re.IGNORECASE,
)
TOLD_WHOLE = {"deflections": ("position",)}  # columns that a table may lack, but not without being asked
BARE = re.compile(r"\s*(-?\d{1,4}(?:[.,]\d{1,2})?)\s*(mm|cm|in|\")?\s*")
LEAST_RUN = 4  # bare numbers in rising order that are taken for distances of sensors; two where one of them is given
WITH_ENDS = "layers"  # a table whose rows have two stations, for their wordings
LENGTHS = {"mm": 0.001, "cm": 0.01, "in": INCH, '"': INCH}
INCHES = frozenset((0, 7.9, 8, 11.8, 12, 17.7, 18, 24, 36, 48, 60, 72, 84))  # where sensors stand on plans in inches


@dataclass(frozen=True)
class ColumnMatch:
    """One heading as written, the column and unit it was taken for, how, and how surely (0 to 1)."""

    header: str
    column: str | None
    unit: str | None
    how: How
    confidence: float
    index: int
    is_unit: bool = False  # the column holds the units of another column
    unread_unit: str = ""  # a unit that was written but not understood
    is_end: bool = False  # the column holds the station where the length ends


@dataclass(frozen=True)
class Fit:
    """How well the headings of a sheet fit one table."""

    schema: Schema
    matches: tuple[ColumnMatch, ...]
    offsets: tuple[float, ...] = ()
    sure: bool = True  # that the offsets are in the unit they were taken for
    supplied: frozenset[str] = frozenset()  # columns of which one value is told for the whole file

    @property
    def columns(self) -> set[str]:
        return {m.column for m in self.matches if m.column and not m.is_unit}

    @property
    def missing(self) -> list[str]:
        return [c.name for c in self.schema.columns if c.required and c.name not in self.columns | self.supplied]

    @property
    def unstated(self) -> list[str]:
        """Columns that no heading holds and that nothing was told of, though the table says little without them."""
        return [n for n in TOLD_WHOLE.get(self.schema.name, ()) if n not in self.columns | self.supplied]

    @property
    def rank(self) -> tuple[bool, int]:
        return not self.missing, len(self.columns)

    @property
    def nearness(self) -> tuple[float, int]:
        """For the list of closest tables: share of the required columns found, then all columns found."""
        required = sum(c.required for c in self.schema.columns) or 1
        return 1 - len(self.missing) / required, len(self.columns)


@cache
def vocabulary(table: str) -> dict[str, tuple[str, How, float]]:
    """Each known wording of a table's headings, compact, with its column, how it is known and how surely."""
    schema = FACTS[table]
    words: dict[str, tuple[str, How, float]] = {compact(c.name): (c.name, "exact", 1.0) for c in schema.columns}
    for column in schema.columns:
        for synonym in column.synonyms:
            words.setdefault(compact(synonym), (column.name, "synonym", 0.95))
    for column in schema.columns:
        for owner in (schema.name, schema.name.removesuffix("s")):
            words.setdefault(compact(owner + column.name), (column.name, "synonym", 0.9))
    for key in (f"{schema.name}.{{}}", "{}"):
        for column in schema.columns:
            for wording in WORDINGS.get(key.format(column.name), "").split(","):
                for spelled in {compact(wording), compact(wording.translate(UMLAUTS))} - {""}:
                    words.setdefault(spelled, (column.name, "synonym", 0.8 if spelled in NUMBERED else 0.85))
    if _has_ends(schema):
        for word, (name, _, _) in vocabulary(WITH_ENDS).items():
            if name == "begin":
                words.setdefault(word, ("station", "synonym", 0.8))
    return words


def _has_ends(schema: Schema) -> bool:
    """Whether a row has a station and a length, for which two stations may stand."""
    names = {*schema.names}
    return {"station", "length"} <= names and "end" not in names and schema["station"].kind == "station"


@cache
def _all_words() -> frozenset[str]:
    return frozenset(word for table in FACTS for word in vocabulary(table))


@lru_cache(maxsize=4096)
def _readings(header: str) -> tuple[tuple[str, str, bool], ...]:
    """(wording, unit, whether the unit was marked off) for each way to read a heading, surest first."""
    text = header.strip()[:LONGEST_HEADING]
    found: list[tuple[str, str, bool]] = []
    bracket = re.search(r"[\(\[\{]([^\(\)\[\]\{\}]{0,40})[\)\]\}]", text)
    if bracket:
        found.append((text[: bracket.start()] + " " + text[bracket.end() :], bracket[1], True))
    found.append((text, "", False))
    before, comma, after = text.rpartition(",")
    if comma:
        found.append((before, after, True))
    pieces = re.split(r"[\s_]+|-(?=[A-Za-z%])", text)
    found += [(" ".join(pieces[:-k]), " ".join(pieces[-k:]), False) for k in range(1, 5) if len(pieces) > k]
    wording, unit, marked = found[0]
    found += [(part, unit, marked) for part in re.split(r"\s+[/|]\s+|\n", wording) if part != wording]  # two languages
    return tuple(found)


def known_headings(cells: Sequence[str], extra: frozenset[str] = frozenset()) -> int:
    """How many cells of a row are headings that some table knows: the headings' row has the most."""
    count = 0
    for cell in cells:
        if (
            cell in extra
            or any(
                compact(wording) in _all_words() and (not unit or marked or known_unit(unit))
                for wording, unit, marked in _readings(cell)
            )
            or _offset(cell) is not None
        ):
            count += 1
    return count


def known_whole(cell: str) -> bool:
    """Whether some table knows a heading by all its words, but for a unit in brackets."""
    return compact(_readings(cell)[0][0]) in _all_words()


def fit(
    headers: Sequence[str],
    schema: Schema,
    given: Mapping[str, ColumnMatch],
    *,
    fuzzy: bool,
) -> Fit:
    """Match every heading against one table; what is given or remembered outranks what is found."""
    offsets, by_header, sure = sensor_offsets(headers, given) if schema.name == "deflections" else ((), {}, True)
    matches = [_match(header, i, schema, given, by_header) for i, header in enumerate(headers)]
    if fuzzy:
        taken: set[str | None] = {m.column for m in matches if m.column}
        matches = [_similar(m, schema, taken) if m.column is None and m.how == "none" else m for m in matches]
    kept = _one_each(matches)
    return Fit(schema, tuple(_with_end(kept) if _has_ends(schema) else kept), offsets, sure)


def _with_end(matches: Sequence[ColumnMatch]) -> list[ColumnMatch]:
    """The matches, a heading such as ``km to`` taken for the end of the length where no column of lengths is there."""
    held = {m.column for m in matches if not m.is_unit}
    for match in matches if "length" not in held and "station" in held else ():
        if match.column is None and match.how == "none":
            found = [_found(w, unit, marked, FACTS[WITH_ENDS]) for w, unit, marked in _readings(match.header)]
            if end := next((f for f in found if f and f.column == "end" and not f.unread_unit), None):
                made = replace(end, header=match.header, column="length", index=match.index, is_end=True)
                return [made if m is match else m for m in matches]
    return list(matches)


def _match(
    header: str, index: int, schema: Schema, given: Mapping[str, ColumnMatch], sensors: Mapping[str, str]
) -> ColumnMatch:
    nothing = ColumnMatch(header, None, None, "none", 0.0, index)
    if header in given:
        told = given[header]
        unit = told.unit or (_unit_of(header, schema[told.column]) if told.column else None)
        return replace(told, header=header, unit=unit, index=index)
    if not header.strip() or len(header) > LONGEST_HEADING:
        return nothing
    if header in sensors:
        column = schema[sensors[header]]
        return ColumnMatch(header, column.name, _unit_of(header, column), "offset", 0.9, index)
    strange: ColumnMatch | None = None
    for wording, unit, marked in _readings(header):
        found = _found(wording, unit, marked, schema)
        if found and not found.unread_unit:
            return replace(found, header=header, index=index)
        strange = strange or found
    return replace(strange, header=header, index=index) if strange else _unit_column(header, index, schema) or nothing


def _found(wording: str, unit: str, marked: bool, schema: Schema) -> ColumnMatch | None:
    known = vocabulary(schema.name).get(compact(wording))
    if known is None and schema.name == "deflections" and compact(wording) in PRESSURES and find_unit(unit, "stress"):
        known = ("load", "synonym", 0.85)
    if known is None:
        return None
    name, how, confidence = known
    kind = schema[name].unit_kind
    if not unit:
        return ColumnMatch("", name, _implied(wording, schema[name]), how, confidence, 0)
    read = find_unit(unit, kind) if kind else None
    if read:
        return ColumnMatch("", name, read, how, confidence, 0)
    if (schema.name, name) == ("deflections", "load") and (pressure := suiting_unit(unit, schema[name])):
        return ColumnMatch("", name, pressure, how, confidence - 0.05, 0)  # pressure under the plate
    if not marked or (kind and known_unit(unit)) or (not kind and find_unit(unit, "length")):
        return None  # a suffix that is no unit is part of the name; a unit of another quantity names another thing
    return ColumnMatch("", name, None, how, confidence - 0.1, 0, unread_unit=unit.strip() if kind else "")


def _implied(wording: str, column: Column) -> str | None:
    """The unit that a wording says by itself: ``km from``, ``percent trucks``, ``tmpc``, ``base (mm)``."""
    if column.unit_kind and (bracketed := re.search(r"[(\[]([^)\]]+)[)\]]\s*\Z", wording)):
        return find_unit(bracketed[1], column.unit_kind)
    if column.kind == "station" and re.search(IMPLIED, wording.lower().replace("_", " ")):
        return "km"
    if column.unit_kind and (said := SAY_UNITS.get(compact(wording))):
        return find_unit(said, column.unit_kind)
    return "%" if column.unit_kind == "share" and re.search(r"percent|pct|%", wording.lower()) else None


def suiting_unit(unit: str, column: Column) -> str | None:
    """The unit as it is kept, where it suits the column; a load may be given as pressure under the plate."""
    found = find_unit(unit, column.unit_kind) if column.unit_kind else None
    return found or (find_unit(unit, "stress") if (column.name, column.unit_kind) == ("load", "force") else None)


def of_another_quantity(header: str, column: Column) -> bool:
    """Whether a heading bears a unit, marked off, that its column cannot have."""
    marked = [unit for _, unit, marked in _readings(header) if marked and known_unit(unit)]
    return bool(marked) and not any(suiting_unit(unit, column) for unit in marked)


def off_centre(header: str) -> bool:
    """Whether a heading names a sensor by a distance from the load that is not zero: larger than any number of a sensor."""
    offset = _offset(header)
    return offset is not None and (offset[0] < 0 or offset[0] > LARGEST_SENSOR_COUNT or bool(offset[1] and offset[0]))


def _unit_of(header: str, column: Column) -> str | None:
    units = (suiting_unit(unit, column) for _, unit, _ in _readings(header) if unit)
    return next((unit for unit in units if unit), None)


def _unit_column(header: str, index: int, schema: Schema) -> ColumnMatch | None:
    """``Load unit``: a column that holds the units of another."""
    stem = re.sub(r"[\s_]*units?\s*\Z", "", header.strip()[:LONGEST_HEADING], flags=re.IGNORECASE)
    if not stem or stem == header.strip():
        return None
    words = vocabulary(schema.name)
    known = words.get(compact(stem)) or words.get(compact(stem) + "1")
    if known is None or schema[known[0]].unit_kind is None:
        return None
    return ColumnMatch(header, known[0], None, known[1], known[2], index, is_unit=True)


def _similar(match: ColumnMatch, schema: Schema, taken: set[str | None]) -> ColumnMatch:
    """A misspelt heading: close in letters, the same in digits, long enough not to be chance."""
    words = {w: known for w, known in vocabulary(schema.name).items() if known[0] not in taken}
    for wording, unit, marked in _readings(match.header):
        key = compact(wording)
        if len(key) < 5 or len(key) > 60:
            continue
        for close in difflib.get_close_matches(key, words, n=3, cutoff=LEAST_LIKENESS):
            found = _found(close, unit, marked, schema)
            if found and re.sub(r"\D", "", close) == re.sub(r"\D", "", key):
                likeness = difflib.SequenceMatcher(None, key, close).ratio()
                return replace(found, header=match.header, index=match.index, how="fuzzy", confidence=0.9 * likeness)
    return match


def _one_each(matches: Sequence[ColumnMatch]) -> list[ColumnMatch]:
    """At most one heading for each column: the surest, then the first; the others are left unused."""
    best: dict[tuple[str, bool], ColumnMatch] = {}
    for match in matches:
        if match.column:
            key = (match.column, match.is_unit)
            if key not in best or match.confidence > best[key].confidence:
                best[key] = match
    kept = {m.index for m in best.values()}
    return [m if m.column is None or m.index in kept else replace(m, column=None, unit=None) for m in matches]


def _offset(header: str) -> tuple[float, str] | None:
    """The distance in a sensor heading such as ``D12``, ``d-12``, ``d305 (um)``, ``D200mm``, and its own unit or ""."""
    text = header.strip()[:60]
    text = re.sub(r"\s*[\(\[\{][^\)\]\}]{0,40}[\)\]\}]\s*\Z", "", text)
    found = SENSOR.fullmatch(text)
    if found is None or (found[3] and find_unit(found[3], "deflection") is None):
        return None
    return float(found[1].replace(",", ".")), (found[2] or "").lower()


def sensor_offsets(
    headers: Sequence[str], given: Mapping[str, ColumnMatch] | None = None
) -> tuple[tuple[float, ...], dict[str, str], bool]:
    """(offsets in metres, heading -> column, whether they are sure) when sensors are named by distance.

    Bare numbers in rising order are distances too, but sure only where remembered. Numbers up to 9 without a zero are sensor numbers, not distances, and give nothing here. Sensors behind the plate come
    last; of more than nine the farthest are left unused. D0, D1, D2 ... count from zero.
    """
    given = given or {}
    read = {h: d for h in headers if (d := _offset(h)) is not None}
    bare = {} if read else _bare_run(headers, {h for h, m in given.items() if "deflection_" in (m.column or "")})
    read = read or bare
    distances = sorted({d for d, _ in read.values()}, key=lambda d: (d < 0, abs(d)))
    numbered = not distances or (min(distances) > 0 and max(distances) <= LARGEST_SENSOR_COUNT)
    if distances == [0.0] and not bare:
        return (), dict.fromkeys(read, "deflection_1"), True
    if numbered or len(distances) < 2 or distances[0] != 0:
        return (), {}, True
    units = {unit for _, unit in read.values()} - {""}
    scale, sure = (LENGTHS[units.pop()], True) if len(units) == 1 else _scale(distances)
    distances = distances[:LARGEST_SENSOR_COUNT]
    columns = {h: f"deflection_{distances.index(d) + 1}" for h, (d, _) in read.items() if d in distances}
    if any(given[h].column not in (None, column) for h, column in columns.items() if h in given):
        return (), {}, True  # the person says otherwise
    if distances == [float(i) for i in range(len(distances))]:
        return (), columns, True
    remembered = all(h in given and given[h].how == "remembered" for h in columns)
    return tuple(d * scale for d in distances), columns, remembered or (sure and not bare)


def _bare_run(headers: Sequence[str], given: set[str]) -> dict[str, tuple[float, str]]:
    """The longest run of headings that are bare numbers in rising order from zero or behind it, with their units or ""."""
    runs: list[list[tuple[str, float, str]]] = [[]]
    for header in headers:
        found = BARE.fullmatch(header[:60])
        if found is None:
            runs.append([])
            continue
        distance = float(found[1].replace(",", "."))
        if runs[-1] and distance <= runs[-1][-1][1]:
            runs.append([])
        runs[-1].append((header, distance, found[2] or ""))
    best = max(runs, key=len)
    least = 2 if given & {header for header, _, _ in best} else LEAST_RUN
    return {h: (d, unit) for h, d, unit in best} if len(best) >= least else {}


def _scale(distances: Sequence[float]) -> tuple[float, bool]:
    """(metres to one unit of the distances, whether that is sure): basins reach 0.5 to 2.5 m (common practice, no source)."""
    far = max(abs(d) for d in distances)
    if far <= 84 and INCHES.issuperset(abs(d) for d in distances):
        return INCH, True
    if far > 250:
        return 0.001, True
    if all(d % 5 == 0 for d in distances):
        return 0.01, False
    return (INCH if far <= 84 else 0.001), False


def closest(fits: Sequence[Fit], where: str, why: str) -> InputError:
    """The refusal when no table, or more than one, fits: the nearest ones with what they have and lack."""
    near = sorted(fits, key=lambda f: f.nearness, reverse=True)[:3]
    lines = [
        f"{f.schema.name}: has {', '.join(sorted(f.columns)) or 'nothing'}; lacks {', '.join(f.missing) or 'nothing'}"
        for f in near
    ]
    return InputError(
        f"{why}. Closest: {' | '.join(lines)}",
        where=where,
        remedy="Name the table, correct the headings, or give the mapping of headings to columns.",
    )
