"""The order of every page of a stage: answer, road strip, main picture beside its decisions, tables."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from slabwright.stages import stage_named
from slabwright.web.answers import ANSWERS, Answer, Seen
from slabwright.web.parts.html import element, text
from slabwright.web.parts.live import piece
from slabwright.web.parts.meant import meant
from slabwright.web.parts.road import show_strip
from slabwright.web.view import View

__all__ = ["answered", "laid_out"]

AT_ONCE = 2  # of what stands against the answer; the rest is behind a fold


def stage_answer(view: View, stage: str) -> Answer:
    """The answer of a stage while it is current, else its question."""
    results = view.results()
    if stage not in results or stage not in ANSWERS:
        old = view.outdated(stage)
        return Answer(stage_named(stage).question, (old,) if old else ())
    return ANSWERS[stage](Seen(results, view.decisions, view.system, view.section))


def answered(view: View, read: Callable[[], Answer]) -> None:
    """The answer, kept up with the road."""
    with element("section", cls="answer", data_part="answer", aria_label="The answer"):
        piece(view, read, _say)


def _say(answer: Answer) -> None:
    text("p", meant(answer.head)).props["role"] = "status"
    _against(tuple(meant(line) for line in answer.against))


def _against(lines: tuple[str, ...]) -> None:
    """What stands against an answer: the first lines, and the others behind a fold."""
    if not lines:
        return
    with element("ul"):
        for line in lines[:AT_ONCE]:
            text("li", line).props["title"] = line
    if more := lines[AT_ONCE:]:
        with element("details", cls="group"):
            text("summary", f"{len(more)} more to know")
            with element("ul"):
                for line in more:
                    text("li", line)


def laid_out(
    view: View,
    stage: str,
    *,
    layers: tuple[str, ...],
    picture: Callable[[], Any],
    decisions: Callable[[], Any],
    below: Callable[[], Any],
) -> None:
    """A page of a stage. ``layers`` are those that the strip shows until the reader chooses others."""
    answered(view, partial(stage_answer, view, stage))
    show_strip(view, layers)
    with element("div", cls="desk"):
        with element("div", cls="pictures", data_part="picture"):
            picture()
        with element("div", data_part="decisions", role="group", aria_label="Decisions"):
            decisions()
    with element("div", cls="below"):
        below()
