"""Pairs of files that contradict each other, drawn by chance from the demo road's own files, and what became of them."""

from __future__ import annotations

import csv
import io
import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import pandas as pd

from slabwright.demo.field_files import write
from slabwright.errors import SlabwrightError
from slabwright.intake import Reading, read_bytes, resolve
from slabwright.project import fingerprint
from slabwright.records.decisions import Decisions
from slabwright.records.facts import Facts
from slabwright.records.results import StageResult
from slabwright.records.stage import RunContext
from slabwright.stages import plan
from slabwright.workflow import beside_each_other

__all__ = ["Pair", "Road", "draw"]

FILES = (
    "road",
    "lanes",
    "bridges",
    "layers",
    "deflections_northbound",
    "distress_northbound",
    "traffic_counts",
    "truck_classes",
    "axle_spectrum",
)
Rows = list[dict[str, str]]


@dataclass(frozen=True)
class Pair:
    """What was done to which file; ``content`` stands beside it, or in its place where ``instead``."""

    kind: str
    file: str
    content: str
    instead: bool = False


class Road:
    """The demo road as read once, its answers, and the judge of a pair."""

    def __init__(self, folder: Path) -> None:
        paths = {p.stem: p for p in write(folder)}
        self.texts = {name: paths[name].read_text(encoding="utf-8") for name in FILES}
        self.alone = {name: read_bytes(text.encode(), f"{name}.csv") for name, text in self.texts.items()}
        self.told = self._told(self.alone)

    @cached_property
    def answer(self) -> str:
        """What the short stages give of the unchanged files; asked for only where a pair is not found."""
        return self._answer(self.alone)

    def rows(self, name: str) -> Rows:
        return list(csv.DictReader(io.StringIO(self.texts[name])))

    def verdict(self, pair: Pair) -> str:
        """``found`` with a new error or warning, ``unchanged`` where the results are the same, else what went wrong."""
        try:
            other = read_bytes(pair.content.encode(), "other.csv", table=self.alone[pair.file][0].table)
        except SlabwrightError:
            return "found"
        files = dict(self.alone)
        files[pair.file if pair.instead else "other"] = other
        if self._told(files) - self.told:
            return "found"
        try:
            return "unchanged" if self._answer(files) == self.answer else "changed in silence"
        except SlabwrightError as refusal:
            return f"refused without a finding: {refusal}"

    @staticmethod
    def _told(files: Mapping[str, tuple[Reading, ...]]) -> set[tuple[str, str, int | None, str]]:
        made = beside_each_other(None, {Path(n): r for n, r in files.items()}, "us")
        found = [f for readings in made.values() for r in readings for f in r.findings if f.weight != "note"]
        return {(f.rule, f.file, f.row, f.message) for f in found}

    @staticmethod
    def _answer(files: Mapping[str, tuple[Reading, ...]]) -> str:
        """The fingerprint of everything that the short stages give."""
        frames: dict[str, list[pd.DataFrame]] = {}
        for readings in files.values():
            for reading in readings:
                frames.setdefault(reading.table, []).append(resolve(reading, accept=True).frame)
        facts = Facts(**{table: pd.concat(found, ignore_index=True) for table, found in frames.items()})
        results: dict[str, StageResult] = {}
        for stage in plan():
            results[stage.name] = stage.compute(stage.given(facts, Decisions(), results, RunContext()))
        return fingerprint([list(r.tables.values()) for r in results.values()])


def draw(road: Road, chance: random.Random) -> Pair:
    """One pair."""
    kind = chance.choice(list(KINDS))
    return KINDS[kind](road, chance, kind)


def _text(rows: Rows) -> str:
    out = io.StringIO()
    writer = csv.DictWriter(out, list(rows[0]))
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


def _station(feet: float) -> str:
    return f"{int(feet // 100)}+{feet % 100:04.1f}"


def _feet(station: str) -> float:
    whole, _, rest = station.partition("+")
    return 100 * float(whole) + float(rest)


def _number(text: str, factor: float) -> str:
    return f"{float(text) * factor:.6g}"


def _again(name: str, change: Mapping[str, tuple[float, float]]) -> Callable[[Road, random.Random, str], Pair]:
    """Some rows of a file in a second one, with their numbers changed by a factor in the ranges given."""

    def make(road: Road, chance: random.Random, kind: str) -> Pair:
        rows = chance.sample(road.rows(name), k=min(chance.randint(1, 4), len(road.rows(name))))
        for row in rows:
            for column, (low, high) in change.items():
                if row[column]:
                    row[column] = _number(row[column], chance.uniform(low, high))
        return Pair(kind, name, _text(rows))

    return make


