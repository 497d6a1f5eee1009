"""The economics stage: what each repair, each kind of repair and each section costs."""

from __future__ import annotations

from dataclasses import fields

import pandas as pd

from slabwright.economics.pricing import costs_by_section, costs_of_repairs, dear_pieces
from slabwright.records.decisions.economics import EconomicsDecisions
from slabwright.records.facts import Facts
from slabwright.records.outcomes.economics import REPAIR_COSTS, REPAIR_KIND_COSTS, SECTION_COSTS
from slabwright.records.remarks import Remark, remark
from slabwright.records.results import StageResult
from slabwright.records.stage import Given
from slabwright.records.table import table
from slabwright.records.words import CARRIES, listed

__all__ = ["run"]


def run(given: Given) -> StageResult:
    """Price repairs by length [m] and area [m2], the overlay by area [m2] and volume [m3].

    Tables in SI units by the schemas of ``records.outcomes.economics``, money in the currency of the prices. Raises BadResult for
    a kind of repair that has no price.
    """
    prices, repairs = given.decisions.economics, given.tables("repair")["repairs"]
    overlay = given.tables("design")["overlay_quantities"]
    each = repairs[["repair", "section", "kind"]].assign(cost=costs_of_repairs(repairs, prices))
    kinds = each.groupby(["section", "kind"], sort=True)["cost"].sum().reset_index()
    by_section = kinds.groupby("section", sort=True)["cost"].sum()
    sections = costs_by_section(overlay, by_section, prices)
    tables = {
        "section_costs": table(SECTION_COSTS, sections),
        "repair_kind_costs": table(REPAIR_KIND_COSTS, kinds),
        "repair_costs": table(REPAIR_COSTS, each),
    }
    notes = [*_totals(sections), *_cautions(sections, repairs, prices)]
    if len(sections):
        notes[1:1] = [*_placeholders(prices), *_not_in_the_sum(given.tables("design")["thicknesses"], given.facts)]
    return StageResult("economics", tables, tuple(notes))


def _totals(sections: pd.DataFrame) -> list[Remark]:
    if sections.empty:
        return [remark("Nothing is priced: no overlay is designed and no repair is marked out.")]
    return [
        remark(
            "In all, the repairs and the overlay cost {cost}: overlay concrete {concrete}; preparation, joints and curing"
            " {surface}; repairs {repairs}.",
            cost=("money", sections["cost"].sum()),
            concrete=("money", sections["concrete_cost"].sum()),
            surface=("money", sections["surface_cost"].sum()),
            repairs=("money", sections["repair_cost"].sum()),
        )
    ]


def _placeholders(prices: EconomicsDecisions) -> list[Remark]:
    """How many prices nobody has decided; a price decided to be the same is told too."""
    own = [field.name for field in fields(prices) if getattr(prices, field.name) == field.default]
    if not own:
        return []
    return [
        remark(
            "{number} of {all} unit prices are the program's placeholders, no agency's: the sum is no estimate until"
            " they are replaced.",
            number=("count", len(own)),
            all=("count", len(fields(prices))),
        )
    ]


def _not_in_the_sum(thicknesses: pd.DataFrame, facts: Facts) -> list[Remark]:
    """Sections without an overlay, and decks that carry the road."""
    refused = thicknesses.loc[~(thicknesses["overlay"] > 0), "section"]
    bridges = facts.bridges
    decks = bridges.loc[bridges["passes"] == CARRIES, "name"]
    left = (
        ("No overlay is in the sum for {names}, where none is designed, nor what is built there instead.", refused),
        ("Nothing is in the sum for bridge decks that carry the road: {names}.", decks),
    )
    return [remark(said, names=("text", listed(names))) for said, names in left if len(names)]


def _cautions(sections: pd.DataFrame, repairs: pd.DataFrame, prices: EconomicsDecisions) -> list[Remark]:
    """What the costs leave out, and where the rule of merging is dearer than it need be."""
    notes = [
        remark("repairs are priced, but no overlay is designed here.", name)
        for name in sections.loc[sections["concrete_cost"].isna(), "section"]
    ]
    if unpriced := [name for name, price in vars(prices).items() if price == 0]:
        names = ", ".join(f"economics.{name}" for name in unpriced)
        notes.append(remark("Nothing is counted for a unit price of zero: {names}.", names=("text", names)))
    pieces = dear_pieces(repairs, prices)
    if len(pieces) and prices.full_depth_cost > 0:
        notes.append(
            remark(
                "Sound pieces between full-depth repairs that cost more to keep, by two sawcuts, than to replace:"
                " {number}, up to {longest} long. repair.merge_gap decides from which length a piece is kept.",
                number=("count", len(pieces)),
                longest=("length", pieces.max()),
            )
        )
    return notes
