"""What things cost: an example by hand, sums that agree, and roads with nothing to price."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd
import pytest
from hypothesis import given as drawn
from hypothesis import strategies as st

from slabwright.economics.pricing import dear_pieces
from slabwright.economics.run import run
from slabwright.errors import BadResult
from slabwright.records.decisions import Decisions
from slabwright.records.decisions.economics import EconomicsDecisions
from slabwright.records.facts import FACTS, Facts
from slabwright.records.outcomes.design import OVERLAY_QUANTITIES, THICKNESSES
from slabwright.records.outcomes.repair import REPAIRS
from slabwright.records.remarks import worded
from slabwright.records.results import StageResult
from slabwright.records.stage import Given
from slabwright.records.table import empty, table
from slabwright.records.words import CARRIES, OVER

PRICES = EconomicsDecisions(
    saw_cost=50.0,
    full_depth_cost=100.0,
    partial_depth_cost=80.0,
    partial_removal_cost=40.0,
    crack_cost=10.0,
    void_cost=70.0,
    load_transfer_cost=90.0,
    concrete_cost=200.0,
    surface_cost=5.0,
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


def priced(
    prices: EconomicsDecisions = PRICES,
    repairs: pd.DataFrame = MARKED,
    overlay: pd.DataFrame = LAID,
    refused: tuple[str, ...] = (),
    facts: Facts | None = None,
) -> StageResult:
    sections = [*overlay["section"], *refused]
    thick = table(THICKNESSES, {"section": sections, "overlay": [*overlay["overlay"], *[np.nan] * len(refused)]})
    results = {
        "repair": StageResult("repair", {"repairs": repairs}),
        "design": StageResult("design", {"overlay_quantities": overlay, "thicknesses": thick}),
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
    assert (
        "In all, the repairs and the overlay cost 3,260: overlay concrete 1,600; preparation, joints and curing 500; repairs 1,160"
        in said(result)
    )
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
    mixed = EconomicsDecisions(saw_cost=1.0, void_cost=2.0)
    assert "7 of 9 unit prices are the program's placeholders, no agency's" in said(priced(mixed))
    assert "placeholder" not in said(priced())


def test_what_is_not_in_the_sum_is_named() -> None:
    bridges = table(
        FACTS["bridges"],
        {"name": ["Mill Lane", "Wide River"], "begin": [0.0, 9.0], "end": [5.0, 19.0], "passes": [OVER, CARRIES]},
    )
    text = said(priced(refused=("C", "D"), facts=Facts(bridges=bridges)))
    assert "No overlay is in the sum for C and D" in text
    assert "bridge decks that carry the road: Wide River." in text
    assert "in the sum" not in said(priced())


def test_prices_of_zero_are_named() -> None:
    nothing = EconomicsDecisions(**dict.fromkeys(vars(PRICES), 0.0))
    result = priced(nothing)
    assert all((frame["cost"] == 0).all() for frame in result.tables.values())
    for name in vars(PRICES):
        assert f"economics.{name}" in said(result)
    assert "sawcuts" not in said(result)
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
    dearer = EconomicsDecisions(**{name: factor * price for name, price in vars(PRICES).items()})
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
    dear = EconomicsDecisions(saw_cost=1500.0, full_depth_cost=260.0)
    repairs = full(begin=[20.0, 0.0, 10.3], end=[22.0, 7.2, 16.8])  # in no order; pieces of 3.1 m and 3.2 m
    assert dear_pieces(repairs, dear) == pytest.approx([3.1])
    assert dear_pieces(repairs.assign(lane=["1", "1", "2"]), dear).size == 0
    assert dear_pieces(repairs.assign(kind="partial depth"), dear).size == 0
    assert dear_pieces(repairs, EconomicsDecisions(saw_cost=0.0)).size == 0
    marked = repairs.assign(section="A", length=2.0, area=7.0)
    assert "sawcuts" not in said(priced(replace(dear, full_depth_cost=0.0), marked))  # not priced, not free
    result = priced(dear, marked)
    assert "than to replace: 1, up to 10.2 ft long" in said(result)  # 3.1 m / 0.3048
