"""The road strip on a page: switches for its layers, the drawing, and the same data as tables.

The browser says only where the reader dragged or clicked; which records are shown, as what, is decided here. ``state``
belongs to the page: it keeps the chosen layers, the window, the marked stretch and the open table across redraws.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from contextlib import contextmanager
from functools import partial
from typing import TYPE_CHECKING, Any

from nicegui import ui

from slabwright import units
from slabwright.errors import InputError, MissingFact
from slabwright.figures.layer_tables import Held, strip_layers
from slabwright.figures.layers import Layer
from slabwright.figures.road import Road, Window, clamped, moved, road_of, zoomed
from slabwright.records.decisions import Decisions
from slabwright.records.facts import Facts
from slabwright.records.results import StageResult
from slabwright.web.parts.chart import Chart
from slabwright.web.parts.html import act
from slabwright.web.parts.strip import words as strip_words
from slabwright.web.parts.strip.figure import Kept, figure

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["road_strip"]

DEFAULT_LAYERS = ("deflection",)
DRAGS = {"zoom": "zooms in", "pan": "moves along", "select": "marks a stretch"}
ACTS = (
    ("−", "Zoom out", "out"),
    ("+", "Zoom in", "in"),
    ("◀", "Toward begin", "earlier"),
    ("▶", "Toward end", "later"),
    ("Whole road", "Whole road", "whole"),
)
OPENED = ("Stations", "Layers", "As tables")
KEYS = (
    "Road strip drawing. Arrow keys move along, plus and minus zoom, Home shows the whole road, page up and page down choose"
    " the section before and after."
)
NARROWEST, SAME_WIDTH = 240, 24  # pixels: no chart is narrower; a smaller change does not redraw

# Only these few values leave the browser, and only when they are numbers.
ON_RELAYOUT = """(e) => { const a = e?.["xaxis.range[0]"], b = e?.["xaxis.range[1]"];
  if (Number.isFinite(a) && Number.isFinite(b)) emit(a, b); }"""
ON_SELECTED = "(e) => { const r = e?.range?.x; if (r && r.every(Number.isFinite)) emit(r[0], r[1]); }"
ON_CLICK = "(e) => { const p = e?.points?.[0]; if (p && p.data.meta) emit(p.data.meta, p.customdata); }"
ON_OPEN = (
    "(e) => { const b = e.target.closest('button[data-row]'); if (b) emit(b.dataset.table, Number(b.dataset.row)); }"
)
ON_KEY = """(e) => { if (e.target !== e.currentTarget || e.ctrlKey || e.metaKey || e.altKey) return;
  const act = {"+": "in", "=": "in", "-": "out", ArrowLeft: "earlier", ArrowRight: "later", Home: "whole", PageDown: "next", PageUp: "previous"}[e.key];
  if (act) { e.preventDefault(); emit(act); } }"""

CSS = """
.strip { width: 100%; min-width: 0; color: var(--ink, #1b2530); padding-top: .2rem; }
.strip fieldset { padding: .1rem 0 .3rem; margin: 0; min-width: 0; display: flex; flex-wrap: wrap; gap: .1rem 1.1rem; align-items: center; }
.strip .q-checkbox { min-height: 1.75rem; width: auto; gap: 0; }
.strip .q-checkbox__inner--truthy { color: var(--accent, #1f5f8b); } .strip .q-checkbox__svg { color: var(--paper, #fbfaf7); }
.strip legend { font-weight: 600; float: left; margin-right: .6rem; }
.strip-tools { display: flex; gap: .3rem; align-items: center; width: 100%; overflow-x: auto; scrollbar-width: none; padding: 3px 0; }
.strip-tools > * { flex: none; } .strip-tools .gap { width: .6rem; }
.strip-row { display: flex; flex-wrap: wrap; gap: .4rem; align-items: flex-end; padding: .2rem 0 .3rem; }
.strip-chart:focus-visible { outline: 3px solid var(--accent, #1f5f8b); outline-offset: 2px; }
.strip-field { width: 9.5rem; }
.strip-chart { width: 100%; min-width: 0; border-bottom: 1px solid var(--line, #d4dae0); touch-action: pan-y; }
.strip-said { font-size: .88rem; color: var(--muted, #4c5763); margin-left: auto; padding-left: .8rem; white-space: nowrap; }
@media (min-width: 601px) { .strip-tools > .strip-said { flex: 0 1 auto; white-space: normal; text-align: right; } }
.strip-tables { overflow-x: auto; }
.strip table { border-collapse: collapse; font-size: .88rem; margin: 0 0 1rem; width: 100%; }
.strip caption { text-align: left; font-weight: 600; padding: .3rem 0; }
.strip th, .strip td { text-align: left; padding: .2rem .8rem .2rem 0; border-bottom: 1px solid var(--hair, #d4dae0); vertical-align: top; }
.strip td button { border: 1px solid var(--line, #d4dae0); border-radius: 2px; padding: 0 .6rem; min-height: 1.6rem; cursor: pointer; }
.strip td { overflow-wrap: anywhere; min-width: 5rem; }
.strip td:nth-last-child(2) { min-width: 13rem; }
.strip th { font-weight: 400; white-space: nowrap; }
.strip thead th { font-weight: 600; }
.strip-wrong { color: var(--bad, #a3243b); font-weight: 600; }
.strip-none { color: var(--muted, #4c5763); }
"""


def road_strip(
    *,
    facts: Facts,
    results: Mapping[str, StageResult],
    decisions: Decisions,
    system: units.System,
    dark: bool,
    on_window: Callable[[Window | None], None],
    on_record: Callable[[str, int], None],
    on_section: Callable[[str], None],
    section: str,
    state: dict[str, Any],
) -> Callable[[Facts, Mapping[str, StageResult], Decisions, str], None] | None:
    """Draw the road strip where the page stands.

    ``on_window`` is told the marked stretch in m, or None when the mark is cleared; ``on_record`` the table and the row
    of a record that the reader opens; ``on_section`` the section chosen, of which ``section`` is the one at hand. ``state``
    is changed in place. Returns what shows other facts, results, decisions and another section in the same place, None
    where there is no road to draw.
    """
    try:
        road = road_of(facts, results)
    except MissingFact as missing:
        ui.label(f"The road strip appears here once the road is known. {missing}").classes("strip-none")
        return None
    strip = _Strip(road, system, dark, on_window, on_record, on_section, state)
    strip.section = section
    strip.layers = strip_layers(facts, results, decisions, system, strip.held)
    strip.draw()
    return strip.show


class _Strip:
    """One strip on one page; everything that changes is in ``state``."""

    def __init__(
        self,
        road: Road,
        system: units.System,
        dark: bool,
        on_window: Callable[[Window | None], None],
        on_record: Callable[[str, int], None],
        on_section: Callable[[str], None],
        state: dict[str, Any],
    ) -> None:
        self.road, self.system, self.dark = road, system, dark
        self.layers: tuple[Layer, ...] = ()
        self.held: dict[str, Held] = {}
        self.kept: dict[str, Kept] = {}
        self.on_window, self.on_record, self.on_section, self.state = on_window, on_record, on_section, state
        self.section = ""
        fresh: dict[str, Any] = {
            "layers": list(DEFAULT_LAYERS),
            "window": (road.begin, road.end),
            "mark": None,
            "opened": frozenset(),
            "pages": {},
            "drag": "zoom",
            "width": 1200,
        }
        for name, value in fresh.items():
            state.setdefault(name, value)
        begin, end = state["window"]
        state["window"] = clamped(begin, end, road)

    @property
    def chosen(self) -> list[Layer]:
        return [layer for layer in self.layers if layer.name in self.state["layers"]]

    def draw(self) -> None:
        self.box = ui.element("div").style("display: contents")
        with self.box:
            self._fill()

    def show(self, facts: Facts, results: Mapping[str, StageResult], decisions: Decisions, section: str) -> None:
        """The same strip of other facts, results and decisions; its switches are drawn anew when there are others to choose."""
        self.section = section
        before = [(layer.name, len(layer)) for layer in self.layers]
        self.road = road_of(facts, results)
        self.layers = strip_layers(facts, results, decisions, self.system, self.held)
        if before == [(layer.name, len(layer)) for layer in self.layers]:
            self._redraw()
            return
        self.state["window"] = clamped(self.state["window"][0], self.state["window"][1], self.road)
        self.box.clear()
        with self.box:
            self._fill()

    def _fill(self) -> None:
        ui.html(CSS, sanitize=False, tag="style")
        with ui.element("section").classes("strip").props('aria-label="Road strip"'):
            self._tools()
            self.wrong = ui.label().classes("strip-wrong").props("role=alert")
            with ui.element("div").classes("strip-chart").props(f'tabindex=0 role=group aria-label="{KEYS}"') as frame:
                frame.on("keydown", lambda e: self._act(str(e.args)), js_handler=ON_KEY)
                self._chart()
            self.tables = (
                ui
                .element("div")
                .classes("strip-tables")
                .props('role=region tabindex=0 aria-label="Road strip as tables"')
            )
            self.tables.on("click", lambda e: self._open(*e.args), js_handler=ON_OPEN)
        self._redraw()

    # What the reader can touch ---------------------------------------------------------------------------

    def _tools(self) -> None:
        """One row: zoom, move, what dragging does, and what stands behind a press: a stretch by its stations, the layers."""
        with (
            ui.element("div").classes("strip-tools").props('role=group tabindex=0 aria-label="Tools of the road strip"')
        ):
            for sign, words, what in ACTS:
                act(sign, partial(self._act, what), cls="slim", aria_label=words, title=words)
            ui.element("span").classes("gap")
            self.drags = {
                drag: act(words, partial(self._drag, drag), cls="slim", title=f"Dragging over the strip {words}")
                for drag, words in DRAGS.items()
            }
            ui.element("span").classes("gap")
            self.openers = {
                name: act(name, partial(self._turn_over, name), cls="slim", aria_expanded="false") for name in OPENED
            }
            self.clear = act("Clear mark", lambda: self._mark(None), cls="slim")
            self.said = ui.label().classes("strip-said").props("role=status")
        self.boxes = {}
        for name, fill in {"Stations": self._stretch, "Layers": self._switches}.items():
            with ui.element("div").style("width: 100%") as self.boxes[name]:
                fill()
        self._opened()

    def _turn_over(self, name: str) -> None:
        opened = self.state["opened"]
        self.state["opened"] = opened - {name} if name in opened else opened | {name}
        self._opened()
        self._tables()

    def _opened(self) -> None:
        for name, opener in self.openers.items():
            opener.props["aria-expanded"] = str(name in self.state["opened"]).lower()
            opener.update()
        for name, box in self.boxes.items():
            box.set_visibility(name in self.state["opened"])

    def _switches(self) -> None:
        plain = [layer for layer in self.layers if not layer.name.startswith("distress: ")]
        kinds = [layer for layer in self.layers if layer.name.startswith("distress: ")]
        if plain:
            with _fieldset("Layers"):
                for layer in plain:
                    self._switch(layer, layer.title)
        if kinds:
            with _fieldset(f"Distress by kind ({len(kinds)} kinds, {sum(len(k) for k in kinds):,} records)"):
                for layer in kinds:
                    self._switch(layer, f"{layer.title.removeprefix('Distress: ')} ({len(layer):,})")

    def _switch(self, layer: Layer, words: str) -> None:
        box = ui.checkbox(words, value=layer.name in self.state["layers"]).props("dense")
        box.on_value_change(lambda e: self._choose(layer.name, bool(e.value)))

    def _stretch(self) -> None:
        """Fields for the window and the mark."""
        with ui.element("div").classes("strip-row"):
            self.first = ui.input("From station").props("dense outlined stack-label").classes("strip-field")
            self.last = ui.input("To station").props("dense outlined stack-label").classes("strip-field")
            for box in (self.first, self.last):
                box.on("keydown.enter", lambda: self._typed(self._show))
            act("Show stretch", lambda: self._typed(self._show), cls="slim")
            act("Mark stretch", lambda: self._typed(self._mark), cls="slim")

    def _chart(self) -> None:
        self.picture = ui.element("div").style("width: 100%").props("role=img")
        with self.picture:
            self.chart = Chart({}, gestures=True)  # filled with all else below
        self.chart.style("width: 100%; height: 100%")
        width = f"() => emit(getHtmlElement({self.chart.id}).clientWidth)"
        self.chart.on(
            "plotly_relayout",
            lambda e: self._show(tuple(e.args)),
            js_handler=ON_RELAYOUT,
            throttle=0.15,
            leading_events=False,
        )
        self.chart.on("plotly_selected", lambda e: self._mark(tuple(e.args)), js_handler=ON_SELECTED)
        self.chart.on("plotly_click", lambda e: self._clicked(*e.args), js_handler=ON_CLICK)
        self.chart.on("plotly_doubleclick", lambda: self._act("whole"), js_handler="() => emit()")
        self.chart.on("plotly_afterplot", lambda e: self._measured(e.args), js_handler=width, throttle=0.3)

    # What follows from it --------------------------------------------------------------------------------

    def _choose(self, name: str, on: bool) -> None:
        others = [n for n in self.state["layers"] if n != name]
        self.state["layers"] = [*others, name] if on else others
        self._redraw()

    def _act(self, act: str) -> None:
        window: Window = self.state["window"]
        windows = {
            "in": zoomed(window, 2, self.road),
            "out": zoomed(window, 0.5, self.road),
            "earlier": moved(window, -0.5, self.road),
            "later": moved(window, 0.5, self.road),
            "whole": (self.road.begin, self.road.end),
        }
        if act in windows:
            self._show(windows[act])
        elif act in ("next", "previous"):
            names = [s.name for s in self.road.sections]
            place = names.index(self.section) if self.section in names else 0
            self._chosen(names[(place + (1 if act == "next" else -1)) % len(names)] if names else "")

    def _chosen(self, name: str) -> None:
        """Choose a section; the page draws the strip again where it is another one."""
        if name:
            self.on_section(name)

    def _show(self, window: Window) -> None:
        self.state["window"], self.state["pages"] = clamped(window[0], window[1], self.road), {}
        self._redraw()

    def _mark(self, mark: Window | None) -> None:
        self.state["mark"] = None if mark is None else clamped(mark[0], mark[1], self.road)
        self._redraw()
        self.on_window(self.state["mark"])

    def _typed(self, use: Callable[[Window], None]) -> None:
        """Use the stretch in the fields, or say what is wrong with it."""
        wrong: list[str] = []
        ends = [self._station(box, wrong) for box in (self.first, self.last)]
        self.wrong.set_text(" ".join(wrong))
        if not wrong:
            use((ends[0], ends[1]))

    def _station(self, box: ui.input, wrong: list[str]) -> float:
        """The station in a field, NaN with a sentence added to ``wrong`` where it holds none."""
        try:
            return units.parse_station(str(box.value or ""), self.system)
        except InputError as problem:
            example = units.format_station(self.road.begin, self.system)
            wrong.append(f"{box.label}: {problem} Write a station such as {example}.")
            return math.nan

    def _drag(self, drag: str) -> None:
        self.state["drag"] = drag if drag in DRAGS else "zoom"
        self._redraw()

    def _clicked(self, table: object, what: object) -> None:
        """A section is chosen, a bin is zoomed into, any other record opens."""
        places = {(s.table, s.row): s.name for s in self.road.sections}
        if isinstance(what, int) and (table, what) in places:
            self._chosen(places[str(table), what])
        elif table == "zoom" and isinstance(what, list) and len(what) == 2:
            self._show((float(what[0]), float(what[1])))
        else:
            self._open(table, what)

    def _open(self, table: object, row: object) -> None:
        known = {layer.table for layer in self.layers} | {"verdicts", "sections", "bridges", "ramps"}
        if table in known and isinstance(row, (int, float)) and row >= 0 and row == int(row):
            self.on_record(str(table), int(row))

    def _measured(self, width: object) -> None:
        """The chart learned its width: words and ticks are chosen for it."""
        wide = max(int(width), NARROWEST) if isinstance(width, (int, float)) and width > 0 else self.state["width"]
        if abs(wide - self.state["width"]) > SAME_WIDTH:
            self.state["width"] = wide
            self._redraw()

    def _turn(self, name: str, by: int) -> None:
        self.state["pages"][name] = self.state["pages"].get(name, 0) + by
        self._tables()

    # Drawing anew ----------------------------------------------------------------------------------------

    def _figure(self) -> dict[str, Any]:
        s = self.state
        return figure(
            self.chosen,
            self.road,
            s["window"],
            self.system,
            self.dark,
            width=s["width"],
            mark=s["mark"],
            section=self.section,
            drag=s["drag"],
            kept=self.kept,
        )

    def _redraw(self) -> None:
        window, mark = self.state["window"], self.state["mark"]
        drawn = self._figure()
        self.picture.style(f"height: {drawn['layout']['height']}px")
        self.picture.props["aria-label"] = strip_words.summary(self.chosen, self.road, window, self.system)
        self.chart.show(drawn)
        self.first.value, self.last.value = (units.format_station(x, self.system) for x in window)
        self.wrong.set_text("")
        self.clear.set_visibility(mark is not None)
        for drag, button in self.drags.items():
            button.props["aria-pressed"] = str(drag == self.state["drag"]).lower()
            button.update()
        marked = f" Marked: {strip_words.extent(mark[0], mark[1], self.system)}." if mark else ""
        length = units.format_quantity(window[1] - window[0], "length", self.system)
        self.said.set_text(f"Shown: {strip_words.extent(window[0], window[1], self.system)}, {length}.{marked}")
        self._tables()

    def _tables(self) -> None:
        self.tables.clear()
        self.tables.set_visibility("As tables" in self.state["opened"])
        if "As tables" not in self.state["opened"]:
            return
        with self.tables:
            ui.html(strip_words.road_tables(self.road, self.state["window"], self.system), sanitize=False)
            for layer in self.chosen:
                self._layer_table(layer)

    def _layer_table(self, layer: Layer) -> None:
        last = strip_words.pages(layer, self.state["window"]) - 1
        page = min(max(self.state["pages"].get(layer.name, 0), 0), last)
        self.state["pages"][layer.name] = page
        ui.html(strip_words.layer_table(layer, self.state["window"], self.system, page), sanitize=False)
        if last:
            with ui.element("div").classes("strip-row"):
                back = act(f"Back: {layer.full_title}", lambda: self._turn(layer.name, -1), cls="slim")
                on = act(f"Onward: {layer.full_title}", lambda: self._turn(layer.name, 1), cls="slim")
                for button, able in ((back, page > 0), (on, page < last)):
                    if not able:
                        button.props["disabled"] = True


@contextmanager
def _fieldset(words: str) -> Iterator[None]:
    with ui.element("fieldset"):
        with ui.element("legend"):
            ui.label(words).style("display: inline")
        yield
