"""Bond: what stresses it where and when, whether the strength specified covers that, and how tests in the field tell."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import pandas as pd

from slabwright import units
from slabwright.bond.map import MAP_CAUSES, worst_places
from slabwright.bond.verdict import BOTH
from slabwright.figures.design import of_section
from slabwright.figures.mechanistic import bond_across, bond_ages, bond_map, bond_ratio, map_age, shear_strength
from slabwright.figures.record import Figure
from slabwright.web.pages import stage_page
from slabwright.web.parts.choices import decision_form
from slabwright.web.parts.field import pick
from slabwright.web.parts.html import element, paragraph, text
from slabwright.web.parts.layout import laid_out
from slabwright.web.parts.live import piece
from slabwright.web.parts.long_stage import LongStage, long_stage
from slabwright.web.parts.pictures import picture
from slabwright.web.parts.stage import chosen_section, result_table, section_names, when_current
from slabwright.web.view import View

__all__ = ["PAGE"]

ABOUT = LongStage(
    "bond",
    "The plate model of every section with an overlay finds the shear and peel between the layers under wheels, by day, by"
    " night and from shrinkage, a verdict on the bond strength specified, and what deflection tests should find.",
    "It takes some seconds for each section. Other pages can be used meanwhile.",
)
# The remark stands in the notes below the table.
VERDICTS = (
    "section",
    "overlay",
    "place",
    "cause",
    "age",
    "factor",
    "least_factor",
    "passes",
    "mode",
    "required",
    "strength",
    "test",
    "other_criterion",
    "other_model",
    "other_support",
    "humidity",
    "humidity_from",
    "free",
    "strain",
    "held",
    "short_cut",
    "energy",
    "energy_age",
    "fracture_energy",
    "pull",
    "pull_held",
    "pull_age",
    "tensile",
    "day",
    "night",
    "differences_from",
)
PATCHES = (
    "place",
    "size",
    "age",
    "mean_shear",
    "mean_peel",
    "factor",
    "sound",
    "passes",
    "opening",
    "energy",
    "energy_age",
    "growth",
    "trust",
)
RATIO = "shear over shear strength, all together"
NONE = "Section {section} has no overlay whose bond could be examined."
FIRST = (
    "bond.least_factor",
    "bond.model",
    "bond.criterion",
    "bond.curing_age",
    "bond.measured_shrinkage",
    "bond.slab_creep",
)


async def draw(view: View) -> None:
    laid_out(
        view,
        "bond",
        layers=("bond",),
        picture=lambda: long_stage(view, ABOUT, lambda: _pictures(view)),
        decisions=lambda: decision_form(view, "bond", "plate", first=FIRST),
        below=lambda: when_current(view, "bond", lambda: _results(view)),
    )


def _pictures(view: View) -> None:
    chosen_section(view, lambda: _sections(view), lambda name: _map(view, name), NONE)


def _sections(view: View) -> list[str]:
    return section_names(view, "bond", "bond_verdicts")


def _results(view: View) -> None:
    result_table(view, "bond", "bond_verdicts", columns=VERDICTS)
    piece(view, lambda: _measure(view), paragraph)
    result_table(view, "bond", "bond_patches", columns=PATCHES)
    with element("div"):
        result_table(view, "bond", "bond_deflections")
        piece(view, lambda: _how_to_test(view), paragraph)
    result_table(view, "bond", "bond_places")


def _measure(view: View) -> str:
    """What is compared with the bond strength, and why no peak is."""
    choice = view.decisions.bond
    length = units.format_quantity(choice.averaging_length, "thickness", view.system)
    opened = units.format_quantity(choice.opening_age, "age", view.system)
    return (
        f"Compared with the bond strength at each age is the mean over {length} from the edge, the width of a pull-off core,"
        f" because strength is itself a mean over the core: shear and peel together by the {choice.criterion}, shear strength"
        f" being {choice.shear_ratio:g} times the pull-off strength. Wheels act from {opened} on; before, temperature and"
        " shrinkage alone. The elastic peak at an edge is an index for comparing designs; no strength can be set against it."
        f" {BOTH}"
    )


def _map(view: View, section: str) -> None:
    """The map of one slab by a cause that is chosen, with its worst places; a cut through the edge, and demand over the ages."""

    def choose(name: str) -> None:
        view.state["cause"] = name
        view.refresh()

    def cause() -> str:
        return str(view.state.get("cause", RATIO))

    def column() -> str:
        return MAP_CAUSES.get(cause(), "together")

    def figure() -> Figure | None:
        return bond_ratio(view.results(), section) if cause() == RATIO else bond_map(view.results(), section, cause())

    with element("div", cls="pair"):
        with element("div", cls="map"):
            picture(view, figure, "bond_map", lambda: _places(view, section, column()))
        with element("div"):
            piece(view, cause, lambda name: _choices(name, choose))
            piece(view, lambda: _worst(view, section, column(), cause() == RATIO), _worst_places)
            piece(view, lambda: _read(view, section), paragraph)
    across = partial(_places, view, section, "together")
    with element("div", cls="beside"):
        picture(view, lambda: bond_across(view.results(), section), "bond_map", across)
        picture(view, lambda: bond_ages(view.results(), section), "bond_ages", partial(_ages, view, section))


def _choices(name: str, choose: Callable[[str], None]) -> None:
    pick("Shown on the map", [RATIO, *MAP_CAUSES], name, choose)


def _worst_places(words: tuple[str, ...]) -> None:
    with element("div"):
        text("h3", "The five worst places, by number on the map")
        with element("ol").style("list-style: decimal; padding-left: 1.4rem"):
            for each in words:
                text("li", each)


def _ages(view: View, section: str) -> pd.DataFrame:
    frame = view.results()["bond"].tables["bond_ages"]
    return frame[frame["section"] == section]


def _places(view: View, section: str, cause: str) -> pd.DataFrame:
    frame = view.results()["bond"].tables["bond_map"]
    return frame[frame["section"] == section].sort_values(cause, ascending=False, kind="stable")


def _read(view: View, section: str) -> str:
    """What the map tells and what it does not."""
    results = view.results()
    least = of_section(results, "bond", "bond_verdicts", section)["least_factor"].iloc[0]
    return (
        f"The map holds at {map_age(results, section)}, the age that decides, and shows shear alone, place by place just inside"
        f" the joint; the dashed line is where it reaches 1/{least:g} of the shear strength. The answer is of shear with peel,"
        " as a mean over the averaging length. Peaks in the table of places are read in the edge itself and each at its own"
        " age, so that they differ a little from the map's."
    )


def _worst(view: View, section: str, cause: str, ratio: bool) -> tuple[str, ...]:
    """Each place as a phrase, in the terms of the map."""
    found = worst_places(_places(view, section, cause), cause)
    strength = shear_strength(view.results(), section)

    def size(stress: float) -> str:
        told = units.format_quantity(stress, "stress", view.system)
        return f"{stress / strength:.2f} of the shear strength ({told})" if ratio and strength > 0 else told

    return tuple(
        f"{units.format_quantity(p.along, 'length', view.system)} from the joint,"
        f" {units.format_quantity(p.across, 'length', view.system)} from the free edge:"
        f" {size(getattr(p, cause))}" + (f", by {p.when}" if cause == "together" else "")
        for p in found.itertuples(index=False)
    )


def _how_to_test(view: View) -> str:
    load = units.format_quantity(view.decisions.survey.standard_load, "force", view.system)
    return (
        f"Test the same places under {load} before the overlay is laid and after. A deflection near “after, bonded”"
        " confirms the bond there; one above the last column, half way from bonded to unbonded, speaks against it: sound the"
        " place and core it. Where bond is lost only over a patch, deflection hardly tells; compare the two columns. These"
        " falls are smaller than the design's, which is of an infinite plate: here the slab has edges, and the bond gives a"
        " little."
    )


PAGE = stage_page("bond", draw)
