"""The chapters of the report. A module ``pages_*`` that defines ``CHAPTERS`` is found by itself.

A stage without a chapter of its own has the one that ``_standard`` makes from its declaration. Each chapter begins a
page; that of a stage that was not computed is a line at the end of the chapter before it.
"""

from __future__ import annotations

import pkgutil
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache, partial
from importlib import import_module

from slabwright.records.stage import Stage
from slabwright.report.blocks import Block, Heading, Text, frame_tables
from slabwright.report.given import Report
from slabwright.stages import stages

__all__ = ["AFTER_STAGES", "Chapter", "blocks_by_chapter", "chapters", "drawings_of_chapters", "place_of"]

BEFORE_STAGES, AFTER_STAGES = 0, 900


def place_of(stage: str) -> float:
    """Where the chapter of a stage stands: its place among the stages; others stand before 0 or from 900 on."""
    return float([s.name for s in stages()].index(stage))


@dataclass(frozen=True)
class Chapter:
    """A chapter: its place, what it holds, the stage whose chapter it is (if one), and the drawings that it shows."""

    place: Callable[[], float]
    blocks: Callable[[Report], list[Block]]
    stage: str = ""
    drawings: Callable[[Report], Mapping[str, str]] = lambda _: {}


def chapters() -> tuple[Chapter, ...]:
    """All chapters in order."""
    own = _own()
    told = {chapter.stage for chapter in own}
    made = [_standard(stage) for stage in stages() if stage.name not in told]
    return tuple(sorted((*own, *made), key=lambda chapter: chapter.place()))


@cache
def _own() -> tuple[Chapter, ...]:
    package = import_module("slabwright.report")
    names = [m.name for m in pkgutil.iter_modules(package.__path__) if m.name.startswith("pages_")]
    found = [import_module(f"slabwright.report.{name}") for name in names]
    return tuple(chapter for module in found for chapter in getattr(module, "CHAPTERS", ()))


def blocks_by_chapter(report: Report) -> list[list[Block]]:
    """What each chapter holds, in order."""
    made: list[list[Block]] = []
    for chapter in chapters():
        if chapter.stage and chapter.stage not in report.results:
            made[-1].extend(_not_computed(chapter.stage))
        else:
            made.append(chapter.blocks(report))
    return made


def drawings_of_chapters(report: Report) -> dict[str, str]:
    """Every drawing that a chapter brings along, as SVG by its name."""
    held = [c for c in chapters() if not c.stage or c.stage in report.results]
    return {name: svg for chapter in held for name, svg in chapter.drawings(report).items()}


def _not_computed(name: str) -> list[Block]:
    title = next(stage.title for stage in stages() if stage.name == name)
    return [
        Heading(title),
        Text(f"Not computed for this alternative: the stage {name} is run on its page or by command."),
    ]


def _standard(stage: Stage) -> Chapter:
    return Chapter(partial(place_of, stage.name), partial(_standard_blocks, stage), stage.name)


def _standard_blocks(stage: Stage, report: Report) -> list[Block]:
    """The stage's question, notes and tables."""
    result = report.results[stage.name]
    notes = [Text(note) for note in report.notes(stage.name)]
    tables = [
        block
        for schema in stage.outcomes
        if not schema.bulk
        for block in frame_tables(schema, result.tables[schema.name], report.system)
    ]
    return [Heading(stage.title), Text(stage.question, "question"), *notes, *tables]
