"""Where a number of a result table comes from, as its stage declares it: small records, worked out for one row when asked.

A stage's module ``provenance`` holds ``ORIGINS``, by table and column the origin of every number, and ``SHEETS``, the
numbers whose workings are printed. An origin is a record, or a function of the row that gives one where rows differ.
Values are SI.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, cast

import numpy as np

from slabwright.calculation import Array, Calculation, Choice
from slabwright.records.decisions import Decisions, entries
from slabwright.records.facts import FACTS, Facts
from slabwright.records.results import StageResult
from slabwright.records.table import Column, Schema

if TYPE_CHECKING:
    import pandas as pd

__all__ = [
    "Calculated",
    "Cell",
    "Copied",
    "Decided",
    "Derived",
    "Fact",
    "Fixed",
    "Gathered",
    "Method",
    "Of",
    "Origin",
    "Origins",
    "Reckoned",
    "Row",
    "Scene",
    "Sheet",
    "Source",
    "Step",
    "Taken",
    "Worked",
    "per_row",
]

Value = float | str | Array


@dataclass(frozen=True)
class Scene:
    """What an alternative of a road holds: facts, decisions, results by stage, and the schemas of all result tables."""

    facts: Facts
    decisions: Decisions
    results: Mapping[str, StageResult]
    schemas: Mapping[str, Schema]
    _kept: dict[Hashable, Any] = field(default_factory=dict, compare=False, repr=False)

    def frame(self, table: str) -> pd.DataFrame:
        """A result table by its name; KeyError where no stage has given it."""
        for result in self.results.values():
            if table in result.tables:
                return result.tables[table]
        raise KeyError(table)

    def values(self, table: str, column: str) -> Any:
        """The values of a column of a result table, (rows,): taken from the table once, for a working reads many."""
        return self.kept((table, column), lambda: self.frame(table)[column].to_numpy())

    def kept(self, key: Hashable, make: Callable[[], Any]) -> Any:
        """What ``make`` gives, made once."""
        if key not in self._kept:
            self._kept[key] = make()
        return self._kept[key]

    def decision(self, name: str) -> Any:
        """The value of ``group.name``."""
        group, _, attribute = name.partition(".")
        return getattr(getattr(self.decisions, group), attribute)


@dataclass(frozen=True)
class Row:
    """One row of a result table, by its index."""

    scene: Scene
    table: str
    index: int

    def __getitem__(self, column: str) -> Any:
        return self.scene.values(self.table, column)[self.index]

    def about(self, column: str) -> Column:
        return self.scene.schemas[self.table][column]


@dataclass(frozen=True)
class Taken:
    """A value with what it is and where it was taken from; ``steps`` are what was worked out to get it."""

    value: Value
    kind: str
    meaning: str
    where: str
    steps: tuple[Step, ...] = ()

    @property
    def number(self) -> float:
        return float(cast(float, self.value))


@dataclass(frozen=True)
class Worked:
    """A published calculation with the values put in."""

    calculation: Calculation[Any]
    given: Mapping[str, Taken]
    note: str = ""


@dataclass(frozen=True)
class Reckoned:
    """Arithmetic on values, or on a column of a table: what is done, with what, and what comes out."""

    operation: str
    parts: tuple[Taken, ...]
    result: float
    kind: str
    meaning: str


Step = Worked | Reckoned


# Where a value is taken from --------------------------------------------------------------------------------


@dataclass(frozen=True)
class Cell:
    """A column of the same row."""

    column: str

    def take(self, row: Row) -> Taken:
        about = row.about(self.column)
        where = row.scene.schemas[row.table].title
        return Taken(_plain(row[self.column]), about.unit_kind or "", about.meaning, where)


@dataclass(frozen=True)
class Decided:
    """A decision, ``group.name``."""

    name: str

    def take(self, row: Row) -> Taken:
        about = row.scene.kept("decisions", lambda: {e.name: e.about for e in entries(row.scene.decisions)})[self.name]
        kind = "" if isinstance(about, Choice) else about.kind
        return Taken(row.scene.decision(self.name), kind, about.meaning, self.name)


@dataclass(frozen=True)
class Fixed:
    """A value that the method fixes, or that the stage found from facts without a column for it; ``where`` says which."""

    value: Value
    kind: str = "number"
    meaning: str = ""
    where: str = "fixed by the method"

    def take(self, _row: Row) -> Taken:
        return Taken(self.value, self.kind, self.meaning, self.where)


@dataclass(frozen=True)
class Fact:
    """A column of a table of facts, at a row by its place."""

    table: str
    column: str
    index: int

    def take(self, row: Row) -> Taken:
        schema = FACTS[self.table]
        about = schema[self.column]
        value = getattr(row.scene.facts, self.table)[self.column].iloc[self.index]
        return Taken(_plain(value), about.unit_kind or "", about.meaning, f"fact {self.table}.{self.column}")


@dataclass(frozen=True)
class Of:
    """A column of another result table, in its row where the columns ``by`` are as here and those of ``where`` as said."""

    table: str
    column: str
    by: tuple[str, ...] = ("section",)
    where: Mapping[str, object] = field(default_factory=dict)

    def row(self, here: Row) -> Row:
        """The row; KeyError where there is none."""
        wanted = {**{name: here[name] for name in self.by}, **self.where}
        same = [here.scene.values(self.table, c) == v for c, v in wanted.items()]
        found = np.flatnonzero(np.logical_and.reduce(same))
        if not len(found):
            raise KeyError(f"{self.table} has no row with {wanted}")
        return Row(here.scene, self.table, int(found[0]))

    def take(self, row: Row) -> Taken:
        taken = Cell(self.column).take(self.row(row))
        return replace(taken, where=f"{taken.where}, another row") if self.table == row.table else taken


# How a number is found --------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Calculated:
    """An output of a calculation of the catalogue with the values put in, by parameter."""

    calculation: Calculation[Any]
    inputs: Mapping[str, Source | float | str]
    output: str = ""
    note: str = ""

    def worked(self, row: Row) -> tuple[Step, ...]:
        """What is worked out on the way, and this calculation with its values put in, not yet evaluated."""
        given = {
            name: (source if not isinstance(source, (float, int, str)) else Fixed(source)).take(row)
            for name, source in self.inputs.items()
        }
        return (*(s for taken in given.values() for s in taken.steps), Worked(self.calculation, given, self.note))

    def take(self, row: Row) -> Taken:
        steps = self.worked(row)
        last = cast(Worked, steps[-1])
        found = self.calculation.values(self.calculation(**{name: taken.value for name, taken in last.given.items()}))
        name = self.output or next(iter(found))
        about = self.calculation.outputs[name]
        return Taken(float(found[name]), about.kind, about.meaning, "above", steps)


OPERATIONS: dict[str, Callable[[list[float]], float]] = {
    "sum": sum,
    "difference": lambda v: v[0] - v[1],
    "product": lambda v: float(np.prod(v)),
    "ratio": lambda v: v[0] / v[1] if v[1] else np.inf,
    "reduction": lambda v: 1 - v[0] / v[1],
    "least": min,
    "greatest": max,
    "mean": lambda v: sum(v) / len(v),
    "rounded up": lambda v: float(np.ceil(v[0] - 1e-9)),
    "size of the difference": lambda v: abs(v[0] - v[1]),
}


@dataclass(frozen=True)
class Derived:
    """Plain arithmetic on values: ``operation`` is one of ``OPERATIONS``; ``kind`` is that of the first part, if not said."""

    operation: str
    parts: tuple[Source, ...]
    kind: str = ""
    meaning: str = ""

    def take(self, row: Row) -> Taken:
        parts = tuple(part.take(row) for part in self.parts)
        result = float(OPERATIONS[self.operation]([part.number for part in parts]))
        kind = self.kind or parts[0].kind
        steps = (*(s for p in parts for s in p.steps), Reckoned(self.operation, parts, result, kind, self.meaning))
        where = f"{self.operation} of {', '.join(part.meaning or str(part.value) for part in parts)}"
        return Taken(result, kind, self.meaning, where, steps)


GATHERED: dict[str, Callable[[pd.Series], float]] = {
    "mean": lambda s: s.mean(),
    "sum": lambda s: s.sum(),
    "number": lambda s: len(s),
    "standard deviation": lambda s: s.std(ddof=1),
    "coefficient of variation": lambda s: s.std(ddof=1) / s.mean(),
    "greatest": lambda s: s.max(),
    "least": lambda s: s.min(),
}


@dataclass(frozen=True)
class Gathered:
    """A column of a table over rows: those where the columns ``by`` are as here, ``where`` as said, and ``rows`` holds."""

    operation: str
    table: str
    column: str
    by: tuple[str, ...] = ("section",)
    where: Mapping[str, object] = field(default_factory=dict)
    rows: Callable[[Row, pd.DataFrame], Any] | None = None

    def take(self, row: Row) -> Taken:
        frame, schema = row.scene.frame(self.table), row.scene.schemas[self.table]
        chosen = np.ones(len(frame), dtype=bool)
        for column, value in {**{name: row[name] for name in self.by}, **self.where}.items():
            chosen &= (frame[column] == value).to_numpy()
        if self.rows is not None:
            chosen &= np.asarray(self.rows(row, frame), dtype=bool)
        values = frame[self.column][chosen]
        values = values if self.operation == "number" else values.dropna()
        about = schema[self.column]
        kind = {"number": "count", "coefficient of variation": "share"}.get(self.operation, about.unit_kind or "")
        meaning = f"{self.operation} of {len(values)} rows of {schema.title}: {about.meaning}"
        result = float(GATHERED[self.operation](values))
        return Taken(
            result,
            kind,
            about.meaning,
            f"{self.operation}, {schema.title}",
            (Reckoned(self.operation, (), result, kind, meaning),),
        )


@dataclass(frozen=True)
class Copied:
    """The value of a decision, a fact, another column of the row or a column of an earlier table, unchanged."""

    source: Cell | Decided | Fact | Of


@dataclass(frozen=True)
class Method:
    """What no single equation gives, in words with sources.

    ``beside``: calculations worked for the row that a reviewer may hold against it; ``calculations``: those of the method
    whose values are too many to print.
    """

    words: str
    beside: tuple[Calculated, ...] = ()
    calculations: tuple[Calculation[Any], ...] = ()


Source = Cell | Decided | Fixed | Fact | Of | Calculated | Derived | Gathered
Origin = Calculated | Derived | Gathered | Copied | Method
Origins = Mapping[str, Mapping[str, Origin | Callable[[Row], Origin]]]


@dataclass(frozen=True)
class Sheet:
    """Columns of a table whose workings are printed, for all rows or those that ``rows`` keeps."""

    table: str
    columns: tuple[str, ...]
    rows: Callable[[pd.DataFrame], Any] | None = None


def per_row(declared: Origin | Callable[[Row], Origin], row: Row) -> Origin:
    """The origin of a column in a row."""
    return declared(row) if callable(declared) else declared


def _plain(value: Any) -> float | str:
    return value if isinstance(value, str) else float(value)
