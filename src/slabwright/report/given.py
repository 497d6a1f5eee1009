"""What a report is made from: facts, decisions, results, and who made it when; nothing is computed here."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cached_property
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

from slabwright import units
from slabwright.calculation import Calculation, Working
from slabwright.errors import InputError, MissingFact
from slabwright.provenance import calculations_behind, scene, sheets
from slabwright.records.decisions import Decisions, entries
from slabwright.records.facts import Facts
from slabwright.records.provenance import Scene
from slabwright.records.remarks import Remark, decoded, worded
from slabwright.records.results import StageResult
from slabwright.report.rounding import bare, shown_unit, worth
from slabwright.report.text import LONGEST, literal
from slabwright.roadway.places import directions_in_order
from slabwright.stages import stages

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["FindingLine", "Issue", "Part", "Report", "SourceFile"]

Part = Literal["report", "appendix"]

LONGEST_NOTE = 600


class FindingLine(NamedTuple):
    """One warning about a file and what the engineer did: ``accepted`` or ``rejected``, in how many rows."""

    rule: str
    action: str
    file: str
    rows: int
    message: str


class SourceFile(NamedTuple):
    """One file that was loaded, with the digest of its bytes."""

    name: str
    sha256: str
    rows: int
    loaded_at: str


@dataclass(frozen=True)
class Issue:
    """The issue handed over last: when (UTC), of which alternative ("" where that was not written down), and in words what
    was changed, undone or replaced since."""

    time: datetime
    alternative: str
    changes: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Report:
    """Everything on the pages of one document. Values are SI; ``system`` says how they are shown.

    ``part`` is the design report, whose numbers are rounded and whose decisions are named in words, or its appendix, with
    every digit. ``engineer`` is the name of a person, or "" where none is given.
    """

    road: Facts
    decisions: Decisions
    alternative: str
    results: Mapping[str, StageResult]
    findings: tuple[FindingLine, ...]
    sources: tuple[SourceFile, ...]
    made_at: datetime
    engineer: str
    system: units.System
    comparison: Sequence[Mapping[str, Any]] = ()
    part: Part = "report"
    last_issue: Issue | None = None

    def __post_init__(self) -> None:
        if self.part not in ("report", "appendix"):
            raise InputError("there is no such document", given=self.part, allowed="report, appendix")
        if self.system not in ("us", "metric"):
            raise InputError("units are us or metric", given=self.system, allowed="us, metric")
        for stage in (s.name for s in stages() if not s.long):
            if stage not in self.results:
                raise MissingFact(f"the report needs the result of the {stage} stage", remedy="Run all stages first.")

    @property
    def stages(self) -> tuple[str, ...]:
        """The stages with a result, in their order."""
        return tuple(stage.name for stage in stages() if stage.name in self.results)

    @cached_property
    def _scene(self) -> Scene:
        return scene(self.road, self.decisions, self.results)

    @cached_property
    def workings(self) -> Mapping[str, tuple[Working, ...]]:
        """The printed workings of each stage, in the units of the report."""
        return {stage: sheets(self._scene, stage, self.system) for stage in self.stages}

    def calculations_behind(self, stage: str) -> tuple[Calculation[Any], ...]:
        """The published calculations behind the numbers of a stage, printed or not."""
        seen = self._scene
        found: tuple[Calculation[Any], ...] = seen.kept(("behind", stage), lambda: calculations_behind(seen, stage))
        return found

    def table(self, stage: str, name: str) -> pd.DataFrame:
        """A result table of a stage."""
        return self.results[stage].tables[name]

    def by_section(self, stage: str, name: str) -> pd.DataFrame:
        """A result table with its rows in the order of directions and sections."""
        frame = self.table(stage, name)
        return frame.iloc[frame["section"].map(self._ranks).argsort(kind="stable").to_numpy()]

    def in_order(self, names: Iterable[str]) -> list[str]:
        """Sections by direction, that with the stationing first, then by station."""
        return sorted(map(str, names), key=lambda name: self._ranks.get(name, len(self._ranks)))

    @cached_property
    def _ranks(self) -> dict[str, int]:
        sections = self.table("survey", "sections")
        first = {d: i for i, d in enumerate(self.directions)}
        order = sections.iloc[sections["direction"].map(first).argsort(kind="stable").to_numpy()]
        return {name: i for i, name in enumerate(order["section"])}

    @property
    def full(self) -> bool:
        """Whether numbers keep all their digits and decisions their names."""
        return self.part == "appendix"

    def value(self, number: float, kind: str) -> str:
        """An SI value with its unit as the reader of this document likes it."""
        return units.format_quantity(number, kind, self.system) if self.full else worth(number, kind, self.system)

    def bare(self, number: float, kind: str) -> str:
        """An SI value without its unit."""
        return (
            units.format_quantity(number, kind, self.system, unit=False)
            if self.full
            else bare(number, kind, self.system)
        )

    def in_unit(self, words: str, kind: str) -> str:
        """A heading with the unit of its column."""
        unit = units.label(units.unit_of(kind, self.system)) if self.full else shown_unit(kind, self.system)
        return f"{words} [{unit}]" if unit else words

    @property
    def money(self) -> str:
        """Currency and year of the prices, "" while the engineer has not confirmed them: then no sum is printed."""
        prices = self.decisions.economics
        return f"{prices.currency}, prices of {prices.price_year:.0f}" if prices.confirmed else ""

    def said(self, cell: str) -> str:
        """The words of a cell that holds a remark."""
        return self._worded(decoded(str(cell)))

    def notes(self, stage: str) -> list[str]:
        """The notes of a stage as sentences."""
        return [self._worded(note, LONGEST_NOTE) for note in self.results[stage].notes]

    def _worded(self, said: Remark, limit: int = LONGEST) -> str:
        if self.full:
            return literal(worded(said, self.system), limit)
        values = tuple((name, "text", self._rounded(kind, value)) for name, kind, value in said.values)
        return literal(self.plain(worded(replace(said, values=values), self.system)), limit)

    def _rounded(self, kind: str, value: float | str) -> str:
        if isinstance(value, str):
            return value
        return self.station(value) if kind == "station" else self.value(value, kind)

    def plain(self, words: str) -> str:
        """Words in which a decision that is named as it is entered is called by its meaning instead."""
        return words if self.full else self._named.sub(lambda found: f"“{self._meanings[found[0]]}”", words)

    @cached_property
    def _meanings(self) -> dict[str, str]:
        return {entry.name: entry.about.meaning.partition(";")[0] for entry in entries(self.decisions)}

    @cached_property
    def _named(self) -> re.Pattern[str]:
        names = sorted(map(re.escape, self._meanings), key=len, reverse=True)
        return re.compile(rf"\b(?:{'|'.join(names)})\b")

    def station(self, metres: float) -> str:
        return units.format_station(metres, self.system)

    @property
    def road_name(self) -> str:
        names = self.road.road["name"]
        return str(names.iloc[0]) if len(names) else "Road without a name"

    @property
    def directions(self) -> tuple[str, ...]:
        """Directions of travel in the order of their sections."""
        return tuple(directions_in_order(self.table("survey", "sections")["direction"]))

    def lanes_of(self, direction: str) -> pd.DataFrame:
        """The lanes of a direction from the median outward; of lanes that no table describes, only the names."""
        known = self.road.lanes
        here = known[known["direction"] == direction].sort_values("position", kind="stable")
        if len(here) or direction:
            return here
        met = {*self.road.deflections["lane"], *self.road.distresses["lane"]} - set(known["lane"])
        return known.iloc[:0].reindex(range(len(met))).assign(lane=sorted(met), direction="")
