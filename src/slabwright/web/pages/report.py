"""Report: preview, download and exports."""

from __future__ import annotations

from urllib.parse import quote, urlencode

from nicegui import ui

from slabwright.web.pages import Page
from slabwright.web.parts.html import act, element, text
from slabwright.web.view import View

__all__ = ["PAGE"]

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
    base = f"/api/roads/{quote(view.road)}"
    query = urlencode({"alternative": view.alternative, "units": view.system})
    report = f"{base}/report.pdf?{query}"
    with element("div", cls="line"):
        download = ui.link("Download the report (PDF)", report).props("download").classes("act main")
        download.on("click", lambda: view.project.mark_report(f"{view.road}.pdf"), args=[])
        for kind, title in EXPORTS.items():
            ui.link(title, f"{base}/export/{kind}?{query}").props("download").classes("act")
    shown = ui.element("div").style("width: 100%")

    def preview() -> None:
        shown.clear()
        with shown:
            frame = ui.element("iframe").style("width: 100%; height: 80vh; border: 1px solid var(--line)")
            frame.props.update({"src": f"{report}&inline=true", "title": "Preview of the report"})

    act("Preview here", preview)


PAGE = Page("report", "Report", 900, draw, needs="design")
