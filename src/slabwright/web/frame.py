"""The shell around every page: name, way through the job, units, undo and redo, cautions."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from nicegui import app, ui

from slabwright.errors import SlabwrightError
from slabwright.web.pages import Page, pages
from slabwright.web.parts.html import act, element, text
from slabwright.web.parts.live import piece
from slabwright.web.redraw import Drawing, watch
from slabwright.web.view import View

__all__ = ["draw_page", "shell"]

STYLE = (Path(__file__).parent / "style.css").read_text("utf-8")
CAUTION = (
    "Slabwright assists a licensed engineer and replaces none. Local codes, the agency's standards and a licensed engineer's"
    " judgement govern. Field work beside traffic, concrete dust, wet cement and heavy plant hurt people."
)


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
    """A page of a road: its frame, and its content as it is now and after every change by any tab."""
    with shell(f"{page.title} – {view.road}"):
        with element("div", cls="top"):
            _top(view, page)
        _walk(view, page)
        text("h1", page.title)
        drawing = Drawing(view, page)
        ui.keyboard(on_key=lambda e: _key(view, e), ignore=["input", "select", "textarea"])
        if _at_once(view, page):
            await drawing.show()
        else:  # long work waits until the browser is there to show its progress
            ui.timer(0.05, drawing.show, once=True)
    watch(view)


def _at_once(view: View, page: Page) -> bool:
    try:
        return not page.needs or view.states().get(page.needs) != "stale"
    except SlabwrightError:
        return True  # the content says what is wrong


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
    piece(view, view.project.alternatives, lambda names: _alternatives_named(view, page, names))


def _alternatives_named(view: View, page: Page, names: tuple[str, ...]) -> None:
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
