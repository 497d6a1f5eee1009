"""Which lane a direction is judged by, how many lanes share its trucks, and what tested corners say of the others."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from scipy.stats import binomtest

from slabwright.economics.items import EXPECTED
from slabwright.project import Project
from slabwright.records.decisions import Decisions, change
from slabwright.records.facts import Facts
from slabwright.records.remarks import decoded, reads
from slabwright.roadway.places import design_lane
from tests.pipeline import computed, tables


@pytest.fixture(scope="module")
def facts(demo_project: Project) -> Facts:
    return demo_project.facts()


def by_lane(facts: Facts) -> Facts:
    """The lanes beside the outer one on another pavement: drier, younger, dowelled."""
    outer = facts.layers.assign(lane="")
    inner = [facts.layers.assign(lane=lane, drainage="excellent", year_built=2015.0) for lane in ("NB1", "NB2")]
    return replace(facts, layers=pd.concat([outer.assign(drainage="very poor"), *inner], ignore_index=True))


def test_the_outermost_lane_is_designed_for_whatever_the_order_of_rows(facts: Facts) -> None:
    turned = replace(facts, lanes=facts.lanes.iloc[::-1].reset_index(drop=True))
    assert design_lane(facts, "with stationing") == design_lane(turned, "with stationing") == "NB3"
    nameless = replace(facts, lanes=facts.lanes.assign(position=np.nan))
    assert design_lane(nameless, "with stationing") == "NB3"  # of three lanes the one that was tested
    assert design_lane(facts, "of no road") == ""


def test_layers_by_lane_are_those_of_the_outermost_and_the_other_lanes_are_told(facts: Facts) -> None:
    split = by_lane(facts)
    turned = replace(split, lanes=split.lanes.iloc[::-1].reset_index(drop=True))
    one, other = (tables(f, until="evaluation") for f in (split, turned))
    pd.testing.assert_frame_equal(one["condition"], other["condition"])
    drained = dict(zip(one["condition"]["section"], one["condition"]["drainage_coefficient"], strict=True))
    assert (drained["W1"], drained["W2"]) == (0.70, 0.70)  # very poor: AASHTO 1993 Table 2.5, from memory
    alike = replace(
        facts, layers=pd.concat([facts.layers.assign(lane=n) for n in ("NB1", "NB2", "NB3")], ignore_index=True)
    )
    assert not any("is not that of lane" in str(p) for p in tables(alike, until="evaluation")["open_points"]["point"])
    told = [reads(p, "us") for p in one["open_points"].query("about == 'W1'")["point"]]
    assert "the existing pavement of lane NB1, NB2 is not that of lane NB3, by which the section is judged" in told


def test_corners_tested_stand_for_the_slabs_of_their_lane(facts: Facts) -> None:
    """Of 7 corners 3 with voids: 42.9 per cent of the slabs that nobody tested, and the exact limits by another library."""
    results = computed(facts)
    expected = results["evaluation"].tables["expected_voids"].set_index("section")
    a3 = expected.loc["A3"]
    assert (a3["tested"], a3["found"]) == (7, 3)
    limits = binomtest(3, 7).proportion_ci(0.95, method="exact")
    assert a3[["low", "high"]].tolist() == pytest.approx([limits.low, limits.high])
    assert a3["more"] == pytest.approx(np.ceil((a3["slabs"] - 7) * 3 / 7))
    section = results["survey"].tables["sections"].set_index("section").loc["A3"]
    assert a3["slabs"] == pytest.approx((section["end"] - section["begin"]) / 4.572, rel=0.05)  # joints 15 ft apart
    bid = results["economics"].tables["bid_items"].set_index(["lane", "item"])
    quantity = decoded(bid.loc[("SB3", EXPECTED), "quantity"]).values[0][2]
    north = expected[expected.index.str.startswith("A")]["more"]
    assert float(quantity) == sum(north)
    told = results["evaluation"].tables["open_points"].set_index("about").loc["W3, A3", "point"]
    said = (
        f"(NB3 3 of 7, SB3 3 of 7): of the other slabs of these lanes {expected['more'].sum():.0f} are to be expected"
    )
    assert said in reads(told, "us")
    slabs = results["repair"].tables["reflected_cracks"].set_index(["section", "lane"])["slabs"]
    assert slabs["A3", "SB3"] == a3["slabs"]  # walked whole: the same slabs, told twice
    assert slabs["W3", "NB3"] == expected.loc["W3", "slabs"]


def test_corners_without_a_void_let_none_be_expected(facts: Facts) -> None:
    sound = facts.deflections["position"] != "corner"
    assert tables(replace(facts, deflections=facts.deflections[sound]), until="evaluation")["expected_voids"].empty


def test_a_thickness_from_the_plans_is_listed_with_what_it_does(facts: Facts) -> None:
    """E h^3 is what a basin gives: a slab half an inch thinner than its plan is stiffer, and worth less."""
    usual, bare = tables(facts), tables(replace(facts, cores=facts.cores.assign(thickness=np.nan)))
    name = "Thickness of the old slab"
    assert name not in set(usual["assumptions"]["quantity"])
    assert set(bare["assumptions"].query("quantity == @name")["section"]) == set(bare["condition"]["section"])
    effects = bare["assumption_effects"].query("quantity == @name")
    assert (effects["at_low"] > effects["needed"]).all()
    assert (effects["at_high"] < effects["needed"]).all()


def test_another_growth_than_counted_and_a_year_already_counted_are_told(facts: Facts) -> None:
    """From 100,000 to 110,000 vehicles in ten years is 0.96 per cent a year; 2 per cent is near enough, 3 is not."""
    counts = facts.counts.iloc[[0, -1]].assign(year=[2015.0, 2025.0], daily_traffic=[100_000.0, 110_000.0])
    said = {}
    for growth, year in (("1.5 %", "2026"), ("3 %", "2026"), ("1.5 %", "2020")):
        decisions = change(change(Decisions(), "traffic.growth", growth), "traffic.base_year", year)
        points = tables(replace(facts, counts=counts), decisions, until="evaluation")["open_points"]
        said[growth, year] = [reads(p, "us") for p in points.loc[points["about"] == "Traffic", "point"]]
    assert said["1.5 %", "2026"] == []
    assert said["3 %", "2026"] == ["traffic grew by 1.0 % a year from 2015 to 2025, and 3.0 % a year is projected"]
    assert "what is given from then on is taken for a forecast" in said["1.5 %", "2020"][0]


def test_what_is_needed_for_a_forecast_lasts_as_long_as_it(facts: Facts) -> None:
    """Traffic that is forecast to triple: the thickness for its sum over 25 years is a life of 25 years, no more.

    The bonded thickness before it is rounded up is decided by hand, so that the slab is the very one that is required.
    """
    ahead = facts.counts.iloc[[-1] * 3].assign(year=[2027.0, 2040.0, 2050.0])
    ahead["daily_traffic"] = ahead["daily_traffic"] * [1.0, 2.0, 3.0]
    forecast = replace(facts, counts=pd.concat([facts.counts, ahead], ignore_index=True))
    needed = tables(forecast, until="design")["thicknesses"].set_index("section").loc["A1", "bonded"]
    words = f"A1: {1000 * needed:.6f} mm"
    found = tables(forecast, change(Decisions(), "design.thickness_by_hand", words), until="design")["thicknesses"]
    assert found.set_index("section").loc["A1", "years"] == pytest.approx(25.0, abs=0.01)


def test_a_plain_slab_with_a_slight_crack_is_a_cracked_slab(facts: Facts) -> None:
    """AASHTO 1993, Part III, 5.4.4 (from memory) counts slabs that are cracked, in classes of their share, whatever the severity."""
    bare = facts.distresses[~facts.distresses["kind"].isin(["transverse crack", "corner break"])]
    crack = facts.distresses[facts.distresses["kind"] == "transverse crack"].iloc[[0]]
    rows = [crack.assign(station=3100.0 + 4.572 * n, lane="NB3", severity="low") for n in range(10)]
    found = tables(replace(facts, distresses=pd.concat([bare, *rows], ignore_index=True)), until="evaluation")
    share = found["condition"].set_index("section").loc["W1", "cracking"]
    section = found["sections"].set_index("section").loc["W1"]
    assert share == pytest.approx(10 * 4.572 / (section["end"] - section["begin"]), rel=0.02)
