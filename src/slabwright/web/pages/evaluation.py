"""Evaluation: what is left of the old slab, and whether it suits."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial

import pandas as pd

from slabwright.evaluation.examined import ASSUMING
from slabwright.figures.design import of_section
from slabwright.figures.loading import accumulated_axles, axles_by_year
from slabwright.figures.old_slab import MODULI, basin_fit, mid_slab_basins, moduli_along
from slabwright.figures.record import Figure
from slabwright.records.decisions import Decisions
from slabwright.records.results import StageResult
from slabwright.web.pages import stage_page
from slabwright.web.parts.choices import decision_form
from slabwright.web.parts.html import element
from slabwright.web.parts.layout import laid_out
from slabwright.web.parts.pictures import picture
from slabwright.web.parts.stage import result_table
from slabwright.web.view import View

__all__ = ["PAGE"]

FIRST = (
    "evaluation.moduli_from",
    "evaluation.strength_from",
    "evaluation.static_ratio",
    *(f"evaluation.{name}" for name in ASSUMING.values()),
    "evaluation.reason_to_assume",
)
# Of the assumptions not the column of the state that one enters, which is for the program.
COLUMNS = {
    "verdicts": ("section", "begin", "end", "verdict", "reasons", "not_examined", "cautions", "consider"),
    "open_points": (),
    "suitability": ("section", "subject", "provided", "required", "outcome", "weight", "sample", "assumed_by"),
    "assumptions": ("section", "quantity", "value", "low", "high", "decision", "without", "why"),
    "condition": (
        "section",
        "thickness",
        "foundation",
        "modulus",
        "rupture",
        "transfer",
        "remaining_life",
        "effective_condition",
    ),
    "lanes_walked": (),
    "core_states": (),
}


async def draw(view: View) -> None:
    laid_out(
        view,
        "evaluation",
        layers=("foundation",),
        picture=lambda: _pictures(view),
        decisions=lambda: decision_form(view, "evaluation", "traffic", first=FIRST),
        below=lambda: _below(view),
    )


def _pictures(view: View) -> None:
    picture(
        view,
        lambda: basin_fit(view.results(), view.section),
        "basins",
        lambda: mid_slab_basins(view.results(), view.section),
        none=lambda: f"No mid-slab test of section {view.section} is used: its deflection basin cannot be shown.",
    )
    with element("div", cls="beside"):
        for which in MODULI:
            picture(view, partial(_along, view, which), "moduli", lambda: _moduli(view))


def _below(view: View) -> None:
    result_table(view, "evaluation", "verdicts", columns=COLUMNS["verdicts"])
    for table in ("open_points", "suitability", "assumptions", "condition", "lanes_walked", "core_states"):
        result_table(view, "evaluation", table, columns=COLUMNS[table])
    with element("div", cls="beside"):
        for describe in (axles_by_year, accumulated_axles):
            picture(
                view,
                partial(_loading, view, describe),
                "traffic",
                lambda: view.results()["evaluation"].tables["traffic"],
            )
    for table in ("moduli", "transfers", "voids", "expected_voids"):
        result_table(view, "evaluation", table)


def _along(view: View, which: str) -> Figure | None:
    return moduli_along(view.results(), which, view.section)


def _moduli(view: View) -> pd.DataFrame:
    return of_section(view.results(), "evaluation", "moduli", view.section)


def _loading(view: View, describe: Callable[[Mapping[str, StageResult], Decisions], Figure]) -> Figure:
    return describe(view.results(), view.decisions)


PAGE = stage_page("evaluation", draw)
