"""What things cost: an example by hand, sums that agree, and roads with nothing to price."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd
import pytest
from hypothesis import given as drawn
from hypothesis import strategies as st

from slabwright.economics.items import bid_items, items, measured
from slabwright.economics.pricing import dear_pieces, unit_prices
from slabwright.economics.run import run
from slabwright.errors import BadResult
from slabwright.records.decisions import Decisions
from slabwright.records.decisions.economics import CONFIRMED, EconomicsDecisions
from slabwright.records.facts import FACTS, Facts
from slabwright.records.outcomes.design import (
    LANE_QUANTITIES,
    OVERLAY_QUANTITIES,
    REFUSED_WAYS,
    SIDE_AREAS,
    TABLES,
    TAPERS,
    THICKNESSES,
)
from slabwright.records.outcomes.evaluation import EXPECTED_VOIDS, VERDICTS
from slabwright.records.outcomes.repair import REPAIRS
from slabwright.records.remarks import worded
from slabwright.records.results import StageResult
from slabwright.records.stage import Given
from slabwright.records.table import empty, table
from slabwright.records.words import CARRIES, OVER

PRICES = EconomicsDecisions(
    prices_are=CONFIRMED,
    currency="EUR",
    price_year=2026.0,
    overrun=0.0,
    saw_cost=50.0,
    full_depth_cost=100.0,
    partial_depth_cost=80.0,
    partial_removal_cost=40.0,
    crack_cost=10.0,
    void_cost=70.0,
    load_transfer_cost=90.0,
    concrete_cost=200.0,
    surface_cost=5.0,
    shoulder_asphalt_cost=60.0,
    removal_cost=30.0,
    separation_cost=3.0,
)
# Repair, section, kind, length [m], area [m2], filled with, and its cost by hand.
BY_HAND: list[tuple[str, str, str, float, float, str, float]] = [
    ("R1", "A", "full depth", 2.0, 7.2, "", 7.2 * 100 + 2 * 50),  # 820
    ("R2", "A", "partial depth", 1.0, 0.5, "overlay", 0.5 * 40),  # 20
    ("R3", "A", "crack routed and filled", 3.0, 0.0, "", 3 * 10),
    ("R4", "B", "partial depth", 1.0, 0.5, "repair concrete", 0.5 * 80),  # 40
    ("R5", "B", "slab stabilised", 0.0, 0.0, "", 70.0),
    ("R6", "B", "load transfer restored", 0.0, 0.0, "", 90.0),
    ("R7", "B", "load transfer restored", 0.0, 0.0, "", 90.0),
]
NAMES = ("repair", "section", "kind", "length", "area", "filled_with", "by_hand")
EXAMPLE = pd.DataFrame(BY_HAND, columns=NAMES)
MARKED = table(
    REPAIRS, EXAMPLE.drop(columns="by_hand").assign(lane="1", begin=np.arange(7.0) * 100, end=np.arange(7.0))
)
LAID = table(OVERLAY_QUANTITIES, {"section": ["A"], "area": [100.0], "overlay": [0.08], "volume": [8.0]})
FULL = "full depth"
NO_VOIDS = empty(EXPECTED_VOIDS)


def priced(
    prices: EconomicsDecisions = PRICES,
    repairs: pd.DataFrame = MARKED,
    overlay: pd.DataFrame = LAID,
    refused: tuple[str, ...] = (),
    facts: Facts | None = None,
    expected: pd.DataFrame = NO_VOIDS,
) -> StageResult:
    sections = [*overlay["section"], *refused]
    thick = table(THICKNESSES, {"section": sections, "overlay": [*overlay["overlay"], *[np.nan] * len(refused)]})
    lanes = table(LANE_QUANTITIES, overlay.assign(lane="1"))
    made = {schema.name: empty(schema) for schema in TABLES}
    made |= {"overlay_quantities": overlay, "lane_quantities": lanes, "thicknesses": thick}
    judged = {"verdicts": table(VERDICTS, {"section": sections}), "expected_voids": expected}
    results = {
        "evaluation": StageResult("evaluation", judged),
        "repair": StageResult("repair", {"repairs": repairs}),
        "design": StageResult("design", made),
    }
    return run(Given(facts or Facts(), replace(Decisions(), economics=prices), results))


def said(result: StageResult) -> str:
    return " ".join(worded(note, "us") for note in result.notes)


def test_the_example_by_hand() -> None:
    """8 m3 at 200 are 1,600, 100 m2 at 5 are 500, and the repairs of A 820 + 20 + 30; those of B 40 + 70 + 2 x 90."""
    result = priced()
    assert result.tables["repair_costs"]["cost"].tolist() == pytest.approx(EXAMPLE["by_hand"].tolist())
    kinds = result.tables["repair_kind_costs"].set_index(["section", "kind"])["cost"].to_dict()
    assert kinds == pytest.approx({
        ("A", "crack routed and filled"): 30.0,
        ("A", FULL): 820.0,
        ("A", "partial depth"): 20.0,
        ("B", "load transfer restored"): 180.0,
        ("B", "partial depth"): 40.0,
        ("B", "slab stabilised"): 70.0,
    })
    a, b = result.tables["section_costs"].to_dict("records")
    assert a == pytest.approx({
        "section": "A",
        "concrete_cost": 1600,
        "surface_cost": 500,
        "repair_cost": 870,
        "cost": 2970,
    })
    assert "In all, the items of the bid come to 3,260 EUR at prices of 2026" in said(result)
    assert result.tables["bid_items"]["amount"].sum() == pytest.approx(3260)
    assert (b["section"], b["repair_cost"], b["cost"]) == ("B", 290.0, 290.0)


def test_a_section_without_an_overlay_costs_its_repairs_and_says_so() -> None:
    result = priced()
    b = result.tables["section_costs"].set_index("section").loc["B"]
    assert np.isnan(b["concrete_cost"])
    assert np.isnan(b["surface_cost"])
    assert "Section B: repairs are priced, but no overlay is designed here." in said(result)
    assert "Section A" not in said(result)


def test_no_repairs_leave_the_overlay() -> None:
    result = priced(repairs=empty(REPAIRS))
    assert result.tables["repair_costs"].empty
    assert result.tables["repair_kind_costs"].empty
    (row,) = result.tables["section_costs"].to_dict("records")
    assert row == {"section": "A", "concrete_cost": 1600, "surface_cost": 500, "repair_cost": 0, "cost": 2100}


def test_nothing_to_price_is_said() -> None:
    """Every section refused: no overlay is designed and no repair listed."""
    result = priced(repairs=empty(REPAIRS), overlay=empty(OVERLAY_QUANTITIES))
    assert all(frame.empty for frame in result.tables.values())
    assert said(result) == "Nothing is priced: no overlay is designed and no repair is marked out."


def test_placeholders_among_the_prices_are_counted() -> None:
    assert "9 of 9 unit prices are the program's placeholders, no agency's" in said(priced(EconomicsDecisions()))
    assert "No sum is told: the unit prices are placeholders" in said(priced(EconomicsDecisions()))
    mixed = EconomicsDecisions(saw_cost=1.0, void_cost=2.0)
    assert "7 of 9 unit prices are the program's placeholders, no agency's" in said(priced(mixed))
    assert "placeholder" not in said(priced())


def test_what_is_not_in_the_sum_is_named() -> None:
    bridges = table(
        FACTS["bridges"],
        {"name": ["Mill Lane", "Wide River"], "begin": [0.0, 9.0], "end": [5.0, 19.0], "passes": [OVER, CARRIES]},
    )
    text = said(priced(refused=("C", "D"), facts=Facts(bridges=bridges)))
    assert "No bonded overlay is priced for C and D" in text
    assert "bridge decks that carry the road: Wide River." in text
    assert "is priced for" not in said(priced())


def test_prices_of_zero_are_named() -> None:
    nothing = replace(PRICES, **dict.fromkeys(unit_prices(PRICES), 0.0))
    result = priced(nothing)
    assert all((frame["cost"] == 0).all() for frame in result.tables.values() if "cost" in frame)
    assert set(result.tables["bid_items"]["price"]) == {"no price decided"}
    for name in unit_prices(PRICES):
        assert f"economics.{name}" in said(result)
    assert "two sawcuts" not in said(result)
    free = said(priced(replace(PRICES, void_cost=0.0)))
    assert "unit price of zero: economics.void_cost." in free
    assert "zero" not in said(priced())


@drawn(
    st.lists(
        st.tuples(st.sampled_from("ABC"), st.sampled_from([r[2] for r in BY_HAND]), st.floats(0, 50), st.floats(0, 50)),
        max_size=30,
    ),
    st.floats(0.1, 10),
)
def test_sums_agree_and_costs_follow_prices(rows: list[tuple[str, str, float, float]], factor: float) -> None:
    """Repairs, kinds and sections come to one sum; all prices times a factor are all costs times it."""
    marked = table(REPAIRS, pd.DataFrame(rows, columns=["section", "kind", "length", "area"]))
    one = priced(repairs=marked).tables
    whole = one["repair_costs"]["cost"].sum()
    assert one["repair_kind_costs"]["cost"].sum() == pytest.approx(whole)
    sections = one["section_costs"]
    assert sections["repair_cost"].sum() == pytest.approx(whole)
    assert sections["cost"].sum() == pytest.approx(whole + 1600 + 500)
    dearer = replace(PRICES, **{name: factor * price for name, price in unit_prices(PRICES).items()})
    bid = one["bid_items"]["amount"].sum()
    assert bid == pytest.approx(whole + 1600 + 500)
    assert priced(dearer, repairs=marked).tables["bid_items"]["amount"].sum() == pytest.approx(factor * bid)
    other = priced(dearer, repairs=marked).tables["section_costs"]
    np.testing.assert_allclose(other["cost"], factor * sections["cost"], rtol=1e-9)  # the last bits only


def test_a_kind_without_a_price_is_refused() -> None:
    with pytest.raises(BadResult, match="no price for this kind of repair; given 'grinding'"):
        priced(repairs=MARKED.assign(kind="grinding"))


def full(**columns: Any) -> pd.DataFrame:
    rows = len(columns["begin"])
    return table(REPAIRS, pd.DataFrame({"kind": FULL, "width": 3.66, "lane": ["1"] * rows, **columns}))


def test_a_sound_piece_is_dear_where_two_sawcuts_cost_more_than_its_replacement() -> None:
    """2 x 1,500 / (3.66 x 260) = 3.15 m of full-depth repair for the price of two sawcuts."""
    dear = replace(PRICES, saw_cost=1500.0, full_depth_cost=260.0)
    repairs = full(begin=[20.0, 0.0, 10.3], end=[22.0, 7.2, 16.8])  # in no order; pieces of 3.1 m and 3.2 m
    assert dear_pieces(repairs, dear) == pytest.approx([3.1])
    assert dear_pieces(repairs.assign(lane=["1", "1", "2"]), dear).size == 0
    assert dear_pieces(repairs.assign(kind="partial depth"), dear).size == 0
    assert dear_pieces(repairs, EconomicsDecisions(saw_cost=0.0)).size == 0
    marked = repairs.assign(section="A", length=2.0, area=7.0)
    assert "sawcuts" not in said(priced(replace(dear, full_depth_cost=0.0), marked))  # not priced, not free
    result = priced(dear, marked)
    assert "than to replace: 1, up to 10.2 ft long" in said(result)  # 3.1 m / 0.3048


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"prices_are": "placeholders"}, "placeholders until the engineer confirms them"),
        ({"currency": ""}, "not in what money: economics.currency"),
        ({"price_year": 0.0}, "not in what money: economics.price_year"),
    ],
)
def test_no_sum_is_told_before_the_prices_are_confirmed_in_a_money_of_a_year(
    changed: dict[str, Any], told: str
) -> None:
    result = priced(replace(PRICES, **changed))
    assert told in said(result)
    for name, frame in result.tables.items():
        money = [c for c in frame.columns if c == "amount" or c.endswith("cost")]
        assert money, name
        assert frame[money].isna().all(axis=None), name
    assert set(result.tables["bid_items"]["price"]) == {"not confirmed"}


def test_overrun_is_an_item_by_itself() -> None:
    """5 % of 8 m3 at 200 are 80 more; the measured concrete stays 8 m3."""
    bid = priced(replace(PRICES, overrun=0.05)).tables["bid_items"].set_index("item")
    assert measured(str(bid.loc["overrun of concrete", "quantity"])) == ("volume", pytest.approx(0.4))
    assert bid.loc["overrun of concrete", "amount"] == pytest.approx(80)
    assert bid.loc["overlay concrete", "amount"] == pytest.approx(1600)


def test_ways_shoulders_and_tapers_are_items_and_nothing_of_a_refused_stretch_is_missing() -> None:
    """By hand: 5 m3 unbonded at 200, 50 m2 of layer at 3, 2 m3 milled at 30, 4 m3 of asphalt at 60; one ramp is open."""
    ways = [
        {"section": s, "way": w, "chosen": c, "area": 50.0, "volume": 5.0, "removed": 4.0}
        for s, w, c in (("C", "unbonded overlay", "yes"), ("D", "leave out", "yes"), ("E", "mill and inlay", "no"))
    ]
    sides = [
        {"place": "outside shoulder", "built": "asphalt", "begin": 0.0, "end": 9.0, "area": 40.0, "volume": 4.0},
        {"place": "Ramp", "built": "overlay concrete", "begin": 5.0, "end": 5.0},
    ]
    design = {schema.name: empty(schema) for schema in TABLES} | {
        "thicknesses": table(THICKNESSES, {"section": ["C", "D", "E"]}),
        "refused_ways": table(REFUSED_WAYS, pd.DataFrame(ways)),
        "side_areas": table(SIDE_AREAS, pd.DataFrame(sides)),
        "tapers": table(TAPERS, {"place": ["deck"], "begin": [0.0], "end": [9.0], "volume": [0.0], "milled": [2.0]}),
    }
    found = bid_items(items(design, empty(REPAIRS), NO_VOIDS, 0.0), PRICES).set_index("item")
    assert found["amount"].dropna().to_dict() == pytest.approx({
        "old slab milled at tapers": 60,
        "shoulders raised with asphalt": 240,
        "unbonded overlay concrete, section C": 1000,
        "preparation, joints and curing, section C": 250,
        "separation layer, section C": 150,
    })
    assert found.loc["overlay concrete on ramps", "quantity"] == "not known"
    assert (found.loc["left out, section D", "price"], found.loc["section E", "price"]) == ("", "no price decided")
    assert measured(str(found.loc["section E", "quantity"])) == ("paved_area", 50.0)
