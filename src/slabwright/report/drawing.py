"""Plan sheets of repairs and joints as a DXF drawing.

The road is unrolled: x is the station, y the offset from the median, in feet or metres. Where the project has an alignment the
road lies on the map, in the metres of its coordinate system. Model space holds the whole
road; each paper sheet shows one stretch of it, the stations going to the right. Layer names follow the pattern of the national CAD standard
(discipline, major group, minor group).
"""

from __future__ import annotations

import io
import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
from ezdxf import units as drawing_units
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new

from slabwright import units
from slabwright.errors import MissingFact
from slabwright.records.facts import Facts
from slabwright.records.results import StageResult
from slabwright.records.words import CRACK, FULL, PARTIAL, TRANSFER, VOID
from slabwright.report.files import write_whole
from slabwright.report.placing import Placing, placing_of
from slabwright.roadway.joints import joints_of_road
from slabwright.roadway.places import lane_width, road_limits

__all__ = ["LAYERS", "write_drawing"]

MEDIAN_HALF = 2.0
STRIP_LENGTH = 152.4  # m in one strip: 500 ft
SHEET_LENGTH = 2 * STRIP_LENGTH
STEP = 5.0  # m between the points of a line along an alignment
BEYOND = 0.05  # of a strip, shown on at each end so that what stands there is whole
NUMBER, LABEL = 1.1, 1.2  # m, heights of text: about 0.1 in on a sheet
LEAST_LABELLED = 30.0  # m of a section on a strip that has room for its name
# Colours that stand out on white and on black: the first is the paper's opposite.
LAYERS: dict[str, tuple[int, str]] = {
    "C-ROAD-EDGE": (7, "edges of lanes"),
    "C-ROAD-STAN": (7, "stations"),
    "C-ROAD-SECT": (6, "section boundaries"),
    "C-PVMT-JNTS": (7, "joints of the old slab, surveyed"),
    "C-PVMT-JNTA": (8, "joints assumed by their spacing, not surveyed"),
    "C-PVMT-FULL": (1, "full-depth repair"),
    "C-PVMT-PART": (32, "partial-depth repair"),
    "C-PVMT-CRCK": (150, "crack routed and filled"),
    "C-PVMT-VOID": (94, "slab stabilised"),
    "C-PVMT-LOAD": (134, "load transfer restored"),
    "C-BRDG-OTLN": (54, "bridges"),
    "C-ANNO-TEXT": (7, "text"),
}
REPAIR_LAYERS = {
    FULL: ("C-PVMT-FULL", "ANSI31"),
    PARTIAL: ("C-PVMT-PART", "ANSI37"),
    CRACK: ("C-PVMT-CRCK", ""),
    VOID: ("C-PVMT-VOID", ""),
    TRANSFER: ("C-PVMT-LOAD", ""),
}
DASHED = ("C-PVMT-JNTA",)
NOTE = "PREPARED TO ASSIST A LICENSED ENGINEER. VERIFY ALL REPAIRS IN THE FIELD BEFORE WORK."


def write_drawing(path: Path, *, facts: Facts, results: Mapping[str, StageResult], system: units.System) -> None:
    """Write the drawing whole or not at all. Raises MissingFact without lanes, InputError for an alignment
    without a coordinate system."""
    if facts.lanes.empty:
        raise MissingFact("plan sheets need the table 'lanes', which is empty", remedy="Load a file that holds it.")
    document = new("R2010", setup=True)
    place = placing_of(facts, system)
    in_feet = place.linear and system == "us"
    document.units = drawing_units.FT if in_feet else drawing_units.M
    for name, (colour, meaning) in LAYERS.items():
        pattern = "DASHED" if name in DASHED else "CONTINUOUS"
        document.layers.add(name, color=colour, linetype=pattern).description = meaning
    document.header["$LTSCALE"], document.header["$PSLTSCALE"] = (3.0 if in_feet else 1.0), 0
    plan = _Plan(document.modelspace(), facts, system, place)
    plan.road()
    plan.joints(joints_of_road(facts, results["evaluation"].tables["condition"]))
    plan.sections(results["design"].tables["thicknesses"])
    plan.repairs(results["repair"].tables["repairs"])
    _sheets(document, plan)
    stream = io.StringIO()
    document.write(stream)
    write_whole(path, stream.getvalue().encode("utf-8"), "dxf")


