"""New readings beside one another and beside what the project holds: the rows that contradict each other."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
import pandas as pd

from slabwright import units
from slabwright.errors import Conflict, InputError
from slabwright.intake import Reading
from slabwright.intake.at_fault import at_fault
from slabwright.intake.contradictions import Placed, compare, lane_key, none_before, spell_lanes
from slabwright.intake.rules import Log
from slabwright.project import Project
from slabwright.records.facts import FACTS, Facts
from slabwright.records.findings import Finding

__all__ = ["Held", "compared", "contradictions_held", "refuse_contradictions", "replaced_file", "without_position"]

ORDER = {name: place for place, name in enumerate(FACTS)}
STOPPING = ("road", "lanes", "bridges", "layers", "counts", "truck_classes", "axles", "alignment", "climate")


@dataclass
class Held:
    """What the project holds but for files that are to be replaced, and what is known to come with it.

    Tables are read, and rows that were added put behind them, when a rule looks at them: most are never looked at again.
    """

    project: Project | None
    replaced: Collection[str] = ()
    _known: dict[str, Placed] = field(default_factory=dict)
    _added: dict[str, list[Placed]] = field(default_factory=dict)

    def __call__(self, table: str) -> Placed:
        if table not in self._known:
            self._known[table] = self._held(table)
        for more in self._added.pop(table, ()):
            self._known[table] = self._known[table].with_(more)
        return self._known[table]

    @cached_property
    def _facts(self) -> Facts:
        return self.project.facts() if self.project is not None else Facts()

    def _held(self, table: str) -> Placed:
        if self.project is None or getattr(self._facts, table).empty:
            return none_before(table)
        frame = getattr(self._facts, table)
        origins = self.project.origins(table)
        if len(origins) != len(frame):
            raise Conflict("the project was changed while it was read", remedy="Load the file again.")
        kept = ~origins["file"].isin(list(self.replaced)).to_numpy()
        files, rows = (origins[name].to_numpy()[kept] for name in ("file", "row"))
        return Placed(frame[kept].reset_index(drop=True), files.astype(object), rows.astype(float))

    def add(self, table: str, placed: Placed) -> None:
        """Rows that come before whatever is looked at next."""
        self._added.setdefault(table, []).append(placed)


def compared(held: Held, files: Sequence[Sequence[Reading]], system: units.System) -> list[tuple[Reading, ...]]:
    """The readings of each file with what contradicts the files before it and the project; in any order of files.

    The road is looked at first, then its lanes, then the rest; a road or lanes that most of the others contradict last, so
    that it is told of them and not of each of the others. A file with errors is no measure for the others.
    """
    made = [list(found) for found in files]
    whole = [(r.table, r.frame) for found in files for r in found]
    places = [
        (_new(held, r.table) and at_fault(r.table, r.frame, whole), ORDER[r.table], i, j)
        for i, found in enumerate(files)
        for j, r in enumerate(found)
    ]
    spelled = _spellings(held, files)
    for _, _, i, j in sorted(places):
        reading = made[i][j]
        log = Log(reading.place)
        log.source_rows = reading.source_rows
        frame = spell_lanes(reading.table, reading.frame, spelled, log)
        new = _placed(reading.place, frame, reading.source_rows)
        exact = [c.rows for f, c in zip(reading.findings, reading.suspicious, strict=True) if f.rule == "duplicate row"]
        compare(reading.table, new, held, log, system, exact=np.concatenate(exact) if exact else None)
        made[i][j] = replace(
            reading,
            frame=frame,
            findings=(*reading.findings, *log.findings),
            suspicious=(*reading.suspicious, *log.cells),
        )
        if not any(f.weight == "error" for r in made[i] for f in r.findings):
            held.add(reading.table, new)
    return [tuple(found) for found in made]


def _new(held: Held, table: str) -> bool:
    """Whether the project holds no rows of the road or its lanes yet: those that it holds are the measure."""
    return table in ("road", "lanes") and not len(held(table).frame)


def _placed(name: str, frame: pd.DataFrame, rows: np.ndarray) -> Placed:
    return Placed(frame, np.array([name] * len(frame), dtype=object), np.asarray(rows, dtype=float))


def _spellings(held: Held, files: Sequence[Sequence[Reading]]) -> dict[str, str]:
    """The right spelling of each lane by its key: of the lanes table, else as the project, else as the files first have it."""
    declared = [*held("lanes").frame["lane"]]
    declared += [name for found in files for r in found if r.table == "lanes" for name in r.frame["lane"]]
    if not declared:
        tables = ("deflections", "layers", "distresses", "cores", "ramps")
        declared = [name for t in tables for name in pd.unique(held(t).frame["lane"])]
        declared += [n for f in files for r in f if r.table in tables for n in r.frame["lane"].value_counts().index]
    made: dict[str, str] = {}
    for name in declared:
        if name:
            made.setdefault(lane_key(name), name)
    return made


def refuse_contradictions(
    held: Held, tables: Sequence[tuple[str, str, pd.DataFrame, np.ndarray]], system: units.System
) -> None:
    """Raise InputError where settled rows (table, file, frame, rows) contradict what is held in a way nobody can accept.

    Adds the rows to ``held`` otherwise. The findings before tell the same; this is for rows that were accepted since.
    """
    for table, name, frame, rows in tables:
        new = _placed(name, frame, rows)
        if table in STOPPING:
            log = Log(name)
            log.source_rows = np.asarray(rows)
            compare(table, new, held, log, system)
            errors = [f for f in log.findings if f.weight == "error"]
            if errors:
                more = f" ({len(errors)} of this kind)" if len(errors) > 1 else ""
                raise InputError(
                    f"{errors[0].rule}: {errors[0].message}{more}", where=_where(errors[0]), remedy=errors[0].remedy
                )
    for table, name, frame, rows in tables:
        held.add(table, _placed(name, frame, rows))


def _where(found: Finding) -> str:
    return f"{found.file}, row {found.row}" if found.row is not None else found.file


def contradictions_held(project: Project, system: units.System) -> tuple[Finding, ...]:
    """Errors and warnings among the rows that the project holds already, such as those of an older version or edited by hand.

    Lanes are compared as they are spelled. A row is new to the rows before it; nothing is changed.
    """
    held, found = Held(project), []
    all_held = {name: held(name) for name in FACTS if name != "weather"}
    earlier = Held(None)
    for name, placed in all_held.items():
        log = Log("the project")
        log.source_rows = np.arange(1, len(placed.frame) + 1)
        if len(placed.frame):
            compare(name, placed, earlier, log, system)
        earlier.add(name, placed)
        for finding, cells in zip(log.findings, log.cells, strict=True):
            at = int(cells.rows[0]) if len(cells.rows) else None
            file = str(placed.files[at]) if at is not None and placed.files[at] else f"the table {name}"
            row = int(placed.rows[at]) if at is not None and np.isfinite(placed.rows[at]) else finding.row
            found.append(replace(finding, file=file, row=row))
    return tuple(found)


def without_position(facts: Facts) -> int:
    """How many deflection tests do not say where on the slab they stood."""
    return int((facts.deflections["position"] == "").sum())


def replaced_file(project: Project, name: str) -> str:
    """The name of the one file that is held under it; InputError where there is none, Conflict where there are several."""
    held = [s.name for s in project.sources()]
    if held.count(name) == 1:
        return name
    if name in held:
        raise Conflict(
            "the project holds several files of this name", given=name, remedy="Take out the ones that are wrong first."
        )
    raise InputError(
        "the project holds no file of this name to take the place of",
        given=name,
        allowed=", ".join(dict.fromkeys(held)) or "none",
        remedy="Name the file that is replaced, or load this one beside the others.",
    )
