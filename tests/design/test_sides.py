"""Tapers, shoulders, ramps and the ways through a refused stretch on a road small enough to measure by hand.

Expected values are lengths, areas and volumes multiplied out here: a taper is a wedge, rise x ratio long, half a prism in volume.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from slabwright.design.sides import INSIDE, OUTSIDE, STEP, levels, raised_sections, side_areas, side_notes, tapers
from slabwright.design.ways import chosen_ways, inlay, refused_ways, way_notes
from slabwright.errors import InputError
from slabwright.records.decisions.design import (
    INLAY,
    LEFT_OUT,
    NO_SHOULDER,
    SHOULDER_ASPHALT,
    UNBONDED,
    DesignDecisions,
)
from slabwright.records.facts import FACTS, Facts
from slabwright.records.remarks import worded
from slabwright.records.table import table
from slabwright.records.words import CARRIES, OVER

WITH = "with stationing"
WIDTH = 7.2  # m: two lanes of 3.6 m
RATIO = 600.0
CHOICE = DesignDecisions(milling_depth=0.0, taper_ratio=RATIO, outside_shoulder=3.0, inside_shoulder=0.0)


def road(*, bridges: list[dict[str, object]] | None = None, shoulder: str = "asphalt") -> Facts:
    lanes = {"lane": ["W1", "W2"], "direction": [WITH] * 2, "position": [1.0, 2.0], "width": [3.6, 3.6]}
    layers = {
        "begin": [0.0],
        "end": [3000.0],
        "thickness": [0.23],
        "pavement": ["jointed plain"],
        "shoulder": [shoulder],
    }
    ramps = {"name": ["Exit"], "kind": ["off"], "station": [400.0], "lane": ["W2"]}
    return Facts(
        road=table(FACTS["road"], {"name": ["x"], "begin": [0.0], "end": [3000.0]}),
        lanes=table(FACTS["lanes"], lanes),
        layers=table(FACTS["layers"], layers),
        ramps=table(FACTS["ramps"], ramps),
        bridges=table(FACTS["bridges"], pd.DataFrame(bridges or [], columns=list(FACTS["bridges"].names))),
    )


def sections(*overlays: float) -> pd.DataFrame:
    """Sections 1,000 m long with these overlays [m]; NaN for a refused one."""
    n = len(overlays)
    return pd.DataFrame({
        "section": [f"S{i}" for i in range(n)],
        "direction": WITH,
        "begin": 1000.0 * np.arange(n),
        "end": 1000.0 * (np.arange(n) + 1),
        "overlay": overlays,
    })


NO_WAYS = pd.DataFrame({"section": [], "way": [], "chosen": [], "raised": []})
NO_CLEARANCES = pd.DataFrame({"bridge": [], "begin": [], "end": [], "available": [], "passes": []})


def along(facts: Facts, *overlays: float, choice: DesignDecisions = CHOICE) -> list[list[object]]:
    return levels(raised_sections(sections(*overlays), NO_WAYS, choice), facts)  # type: ignore[return-value]


def test_a_step_of_thickness_is_a_wedge_on_the_thinner_side() -> None:
    """From 75 to 125 mm: 50 mm x 600 = 30 m long, 30 x 7.2 = 216 m2, half a prism 30 x 0.05 x 7.2 / 2 = 5.4 m3."""
    facts = road()
    made = tapers(along(facts, 0.075, 0.125), NO_CLEARANCES, facts, CHOICE).set_index("place")
    step = made.loc[STEP]
    assert (step["begin"], step["end"]) == pytest.approx((970.0, 1000.0))
    assert (step["length"], step["width"], step["area"]) == pytest.approx((30.0, WIDTH, 216.0))
    assert (step["volume"], step["milled"]) == pytest.approx((5.4, 0.0))


def test_both_ends_are_milled_and_lie_within_the_overlay() -> None:
    """75 mm x 600 = 45 m at each end; what is milled is 45 x 0.075 x 7.2 / 2 = 12.15 m3, and no concrete is added."""
    facts = road()
    made = tapers(along(facts, 0.075, 0.075), NO_CLEARANCES, facts, CHOICE)
    ends = made[made["place"] == "end of the road"]
    assert list(zip(ends["begin"], ends["end"], strict=True)) == [
        pytest.approx((0.0, 45.0)),
        pytest.approx((1955.0, 2000.0)),
    ]
    assert ends["milled"].tolist() == pytest.approx([12.15, 12.15])
    assert ends["volume"].tolist() == [0.0, 0.0]
    assert STEP not in set(made["place"])  # one thickness over both


def test_milling_lowers_the_surface_and_a_refused_section_ends_it() -> None:
    """75 mm on 25 mm of milling raises 50 mm: 30 m down to the refused section, inside the overlay."""
    facts = road()
    choice = replace(CHOICE, milling_depth=0.025)
    made = tapers(along(facts, 0.075, np.nan, choice=choice), NO_CLEARANCES, facts, choice).set_index("place")
    beyond = made.loc["no overlay beyond"]
    assert (beyond["begin"], beyond["end"], beyond["high"], beyond["low"]) == pytest.approx((970.0, 1000.0, 0.05, 0.0))


def test_a_deck_has_a_taper_on_either_side_and_a_low_bridge_too() -> None:
    """Deck from 500 to 540 m: 45 m before and after it. Beneath a bridge that leaves 25 mm of 75: 50 mm x 600 = 30 m."""
    deck = {"name": "Brook", "passes": CARRIES, "begin": 500.0, "end": 540.0}
    facts = road(bridges=[deck])
    made = tapers(along(facts, 0.075), NO_CLEARANCES, facts, CHOICE)
    decks = made[made["place"] == "deck"]
    assert decks[["begin", "end"]].to_numpy().ravel() == pytest.approx([455.0, 500.0, 540.0, 585.0])
    low = pd.DataFrame({"bridge": ["Arch"], "begin": [700.0], "end": [710.0], "available": [0.025], "passes": ["no"]})
    under = tapers(along(road(), 0.075), low, road(), CHOICE).set_index("place").loc["under Arch"]
    assert under[["begin", "end"]].to_numpy().ravel() == pytest.approx([670.0, 700.0, 710.0, 740.0])
    assert under["low"].tolist() == pytest.approx([0.025, 0.025])


def test_shoulders_and_ramps_are_measured_where_their_widths_are_known() -> None:
    """1,000 m x 3 m x 75 mm = 225 m3 of asphalt outside; the inside width is not known, nor the ramp's: open, not zero."""
    facts = road()
    here = along(facts, 0.075)
    made = side_areas(here, tapers(here, NO_CLEARANCES, facts, CHOICE), facts, CHOICE)  # type: ignore[arg-type]
    by = made.set_index("place")
    assert by.loc[OUTSIDE, ["length", "width", "area", "volume"]].tolist() == pytest.approx([
        1000.0,
        3.0,
        3000.0,
        225.0,
    ])
    assert by.loc[OUTSIDE, "built"] == SHOULDER_ASPHALT
    assert np.isnan(by.loc[INSIDE, "area"])
    assert np.isnan(by.loc["Exit", "area"])
    assert [worded(note, "us") for note in side_notes(made)] == [
        "Open: of inside shoulder the width not known: design.inside_shoulder; no quantity of it is known.",
        "Open: of Exit the width not known: design.ramp_width; no quantity of it is known.",
    ]
    wide = replace(CHOICE, ramp_width=4.8, ramp_taper_ratio=200.0)
    made = side_areas(here, tapers(here, NO_CLEARANCES, facts, wide), facts, wide)  # type: ignore[arg-type]
    ramp = made.set_index("place").loc["Exit"]
    assert (ramp["length"], ramp["area"]) == pytest.approx((15.0, 72.0))  # 75 mm x 200, times 4.8 m


