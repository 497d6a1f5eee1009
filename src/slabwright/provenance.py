"""How a number of a result was found: one record for the page, the report and the command line, in the units asked for."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from importlib import import_module
from typing import TYPE_CHECKING, Any

import numpy as np

from slabwright import units
from slabwright.calculation import Calculation, Working
from slabwright.errors import SlabwrightError
from slabwright.records.decisions import Decisions, entries
from slabwright.records.display import cell, heading
from slabwright.records.facts import FACTS, Facts
from slabwright.records.provenance import (
    Calculated,
    Cell,
    Copied,
    Decided,
    Fact,
    Method,
    Of,
    Origin,
    Reckoned,
    Row,
    Scene,
    Sheet,
    Step,
    Taken,
    Worked,
    per_row,
)
from slabwright.records.results import StageResult
from slabwright.records.stage import Stage
from slabwright.stages import outcomes, stage_named, stages, used_by

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["Record", "calculations_behind", "origin_of", "record", "scene", "sheets", "stage_of"]

ARITHMETIC = "arithmetic on the values given"
SYMBOLS = "abcdefgh"
LONGEST_READ = 20  # rows of a result table that are all gone through for the calculations behind it
SIGNS = {"sum": " + ", "difference": " - ", "product": " × ", "ratio": " / "}


@dataclass(frozen=True)
class Record:
    """How one number was found.

    ``workings``: calculations and arithmetic with the values put in; ``copied``: the decision, fact or earlier column whose
    value it is; ``method``: words where no single equation gives it, with ``equations`` of the method; ``decisions`` and
    ``facts``: what its stage rests on; ``feeds``: the later stages that take its stage's result.
    """

    stage: str
    table: str
    row: int
    column: str
    title: str
    value: str
    meaning: str
    workings: tuple[Working, ...]
    copied: str
    method: str
    equations: tuple[str, ...]
    decisions: tuple[tuple[str, str], ...]
    facts: tuple[str, ...]
    feeds: tuple[str, ...]

    def text(self) -> str:
        """Everything as plain text, for copying and printing."""
        parts = [f"{self.title}: {self.value}", self.meaning, self.copied, self.method, *self.equations]
        parts += [w.text() for w in self.workings]
        parts += ["Facts: " + ", ".join(self.facts), "Feeds: " + (", ".join(self.feeds) or "nothing further")]
        return "\n\n".join(part for part in parts if part)


def scene(facts: Facts, decisions: Decisions, results: Mapping[str, StageResult]) -> Scene:
    """What numbers are explained from."""
    return Scene(facts, decisions, results, outcomes())


def stage_of(table: str) -> Stage:
    """The stage that gives a result table; KeyError where none does."""
    for stage in stages():
        if any(schema.name == table for schema in stage.outcomes):
            return stage
    raise KeyError(table)


def origin_of(row: Row, column: str) -> Origin:
    """The declared origin of a number; for a column that its stage does not declare, that it is the stage's method."""
    stage = stage_of(row.table)
    declared = _declared(stage, "ORIGINS").get(row.table, {}).get(column)
    if declared is None:
        return Method(f"Found by the method of the stage {stage.title}, which does not say more of this column.")
    return per_row(declared, row)


def record(seen: Scene, stage: str, table: str, row: int, column: str, system: units.System) -> Record:
    """How the number in that row (index) and column of a result table of a stage was found."""
    place = Row(seen, table, int(seen.frame(table).index.get_loc(row)))
    about, declared = place.about(column), stage_named(stage)
    value = place[column]
    found = _found(place, column) if about.is_text or np.isfinite(float(value)) else _Found(method="There is no value.")
    return Record(
        stage,
        table,
        row,
        column,
        heading(about, system),
        units.format_quantity(float(value), about.unit_kind, system)
        if about.unit_kind and about.kind != "station"
        else cell(value, about, system),
        f"{outcomes()[table].title}: {about.meaning}",
        _workings(found.steps, "", system, outcomes()[table].title),
        found.copied,
        found.method,
        tuple(map(_equation, found.calculations)),
        tuple(
            (e.name, e.text(system)) for e in entries(seen.decisions) if e.name.partition(".")[0] in declared.decisions
        ),
        declared.facts,
        tuple(later.name for later in used_by(stage)),
    )


