"""A plotly drawing that is drawn in the browser only while it can be seen."""

from __future__ import annotations

from typing import Any

import nicegui.elements.plotly.plotly  # noqa: F401  registers the bundled library that chart.js draws with
from nicegui import __version__, json, ui
from nicegui.dependencies import esm_modules
from nicegui.element import Element

__all__ = ["Chart", "amendment", "preload"]

Figure = dict[str, Any]


def preload() -> None:
    """Have the browser fetch and read the library while it still puts the page together."""
    module = next(key for key, module in esm_modules.items() if module.name == "nicegui-plotly")
    ui.add_head_html(f'<link rel="modulepreload" href="/_nicegui/{__version__}/esm/{module}/index.js">')


class Chart(Element, component="chart.js"):
    """``figure`` holds plotly's data, layout and config. Of a later figure only what differs goes to the browser.

    Give it no attribute that changes: a changed attribute sends the element with its whole figure again.
    """

    def __init__(self, figure: Figure, *, gestures: bool = False) -> None:
        """With ``gestures`` wheel and pinch zoom along x, within the range that the axis allows."""
        super().__init__()
        self.figure = figure
        self._props["gestures"] = gestures
        self._props["figure"] = json.dumps(figure)

    def show(self, figure: Figure) -> None:
        """Draw another figure in its place."""
        changed = amendment(self.figure, figure)
        if changed:
            self.figure = figure
            with self._props.suspend_updates():
                self._props["figure"] = json.dumps(figure)
            self.run_method("amend", json.dumps(changed))

    def save(self, kind: str, name: str) -> None:
        """Give the reader the drawing as a file: "png" or "svg"."""
        self.run_method("save", kind, name)


def amendment(old: Figure, new: Figure) -> Figure:
    """What makes the new figure of the old one: traces by their number, how many there are, and entries of the layout."""
    before, after = old.get("data", []), new.get("data", [])
    traces = {i: trace for i, trace in enumerate(after) if i >= len(before) or trace != before[i]}
    layout, known = new.get("layout", {}), old.get("layout", {})
    entries = {key: layout.get(key) for key in {*layout, *known} if layout.get(key) != known.get(key)}
    if not traces and not entries and len(before) == len(after):
        return {}
    return {"count": len(after), "data": traces, "layout": entries, "config": new.get("config", {})}
