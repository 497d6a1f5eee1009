"""The economics stage: what each repair, each kind of repair and each section costs."""

from __future__ import annotations

import pandas as pd

from slabwright.economics.pricing import costs_by_section, costs_of_repairs, dear_pieces
from slabwright.records.decisions.economics import EconomicsDecisions
from slabwright.records.outcomes.economics import REPAIR_COSTS, REPAIR_KIND_COSTS, SECTION_COSTS
from slabwright.records.remarks import Remark, remark
from slabwright.records.results import StageResult
from slabwright.records.stage import Given
from slabwright.records.table import table

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
    return StageResult("economics", tables, (*_totals(sections), *_cautions(sections, repairs, prices)))


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
