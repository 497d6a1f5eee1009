"""Life: how long the overlaid slab lasts at a reliability, and the thickness that lasts long enough."""

from __future__ import annotations

from functools import partial

import pandas as pd

from slabwright import units
from slabwright.figures.design import of_section
from slabwright.figures.mechanistic import PAST_SHOWN, THICKNESS_SHOWN, cracking_years, fatigue_lives, life_shares
from slabwright.web.pages import stage_page
from slabwright.web.parts.choices import decision_form
from slabwright.web.parts.html import paragraph
from slabwright.web.parts.layout import laid_out
from slabwright.web.parts.live import piece
from slabwright.web.parts.long_stage import LongStage, long_stage
from slabwright.web.parts.pictures import picture
from slabwright.web.parts.stage import chosen_section, result_table, section_names, when_current
from slabwright.web.view import View

__all__ = ["PAGE"]

ABOUT = LongStage(
    "life",
    "The plate model under every axle of the counts and every temperature of a year of weather gives the fatigue damage of"
    " both layers, and from the scatter of what is put in, the life at a reliability and the thickness that lasts long enough.",
    "It takes a minute or two for each group of like slabs, for the first time; a change of traffic, law or target afterwards takes"
    " seconds a section. Other pages can be used meanwhile.",
    "Load a weather file",
)
FIRST = ("life.fatigue_law", "life.calibration", "life.cracking_level", "life.target_years")
DAMAGE = ("point", "per_truck", "per_year", "past", "governs", "stress_error", "damage_error")
EFFECTS = ("change", "years", "ratio", "point")
FITTED = ("law", "quantity", "value", "low", "high", "inside", "basis")
LAWS = ("law", "basis", "chosen", "years", "ratio")


NONE = "Section {section} has no overlay whose life could be computed."


async def draw(view: View) -> None:
    laid_out(
        view,
        "life",
        layers=("cracking",),
        picture=lambda: long_stage(view, ABOUT, lambda: _pictures(view)),
        decisions=lambda: decision_form(view, "life", "plate", first=FIRST),
        below=lambda: when_current(view, "life", lambda: _results(view)),
    )


def _pictures(view: View) -> None:
    chosen_section(view, lambda: _sections(view), lambda name: _curves(view, name), NONE)


def _sections(view: View) -> list[str]:
    return section_names(view, "life", "fatigue_thickness")


def _curves(view: View, section: str) -> None:
    picture(
        view,
        lambda: cracking_years(view.results(), section),
        "fatigue_cracking",
        partial(_rows, view, "fatigue_cracking", section),
    )
    piece(view, lambda: _errors(view, section), paragraph)
    picture(
        view,
        lambda: fatigue_lives(view.results(), section),
        "fatigue_lives",
        partial(_rows, view, "fatigue_lives", section),
    )


def _results(view: View) -> None:
    result_table(view, "life", "fatigue_thickness", columns=THICKNESS_SHOWN)
    result_table(view, "life", "fatigue_past", columns=PAST_SHOWN)
    chosen_section(view, lambda: _sections(view), lambda name: _section(view, name))


def _section(view: View, section: str) -> None:
    result_table(view, "life", "fatigue_laws", columns=LAWS)
    picture(
        view,
        lambda: life_shares(view.results(), section),
        "fatigue_sensitivities",
        partial(_rows, view, "fatigue_sensitivities", section),
    )
    result_table(view, "life", "fatigue_effects", columns=EFFECTS)
    result_table(view, "life", "fatigue_damage", columns=DAMAGE)
    result_table(view, "life", "fatigue_fits", columns=FITTED)


def _rows(view: View, table: str, section: str) -> pd.DataFrame:
    return of_section(view.results(), "life", table, section)


def _errors(view: View, section: str) -> str:
    """What the surfaces miss, in a sentence."""
    row = _rows(view, "fatigue_thickness", section).iloc[0]
    stress, damage, outside = (
        units.format_quantity(float(row[name]), "share", view.system)
        for name in ("surface_error", "damage_error", "outside")
    )
    return (
        f"Cracking governs at the {row['point']}. There the fitted surfaces miss the plate model by {stress} of the stress and"
        f" the sum of damage by {damage}; both are added to the scatter of life. {outside} of the samples lie beyond the"
        " surface and are taken at its ends."
    )


PAGE = stage_page("life", draw)
