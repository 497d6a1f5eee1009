"""The economics stage: the items of the bid, and what each repair, each kind of repair and each section costs."""

from __future__ import annotations

import numpy as np
import pandas as pd

from slabwright.economics.items import NO_PRICE, OVERRUN, bid_items, items
from slabwright.economics.pricing import costs_by_section, costs_of_repairs, dear_pieces, unit_prices
from slabwright.records.decisions.economics import CONFIRMED, EconomicsDecisions
from slabwright.records.facts import Facts
from slabwright.records.outcomes.economics import REPAIR_COSTS, REPAIR_KIND_COSTS, SECTION_COSTS
from slabwright.records.remarks import Remark, remark
from slabwright.records.results import StageResult
from slabwright.records.stage import Given
from slabwright.records.table import table
from slabwright.records.words import CARRIES, NOT_SUITED, listed
from slabwright.roadway.places import by_section

__all__ = ["run", "three_figures", "undecided_prices"]


def run(given: Given) -> StageResult:
    """Price repairs by length [m] and area [m2], the overlay by area [m2] and volume [m3].

    Tables in SI units by the schemas of ``records.outcomes.economics``, money in the currency of the prices, and none while these are not
    confirmed. Raises BadResult for
    a kind of repair that has no price.
    """
    prices, repairs = given.decisions.economics, given.tables("repair")["repairs"]
    design = given.tables("design")
    each = repairs[["repair", "section", "kind"]].assign(cost=costs_of_repairs(repairs, prices))
    order = given.tables("evaluation")["verdicts"]["section"]
    kinds = by_section(each.groupby(["section", "kind"], sort=True)["cost"].sum().reset_index(), order)
    repaired = kinds.groupby("section", sort=False)["cost"].sum()
    sections = by_section(costs_by_section(design["overlay_quantities"], repaired, prices), order)
    evaluation = given.tables("evaluation")
    refused = evaluation["verdicts"].loc[evaluation["verdicts"]["verdict"] == NOT_SUITED, "section"]
    expected = evaluation["expected_voids"]
    bid = bid_items(items(design, repairs, expected[~expected["section"].isin(refused)], prices.overrun), prices)
    tables = {
        "bid_items": bid,
        "section_costs": table(SECTION_COSTS, sections),
        "repair_kind_costs": table(REPAIR_KIND_COSTS, kinds),
        "repair_costs": table(REPAIR_COSTS, each),
    }
    if not prices.confirmed:
        tables = {name: _without_money(frame) for name, frame in tables.items()}
    notes = [*_totals(bid, sections, prices), *_cautions(sections, repairs, prices)]
    if len(sections):
        notes[1:1] = [*_placeholders(prices), *_not_in_the_sum(design["thicknesses"], given.facts)]
    return StageResult("economics", tables, tuple(notes))


def _without_money(frame: pd.DataFrame) -> pd.DataFrame:
    """The same rows without sums: prices that nobody stands by make none."""
    money = [c for c in frame.columns if c == "amount" or c.endswith("cost")]
    return frame.assign(**dict.fromkeys(money, np.nan))


def _totals(bid: pd.DataFrame, sections: pd.DataFrame, prices: EconomicsDecisions) -> list[Remark]:
    """What the items come to, to three figures; nothing before the engineer stands by the prices."""
    if not (bid["priced_by"] != "").any():
        return [remark("Nothing is priced: no overlay is designed and no repair is marked out.")]
    if not prices.confirmed:
        return [_waiting(prices)]
    amount = bid["amount"]
    told = [
        remark(
            "In all, the items of the bid come to {whole} {currency} at prices of {year}: overlay and repairs in the lanes"
            " {lanes}, overrun of concrete {overrun}, all else {rest}.",
            whole=("money", three_figures(amount.sum())),
            currency=("text", prices.currency),
            year=("calendar_year", prices.price_year),
            lanes=("money", three_figures(sections["cost"].sum())),
            overrun=("money", three_figures(amount[bid["item"] == OVERRUN].sum())),
            rest=("money", three_figures(amount[bid["item"] != OVERRUN].sum() - sections["cost"].sum())),
        )
    ]
    open_items = bid[amount.isna() & ((bid["priced_by"] != "") | (bid["price"] == NO_PRICE))]
    if len(open_items):
        told.append(
            remark(
                "Not in the sum, because a price or a quantity is open: {names}.",
                names=("text", listed(dict.fromkeys(open_items["item"]))),
            )
        )
    return told


def _waiting(prices: EconomicsDecisions) -> Remark:
    if prices.prices_are != CONFIRMED:
        return remark(
            "No sum is told: the unit prices are placeholders until the engineer confirms them (economics.prices_are, with"
            " economics.currency and economics.price_year)."
        )
    missing = [
        f"economics.{name}"
        for name, there in (("currency", prices.currency), ("price_year", prices.price_year))
        if not there
    ]
    return remark(
        "No sum is told: the prices are confirmed, but not in what money: {missing}.", missing=("text", listed(missing))
    )


def three_figures(amount: float) -> float:
    """A sum rounded to what estimates are worth: three figures (common practice, no source)."""
    return float(f"{amount:.3g}")


def undecided_prices(prices: EconomicsDecisions) -> tuple[int, int]:
    """How many unit prices are still the program's placeholders, and how many it has."""
    usual, now = unit_prices(EconomicsDecisions()), unit_prices(prices)
    own = sum(price == usual[name] and price > 0 for name, price in now.items())
    return own, sum(price > 0 for price in usual.values())


def _placeholders(prices: EconomicsDecisions) -> list[Remark]:
    """How many prices nobody has decided; a price decided to be the same is told too."""
    own, priced = undecided_prices(prices)
    if not own:
        return []
    return [
        remark(
            "{number} of {all} unit prices are the program's placeholders, no agency's: the sum is no estimate until"
            " they are replaced.",
            number=("count", own),
            all=("count", priced),
        )
    ]


def _not_in_the_sum(thicknesses: pd.DataFrame, facts: Facts) -> list[Remark]:
    """Sections without an overlay, and decks that carry the road."""
    refused = thicknesses.loc[~(thicknesses["overlay"] > 0), "section"]
    bridges = facts.bridges
    decks = bridges.loc[bridges["passes"] == CARRIES, "name"]
    left = (
        (
            "No bonded overlay is priced for {names}, where none is designed; what is built there is an item by itself.",
            refused,
        ),
        ("Nothing is priced for bridge decks that carry the road: {names}.", decks),
    )
    return [remark(said, names=("text", listed(names))) for said, names in left if len(names)]


def _cautions(sections: pd.DataFrame, repairs: pd.DataFrame, prices: EconomicsDecisions) -> list[Remark]:
    """What the costs leave out, and where the rule of merging is dearer than it need be."""
    notes = [
        remark("repairs are priced, but no overlay is designed here.", name)
        for name in sections.loc[sections["concrete_cost"].isna(), "section"]
    ]
    if unpriced := [name for name, price in unit_prices(prices).items() if price == 0]:
        names = ", ".join(f"economics.{name}" for name in unpriced)
        notes.append(remark("Nothing is counted for a unit price of zero: {names}.", names=("text", names)))
    pieces = dear_pieces(repairs, prices)
    if len(pieces) and prices.full_depth_cost > 0 and prices.confirmed:
        notes.append(
            remark(
                "Sound pieces between full-depth repairs that cost more to keep, by two sawcuts, than to replace:"
                " {number}, up to {longest} long. repair.merge_gap decides from which length a piece is kept.",
                number=("count", len(pieces)),
                longest=("length", pieces.max()),
            )
        )
    return notes