def sheets(seen: Scene, stage: str, system: units.System) -> tuple[Working, ...]:
    """The printed workings of a stage, those of a section or test together; each says of which as its context."""
    found: dict[str, dict[Working, None]] = {}
    declared: tuple[Sheet, ...] = _declared(stage_named(stage), "SHEETS", ())
    for sheet in declared:
        frame = seen.frame(sheet.table)
        kept = frame if sheet.rows is None else sheet.rows(frame)
        for index in kept.index:
            place = Row(seen, sheet.table, int(frame.index.get_loc(index)))
            label = _label(kept.loc[index], system)
            for column in sheet.columns:
                if np.isfinite(place[column]):
                    made = _workings(_found(place, column).steps, label, system)
                    found.setdefault(label, {}).update(dict.fromkeys(w for w in made if w.name))
    return tuple(w for group in found.values() for w in group)


def calculations_behind(seen: Scene, stage: str) -> tuple[Calculation[Any], ...]:
    """The published calculations behind the numbers of a stage, each once, in the order of its tables.

    All rows of a table up to 20 rows are gone through, for rows may differ in how they were found; of a longer one the first.
    What a number is copied or worked out from counts, also where an earlier stage made it. Raises KeyError for no such stage.
    """
    found: dict[str, Calculation[Any]] = {}
    for table in seen.results[stage].tables:
        schema, rows = seen.schemas[table], len(seen.frame(table))
        numbers = [c.name for c in schema.columns if not c.is_text]
        for place in (Row(seen, table, i) for i in range(rows if rows <= LONGEST_READ else 1)):
            for column in numbers:
                if np.isfinite(float(place[column])):
                    found.update((c.name, c) for c in _calculations(_found(place, column)))
    return tuple(found.values())


def _calculations(found: _Found) -> Iterable[Calculation[Any]]:
    return (*(s.calculation for s in found.steps if isinstance(s, Worked)), *found.calculations)


UNKNOWN_BEHIND = "A value that this number could rest on is not known here, so that no working can be shown."


@dataclass(frozen=True)
class _Found:
    """What an origin comes to, before it is put into units."""

    steps: tuple[Step, ...] = ()
    copied: str = ""
    method: str = ""
    calculations: tuple[Calculation[Any], ...] = ()


def _found(row: Row, column: str) -> _Found:
    try:
        origin = origin_of(row, column)
    except SlabwrightError:  # some origins are found by calculating
        return _Found(method=UNKNOWN_BEHIND)
    if isinstance(origin, Copied):
        return _followed(row, origin)
    if isinstance(origin, Method):
        return _Found(_beside(row, origin), method=origin.words, calculations=origin.calculations)
    try:
        steps = origin.worked(row) if isinstance(origin, Calculated) else origin.take(row).steps
    except SlabwrightError:  # a gap in the facts of one section, of which the number here does not speak
        behind = (origin.calculation,) if isinstance(origin, Calculated) else ()
        return _Found(method=UNKNOWN_BEHIND, calculations=behind)
    last = steps[-1]
    about = row.about(column)
    if isinstance(last, Reckoned):  # the last step is the column itself
        steps = (*steps[:-1], replace(last, kind=about.unit_kind or "", meaning=last.meaning or about.meaning))
    return _Found(steps)


def _beside(row: Row, method: Method) -> tuple[Step, ...]:
    """The calculations beside a method; one that has no answer for the values of this row is left out."""
    found: list[Step] = []
    for calculated in method.beside:
        try:
            found += calculated.take(row).steps
        except SlabwrightError:
            continue
    return tuple(found)


