"""Commands that compute and show results."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING, Any

from slabwright.cli.files import Place, named, opened
from slabwright.cli.output import JSON_VERSION, as_json, console, print_frame, print_json, print_rows, say, system
from slabwright.errors import InputError
from slabwright.records.remarks import worded
from slabwright.units import System, format_quantity, format_station

if TYPE_CHECKING:
    from slabwright.records.provenance import Scene

__all__ = ["compare", "run", "show"]


def run(road: Place, stage: str | None, alternative: str, processes: int, units: str) -> None:
    from contextlib import nullcontext

    from rich.progress import Progress

    from slabwright.stages import plan
    from slabwright.workers import workers
    from slabwright.workflow import Computation

    shown, wanted = system(units), plan(stage)
    pool = workers(processes or None) if any(each.long for each in wanted) else nullcontext()
    names = [each.name for each in wanted]
    begun = time.perf_counter()
    with opened(road) as project, pool as executor, Progress(console=console, transient=True) as bar:
        task = bar.add_task("reading", total=float(len(names)))
        computation = Computation(project, alternative)
        for number, name in enumerate(names):
            bar.update(task, description=name, completed=number)

            def tell(_: str, share: float, done: int = number) -> None:
                bar.update(task, completed=done + share)

            fresh = computation.saved(name) is None
            result = computation.result(name, tell, executor)
            say(f"{name}: {'computed' if fresh else 'current'}")
            for note in result.notes:
                say(f"  {worded(note, shown)}")
    say(f"Done in {time.perf_counter() - begun:.1f} s.")


def show(
    road: Place,
    stage: str,
    alternative: str,
    table: str | None,
    row: int | None,
    all_rows: bool,
    working: bool,
    json: bool,
    units: str,
) -> None:
    from slabwright.provenance import scene, sheets
    from slabwright.stages import outcomes, plan, stage_named
    from slabwright.workflow import Computation

    shown, name = system(units), stage_named(stage).name
    with opened(road) as project:
        computation = Computation(project, alternative)
        if stage_named(name).long and computation.saved(name) is None:
            raise InputError(
                f"the {name} stage is long work and has not been computed as things stand",
                remedy=f"Compute it with `slabwright run {named(road)} {name}`.",
            )
        results = {each.name: computation.result(each.name) for each in plan(name)}
        seen = scene(computation.facts, computation.decisions, results)
    result = results[name]
    if table is not None and table not in result.tables:
        raise InputError(f"the {name} stage has no table of this name", given=table, allowed=", ".join(result.tables))
    if row is not None:
        _show_row(seen, name, table, row, shown)
        return
    tables = {k: v for k, v in result.tables.items() if table in (None, k)}
    if json:
        print_json({
            "version": JSON_VERSION,
            "stage": name,
            "alternative": alternative,
            "units": shown,
            "tables": {k: as_json(outcomes()[k], v, shown) for k, v in tables.items()},
            "notes": [worded(note, shown) for note in result.notes],
            "workings": [w.text() for w in sheets(seen, name, shown)],
        })
        return
    for key, frame in tables.items():
        say(f"({key})")
        print_frame(outcomes()[key], frame, shown, all_rows=all_rows)
    for note in result.notes:
        say(f"Note: {worded(note, shown)}")
    if working:
        for each in sheets(seen, name, shown):
            say(each.text() + "\n")


def _show_row(seen: Scene, stage: str, table: str | None, row: int, shown: System) -> None:
    """How each number in a row of a table was found; rows count from 1."""
    from slabwright.provenance import record

    if table is None:
        raise InputError("a row is one of a table", given=f"row {row}", remedy="Name the table with --table.")
    frame = seen.frame(table)
    if row > len(frame):
        raise InputError(f"the table {table} has fewer rows", given=f"row {row}", allowed=f"1 to {len(frame)}")
    for column in seen.schemas[table].columns:
        if not column.is_text:
            say(record(seen, stage, table, frame.index[row - 1], column.name, shown).text() + "\n\n")


def compare(road: Place, json: bool, units: str) -> None:
    from slabwright.workflow import Computation, bid_total, summary_rows

    shown = system(units)
    with opened(road) as project:
        computed = {name: Computation(project, name) for name in project.alternatives()}
        found = {name: summary_rows(each.run()) for name, each in computed.items()}
        total = [bid_total(each.run(), each.decisions.economics) for each in computed.values()]
    if json:
        print_json({
            "version": JSON_VERSION,
            "units": "si",
            "alternatives": {
                name: [{k: None if v != v else v for k, v in row.items()} for row in rows]
                for name, rows in found.items()
            },
        })
        return
    sections = list(dict.fromkeys((r["section"], r["begin"], r["end"]) for rows in found.values() for r in rows))
    cells = {(name, r["section"]): _cell(r, shown) for name, rows in found.items() for r in rows}
    rows = [
        [
            section,
            f"{format_station(begin, shown)} to {format_station(end, shown)}",
            *(cells.get((n, section), "") for n in found),
        ]
        for section, begin, end in sections
    ]
    print_rows("Alternatives side by side", ["Section", "From to", *found], [*rows, ["Bid items in all", "", *total]])


def _cell(row: dict[str, Any], shown: System) -> str:
    """What one alternative gives one section: thickness of what is needed, life, deflection reduction, cost."""
    cost = f", cost {format_quantity(row['cost'], 'money')}" if row["cost"] > 0 else ""
    if not row["overlay"] > 0:
        return f"{row['verdict']}{cost}"
    overlay, needed = (format_quantity(row[k], "thickness", shown) for k in ("overlay", "bonded"))
    life, gained, fall = f"{row['years']:.0f}", f"{row['years_gained']:.0f}", f"{row['reduction']:.0%}"
    return f"{overlay} (needs {needed}), {life} years (+{gained}), deflection -{fall}{cost}"
