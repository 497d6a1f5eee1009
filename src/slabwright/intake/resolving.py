"""The engineer's word on the warnings: accept or reject, with a trace; and what a page shows before it."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import pandas as pd

from slabwright.errors import InputError
from slabwright.intake.grouping import Group, grouped
from slabwright.intake.headings import ColumnMatch
from slabwright.intake.reading import Reading
from slabwright.intake.rules import RULES, Cells, Rows
from slabwright.records.facts import FACTS
from slabwright.records.findings import Finding
from slabwright.units import System, convert, format_station, unit_of

__all__ = ["Preview", "Resolved", "Settled", "preview", "resolve"]

KINDS_LISTED = 8
FARTHEST_STATION = 1e9
ANSWERS: tuple[tuple[Literal["accepted", "rejected"], bool], ...] = (("rejected", True), ("accepted", False))


@dataclass(frozen=True)
class Settled:
    """One line of the trace: what became of the warnings of one rule, in how many rows, and as the file tells it."""

    rule: str
    action: Literal["accepted", "rejected"]
    rows: int
    cells_emptied: int
    rows_removed: int
    message: str


@dataclass(frozen=True, eq=False)
class Resolved:
    """A table that may enter the project: SI, with its rows in the file and the trace of every warning."""

    file: str
    sha256: str
    table: str
    mapping: tuple[ColumnMatch, ...]
    frame: pd.DataFrame
    source_rows: Rows
    trace: tuple[Settled, ...]


@dataclass(frozen=True, eq=False)
class Preview:
    """What a page or command shows before the load: the mapping, the first rows in customary units, the findings."""

    title: str
    rows: int
    mapping: tuple[ColumnMatch, ...]
    unmapped: tuple[str, ...]
    first: pd.DataFrame
    counts: dict[str, int]
    warnings: dict[str, int]
    findings: tuple[Finding, ...]


def preview(reading: Reading, system: System = "us", *, rows: int = 10) -> Preview:
    """The reading as a person checks it; the first ``rows`` rows are in the customary units of ``system``."""
    schema, head = FACTS[reading.table], reading.frame.head(rows)
    filled = [c for c in schema.columns if reading.frame[c.name].replace("", np.nan).notna().any()]
    shown: dict[str, object] = {"row": reading.source_rows[:rows]}
    for column in filled:
        kind = column.unit_kind
        if column.kind == "station":
            shown[column.name] = [_station(float(v), system) for v in head[column.name]]
        elif kind is None:
            shown[column.name] = head[column.name].to_numpy()
        else:
            unit = unit_of(kind, system)
            shown[f"{column.name} ({unit})" if unit != "1" else column.name] = convert(
                head[column.name].to_numpy(), kind, system
            )
    weights = [f.weight for f in reading.findings]
    return Preview(
        f"{schema.title} from {reading.place}",
        len(reading.frame),
        reading.mapping,
        reading.unmapped,
        pd.DataFrame(shown),
        {w: weights.count(w) for w in ("error", "warning", "note")},
        {rule: len(_rows(found)) for rule, found in _warnings(reading).items()},
        reading.findings,
    )


def _station(metres: float, system: System) -> str:
    """Stations out of bounds are shown too (as metres), because the preview comes before the refusal."""
    return format_station(metres, system) if abs(metres) < FARTHEST_STATION else f"{metres:.6g} m"


def resolve(
    reading: Reading, accept: bool = False, reject: Sequence[str] = (), *, reject_findings: Collection[int] = ()
) -> Resolved:
    """The table with its warnings settled: those named in ``reject`` rejected, the others accepted if ``accept``.

    ``reject_findings`` rejects single findings by their place in ``reading.findings``, whatever their rule.
    Rejecting empties the cells of columns that may be missing and removes the row otherwise; a row is removed by
    nothing else, but for a drop without its centre sensor or load, which is set aside when that is accepted. Raises InputError for errors in the file (they are never overruled), for warnings left open, for a
    rule or finding that is no warning, and when nothing would be left.
    """
    _refuse_errors(reading)
    _check_rules(reject)
    _check_findings(reading, reject_findings)
    warnings = {i: f.rule for i, f in enumerate(reading.findings) if f.weight == "warning"}
    rejected = {i for i, rule in warnings.items() if rule in reject or i in reject_findings}
    if not accept:
        _refuse_open(reading, [i for i in warnings if i not in rejected])
    frame, removed = reading.frame.copy(deep=False), np.zeros(len(reading.frame), dtype=bool)
    trace = []
    for rule in dict.fromkeys(warnings.values()):
        for action, chosen in ANSWERS:
            found = [i for i, name in warnings.items() if name == rule and (i in rejected) == chosen]
            if found:
                trace.append(_settled(reading, frame, removed, found, action))
    if removed.all() and len(removed):
        raise InputError(
            "rejecting these would leave no rows",
            where=reading.place,
            given=", ".join(dict.fromkeys(warnings[i] for i in sorted(rejected))),
            remedy="Correct the mapping or the units instead.",
        )
    if removed.any() and reading.table == "weather":
        raise InputError(
            "rejecting these would leave holes in the year of weather",
            where=reading.place,
            given=", ".join(dict.fromkeys(warnings[i] for i in sorted(rejected))),
            remedy="Accept them, or use another file.",
        )
    kept = ~removed
    return Resolved(
        reading.file,
        reading.sha256,
        reading.table,
        reading.mapping,
        frame if kept.all() else frame[kept].reset_index(drop=True),
        reading.source_rows[kept],
        tuple(trace),
    )


def _settled(
    reading: Reading,
    frame: pd.DataFrame,
    removed: np.ndarray,
    found: Sequence[int],
    action: Literal["accepted", "rejected"],
) -> Settled:
    """Apply one answer to findings of one rule; ``frame`` and ``removed`` are changed by rejecting."""
    first, cells = reading.findings[found[0]], [reading.suspicious[i] for i in found]
    aside = action == "accepted" and RULES[first.rule].sets_aside
    emptied, gone = _strike(reading, frame, removed, cells) if action == "rejected" or aside else (0, 0)
    return Settled(first.rule, action, len(_rows(cells)), emptied, gone, first.message)


def _refuse_open(reading: Reading, open_: Sequence[int]) -> None:
    if open_:
        rules = list(dict.fromkeys(reading.findings[i].rule for i in open_))
        raise InputError(
            f"{len(rules)} kinds of warning wait for the engineer, first: {reading.findings[open_[0]]}",
            where=reading.place,
            given=", ".join(rules),
            remedy="Accept them, or reject them by these names.",
        )


def _check_findings(reading: Reading, chosen: Collection[int]) -> None:
    for number in chosen:
        if not 0 <= number < len(reading.findings) or reading.findings[number].weight != "warning":
            warnings = [str(i) for i, f in enumerate(reading.findings) if f.weight == "warning"]
            raise InputError(
                "there is no warning of this number to reject",
                where=reading.place,
                given=number,
                allowed=", ".join(warnings) or "none",
            )


def _refuse_errors(reading: Reading) -> None:
    groups = [
        g for g in grouped(reading.findings, reading.suspicious, reading.source_rows.tolist()) if g.weight == "error"
    ]
    if groups:
        count = sum(g.count for g in groups)
        listed = " ".join(f"({i}) {g.first}{_further(g)}" for i, g in enumerate(groups[:KINDS_LISTED], start=1))
        more = f" and {len(groups) - KINDS_LISTED} more kinds" if len(groups) > KINDS_LISTED else ""
        raise InputError(
            f"{count} errors stop this load: {listed}{more}",
            where=reading.place,
            remedy="Correct the file, the mapping or the units, and read it again.",
        )


def _further(group: Group) -> str:
    """How many more rows an error is found in, and the next of them."""
    if group.count < 2:
        return ""
    more, rows = group.count - 1, ", ".join(map(str, group.rows[1:4]))
    where = f" ({rows}{', …' if group.count > 4 else ''})" if rows else ""
    return f" The same in {more} more row{'' if more == 1 else 's'}{where}."


def _check_rules(reject: Sequence[str]) -> None:
    if isinstance(reject, str):
        raise InputError("rules to reject are given as a list of names", given=reject)
    for rule in reject:
        if rule not in RULES or RULES[rule].weight != "warning":
            allowed = ", ".join(name for name, about in RULES.items() if about.weight == "warning")
            raise InputError("there is no warning of this name to reject", given=rule, allowed=allowed)


def _warnings(reading: Reading) -> dict[str, list[Cells]]:
    found: dict[str, list[Cells]] = {}
    for finding, cells in zip(reading.findings, reading.suspicious, strict=True):
        if finding.weight == "warning":
            found.setdefault(finding.rule, []).append(cells)
    return found


def _rows(found: Sequence[Cells]) -> Rows:
    """Every row that the findings speak of, once and in order."""
    marked = np.zeros(1 + max((int(c.rows.max()) for c in found if len(c.rows)), default=-1), dtype=bool)
    for cells in found:
        marked[cells.rows] = True
    return np.flatnonzero(marked)


def _strike(reading: Reading, frame: pd.DataFrame, removed: np.ndarray, found: Sequence[Cells]) -> tuple[int, int]:
    """(cells emptied, rows removed); ``frame`` and ``removed`` are changed."""
    schema = FACTS[reading.table]
    emptied, before = 0, int(removed.sum())
    for cells in found:
        if not cells.columns or any(schema[name].required for name in cells.columns):
            removed[cells.rows] = True
            continue
        for name in cells.columns:
            values = frame[name].to_numpy(copy=True)
            values[cells.rows] = "" if schema[name].is_text else np.nan
            frame[name] = values
            emptied += len(cells.rows)
    return emptied, int(removed.sum()) - before
