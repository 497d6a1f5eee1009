"""Report: preview, download and exports."""

from __future__ import annotations

from urllib.parse import quote, urlencode

from nicegui import ui

from slabwright.web.answers import Answer
from slabwright.web.pages import Page
from slabwright.web.parts.field import entry
from slabwright.web.parts.html import act, element
from slabwright.web.parts.layout import answered
from slabwright.web.view import View

__all__ = ["PAGE"]

LONGEST_NAME = 80
EXPORTS = {"xlsx": "Quantities (workbook)", "gpkg": "Map layers (GeoPackage)", "dxf": "Plan sheets (DXF)"}


async def draw(view: View) -> None:
    answered(view, lambda: _answer(view))
    with element("div").style("max-width: 24rem"):
        entry(
            "Name of the engineer who signs",
            _engineer(view),
            lambda words: signed(words),
            hint=f"up to {LONGEST_NAME} letters",
        )
    links = ui.element("div").style("width: 100%")
    shown = ui.element("div").style("width: 100%")

    def signed(words: str) -> None:
        view.state["engineer"] = words.strip()[:LONGEST_NAME]
        links.clear()
        with links:
            _links(view)

    signed(_engineer(view))

    def preview() -> None:
        shown.clear()
        with shown:
            frame = ui.element("iframe").style("width: 100%; height: 80vh; border: 1px solid var(--line)")
            frame.props.update({"src": f"{_address(view, 'report')}&inline=true", "title": "Preview of the report"})

    act("Preview here", preview)


def _answer(view: View) -> Answer:
    """Whether the report is still as the project is, and what has changed since."""
    since = view.project.changes_since_report()
    if since is None:
        return Answer("No report has been taken out yet. It is made anew from the project each time.")
    made = [f"{c.what} ({c.user}, {c.time:%Y-%m-%d %H:%M} UTC)" for c in (*since.made, *since.undone)]
    count = len(made) + len(since.taken_back)
    said = "Nothing has changed" if not count else f"{count} change{'' if count == 1 else 's'}"
    which = f", alternative {since.alternative}" if since.alternative else ""
    return Answer(f"{said} since the report of {since.time:%Y-%m-%d %H:%M} UTC by {since.user}{which}.", tuple(made))


def _engineer(view: View) -> str:
    return str(view.state.get("engineer", ""))


def _address(view: View, part: str) -> str:
    query = urlencode({"alternative": view.alternative, "units": view.system, "engineer": _engineer(view)})
    return f"/api/roads/{quote(view.road)}/{part}.pdf?{query}"


def _links(view: View) -> None:
    """Downloads of both documents and of the exports."""
    query = urlencode({"alternative": view.alternative, "units": view.system})
    with element("div", cls="line"):
        taken = f"{_address(view, 'report')}&{urlencode({'ticket': view.office.ticket(view.signed)})}"
        ui.link("Download the report (PDF)", taken).props("download").classes("act main")
        ui.link("Download its appendix (PDF)", _address(view, "appendix")).props("download").classes("act")
        for kind, title in EXPORTS.items():
            address = f"/api/roads/{quote(view.road)}/export/{kind}?{query}"
            ui.link(title, address).props("download").classes("act")


PAGE = Page("report", "Report", 900, draw, needs="design")
