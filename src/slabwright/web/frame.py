"""The shell around every page: name, way through the job, units, undo and redo, cautions."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from nicegui import app, ui

from slabwright.errors import SlabwrightError
from slabwright.web.pages import Page, pages
from slabwright.web.parts.html import act, element, text
from slabwright.web.view import View

__all__ = ["draw_page", "shell"]

STYLE = (Path(__file__).parent / "style.css").read_text("utf-8")
CAUTION = (
    "Slabwright assists a licensed engineer and replaces none. Local codes, the agency's standards and a licensed engineer's"
    " judgement govern. Field work beside traffic, concrete dust, wet cement and heavy plant hurt people."
)
CHECK_SECONDS = 0.5


@contextmanager
def shell(title: str) -> Iterator[None]:
    """Style, title and the outer element of a page."""
    ui.add_css(STYLE)
    ui.page_title(f"{title[:80]} – Slabwright")
    ui.dark_mode(bool(app.storage.user.get("dark", False)))
    with element("div", cls="shell"):
        yield
        text("p", CAUTION, "caution")


async def draw_page(view: View, page: Page) -> None:
    """A page of a road: the frame once, its content again after every change by any tab."""
    with shell(f"{page.title} – {view.road}"):
        top = element("div", cls="top")
        _walk(view, page)
        text("h1", page.title)
        content = ui.element("div").style("width: 100%")

        drawing = asyncio.Lock()

        async def fill() -> None:
            async with drawing:  # one drawing at a time, or their pieces would mix
                top.clear()
                with top:
                    _top(view, page)
                content.clear()
                with content:
                    await _content(view, page)

        ui.keyboard(on_key=lambda e: _key(view, e), ignore=["input", "select", "textarea"])
        view.redraw = lambda: asyncio.create_task(fill())
        if _at_once(view, page):
            await fill()
        else:  # long work waits until the browser is there to show its progress
            ui.timer(0.05, fill, once=True)
    _watch(view)


def _at_once(view: View, page: Page) -> bool:
    try:
        return not page.needs or view.states().get(page.needs) != "stale"
    except SlabwrightError:
        return True  # the content says what is wrong


async def _content(view: View, page: Page) -> None:
    try:
        if page.needs and view.states().get(page.needs) == "waiting":
            _what_next(view, page.needs)
            return
        if page.needs and view.states().get(page.needs) != "current" and not await _computed(view, page.needs):
            return
        await page.draw(view)
    except SlabwrightError as refusal:
        text("p", str(refusal), "bad").props["role"] = "alert"


def _what_next(view: View, stage: str) -> None:
    needs = next(s.needs for s in view.computation.states() if s.stage == stage)
    text("p", needs).props["role"] = "status"
    ui.link("Load files", view.address("files"))


async def _computed(view: View, stage: str) -> bool:
    """Progress with a real fraction and a stop button; a stopped run shows no results."""
    with ui.element("div").style("width: 100%") as waiting:
        told = text("p", "Computing")
        told.props["role"] = "status"
        with element("div", cls="bar"):
            filled = ui.element("div").style("width: 0%")
        act("Stop", lambda: setattr(view, "stopped", True))

    def tell(name: str, share: float) -> None:
        told.content = f"Computing {name}: {share:.0%}"
        filled.style(f"width: {share:.0%}")

    done = await view.compute(stage, tell)
    waiting.delete()
    if not done:
        text("p", "Stopped. Results that were not finished are not shown.", "mend").props["role"] = "status"
        act("Compute again", view.redraw)
    return done


def _top(view: View, page: Page) -> None:
    ui.link("Roads", "/roads")
    text("span", view.road, "name")
    _alternatives(view, page)
    act("Undo", lambda: view.step("undo"), title="Ctrl+Z", accesskey="z")
    act("Redo", lambda: view.step("redo"), title="Ctrl+Shift+Z")
    other = "metric" if view.system == "us" else "us"
    act(f"Show {'metric' if other == 'metric' else 'US customary'} units", lambda: _store("units", other))
    act("Light" if view.dark else "Dark", lambda: _store("dark", not view.dark))


def _alternatives(view: View, page: Page) -> None:
    names = view.project.alternatives()
    with element("div", cls="line", role="group", aria_label="Alternatives").style("width: auto"):
        for name in names:
            link = ui.link(name[:40], view.address(page.slug, name))
            if name == view.alternative:
                link.props["aria-current"] = "true"
                link.style("font-weight: 650")


def _store(key: str, value: object) -> None:
    app.storage.user[key] = value
    ui.navigate.reload()


def _key(view: View, event: object) -> None:
    action, modifiers, key = event.action, event.modifiers, event.key  # type: ignore[attr-defined]
    if action.keydown and not action.repeat and (modifiers.ctrl or modifiers.meta) and str(key).lower() == "z":
        view.step("redo" if modifiers.shift else "undo")


def _walk(view: View, page: Page) -> None:
    with element("nav", cls="walk", aria_label="The job"):
        for other in pages():
            link = ui.link(other.title, view.address(other.slug))
            if other.slug == page.slug:
                link.props["aria-current"] = "page"
        ui.link("Calculations", "/calculations")


def _watch(view: View) -> None:
    """Redraw when another tab, the HTTP interface or another program has changed the road."""
    changed = {"told": False}
    client = ui.context.client
    view.office.listen(view.road, id(view), lambda: changed.update(told=True))
    client.on_delete(lambda: view.office.forget(view.road, id(view)))

    def look() -> None:
        try:
            head = view.project.head
        except SlabwrightError as refusal:
            ui.notify(str(refusal), type="negative", multi_line=True)
            timer.deactivate()
            return
        if head != view.head:
            view.head = head
            view.redraw()
        changed["told"] = False

    timer = ui.timer(CHECK_SECONDS, look)
