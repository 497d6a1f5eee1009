"""Write the reference pages and the validation page from the program itself, so that they cannot drift."""

from __future__ import annotations

import io
import sys
from collections.abc import Iterable
from contextlib import redirect_stdout
from pathlib import Path

from slabwright import catalogue, units
from slabwright.calculation import Choice
from slabwright.published import checks, compare
from slabwright.records.decisions import Decisions, entries
from slabwright.records.facts import FACTS
from slabwright.records.table import Schema
from slabwright.sources import SOURCES
from slabwright.stages import outcomes

HERE = Path(__file__).parent


def main() -> None:
    pages = {
        "reference/calculations.md": calculations(),
        "reference/sources.md": sources(),
        "reference/facts.md": schemas(
            "Facts", "What a project may hold, and what intake looks for in a file.", FACTS.values()
        ),
        "reference/results.md": schemas("Results", "What the stages give.", outcomes().values()),
        "reference/decisions.md": decisions(),
        "reference/commands.md": commands(),
        "validation.md": validation(),
    }
    for name, text in pages.items():
        (HERE / name).write_text(text, encoding="utf-8")


def cell(text: object) -> str:
    return str(text).replace("|", "\\|").replace("\n", " ").replace("<", "&lt;")


def rows(headings: Iterable[str], lines: Iterable[Iterable[object]]) -> str:
    names = list(headings)
    table = ["| " + " | ".join(names) + " |", "|" + "---|" * len(names)]
    return "\n".join([*table, *("| " + " | ".join(map(cell, line)) + " |" for line in lines)]) + "\n"


def calculations() -> str:
    parts = [
        "# Calculations\n\nEach is one published equation. Bounds and defaults are in the unit shown; any compatible unit is taken.\n"
    ]
    room = ""
    for calculation in catalogue.calculations().values():
        entry = catalogue.describe(calculation)
        if entry["room"] != room:
            room = entry["room"]
            parts.append(f"## {room.capitalize()}\n")
        bounds = [
            (
                f"`{i['name']}`",
                units.label(i["unit"]) or ", ".join(i.get("choices", ())) or "–",
                "" if i["low"] is None else f"{i['low']:.6g} to {i['high']:.6g}",
                "" if i["default"] is None else i["default"],
                i["meaning"],
            )
            for i in entry["inputs"]
        ]
        outputs = [(f"`{o['name']}`", units.label(o["unit"]) or "–", o["meaning"]) for o in entry["outputs"]]
        covered = ", ".join(f"{c['id']} ({c['kind']}, {c['tag']})" for c in entry["checks"])
        parts += [
            f"### {entry['title']}\n\n`{entry['name']}`\n\n    {entry['equation']}\n",
            rows(("Input", "Unit", "From to", "Default", "Meaning"), bounds),
            rows(("Output", "Unit", "Meaning"), outputs),
            f"Source: {cell(entry['source'])} [{entry['tag']}]\n\nChecks: {covered}\n",
        ]
    return "\n".join(parts)


def sources() -> str:
    lines = [(s.key, s.document, s.tag, s.errata or "–") for s in SOURCES.values()]
    head = (
        "# Sources\n\nA tag says how well a value is known: *looked up* in the document named, *from memory* (the document was not"
        " opened), *derived* (theory worked out and checked by another method), *common practice* (no source).\n\n"
        "An equation from memory is called *unconfirmed* wherever it is printed, as long as no independent method and no looked-up"
        " number stands among its checks.\n\n"
    )
    return head + rows(("Key", "Document", "Tag", "Known errata"), lines)


def schemas(title: str, lead: str, tables: Iterable[Schema]) -> str:
    parts = [f"# {title}\n\n{lead}\n"]
    for schema in tables:
        lines = [
            (
                f"`{c.name}`",
                _unit(c.unit_kind, "us"),
                _unit(c.unit_kind, "metric"),
                "yes" if c.required else "",
                c.meaning + (": " + ", ".join(c.choices) if c.choices else ""),
            )
            for c in schema.columns
        ]
        parts += [
            f"## {schema.title}\n\n`{schema.name}`: each row is {schema.row}.\n",
            rows(("Column", "US", "Metric", "Needed", "Meaning"), lines),
        ]
    return "\n".join(parts)


def _unit(kind: str | None, system: units.System) -> str:
    return units.label(units.unit_of(kind, system)) if kind else "text"


def decisions() -> str:
    lines = []
    for entry in entries(Decisions()):
        if isinstance(entry.about, Choice):
            allowed = ", ".join(entry.about.options) or "text"
        else:
            allowed = " to ".join(
                units.format_quantity(b, entry.about.kind) for b in (entry.about.low, entry.about.high)
            )
        lines.append((f"`{entry.name}`", entry.text(), allowed, entry.about.meaning))
    return "# Decisions\n\nWhat the engineer decides, with its default.\n\n" + rows(
        ("Name", "Default", "Allowed", "Meaning"), lines
    )


def commands() -> str:
    import typer.main

    from slabwright.cli.app import app

    parts = [
        "# Commands\n\nExit codes: 0 done, 2 the input was wrong (one plain message on standard error), 3 a question waits for its answer (the "
        "options that give it are printed ready to copy), 1 anything else.\n"
    ]
    names = typer.main.get_command(app).commands  # type: ignore[attr-defined]
    parts += [f"## {name}\n\n```text\n{_help(app, name)}\n```\n" for name in names]
    return "\n".join(parts)


def _help(app: object, name: str) -> str:
    stream = io.StringIO()
    argv, sys.argv = sys.argv, ["slabwright", name, "--help"]
    try:
        with redirect_stdout(stream):
            app()  # type: ignore[operator]
    except SystemExit:
        pass
    finally:
        sys.argv = argv
    return "\n".join(line.rstrip() for line in stream.getvalue().strip().splitlines())


def validation() -> str:
    known = catalogue.calculations()
    lines, passed = [], 0
    for check in checks():
        for found in compare(check, known[check.calculation]):
            passed += found.passes
            lines.append((
                check.id,
                check.title,
                f"`{check.calculation}`",
                f"{found.expected:.8g} {units.label(found.unit)}",
                f"{found.ours:.8g}",
                f"{found.difference:+.2g}",
                f"{found.allowed:.2g}",
                check.kind,
                f"{check.source} [{check.tag}]",
                check.note or check.reason,
            ))
    head = (
        f"# Validation\n\n{len(lines)} values of {len(list(checks()))} checks, {passed} within their tolerance. *Published* means a printed"
        " number, *independent* another method or theory, *constructed* an example of our own without a published answer.\n\n"
    )
    return head + rows(
        (
            "Check",
            "What",
            "Calculation",
            "Expected",
            "Ours",
            "Difference",
            "Allowed",
            "Kind",
            "Source",
            "Reason or note",
        ),
        lines,
    )


if __name__ == "__main__":
    main()