def _followed(row: Row, origin: Copied) -> _Found:
    """What is copied and, where it is a number of a result table, how that was found."""
    source = origin.source
    if isinstance(source, Decided):
        return _Found(copied=f"Copied from the decision {source.name}: {source.take(row).meaning}.")
    if isinstance(source, Fact):
        schema = FACTS[source.table]
        return _Found(
            copied=f"Copied from the facts, {schema.title}: {schema[source.column].meaning} ({source.table}.{source.column})."
        )
    there = source.row(row) if isinstance(source, Of) else row
    schema = row.scene.schemas[there.table]
    where = "this row" if isinstance(source, Cell) else f"{schema.title} ({there.table}.{source.column})"
    earlier = _found(there, source.column)
    copied = f"Copied from {where}: {schema[source.column].meaning}."
    return replace(earlier, copied=f"{copied} {earlier.copied}".rstrip())


def _declared(stage: Stage, name: str, otherwise: Any = None) -> Any:
    """What the module ``provenance`` of a stage declares under a name."""
    if not stage.provenance:
        return {} if otherwise is None else otherwise
    return getattr(import_module(stage.provenance), name)


def _label(row: pd.Series, system: units.System) -> str:
    if "station" in row:
        return f"station {units.format_station(float(row['station']), system)}, lane {row['lane']}"
    return f"section {row['section']}"


# Into words and units ---------------------------------------------------------------------------------------


def _workings(steps: Iterable[Step], label: str, system: units.System, here: str = "") -> tuple[Working, ...]:
    """The steps in order, each once; ``here`` is the title of the table whose row is looked at, if a reader sees it."""

    def told(taken: Taken) -> str:
        where = "this row" if taken.where == here else taken.where
        return f"{taken.meaning} ({where})".lstrip()

    return tuple(
        dict.fromkeys(
            _worked(s, label, system, told) if isinstance(s, Worked) else _reckoned(s, label, system, told)
            for s in steps
        )
    )


def _worked(step: Worked, label: str, system: units.System, told: Callable[[Taken], str]) -> Working:
    values = {name: taken.value for name, taken in step.given.items()}
    context = ", ".join(part for part in (label, step.note) if part)
    made = step.calculation.working(context, system=system, **values)
    given = tuple(
        (symbol, value, told(replace(step.given[p.name], meaning=meaning)) if p.name in step.given else meaning)
        for p, (symbol, value, meaning) in zip(step.calculation.parameters, made.given, strict=True)
    )
    return replace(made, given=given)


def _reckoned(step: Reckoned, label: str, system: units.System, told: Callable[[Taken], str]) -> Working:
    result = _text(step.result, step.kind, system)
    symbols = SYMBOLS[: len(step.parts)]
    given = tuple((s, _taken(p, system), told(p)) for s, p in zip(symbols, step.parts, strict=True))
    title = step.meaning[:1].upper() + step.meaning[1:] if step.meaning else "On the way"
    substituted = _formula(step.operation, [value for _, value, _ in given]) if step.parts else ""
    return Working(
        "",
        title,
        _formula(step.operation, list(symbols)),
        given,
        substituted,
        ((step.meaning or "result", result),),
        ARITHMETIC,
        "exact",
        label,
    )


def _formula(operation: str, parts: list[str]) -> str:
    if not parts:
        return f"{operation} over the rows"
    if operation in SIGNS:
        return SIGNS[operation].join(parts)
    if operation == "reduction":
        return f"1 - {parts[0]} / {parts[1]}"
    if operation == "size of the difference":
        return f"|{parts[0]} - {parts[1]}|"
    return f"{operation} of {', '.join(parts)}"


def _taken(part: Taken, system: units.System) -> str:
    if isinstance(part.value, str):
        return part.value
    if isinstance(part.value, np.ndarray) and part.value.ndim:
        return ", ".join(_text(float(v), part.kind, system) for v in part.value)
    return _text(part.number, part.kind, system)


def _text(value: float, kind: str, system: units.System) -> str:
    """Six digits, so that a reviewer gets the same result."""
    if not kind:
        return f"{value:.6g}"
    unit = units.unit_of(kind, system)
    number = float(units.from_si(value, unit, kind))
    digits = f"{number:,.0f}" if 1e5 <= abs(number) < 1e12 else f"{number:.6g}"
    return f"{digits} {units.label(unit)}".rstrip()


def _equation(calculation: Calculation[Any]) -> str:
    return f"{calculation.title}: {calculation.equation}. Source: {calculation.citation} [{calculation.known}]"