class _Plan:
    """The road in model space, unrolled or along its alignment; lengths come in metres."""

    def __init__(self, space: Any, facts: Facts, system: units.System, place: Placing) -> None:
        self.space, self.facts, self.system, self.place = space, facts, system, place
        self.scale = 1 / place.unit if place.linear else 1.0
        self.begin, self.end = road_limits(facts)
        self.strips = self._lane_strips()
        self.low = min(low for low, _ in self.strips.values())
        self.high = max(high for _, high in self.strips.values())

    def _lane_strips(self) -> dict[str, tuple[float, float]]:
        """Lower and upper offset of each lane, up the sheet for travel against the stationing. [m]"""
        strips = {}
        for lane in self.facts.lanes.itertuples(index=False):
            width = lane_width(self.facts, lane.lane)
            near, far = MEDIAN_HALF + (lane.position - 1) * width, MEDIAN_HALF + lane.position * width
            strips[lane.lane] = (near, far) if lane.direction == "against stationing" else (-far, -near)
        return strips

    def at(self, station: float, offset: float) -> tuple[float, float]:
        """A place in model space; offsets go up the sheet, to the left of increasing stations. [m]"""
        x, y = self.place.points(np.array([station]), np.array([-offset]))[0]
        return float(x), float(y)

    def turned(self, station: float) -> float:
        """Direction of increasing stations, anticlockwise from the x axis. [degrees]"""
        return math.degrees(float(self.place.bearing(np.array([station]))[0]))

    def along(self, begin: float, end: float, offset: float) -> list[tuple[float, float]]:
        """Points of a line beside the road, as many as its bends ask for."""
        pieces = 1 if self.place.linear else max(1, math.ceil(abs(end - begin) / STEP))
        return [self.at(station, offset) for station in np.linspace(begin, end, pieces + 1)]

    def line(self, layer: str, one: tuple[float, float], two: tuple[float, float]) -> None:
        if one[0] == two[0]:
            self.space.add_line(self.at(*one), self.at(*two), dxfattribs={"layer": layer})
        else:
            self.space.add_lwpolyline(self.along(one[0], two[0], one[1]), dxfattribs={"layer": layer})

    def text(
        self,
        text: str,
        station: float,
        offset: float,
        height: float = 0.9,
        layer: str = "C-ANNO-TEXT",
        align: TextEntityAlignment = TextEntityAlignment.MIDDLE_CENTER,
    ) -> None:
        clean = "".join(c for c in text if c.isprintable())[:120]
        attributes = {"layer": layer, "rotation": self.turned(station)}
        entity = self.space.add_text(clean, height=height * self.scale, dxfattribs=attributes)
        entity.set_placement(self.at(station, offset), align=align)

    def box(self, layer: str, begin: float, end: float, low: float, high: float, pattern: str = "") -> None:
        corners = [*self.along(begin, end, low), *self.along(end, begin, high)]
        self.space.add_lwpolyline(corners, close=True, dxfattribs={"layer": layer})
        if pattern:
            hatch = self.space.add_hatch(dxfattribs={"layer": layer})
            hatch.set_pattern_fill(pattern, scale=0.3 * self.scale)
            hatch.paths.add_polyline_path(corners, is_closed=True)

    def road(self) -> None:
        for lane, (low, high) in self.strips.items():
            for offset in (low, high):
                self.line("C-ROAD-EDGE", (self.begin, offset), (self.end, offset))
            for station in np.arange(self.begin + STRIP_LENGTH / 2, self.end, STRIP_LENGTH):
                self.text(f"LANE {lane}", station, low + 0.8, height=0.8)
        step = 100 * units.FOOT if self.system == "us" else 20.0
        for station in np.arange(math.ceil(self.begin / step) * step, self.end + 1e-6, step):
            self.line("C-ROAD-STAN", (station, self.low - 1.0), (station, self.low))
            self.text(units.format_station(station, self.system), station, self.low - 2.2, NUMBER, "C-ROAD-STAN")
        for bridge in self.facts.bridges.itertuples(index=False):
            self.box("C-BRDG-OTLN", bridge.begin, bridge.end, self.low, self.high)
            self.text(bridge.name, (bridge.begin + bridge.end) / 2, self.high + 1.6, layer="C-BRDG-OTLN")
        for ramp in self.facts.ramps.itertuples(index=False):
            self.text(f"{ramp.kind.upper()}-RAMP {ramp.name}", ramp.station, self.high + 3.4)

    def joints(self, joints: pd.DataFrame) -> None:
        """Transverse joints, those surveyed or tested apart from those that the spacing lets assume."""
        for joint in joints.itertuples(index=False):
            if joint.lane in self.strips:
                low, high = self.strips[joint.lane]
                layer = "C-PVMT-JNTA" if joint.assumed else "C-PVMT-JNTS"
                self.line(layer, (joint.station, low), (joint.station, high))

    def sections(self, sections: Any) -> None:
        for s in sections.itertuples(index=False):
            strips = [
                self.strips[n] for n in self.facts.lanes.loc[self.facts.lanes["direction"] == s.direction, "lane"]
            ]
            if not strips:
                continue
            low, high = min(a for a, _ in strips), max(b for _, b in strips)
            for station in (s.begin, s.end):
                self.line("C-ROAD-SECT", (station, low), (station, high))
            overlay = units.format_quantity(s.overlay, "thickness", self.system)
            text = (
                f"SECTION {s.section}: OVERLAY {overlay}"
                if s.overlay > 0
                else f"SECTION {s.section}: {s.verdict.upper()}"
            )
            outside = high + 5.2 if high > 0 else low - 4.4
            for begin, end in self._on_strips(s.begin, s.end):
                self.text(text, (begin + end) / 2, outside, LABEL, "C-ROAD-SECT")

    def _on_strips(self, begin: float, end: float) -> list[tuple[float, float]]:
        """The parts of a section on each strip that have room for its name."""
        edges = np.arange(self.begin, self.end, STRIP_LENGTH)
        parts = [(max(begin, a), min(end, a + STRIP_LENGTH)) for a in edges]
        return [(a, b) for a, b in parts if b - a >= min(LEAST_LABELLED, end - begin)]

    def repairs(self, repairs: Any) -> None:
        for r in repairs.itertuples(index=False):
            if r.lane not in self.strips:
                continue
            low, high = self.strips[r.lane]
            layer, pattern = REPAIR_LAYERS[r.kind]
            middle = (low + high) / 2
            if pattern:
                half = min(r.width, high - low) / 2
                self.box(layer, r.begin, r.end, middle - half, middle + half, pattern)
            elif r.end > r.begin:
                self.line(layer, (r.begin, middle), (r.end, middle))
            elif r.kind == VOID:
                self.space.add_circle(
                    self.at(r.begin, low + 0.6), radius=0.45 * self.scale, dxfattribs={"layer": layer}
                )
            else:
                self.line(layer, (r.begin, low), (r.begin, high))
            self.text(r.repair, r.end + 0.4, middle, NUMBER, align=TextEntityAlignment.MIDDLE_LEFT)


