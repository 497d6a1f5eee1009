"""Tapers, shoulders and ramps on a road small enough to measure by hand.

Expected values are lengths, areas and volumes multiplied out here: a taper is a wedge, rise x ratio long, half a prism in volume.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from slabwright.design.sides import INSIDE, OUTSIDE, STEP, levels, raised_sections, side_areas, side_notes, tapers
from slabwright.records.decisions.design import (
    NO_SHOULDER,
    SHOULDER_ASPHALT,
    DesignDecisions,
)
from slabwright.records.facts import FACTS, Facts
from slabwright.records.remarks import worded
from slabwright.records.table import table
from slabwright.records.words import CARRIES

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


def test_between_two_decks_tapers_have_half_the_gap_each_and_lie_on_no_deck() -> None:
    """75 mm at 1 in 600 want 45 m and the gap has 20: 10 m each, 75 mm deep at the deck and 58.3 at the inner end.

    The mean of both over 10 m and 7 m of width is 4.667 m3.
    """
    near = [{"name": n, "passes": CARRIES, "begin": b, "end": b + 40.0} for n, b in (("Brook", 500.0), ("Mill", 560.0))]
    facts = road(bridges=near)
    made = tapers(along(facts, 0.075), NO_CLEARANCES, facts, CHOICE)
    gap = made[(made["begin"] >= 540.0) & (made["end"] <= 560.0)]
    assert gap[["begin", "end"]].to_numpy().tolist() == [[540.0, 550.0], [550.0, 560.0]]
    assert gap["note"].str.contains("too short for it").all()
    width = gap["width"].iloc[0]
    assert gap["milled"].tolist() == pytest.approx([10 * width * (0.075 + 0.075 * 35 / 45) / 2] * 2)
    assert not ((made["begin"] < 540.0) & (made["end"] > 500.0)).any()