def test_a_shoulder_of_no_known_kind_is_open_and_one_decided_away_is_nothing() -> None:
    facts = road(shoulder="")
    here = along(facts, 0.075)
    none = replace(CHOICE, shoulders=NO_SHOULDER)
    volumes = [
        side_areas(here, tapers(here, NO_CLEARANCES, facts, c), facts, c).set_index("place").loc[OUTSIDE, "volume"]  # type: ignore[arg-type]
        for c in (CHOICE, none)
    ]
    assert np.isnan(volumes[0])
    assert volumes[1] == 0.0


REFUSED = pd.DataFrame({
    "section": ["S0"],
    "direction": [WITH],
    "begin": [0.0],
    "end": [1000.0],
    "verdict": ["not suited"],
    "thickness": [0.23],
})


def ways(choice: DesignDecisions, facts: Facts) -> pd.DataFrame:
    area = {"S0": 7200.0}
    made = refused_ways(REFUSED, np.array([0.26]), np.array([0.15]), area, facts, choice, (0.05, 0.01))
    return made.set_index("way")


def test_the_ways_through_a_refused_stretch() -> None:
    """Whole slab: 260 mm new for 230 mm old raises 30 mm, 7,200 m2 x 0.26 = 1,872 m3, and 1,656 m3 go. Unbonded, from
    AASHTO 1993: root(0.26^2 - 0.15^2) = 0.2124 m, up to 220 mm by steps of 10 mm.
    """
    made = ways(CHOICE, road())
    assert made.loc[INLAY, ["concrete", "volume", "removed", "raised"]].tolist() == pytest.approx([
        0.26,
        1872.0,
        1656.0,
        0.03,
    ])
    assert made.loc[UNBONDED, ["concrete", "raised"]].tolist() == pytest.approx([0.22, 0.22])
    assert made.loc[LEFT_OUT, ["concrete", "volume", "removed", "raised"]].tolist() == [0.0] * 4
    assert set(made["chosen"]) == {"no"}
    (note,) = way_notes(made.reset_index())
    assert "S0 is not decided" in worded(note, "us")


def test_a_way_that_a_bridge_has_no_room_for_is_told() -> None:
    """5.10 m over the road and 5.00 m required leave 100 mm: 220 mm do not fit, 30 mm do."""
    bridge = {
        "name": "Arch",
        "passes": OVER,
        "begin": 300.0,
        "end": 310.0,
        "clearance": 5.10,
        "required_clearance": 5.0,
    }
    made = ways(replace(CHOICE, refused=UNBONDED), road(bridges=[bridge]))
    assert made["fits"].to_dict() == {INLAY: "yes", UNBONDED: "no", LEFT_OUT: "yes"}
    assert made.loc[UNBONDED, "chosen"] == "yes"
    assert any(
        "raises the grade by 220 mm, and a bridge over it leaves 100 mm" in worded(n, "metric")
        for n in way_notes(made.reset_index())
    )


def test_an_inlay_of_a_decided_depth_is_flush() -> None:
    new, removed = inlay(np.array([0.26, np.nan]), np.array([0.23, 0.23]), 0.1, 0.01)
    assert (new - removed).tolist() == [0.0, 0.0]
    whole, _ = inlay(np.array([0.26, 0.20, np.nan]), np.full(3, 0.23), 0.0, 0.01)
    assert whole == pytest.approx([0.26, 0.23, np.nan], nan_ok=True)  # never thinner than the old slab


def test_a_way_by_hand_that_is_none_is_refused() -> None:
    with pytest.raises(InputError, match="no way through section S0"):
        chosen_ways(replace(CHOICE, refused_by_hand="S0: pray"), REFUSED)