def _sheets(document: Any, plan: _Plan) -> None:
    """One paper sheet (17 by 11 in) for each stretch, with its title, key and caution."""
    count = max(1, math.ceil((plan.end - plan.begin) / SHEET_LENGTH))
    for number in range(count):
        begin = plan.begin + number * SHEET_LENGTH
        end = min(begin + SHEET_LENGTH, plan.end)
        sheet = document.layouts.new(f"Sheet {number + 1}")
        sheet.page_setup(size=(17, 11), margins=(0.5, 0.5, 0.5, 0.5), units="inch")
        for strip, height in enumerate((8.4, 4.2)):
            station = begin + (strip + 0.5) * STRIP_LENGTH
            middle, turned = plan.at(station, (plan.low + plan.high) / 2), plan.turned(station)
            sheet.add_viewport(
                center=(8, height),
                size=(15.5, 3.9),
                view_center_point=(0, 0) if turned else middle,
                view_height=STRIP_LENGTH * (1 + 2 * BEYOND) * plan.scale * 3.9 / 15.5,
                dxfattribs={"view_target_point": middle, "view_twist_angle": -turned} if turned else {},
            )
        stations = " to ".join(units.format_station(s, plan.system) for s in (begin, end))
        title = f"REPAIRS AND JOINTS, STATION {stations}, SHEET {number + 1} OF {count}"
        sheet.add_text(title, height=0.18).set_placement((0.4, 1.9))
        sheet.add_text(NOTE, height=0.12).set_placement((0.4, 0.3))
        for place, (layer, (_, meaning)) in enumerate(LAYERS.items()):
            x, y = 0.4 + 5.2 * (place % 3), 1.5 - 0.25 * (place // 3)
            sheet.add_line((x, y + 0.055), (x + 0.4, y + 0.055), dxfattribs={"layer": layer, "lineweight": 50})
            key = sheet.add_text(f"{layer}: {meaning}", height=0.11, dxfattribs={"layer": "C-ANNO-TEXT"})
            key.set_placement((x + 0.5, y))
    document.layouts.delete("Layout1")  # the empty sheet that a new drawing comes with
