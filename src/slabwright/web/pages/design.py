"""Overlay: thickness, life, deflection, steel, bond and quantities."""

from __future__ import annotations

from functools import partial
from html import escape

import pandas as pd
from nicegui import ui

from slabwright import units
from slabwright.figures.design import deflection_reductions, lives, of_section, ranges, swings
from slabwright.figures.record import Figure
from slabwright.web.pages import stage_page
from slabwright.web.parts.choices import decision_form
from slabwright.web.parts.html import element, text
from slabwright.web.parts.live import piece
from slabwright.web.parts.methods import method_table
from slabwright.web.parts.pictures import picture
from slabwright.web.parts.road import show_strip
from slabwright.web.parts.stage import chosen_section, notes, result_table, section_names
from slabwright.web.view import View
from slabwright.workflow import Computation, summary_rows

__all__ = ["PAGE"]

ANSWER = (
    "section",
    "direction",
    "begin",
    "end",
    "verdict",
    "required_slab",
    "effective",
    "bonded",
    "overlay",
    "surplus",
    "enough",
    "years",
    "years_gained",
    "reduction",
    "note",
)


async def draw(view: View) -> None:
    show_strip(view)
    with element("div", cls="desk"):
        with element("div", cls="panel"):
            text("h2", "What is built")
            decision_form(
                view,
                "design",
                "basis",
                first=("design.thickness", "design.reliability", "design.effective_by", "basis.method", "basis.reason"),
            )
        with element("div"):
            result_table(view, "design", "thicknesses", columns=ANSWER)
            result_table(view, "design", "stretches")
            result_table(view, "design", "refused_ways")
            method_table(view)
            notes(view, "design")
            _compare(view)
            chosen_section(view, lambda: section_names(view, "design", "lives"), lambda name: _curves(view, name))
            for table in (
                "steel",
                "bond",
                "clearances",
                "structures",
                "tapers",
                "side_areas",
                "assumption_effects",
                "design_fits",
                "overlay_quantities",
                "lane_quantities",
                "specifications",
            ):
                result_table(view, "design", table)


def _curves(view: View, section: str) -> None:
    picture(
        view, lambda: lives(view.results(), view.decisions, section), "lives", partial(_rows, view, "lives", section)
    )
    picture(
        view,
        lambda: deflection_reductions(view.results(), section),
        "deflection_changes",
        partial(_rows, view, "deflection_changes", section),
    )
    picture(view, lambda: _swings(view, section), "sensitivities", partial(_rows, view, "sensitivities", section))


def _swings(view: View, section: str) -> Figure:
    return swings(view.results(), section, ranges(_rows(view, "sensitivities", section), view.system))


def _rows(view: View, table: str, section: str) -> pd.DataFrame:
    return of_section(view.results(), "design", table, section)


def _compare(view: View) -> None:
    """All alternatives that are computed, side by side: one row a section, one column an alternative."""

    def draw(table: str) -> None:
        if table:
            with element("div", cls="panel"):
                region = ui.html(table, sanitize=False).classes("scroll")
            region.props.update({"tabindex": "0", "role": "region", "aria-label": "Alternatives side by side"})

    piece(view, lambda: _comparison(view), draw)


def _comparison(view: View) -> str:
    """The alternatives as an escaped table, "" while there is but one."""
    names = view.project.alternatives()
    if len(names) < 2:
        return ""
    found = {}
    for name in names:
        computation: Computation = view.office.computation(view.road, name)
        found[name] = {r["section"]: r for r in summary_rows(computation.run())}
    head = "".join(f'<th scope="col">{escape(n[:80])}</th>' for n in ("Section", *names))
    sections = list(dict.fromkeys(s for rows in found.values() for s in rows))
    body = "".join(
        f'<tr><th scope="row">{escape(s)}</th>'
        + "".join(f"<td>{escape(_words(found[n].get(s), view.system))}</td>" for n in names)
        + "</tr>"
        for s in sections
    )
    return f'<table class="data"><caption>Alternatives side by side</caption><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>'


def _number(row: dict[str, object], name: str) -> float:
    return float(row[name])  # type: ignore[arg-type]


def _words(row: dict[str, object] | None, system: units.System) -> str:
    if row is None:
        return ""
    if not _number(row, "overlay") > 0:
        return f"{row['verdict']}{_cost(row, system)}"
    kinds = {"overlay": "thickness", "years": "years", "reduction": "share"}
    shown = {name: units.format_quantity(_number(row, name), kind, system) for name, kind in kinds.items()}
    return f"{shown['overlay']}, {shown['years']}, deflection falls {shown['reduction']}{_cost(row, system)}"


def _cost(row: dict[str, object], system: units.System) -> str:
    """Nothing while the prices are not confirmed."""
    cost = _number(row, "cost")
    return f", cost {units.format_quantity(cost, 'money', system)}" if cost > 0 else ""


PAGE = stage_page("design", draw)
