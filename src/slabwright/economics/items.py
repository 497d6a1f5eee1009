"""Items as in a bid: what is built in each lane and direction, with its quantity and the decision that prices it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from slabwright.economics.pricing import SAWCUTS
from slabwright.records.decisions.design import (
    INLAY,
    LEFT_OUT,
    NO_SHOULDER,
    SHOULDER_ASPHALT,
    SHOULDER_CONCRETE,
    UNBONDED,
)
from slabwright.records.decisions.economics import EconomicsDecisions
from slabwright.records.outcomes.economics import BID_ITEMS
from slabwright.records.remarks import Remark, decoded, remark
from slabwright.records.table import table
from slabwright.records.words import CRACK, FILLED_BY_OVERLAY, FULL, PARTIAL, TRANSFER, VOID

__all__ = ["NO_PRICE", "NOT_CONFIRMED", "NOT_KNOWN", "OVERRUN", "Item", "bid_items", "items", "measured"]

NO_PRICE, NOT_CONFIRMED, NOT_KNOWN = "no price decided", "not confirmed", "not known"
OVERRUN = "overrun of concrete"
EXPECTED = "slabs stabilised, expected beyond those tested"
ALL_LANES = "all lanes"
CONCRETE, SURFACE, REMOVED = "concrete_cost", "surface_cost", "removal_cost"
PER = {"count": "money", "length": "money_per_length", "paved_area": "money_per_area", "volume": "money_per_volume"}
SURFACE_ITEM = "preparation, joints and curing"
MILLED_ITEM = "old slab milled under the overlay"


@dataclass(frozen=True)
class Item:
    """A quantity in SI of a kind (count, length [m], paved_area [m2], volume [m3]), NaN where it is not known.

    ``price`` names the unit price among ``economics``, "" where nothing is paid. ``spills``: concrete laid on old pavement,
    of which more is placed than is measured.
    """

    direction: str
    lane: str
    item: str
    kind: str
    quantity: float
    price: str
    note: str = ""
    spills: bool = False


def items(
    design: Mapping[str, pd.DataFrame], repairs: pd.DataFrame, expected: pd.DataFrame, overrun: float
) -> list[Item]:
    """Every item: lanes with overlay and repairs, with the slabs ``expected`` to have voids (the table ``expected_voids``), then of each direction tapers, shoulders, ramps, stretches without an
    overlay and the ``overrun`` (a share) of its concrete, then decks left out. Raises nothing."""
    lanes, thick = design["lane_quantities"], design["thicknesses"]
    ways = dict(zip(thick["section"], thick["direction"], strict=True))
    placed = repairs.assign(direction=repairs["section"].map(ways).fillna(""))
    found: list[Item] = []
    for direction in dict.fromkeys([*thick["direction"], *placed["direction"]]):
        laid, mended = lanes[lanes["direction"] == direction], placed[placed["direction"] == direction]
        here = [
            item
            for lane in sorted({*laid["lane"], *mended["lane"]})
            for item in (
                *_of_lane(direction, lane, laid[laid["lane"] == lane], mended[mended["lane"] == lane]),
                *_expected(direction, lane, expected, ways),
            )
        ]
        for name, of in (("tapers", _tapers), ("side_areas", _sides), ("refused_ways", _refused)):
            frame = design[name]
            here += of(direction, frame[frame["direction"] == direction])
        found += [*here, *_overrun(direction, here, overrun)]
    return [*found, *_decks(design["structures"])]


def _of_lane(direction: str, lane: str, laid: pd.DataFrame, mended: pd.DataFrame) -> list[Item]:
    made = []
    if len(laid):
        made = [
            Item(direction, lane, "overlay concrete", "volume", float(laid["volume"].sum()), CONCRETE, spills=True),
            Item(direction, lane, SURFACE_ITEM, "paved_area", float(laid["area"].sum()), SURFACE),
        ]
        if laid["milled"].sum() > 0:
            made.append(Item(direction, lane, MILLED_ITEM, "volume", float(laid["milled"].sum()), REMOVED))
    kind, by_overlay = mended["kind"], mended["filled_with"] == FILLED_BY_OVERLAY
    partial = kind == PARTIAL
    measures: tuple[tuple[str, str, float, str], ...] = (
        ("full-depth repair", "paved_area", mended["area"][kind == FULL].sum(), "full_depth_cost"),
        ("sawcuts of full-depth repairs", "count", SAWCUTS * (kind == FULL).sum(), "saw_cost"),
        ("partial-depth repair", "paved_area", mended["area"][partial & ~by_overlay].sum(), "partial_depth_cost"),
        (
            "partial-depth removal, filled by the overlay",
            "paved_area",
            mended["area"][partial & by_overlay].sum(),
            "partial_removal_cost",
        ),
        ("cracks routed and filled", "length", mended["length"][kind == CRACK].sum(), "crack_cost"),
        ("slabs stabilised, corners", "count", (kind == VOID).sum(), "void_cost"),
        ("load transfer restored, joints", "count", (kind == TRANSFER).sum(), "load_transfer_cost"),
    )
    return [*made, *(Item(direction, lane, name, k, float(q), price) for name, k, q, price in measures if q > 0)]


def _expected(direction: str, lane: str, expected: pd.DataFrame, ways: dict[str, str]) -> list[Item]:
    """Slabs of a lane that the corners tested let expect with voids, in the sections of its direction."""
    here = expected[(expected["lane"] == lane) & (expected["section"].map(ways) == direction)]
    more = float(here["more"].sum())
    if not more > 0:
        return []
    return [
        Item(direction, lane, EXPECTED, "count", more, "void_cost", "not tested; by the share of the corners tested")
    ]


def _summed(direction: str, name: str, kind: str, values: pd.Series, price: str, *, spills: bool = False) -> list[Item]:
    """The sum of what is known, and beside it as an item of its own that something is not."""
    known = values[values.notna()]
    made = []
    if known.sum() > 0:
        made.append(Item(direction, ALL_LANES, name, kind, float(known.sum()), price, spills=spills))
    if gaps := len(values) - len(known):
        note = f"{gaps} of {len(values)} {NOT_KNOWN}"
        made.append(Item(direction, ALL_LANES, name, kind, float("nan"), price, note))
    return made


def _tapers(direction: str, here: pd.DataFrame) -> list[Item]:
    in_lanes = here[here["begin"] != here["end"]]
    on_ramps = here[here["begin"] == here["end"]]
    return [
        *_summed(direction, "concrete of tapers", "volume", in_lanes["volume"], CONCRETE, spills=True),
        *_summed(direction, "old slab milled at tapers", "volume", in_lanes["milled"], REMOVED),
        *_summed(direction, "slab rebuilt full depth at tapers", "paved_area", in_lanes["rebuilt"], "full_depth_cost"),
        *_summed(direction, "old pavement milled at ramps", "volume", on_ramps["milled"], REMOVED),
    ]


def _sides(direction: str, here: pd.DataFrame) -> list[Item]:
    on_ramps = here["begin"] == here["end"]
    made = []
    for places, part in (("ramps", here[on_ramps]), ("shoulders", here[~on_ramps])):
        for built, rows in part.groupby("built", sort=False):
            if built == NO_SHOULDER:
                made.append(
                    Item(direction, ALL_LANES, f"{places} left as they are", "length", float(rows["length"].sum()), "")
                )
            elif built == SHOULDER_CONCRETE:
                made += _summed(
                    direction, f"overlay concrete on {places}", "volume", rows["volume"], CONCRETE, spills=True
                )
                made += _summed(direction, f"{SURFACE_ITEM} of {places}", "paved_area", rows["area"], SURFACE)
            elif built == SHOULDER_ASPHALT:
                made += _summed(
                    direction, f"{places} raised with asphalt", "volume", rows["volume"], "shoulder_asphalt_cost"
                )
            else:
                made += _summed(direction, f"{places}, kind not known", "volume", rows["volume"], "")
    return made


def _refused(direction: str, here: pd.DataFrame) -> list[Item]:
    made = []
    for name, rows in here.groupby("section", sort=False):
        chosen = rows[rows["chosen"] == "yes"]
        if chosen.empty:
            note = "what is built here is not decided: no bonded overlay is designed"
            made.append(
                Item(direction, ALL_LANES, f"section {name}", "paved_area", float(rows["area"].iloc[0]), "", note)
            )
            continue
        made += [
            Item(direction, ALL_LANES, f"{what}, section {name}", kind, quantity, price, note, spills)
            for what, kind, quantity, price, note, spills in _way(chosen.iloc[0])
        ]
    return made


def _way(s: pd.Series) -> Iterable[tuple[str, str, float, str, str, bool]]:
    """Of a chosen way: item, kind, quantity, price, remark, and whether it spills."""
    if s["way"] == LEFT_OUT:
        return [("left out", "paved_area", float(s["area"]), "", "by decision", False)]
    concrete = "inlay concrete" if s["way"] == INLAY else "unbonded overlay concrete"
    found: list[tuple[str, str, float, str, str, bool]] = [
        (concrete, "volume", float(s["volume"]), CONCRETE, "", s["way"] == UNBONDED),
        (SURFACE_ITEM, "paved_area", float(s["area"]), SURFACE, "", False),
    ]
    if s["way"] == INLAY:
        found.append(("old concrete removed", "volume", float(s["removed"]), REMOVED, "", False))
    if s["way"] == UNBONDED:
        found.append(("separation layer", "paved_area", float(s["area"]), "separation_cost", "", False))
    return found


def _overrun(direction: str, here: list[Item], share: float) -> list[Item]:
    laid = sum(item.quantity for item in here if item.spills and np.isfinite(item.quantity))
    if not share * laid > 0:
        return []
    return [
        Item(
            direction,
            ALL_LANES,
            OVERRUN,
            "volume",
            share * laid,
            CONCRETE,
            "beyond the measured concrete on old pavement",
        )
    ]


def _decks(structures: pd.DataFrame) -> list[Item]:
    here = structures[structures["deck_length"] > 0]
    return [
        Item(
            "",
            "",
            f"bridge deck left out: {s.bridge}",
            "paved_area",
            float(s.deck_area),
            "",
            "no overlay is designed on it",
        )
        for s in here.itertuples(index=False)
    ]


def bid_items(found: list[Item], prices: EconomicsDecisions) -> pd.DataFrame:
    """The table ``bid_items``. An amount needs a quantity, a price above 0 and prices that the engineer has confirmed."""
    rows = [
        {
            "direction": item.direction,
            "lane": item.lane,
            "item": item.item,
            "quantity": remark("{quantity}", quantity=(item.kind, item.quantity))
            if np.isfinite(item.quantity)
            else NOT_KNOWN,
            "price": _price(item, prices),
            "amount": _amount(item, prices),
            "priced_by": f"economics.{item.price}" if item.price else "",
            "note": item.note,
        }
        for item in found
    ]
    return table(BID_ITEMS, pd.DataFrame(rows, columns=list(BID_ITEMS.names)))


def _price(item: Item, prices: EconomicsDecisions) -> Remark | str:
    if not item.price or not getattr(prices, item.price) > 0:
        return "" if item.item.startswith(("left out", "bridge deck")) else NO_PRICE
    if not prices.confirmed:
        return NOT_CONFIRMED
    return remark("{price}", price=(PER[item.kind], getattr(prices, item.price)))


def _amount(item: Item, prices: EconomicsDecisions) -> float:
    price = getattr(prices, item.price) if item.price else 0.0
    return float(item.quantity * price) if prices.confirmed and price > 0 else float("nan")


def measured(quantity: str) -> tuple[str, float]:
    """Kind and SI value of a cell of the column ``quantity``; "" and NaN where it is not known."""
    values = decoded(quantity).values
    return (values[0][1], float(values[0][2])) if values else ("", float("nan"))
