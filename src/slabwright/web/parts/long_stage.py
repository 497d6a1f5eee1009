"""A stage that takes minutes, on a page: begun by a button, watched and stopped, its results shown only while current."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from nicegui import ui

from slabwright.web.long_work import Work
from slabwright.web.parts.html import act, element, text
from slabwright.web.parts.live import piece
from slabwright.web.parts.meant import meant
from slabwright.web.view import View

__all__ = ["LongStage", "long_stage"]

LOOK_SECONDS = 0.5
OTHER = "What is being computed is for other decisions than those shown here; its result is kept for when they return."


@dataclass(frozen=True)
class LongStage:
    """What a page says of a long stage before it is computed: what it answers, how long it takes, what it may lack."""

    stage: str
    answers: str
    takes: str
    lacking: str = "Load files"


Shown = tuple[str, str, tuple[tuple[int, str, bool, bool], ...]]


def long_stage(view: View, about: LongStage, draw: Callable[[], Any]) -> None:
    """The results of a long stage by ``draw`` while they are current; else what it is, and the way to them."""
    bars: dict[int, _Bar] = {}
    last: dict[str, Shown] = {}

    def read() -> Shown:
        state = next(s for s in view.computation.states() if s.stage == about.stage)
        last["seen"] = state.state, state.needs, _works(view, about.stage)
        return last["seen"]

    def show(content: Shown) -> None:
        bars.clear()
        state, needs, _ = content
        for work in _under_way(view, about.stage):
            bars[work.number] = _Bar(view, work, ours=_key(view, about.stage) == work.key)
        if state == "current":
            draw()
        elif state == "waiting":
            _waiting(view, about, needs)
        elif not any(bar.ours for bar in bars.values()):
            _offer(view, about)

    def look() -> None:
        """Other tabs begin and stop the work too."""
        for bar in bars.values():
            bar.show()
        if last["seen"][2] != _works(view, about.stage):
            view.refresh()

    piece(view, read, show)
    ui.timer(LOOK_SECONDS, look)


def _key(view: View, stage: str) -> str:
    return view.computation.key(stage)


def _works(view: View, stage: str) -> tuple[tuple[int, str, bool, bool], ...]:
    """What makes the panel another one: number and phase of each work, whether it ends, and whether it is for this state."""
    key = _key(view, stage)
    return tuple((w.number, w.phase, w.stopping, w.key == key) for w in view.office.long_work.of(view.road, stage))


def _under_way(view: View, stage: str) -> list[Work]:
    return [w for w in view.office.long_work.of(view.road, stage) if w.under_way]


def _waiting(view: View, about: LongStage, needs: str) -> None:
    with element("div", cls="panel"):
        text("h2", "Not computed yet")
        text("p", about.answers)
        text("p", meant(needs), "mend").props["role"] = "status"
        ui.link(about.lacking, view.address("files"))


def _offer(view: View, about: LongStage) -> None:
    """What the stage answers, how its last run ended, and the button that begins it."""

    def begin() -> None:
        view.office.long_work.begin(view.road, view.computation, about.stage)
        view.refresh()

    last = next((w for w in view.office.long_work.of(view.road, about.stage) if w.key == _key(view, about.stage)), None)
    with element("div", cls="panel"):
        text("h2", "Not computed for the road as it is now")
        if old := view.outdated(about.stage):
            text("p", old, "mend").props["role"] = "status"
        text("p", about.answers)
        text("p", about.takes, "quiet")
        if last is not None and last.phase == "stopped":
            text("p", "Stopped. Nothing half done was kept.", "mend").props["role"] = "status"
        if last is not None and last.phase == "failed":
            text("p", meant(last.sentence), "bad").props["role"] = "alert"
        act("Begin", begin, main=True)


class _Bar:
    """How far one work is, for how long it has run, and the button that stops it."""

    def __init__(self, view: View, work: Work, *, ours: bool) -> None:
        self.view, self.work, self.ours = view, work, ours
        with element("div", cls="panel"):
            text("h2", f"Computing {work.stage}")
            self.words = text("p", "")
            with element("div", cls="bar", role="progressbar", aria_label=f"Computing {work.stage}") as self.bar:
                self.filled = ui.element("div")
            if not ours:
                text("p", OTHER, "mend")
            self.button = act("Stop", self._stop)
        self.show()

    def show(self) -> None:
        self.words.content = self._told()
        self.filled.style(f"width: {self.work.share:.0%}")
        self.bar.props["aria-valuenow"] = f"{100 * self.work.share:.0f}"
        self.bar.update()

    def _told(self) -> str:
        if self.work.stopping:
            return "Stopping"
        if self.work.phase == "waiting":
            return "Waiting for other long work to end"
        minutes, seconds = divmod(round(self.work.seconds), 60)
        return f"{self.work.share:.0%} done after {minutes} min {seconds} s"

    def _stop(self) -> None:
        self.view.office.long_work.stop(self.work)
        self.button.props["disabled"] = True
        self.button.update()
        self.show()