def _second_layers(road: Road, chance: random.Random, kind: str) -> Pair:
    """Another pavement over some stretch of the road, of all lanes or of one."""
    row = dict(chance.choice(road.rows("layers")))
    begin = chance.uniform(10000, 20500)
    row |= {"From": _station(begin), "To": _station(min(begin + chance.uniform(0.1, 8000), 20600))}
    row["Slab thickness (in)"] = f"{chance.uniform(6, 12):.1f}"
    row["Pavement type"] = chance.choice(["JPCP", "JRCP", "CRCP"])
    if chance.random() < 0.3:
        row["Lane"] = chance.choice(["NB1", "NB3", "SB2"])
    return Pair(kind, "layers", _text([row]))


def _second_bridge(road: Road, chance: random.Random, kind: str) -> Pair:
    """The same bridge elsewhere, or another one that reaches over the place of it."""
    row = dict(chance.choice(road.rows("bridges")))
    name = chance.choice([row["Structure"], row["Structure"].upper(), "Another Bridge"])
    shift = chance.uniform(-85, 85) if name == "Another Bridge" else chance.uniform(-250, 250)
    row |= {end: _station(_feet(row[end]) + shift) for end in ("From station", "To station")}
    row["Structure"] = name
    return Pair(kind, "bridges", _text([row]))


def _second_road(road: Road, chance: random.Random, kind: str) -> Pair:
    row = road.rows("road")[0]
    begin = chance.uniform(0, 30000)
    row |= {"Road name": chance.choice(["Other Parkway", row["Road name"]]), "Begin station": _station(begin)}
    row["End station"] = _station(begin + chance.uniform(100, 30000))
    return Pair(kind, "road", _text([row]))


def _mistyped_end(road: Road, chance: random.Random, kind: str) -> Pair:
    row = road.rows("road")[0]
    factor = chance.choice([0.1, 0.5, 0.9, 10, 100, 3.2808])
    row["End station"] = _station(_feet(row["End station"]) * factor)
    return Pair(kind, "road", _text([row]), instead=True)


def _lane_again(road: Road, chance: random.Random, kind: str) -> Pair:
    row = dict(chance.choice(road.rows("lanes")))
    row["Lane"] = chance.choice([row["Lane"], _respelled(row["Lane"], chance), "XY7"])
    if chance.random() < 0.5:
        row["Lane number"] = str(chance.randint(1, 3))
    row["Lane width (ft)"] = f"{chance.uniform(10, 14):.1f}"
    return Pair(kind, "lanes", _text([row]))


def _respelled(name: str, chance: random.Random) -> str:
    letters, digits = name[:2], name[2:]
    letters = chance.choice([letters, letters.lower(), letters.title()])
    gap = chance.choice([" ", "-", "_", ".", " 0", "0", ""])
    made = chance.choice(["", "Lane "]) + letters + gap + digits
    return made if made != name else name.lower()


def _lanes_respelled(name: str) -> Callable[[Road, random.Random, str], Pair]:
    """The file with some of its rows in a lane that is spelled another way."""

    def make(road: Road, chance: random.Random, kind: str) -> Pair:
        rows, share, right = road.rows(name), chance.uniform(0.02, 1), chance.choice(["NB1", "NB2", "NB3"])
        wrong, held = _respelled(right, chance), [r for r in rows if r["Lane"] == right]
        if chance.random() < 0.2:
            wrong = chance.choice(["NB4", "N3", "Q", "NBB3"])
        for row in held or rows[:1]:
            if chance.random() < share or row is (held or rows)[0]:
                row["Lane"] = wrong
        return Pair(kind, name, _text(rows), instead=True)

    return make


def _off_the_road(name: str) -> Callable[[Road, random.Random, str], Pair]:
    def make(road: Road, chance: random.Random, kind: str) -> Pair:
        rows = road.rows(name)
        row = chance.choice(rows)
        row["Station"] = _station(_feet(row["Station"]) * chance.choice([0.1, 3, 10]))
        return Pair(kind, name, _text(rows), instead=True)

    return make


KINDS: dict[str, Callable[[Road, random.Random, str], Pair]] = {
    "a year again": _again("traffic_counts", {"AADT": (0.1, 6), "Percent trucks (%)": (0.2, 8)}),
    "a truck class again": _again("truck_classes", {"Share (%)": (0.1, 1.5)}),
    "an axle load again": _again("axle_spectrum", {"Axles per 1000 trucks": (0.1, 9)}),
    "tests again": _again("deflections_northbound", {"D1 (mils)": (1.0, 1.3)}),
    "distress again": _again("distress_northbound", {}),
    "layers over layers": _second_layers,
    "a bridge again": _second_bridge,
    "a second road": _second_road,
    "an end of the road mistyped": _mistyped_end,
    "a lane again": _lane_again,
    "lanes of tests respelled": _lanes_respelled("deflections_northbound"),
    "lanes of distress respelled": _lanes_respelled("distress_northbound"),
    "tests off the road": _off_the_road("deflections_northbound"),
    "distress off the road": _off_the_road("distress_northbound"),
}
