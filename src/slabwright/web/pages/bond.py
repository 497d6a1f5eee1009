"""Bond: what stresses it where and when, whether the strength specified covers that, and how tests in the field tell."""

from __future__ import annotations

from functools import partial

import pandas as pd

from slabwright import units
from slabwright.bond.map import MAP_CAUSES, worst_places
from slabwright.bond.verdict import BOTH
from slabwright.figures.mechanistic import bond_ages, bond_map
from slabwright.records.remarks import worded
from slabwright.stages import stage_named
from slabwright.web.pages import stage_page
from slabwright.web.parts.field import pick
from slabwright.web.parts.html import element, paragraph, text
from slabwright.web.parts.live import piece
from slabwright.web.parts.long_stage import LongStage, long_page
from slabwright.web.parts.pictures import picture
from slabwright.web.parts.stage import chosen_section, notes, result_table, section_names
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
    "place",
    "cause",
    "age",
    "mode",
    "factor",
    "least_factor",
    "passes",
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
    "fracture_energy",
    "pull",
    "pull_held",
    "pull_age",
    "tensile",
    "day",
    "night",
    "differences_from",
    "overlay",
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
    "growth",
    "trust",
)
FIRST = (
    "bond.least_factor",
    "bond.model",
    "bond.criterion",
    "bond.curing_age",
    "bond.measured_shrinkage",
    "bond.slab_creep",
    "bond.fracture_energy",
    "bond.averaging_length",
    "bond.test_age",
    "bond.shear_ratio",
)


async def draw(view: View) -> None:
    piece(view, lambda: _answer(view), paragraph)
    long_page(view, ABOUT, "What the bond must bear", FIRST, lambda: _results(view))


def _answer(view: View) -> str:
    """The answer of the stage while it is current, above everything else; else its question."""
    bond = view.results().get("bond")
    if bond is None or not bond.notes:
        return stage_named("bond").question
    return worded(bond.notes[0], view.system)


def _results(view: View) -> None:
    first = view.results()["bond"].notes[:1]
    notes(view, "bond", lambda note: note not in first)
    result_table(view, "bond", "bond_verdicts", columns=VERDICTS)
    piece(view, lambda: _measure(view), paragraph)
    chosen_section(view, lambda: section_names(view, "bond", "bond_verdicts"), lambda name: _section(view, name))
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


def _section(view: View, section: str) -> None:
    """The map of one slab by a cause that is chosen, and what tests on the section should find."""

    def choose(name: str) -> None:
        view.state["cause"] = name
        view.refresh()

    def mapped(name: str) -> None:
        pick("Shown on the map", list(MAP_CAUSES), name, choose)
        _map(view, section, name)

    picture(view, lambda: bond_ages(view.results(), section), "bond_ages", partial(_ages, view, section))
    result_table(view, "bond", "bond_patches", columns=PATCHES, section=section)
    piece(view, lambda: str(view.state.get("cause", next(iter(MAP_CAUSES)))), mapped)
    with element("div", cls="panel"):
        text("h2", f"Section {section}: deflection tests before and after")
        piece(view, lambda: _how_to_test(view), paragraph)
        result_table(view, "bond", "bond_deflections", section=section)


def _map(view: View, section: str, name: str) -> None:
    cause = MAP_CAUSES[name]
    with element("div", cls="map"):
        picture(
            view, lambda: bond_map(view.results(), section, name), "bond_map", partial(_places, view, section, cause)
        )

    def worst(words: tuple[str, ...]) -> None:
        with element("div", cls="panel"):
            text("h3", "The five worst places, by number on the map")
            with element("ol").style("list-style: decimal; padding-left: 1.4rem"):
                for each in words:
                    text("li", each)

    piece(view, lambda: _worst(view, section, cause), worst)


def _ages(view: View, section: str) -> pd.DataFrame:
    frame = view.results()["bond"].tables["bond_ages"]
    return frame[frame["section"] == section]


def _places(view: View, section: str, cause: str) -> pd.DataFrame:
    frame = view.results()["bond"].tables["bond_map"]
    return frame[frame["section"] == section].sort_values(cause, ascending=False, kind="stable")


def _worst(view: View, section: str, cause: str) -> tuple[str, ...]:
    """Each place as a phrase."""
    found = worst_places(_places(view, section, cause), cause)
    return tuple(
        f"{units.format_quantity(p.along, 'length', view.system)} from the joint,"
        f" {units.format_quantity(p.across, 'length', view.system)} from the free edge:"
        f" {units.format_quantity(getattr(p, cause), 'stress', view.system)}"
        + (f", by {p.when}" if cause == "together" else "")
        for p in found.itertuples(index=False)
    )


def _how_to_test(view: View) -> str:
    load = units.format_quantity(view.decisions.survey.standard_load, "force", view.system)
    return (
        f"Test the same places under {load} before the overlay is laid and after. A deflection near “after, bonded”"
        " confirms the bond there; one above the last column, half way from bonded to unbonded, speaks against it: sound the"
        " place and core it. Where bond is lost only over a patch, deflection hardly tells; compare the two columns."
    )


PAGE = stage_page("bond", draw)
