"""The chapters of the report. A module ``pages_*`` that defines ``CHAPTERS`` is found by itself.

A stage without a chapter of its own has the one that ``_standard`` makes from its declaration. Each chapter begins a
page unless it flows; that of a stage that was not computed is a line at the end of the chapter before it.
"""

from __future__ import annotations

import pkgutil
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache, partial
from importlib import import_module

from slabwright.records.stage import Stage
from slabwright.report.blocks import Block, Heading, Text, frame_tables
from slabwright.report.given import Part, Report
from slabwright.stages import stages

__all__ = [
    "AFTER_STAGES",
    "Chapter",
    "blocks_by_chapter",
    "chapters",
    "drawings_of_chapters",
    "held_chapters",
    "place_of",
]

BEFORE_STAGES, AFTER_STAGES = 0, 900


def place_of(stage: str) -> float:
    """Where the chapter of a stage stands: its place among the stages; others stand before 0 or from 900 on."""
    return float([s.name for s in stages()].index(stage))


@dataclass(frozen=True)
class Chapter:
    """A chapter: its place, what it holds, the stage whose chapter it is (if one), the drawings that it shows.

    ``part`` is the document that holds it; a chapter that ``flows`` begins where the one before it ends.
    """

    place: Callable[[], float]
    blocks: Callable[[Report], list[Block]]
    stage: str = ""
    drawings: Callable[[Report], Mapping[str, Callable[[], str]]] = lambda _: {}
    part: Part = "appendix"
    flows: bool = False


def chapters(part: Part) -> tuple[Chapter, ...]:
    """The chapters of a document in order; a stage without a chapter of its own has a standard one in both."""
    own = _own()
    told = {chapter.stage for chapter in own}
    made = [_standard(stage, part) for stage in stages() if stage.name not in told]
    return tuple(sorted((*(c for c in own if c.part == part), *made), key=lambda chapter: chapter.place()))


@cache
def _own() -> tuple[Chapter, ...]:
    package = import_module("slabwright.report")
    names = [m.name for m in pkgutil.iter_modules(package.__path__) if m.name.startswith("pages_")]
    found = [import_module(f"slabwright.report.{name}") for name in names]
    return tuple(chapter for module in found for chapter in getattr(module, "CHAPTERS", ()))


def blocks_by_chapter(report: Report) -> list[list[Block]]:
    """What each chapter holds, in order."""
    return [blocks for _, blocks in held_chapters(report)]


def held_chapters(report: Report) -> list[tuple[Chapter, list[Block]]]:
    """Each chapter with what it holds, in order; what was not computed is told at the end of the one before."""
    made: list[tuple[Chapter, list[Block]]] = []
    for chapter in chapters(report.part):
        if chapter.stage and chapter.stage not in report.results:
            made[-1][1].extend(_not_computed(chapter.stage))
        elif blocks := chapter.blocks(report):
            made.append((chapter, blocks))
    return made


def drawings_of_chapters(report: Report) -> dict[str, Callable[[], str]]:
    """Painters of every drawing that a chapter brings along, by its name."""
    held = [c for c in chapters(report.part) if not c.stage or c.stage in report.results]
    return {name: svg for chapter in held for name, svg in chapter.drawings(report).items()}


def _not_computed(name: str) -> list[Block]:
    title = next(stage.title for stage in stages() if stage.name == name)
    return [
        Heading(title),
        Text(f"Not computed for this alternative: the stage {name} is run on its page or by command."),
    ]


def _standard(stage: Stage, part: Part) -> Chapter:
    return Chapter(partial(place_of, stage.name), partial(_standard_blocks, stage), stage.name, part=part, flows=True)


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
