"""Report: preview, download and exports."""

from __future__ import annotations

from urllib.parse import quote, urlencode

from nicegui import ui

from slabwright.web.pages import Page
from slabwright.web.parts.html import act, element, text
from slabwright.web.view import View

__all__ = ["PAGE"]

LONGEST_NAME = 80
EXPORTS = {"xlsx": "Quantities (workbook)", "gpkg": "Map layers (GeoPackage)", "dxf": "Plan sheets (DXF)"}


async def draw(view: View) -> None:
    since = view.project.changes_since_report()
    if since is not None:
        changed = len(since.made) + len(since.undone) + len(since.taken_back)
        said = "Nothing has changed" if changed == 0 else f"{changed} changes"
        text("p", f"{said} since the report of {since.time:%Y-%m-%d %H:%M} UTC by {since.user}.")
        if changed:
            with element("ul"):
                for change in (*since.made, *since.undone):
                    text("li", f"{change.what} ({change.user}, {change.time:%Y-%m-%d %H:%M})")
    name = ui.input("Name of the engineer who signs", value=_engineer(view))
    name.props(f"dense outlined stack-label maxlength={LONGEST_NAME}").style("max-width: 24rem")
    links = ui.element("div").style("width: 100%")
    shown = ui.element("div").style("width: 100%")

    def signed() -> None:
        view.state["engineer"] = (name.value or "").strip()
        links.clear()
        with links:
            _links(view)

    name.on_value_change(signed)
    signed()

    def preview() -> None:
        shown.clear()
        with shown:
            frame = ui.element("iframe").style("width: 100%; height: 80vh; border: 1px solid var(--line)")
            frame.props.update({"src": f"{_address(view, 'report')}&inline=true", "title": "Preview of the report"})

    act("Preview here", preview)


def _engineer(view: View) -> str:
    return str(view.state.get("engineer", ""))


def _address(view: View, part: str) -> str:
    query = urlencode({"alternative": view.alternative, "units": view.system, "engineer": _engineer(view)})
    return f"/api/roads/{quote(view.road)}/{part}.pdf?{query}"


def _links(view: View) -> None:
    """Downloads of both documents and of the exports."""
    query = urlencode({"alternative": view.alternative, "units": view.system})
    with element("div", cls="line"):
        download = ui.link("Download the report (PDF)", _address(view, "report"))
        download.props("download").classes("act main")
        download.on("click", lambda: view.project.mark_report(f"{view.road}.pdf"), args=[])
        ui.link("Download its appendix (PDF)", _address(view, "appendix")).props("download").classes("act")
        for kind, title in EXPORTS.items():
            address = f"/api/roads/{quote(view.road)}/export/{kind}?{query}"
            ui.link(title, address).props("download").classes("act")


PAGE = Page("report", "Report", 900, draw, needs="design")
