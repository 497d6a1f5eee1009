"""The shell around every page: name, way through the job, units, undo and redo, cautions."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from html import escape
from pathlib import Path

from nicegui import app, ui

from slabwright.errors import SlabwrightError
from slabwright.web.access.signed import checked_user
from slabwright.web.pages import Page, pages
from slabwright.web.parts.chart import preload
from slabwright.web.parts.field import entry, pick
from slabwright.web.parts.html import act, element, text
from slabwright.web.parts.live import piece
from slabwright.web.parts.unsent import keep_unsent
from slabwright.web.redraw import Drawing, watch
from slabwright.web.view import View

__all__ = ["draw_page", "shell"]

STYLE = (Path(__file__).parent / "style.css").read_text("utf-8")
MOVED = "moved"
# Back and forward change the address where the page stands: the server hears which section it names.
LISTEN = f"""if (!window.heard) {{ window.heard = true;
  addEventListener("popstate", () => emitEvent("{MOVED}", new URLSearchParams(location.search).get("section") ?? "")); }}"""
CAUTION = (
    "Slabwright assists a licensed engineer and replaces none. Local codes, the agency's standards and a licensed engineer's"
    " judgement govern. Field work beside traffic, concrete dust, wet cement and heavy plant hurt people."
)


@contextmanager
def shell(title: str) -> Iterator[ui.dark_mode]:
    """Style, title and the outer element of a page; gives what makes it dark or light."""
    ui.add_css(STYLE)
    keep_unsent()
    ui.page_title(f"{title[:80]} – Slabwright")
    dark = ui.dark_mode(bool(app.storage.user.get("dark", False)))
    with element("div", cls="shell"):
        yield dark
        text("p", CAUTION, "caution")


async def draw_page(view: View, page: Page) -> None:
    """A page of a road: its frame, and its content as it is now and after every change by any tab."""
    view.name = str(app.storage.user.get("name", ""))
    if page.needs:
        preload()
    with shell(f"{page.title} – {view.road}") as dark:
        ui.link("Skip to the page", "#page").classes("skip")
        with element("div", cls="top"):
            _top(view, page, dark)
        _walk(view, page)
        with element("div", cls="head", id="page", tabindex="-1"):
            text("h1", page.title)
            if page.by_section:
                piece(view, lambda: (view.sections(), view.section), lambda known: _chooser(view, *known))
                piece(view, lambda: (str(view.state.get("no section", "")), view.section), _no_section)
        drawing = Drawing(view, page)
        view.page = page.slug
        ui.on(MOVED, lambda e: view.moved(str(e.args)))
        ui.run_javascript(LISTEN)
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


def _top(view: View, page: Page, dark: ui.dark_mode) -> None:
    ui.link("Roads", "/roads")
    text("span", view.road, "name")
    _alternatives(view, page)
    with element("div", cls="tools", role="group", aria_label="Tools"):
        act("Undo", lambda: view.step("undo"), title="Ctrl+Z", accesskey="z")
        act("Redo", lambda: view.step("redo"), title="Ctrl+Shift+Z")
        piece(view, lambda: (view.system, view.dark), lambda look: _look(view, dark, *look))
        _signature(view)


def _look(view: View, dark: ui.dark_mode, system: str, is_dark: bool) -> None:
    """Units and darkness; both are switched where the page stands, so that nothing typed is lost."""
    other, words = ("metric", "metric") if system == "us" else ("us", "US customary")

    def switch(key: str, value: object) -> None:
        app.storage.user[key] = value
        dark.value = view.dark
        view.take_units()
        view.redraw()

    act(f"Show {words} units", lambda: switch("units", other))
    act("Light" if is_dark else "Dark", lambda: switch("dark", not is_dark))


def _signature(view: View) -> None:
    """Whose name the history will show, and the way out where there is a password."""
    if view.signed.guarded:
        role = "" if view.signed.may_change else ", who may look"
        text("span", f"Signed in as {view.user}{role}", "quiet")
        if view.signed.has_account:
            ui.link("People", "/people")
        leave = '<form method="post" action="/sign-out"><button type="submit" class="act">Sign out</button></form>'
        ui.html(leave, sanitize=False)
        return
    with element("details", cls="group sign"):
        said = text("summary", f"Signed as {view.user}")

        def take(name: str) -> None:
            try:
                view.name = app.storage.user["name"] = checked_user(name)
            except SlabwrightError as refusal:
                ui.notify(str(refusal), type="negative", multi_line=True, timeout=0, close_button="Close")
                return
            said.content = escape(f"Signed as {view.user}")

        entry("Your name in the history", view.user, take, hint="kept in this browser until the workspace is stopped")


def _alternatives(view: View, page: Page) -> None:
    piece(view, view.project.alternatives, lambda names: _alternatives_named(view, page, names))


def _alternatives_named(view: View, page: Page, names: tuple[str, ...]) -> None:
    with element("div", cls="line", role="group", aria_label="Alternatives").style("width: auto"):
        for name in names:
            link = ui.link(name[:40], view.address(page.slug, name))
            if name == view.alternative:
                link.props["aria-current"] = "true"
                link.style("font-weight: 650")


def _chooser(view: View, names: tuple[str, ...], chosen: str) -> None:
    """The section that every figure, table and decision of the page speaks of."""
    if names:
        pick("Section", list(names), chosen, view.choose).props["data-part"] = "section"


def _no_section(content: tuple[str, str]) -> None:
    asked, shown = content
    if asked:
        words = f"This road has no section {asked[:40]} as it is divided now; the page shows {shown}."
        text("p", words, "mend").props["role"] = "status"


def _key(view: View, event: object) -> None:
    action, modifiers, key = event.action, event.modifiers, event.key  # type: ignore[attr-defined]
    if action.keydown and not action.repeat and (modifiers.ctrl or modifiers.meta) and str(key).lower() == "z":
        view.step("redo" if modifiers.shift else "undo")


def _walk(view: View, page: Page) -> None:
    """The way to the other pages, which speak of the same section."""

    def draw(_: str) -> None:
        with element("nav", cls="walk", aria_label="The job"):
            for other in pages():
                link = ui.link(other.title, view.address(other.slug))
                if other.slug == page.slug:
                    link.props["aria-current"] = "page"
            ui.link("Calculations", "/calculations")

    piece(view, lambda: view.section, draw)
