"""The content of a page in one tab: drawn once, then kept up with the road, with progress on long work.

A live page is made of pieces (``parts.live``), and a change reaches only those that show it; any other page is drawn
anew as a whole.
"""

from __future__ import annotations

import asyncio
from contextlib import suppress
from contextvars import copy_context

from nicegui import background_tasks, ui

from slabwright.errors import SlabwrightError
from slabwright.stages import plan
from slabwright.web.pages import Page
from slabwright.web.parts.choices import decision_form
from slabwright.web.parts.html import act, element, text
from slabwright.web.parts.lead import lead
from slabwright.web.parts.meant import meant
from slabwright.web.view import View

__all__ = ["Drawing", "watch"]

CHECK_SECONDS = 1.0  # how often another program's change of the file is looked for
SOON = 0.3  # seconds that work may take before its progress is shown


class Drawing:
    """The place on the page where the content stands, and how it gets there."""

    def __init__(self, view: View, page: Page) -> None:
        self.view, self.page = view, page
        self.frame, view.pieces = view.pieces, []  # pieces around the content, which stay whatever becomes of it
        self.progress = ui.element("div").style("width: 100%")
        self.content = ui.element("div").style("width: 100%")
        self.stands = False  # whether the content is what the page drew, and not a sentence in its place
        self._due = self._whole = self._running = self._gone = False
        ui.context.client.on_delete(self._go)
        view.redraw = lambda: self.ask(whole=True)
        view.refresh = lambda: self.ask(whole=not page.live)

    def ask(self, *, whole: bool) -> None:
        """Have the page shown as it is now, soon; what is asked while it is being shown is done once, afterwards."""
        self._due, self._whole = True, self._whole or whole
        if not self._running:
            self._running = True
            background_tasks.create(self._run(), name=f"drawing of {self.page.slug}")

    async def _run(self) -> None:
        try:
            while self._due and not self._gone:
                whole, self._due, self._whole = self._whole, False, False
                await self.show(whole=whole)
        finally:
            self._running = False
            if self._due and not self._gone:  # a defect in one drawing must not stop those after it
                self.ask(whole=True)

    def _go(self) -> None:
        self._gone = True

    async def show(self, *, whole: bool = True) -> None:
        """Compute what is stale and show it, whole or where it differs; then what stands open beside it."""
        await self._shown(whole=whole)
        if not self._gone:
            with self.content, self.view.still(), suppress(SlabwrightError):  # the page says what is wrong
                self.view.aside()

    async def _shown(self, *, whole: bool) -> None:
        try:
            self.view.look_again()
            self._around()
        except SlabwrightError as refusal:
            self._say(meant(str(refusal)), "bad", "alert")
            return
        try:
            if (not self.page.needs or await self._ready(self.page.needs)) and not self._gone:
                await self._drawn(whole=whole)
        except SlabwrightError as refusal:
            self._say(meant(str(refusal)), "bad", "alert")
            self._ways_out()

    def _around(self) -> None:
        """Have what stands around the content follow: the list of sections, the way to other pages."""
        with self.content, self.view.still():
            if self.page.by_section:
                self.view.settle_section()
            for piece in self.frame:
                piece.refresh()

    async def _drawn(self, *, whole: bool) -> None:
        if self.stands and not whole:
            with self.content, self.view.still():
                for piece in list(self.view.pieces):
                    piece.refresh()
            return
        self._clear()
        with self.content, self.view.still():
            await self.page.draw(self.view)
        self.stands = True

    async def _ready(self, stage: str) -> bool:
        """Whether the results of the stage are at hand, after computing what is stale; else the page says why not."""
        state = self.view.states().get(stage)
        if state == "current":
            return True
        if state == "waiting":
            self._clear()
            with self.content:
                lead(self.view)
            return False
        if await self._computed(stage):
            self._around()
            return True
        self._say("Stopped. Results that were not finished are not shown.", "mend", "status")
        with self.content:
            act("Compute again", self.view.redraw)
        return False

    async def _computed(self, stage: str) -> bool:
        """Compute off the event loop; work that takes a while shows a real fraction and a stop button."""
        told = ("", 0.0)
        loop = asyncio.get_running_loop()

        def show() -> None:
            with self.progress:
                bar.append(_Bar(self.view, after_change=self.stands))
            bar[0].tell(*told)

        def tell(name: str, share: float) -> None:
            nonlocal told
            told = name, share
            for shown in bar:
                shown.tell(name, share)

        bar: list[_Bar] = []
        waiting = loop.call_later(SOON if self.stands else 0.0, show)
        try:
            return await self.view.compute(stage, tell)
        finally:
            waiting.cancel()
            self.progress.clear()

    def _say(self, sentence: str, cls: str, role: str) -> None:
        """A sentence in place of the content."""
        self._clear()
        with self.content:
            text("p", sentence, cls).props["role"] = role

    def _ways_out(self) -> None:
        """What was decided can be decided otherwise where a stage refuses it: the decisions up to the page's stage."""
        stages = plan(self.page.needs) if self.page.needs else ()
        groups = tuple(dict.fromkeys(g for stage in stages for g in stage.decisions))
        if not groups:
            return
        last = (self.view.before.name,) if self.view.before else ()
        with self.content, element("div", data_part="decisions", role="group", aria_label="Decisions"):
            decision_form(self.view, *groups, first=last)

    def _clear(self) -> None:
        self.stands = False
        self.content.clear()
        self.view.pieces = []


class _Bar:
    """How far the work is, and a button that stops it."""

    def __init__(self, view: View, *, after_change: bool) -> None:
        self.words = text("p", "Computing")
        self.words.props["role"] = "status"
        with element("div", cls="bar"):
            self.filled = ui.element("div").style("width: 0%")
        self.view = view
        self.button = act("Stop", self.stop)
        if after_change:
            text("p", "What is shown below is from before the change.", "mend")

    def stop(self) -> None:
        self.view.stopped = True
        self.button.props["disabled"] = True
        self.button.update()
        self.words.content = "Stopping when this stage is done"

    def tell(self, name: str, share: float) -> None:
        self.words.content = f"Computing {name}: {share:.0%}"
        self.filled.style(f"width: {share:.0%}")


def watch(view: View) -> None:
    """Refresh when another tab or the HTTP interface has changed the road, at once, or another program, soon."""
    client, loop = ui.context.client, asyncio.get_running_loop()
    asked = {"head": view.head}

    def look() -> None:
        try:
            head = view.project.head
        except SlabwrightError as refusal:
            timer.deactivate()
            with client:
                ui.notify(str(refusal), type="negative", multi_line=True)
            return
        if head not in (view.head, asked["head"]):
            view.refresh()
        asked["head"] = head

    here = copy_context()  # whoever makes a change, this page is drawn for its own reader: units, session, name

    def hear() -> None:
        loop.call_soon_threadsafe(look, context=here)  # the interface works in threads of its own

    timer = ui.timer(CHECK_SECONDS, look)
    view.office.listen(view.road, id(view), hear)
    client.on_delete(lambda: view.office.forget(view.road, id(view)))
