"""Overlay: thickness, life, deflection, steel, bond and quantities."""

from __future__ import annotations

from collections.abc import Mapping

import pandas as pd

from slabwright import units
from slabwright.figures.design import deflection_reductions, lives, of_section, ranges, swings
from slabwright.figures.joint_drawing import joint_drawing
from slabwright.figures.methods import methods
from slabwright.figures.record import Figure
from slabwright.records.results import StageResult
from slabwright.web.pages import stage_page
from slabwright.web.parts.alternatives import alternatives
from slabwright.web.parts.choices import decision_form
from slabwright.web.parts.html import element, text
from slabwright.web.parts.layout import laid_out
from slabwright.web.parts.live import piece
from slabwright.web.parts.methods import method_table
from slabwright.web.parts.pictures import picture
from slabwright.web.parts.stage import elsewhere, result_table
from slabwright.web.view import View
from slabwright.workflow import summary_rows

__all__ = ["PAGE"]

FIRST = (
    "design.thickness",
    "design.one_thickness_over",
    "design.reliability",
    "design.effective_by",
    "basis.method",
    "basis.reason",
)
COLUMNS = {
    "thicknesses": ("section", "verdict", "bonded", "overlay", "enough", "years", "years_gained", "reduction"),
    "stretches": ("direction", "begin", "end", "sections", "needed", "overlay", "volume", "decided_by"),
    "refused_ways": ("section", "way", "chosen", "concrete", "volume", "raised", "fits", "note"),
    "steel": (),
    "bond": (),
    "clearances": (),
    "structures": (),
    "tapers": ("direction", "place", "begin", "end", "high", "low", "length", "volume"),
    "side_areas": ("direction", "place", "begin", "end", "built", "width", "area", "volume"),
    "assumption_effects": (),
    "design_fits": (),
    "overlay_quantities": (),
    "lane_quantities": (),
    "specifications": (),
}
RIVALS = {"condition": "by condition", "remaining": "by remaining life", "fatigue": "by mechanistic analysis"}


async def draw(view: View) -> None:
    laid_out(
        view,
        "design",
        layers=("overlay",),
        picture=lambda: _pictures(view),
        decisions=lambda: decision_form(view, "design", "basis", first=FIRST),
        below=lambda: _below(view),
    )


def _pictures(view: View) -> None:
    piece(view, lambda: changed(view), _was)
    with element("div", cls="beside"):
        picture(view, lambda: _lives(view), "lives", lambda: _rows(view, "lives"), none=lambda: _none(view))
        picture(view, lambda: _reductions(view), "deflection_changes", lambda: _rows(view, "deflection_changes"))
    picture(view, lambda: _joints(view), "steel", lambda: _rows(view, "steel"), cls="flat")


def _was(words: str) -> None:
    if words:
        text("p", words, "was").props["role"] = "status"


def changed(view: View) -> str:
    """What the last change of a decision did to the section at hand: before and after; "" where it did nothing there."""
    if view.before is None or "design" not in view.before.results:
        return ""
    now = view.decisions.design.reliability
    was = view.before.value if view.before.name == "design.reliability" else now
    pairs = ((_chosen(view.before.results, view.section), was), (_chosen(view.results(), view.section), now))
    old, new = (_said(row, reliability, view.system) for row, reliability in pairs)
    return f"Section {view.section}: was {old}; now {new}." if old != new else ""


def _chosen(results: Mapping[str, StageResult], section: str) -> dict[str, float]:
    if "design" not in results:
        return {}
    rows = of_section(results, "design", "thicknesses", section)
    return {} if rows.empty else {name: float(rows[name].iloc[0]) for name in ("overlay", "years", "reduction")}


def _said(row: dict[str, float], reliability: float, system: units.System) -> str:
    if not row.get("overlay", 0.0) > 0:
        return "no overlay"
    kinds = {"overlay": "thickness", "years": "years", "reduction": "share"}
    overlay, years, reduction = (units.format_quantity(row[name], kind, system) for name, kind in kinds.items())
    at = units.format_quantity(reliability, "share", system)
    return f"{overlay}: {years} at {at}, deflection falls {reduction}"


def _none(view: View) -> str:
    row = next((r for r in summary_rows(view.results()) if r["section"] == view.section), None)
    verdict = f": {row['verdict']}" if row else ""
    return f"No overlay is designed in section {view.section}{verdict}. {elsewhere(view)}"


def _lives(view: View) -> Figure | None:
    if _rows(view, "lives").empty:
        return None
    found = next((m for m in methods(view.results(), view.decisions) if m.section == view.section), None)
    beside = {words: getattr(found, name) for name, words in RIVALS.items()} if found else {}
    if view.before is not None:
        was = _chosen(view.before.results, view.section).get("overlay", float("nan"))
        now = _chosen(view.results(), view.section).get("overlay", float("nan"))
        beside |= {"chosen before": was} if was > 0 and was != now else {}
    return lives(view.results(), view.decisions, view.section, beside)


def _reductions(view: View) -> Figure | None:
    return None if _rows(view, "deflection_changes").empty else deflection_reductions(view.results(), view.section)


def _joints(view: View) -> Figure | None:
    return joint_drawing(view.computation.facts, view.results(), view.section)


def _below(view: View) -> None:
    result_table(view, "design", "thicknesses", columns=COLUMNS["thicknesses"])
    method_table(view)
    alternatives(view)
    picture(view, lambda: _swings(view), "sensitivities", lambda: _rows(view, "sensitivities"))
    for table in list(COLUMNS)[1:]:
        result_table(view, "design", table, columns=COLUMNS[table])


def _swings(view: View) -> Figure | None:
    rows = _rows(view, "sensitivities")
    return None if rows.empty else swings(view.results(), view.section, ranges(rows, view.system))


def _rows(view: View, table: str) -> pd.DataFrame:
    return of_section(view.results(), "design", table, view.section)


PAGE = stage_page("design", draw)
