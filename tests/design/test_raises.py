"""Tapers, shoulders, ramps and lanes: lengths, areas and volumes multiplied here by hand.

The road: lanes of 3.5 m and 4.0 m, 100 mm to station 1000 with a deck from 500 to 550, 80 mm to 2000, nothing from there to 2500.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from slabwright.design.sides import levels, raised_sections, shoulder_built, side_areas, side_notes, taper_notes, tapers
from slabwright.records.decisions.design import NO_SHOULDER, DesignDecisions
from slabwright.records.facts import FACTS, Facts
from slabwright.records.outcomes.design import CLEARANCES, REFUSED_WAYS, THICKNESSES
from slabwright.records.remarks import worded
from slabwright.records.table import empty, table
from slabwright.records.words import CARRIES, UNKNOWN
from slabwright.roadway.areas import lane_areas, section_areas

WITH = "with stationing"
CHOICE = DesignDecisions(taper_ratio=300.0, ramp_taper_ratio=100.0, ramp_width=5.0, outside_shoulder=3.0)
SECTIONS = pd.DataFrame({
    "section": ["W1", "W2", "W3"],
    "direction": WITH,
    "begin": [0.0, 1000.0, 2000.0],
    "end": [1000.0, 2000.0, 2500.0],
})
RAISED = SECTIONS.assign(raised=[0.10, 0.08, 0.0])
LEFT = 0.05  # m of raise that the bridge from 1200 to 1220 leaves
LOW_BRIDGE = table(
    CLEARANCES, {"bridge": ["Mill Lane"], "begin": [1200.0], "end": [1220.0], "available": [LEFT], "passes": ["no"]}
)
FREE = empty(CLEARANCES)


def road(**shoulders: str) -> Facts:
    """``shoulders``: kind beside the first and the second kilometre."""
    kinds = [shoulders.get("first", "asphalt"), shoulders.get("second", "asphalt")]
    return Facts(
        lanes=table(
            FACTS["lanes"], {"lane": ["1", "2"], "direction": [WITH] * 2, "position": [1, 2], "width": [3.5, 4.0]}
        ),
        bridges=table(FACTS["bridges"], {"name": ["River"], "begin": [500.0], "end": [550.0], "passes": [CARRIES]}),
        ramps=table(FACTS["ramps"], {"name": ["Ramp B"], "station": [1500.0], "lane": ["2"], "kind": ["off"]}),
        layers=table(FACTS["layers"], {"begin": [0.0, 1000.0], "end": [1000.0, 2500.0], "shoulder": kinds}),
    )


def made(
    clearances: pd.DataFrame = FREE, choice: DesignDecisions = CHOICE, raised: pd.DataFrame = RAISED
) -> pd.DataFrame:
    return tapers(levels(raised, road()), clearances, road(), choice)


def test_tapers_by_hand() -> None:
    """300 x 100 mm = 30 m, 300 x 20 mm = 6 m, 300 x 80 mm = 24 m, on the ramp 100 x 80 mm = 8 m; wedges are halves of boxes."""
    found = made()
    places = ["end of the road", "deck", "deck", "step of thickness", "no overlay beyond", "Ramp B"]
    assert found["place"].tolist() == places
    assert found["begin"].tolist() == pytest.approx([0, 470, 550, 1000, 1976, 1500])
    assert found["end"].tolist() == pytest.approx([30, 500, 580, 1006, 2000, 1500])
    assert found["length"].tolist() == pytest.approx([30, 30, 30, 6, 24, 8])
    assert found["width"].tolist() == pytest.approx([7.5] * 5 + [5])
    assert found["area"].tolist() == pytest.approx([225, 225, 225, 45, 180, 40])
    assert found["volume"].tolist() == pytest.approx([0, 0, 0, 6 * 0.02 * 7.5 / 2, 0, 0])
    assert found["milled"].tolist() == pytest.approx([11.25, 11.25, 11.25, 0, 24 * 0.08 * 7.5 / 2, 8 * 0.08 * 5 / 2])
    (note,) = taper_notes(found)
    assert worded(note, "metric").startswith("6 tapers, 128.00 m long in all")


def test_a_step_up_lies_before_the_thicker_stretch() -> None:
    """The wedge is on the thinner side, whichever way the road counts: 1000 - 6 to 1000."""
    found = made(raised=RAISED.assign(raised=[0.08, 0.10, 0.0])).set_index("place")
    assert found.loc["step of thickness", ["begin", "end"]].tolist() == pytest.approx([994, 1000])


def test_a_bridge_too_low_has_a_taper_on_either_side() -> None:
    """80 mm less the 50 mm that it leaves are 30 mm: 9 m each, milled 9 x 0.03 x 7.5 / 2."""
    found = made(LOW_BRIDGE).set_index("place").loc["under Mill Lane"]
    assert found["begin"].tolist() == pytest.approx([1191, 1220])
    assert found["end"].tolist() == pytest.approx([1200, 1229])
    assert found["milled"].tolist() == pytest.approx([1.0125] * 2)
    beneath = made(LOW_BRIDGE).set_index("place").loc["beneath Mill Lane"]
    assert beneath[["begin", "end", "length"]].tolist() == pytest.approx([1200, 1220, 20])
    assert beneath["milled"] == pytest.approx(20 * 7.5 * 0.03)  # flat between the tapers
    assert "under Mill Lane" not in set(made(LOW_BRIDGE.assign(passes=UNKNOWN))["place"])


def test_a_ramp_without_a_width_and_a_raise_not_known_are_open_and_not_zero() -> None:
    ramp = made(choice=replace(CHOICE, ramp_width=0.0)).set_index("place").loc["Ramp B"]
    assert ramp["length"] == pytest.approx(8)
    assert np.isnan([ramp["width"], ramp["area"], ramp["milled"]]).all()
    raised = RAISED.assign(raised=[0.10, np.nan, 0.0])
    beyond = made(raised=raised)
    unknown = beyond[beyond["length"].isna()]
    assert unknown["place"].tolist() == ["step of thickness", "no overlay beyond", "Ramp B"]
    assert unknown[["area", "milled"]].isna().any(axis=1).all()
    sides = side_areas(levels(raised, road()), beyond, road(), CHOICE)
    beside = sides[(sides["place"] == "outside shoulder") & (sides["begin"] == 1000)].iloc[0]
    assert beside["area"] == pytest.approx(3000)
    assert np.isnan([beside["thickness"], beside["volume"]]).all()


def test_what_raises_the_surface() -> None:
    """100 mm less 20 mm milled off; in W2 an unbonded overlay of 200 mm; in W3 nobody chose a way."""
    thick = table(THICKNESSES, SECTIONS.assign(overlay=[0.10, np.nan, np.nan]))
    ways = table(REFUSED_WAYS, {"section": ["W2", "W3"], "chosen": ["yes", "no"], "raised": [0.2, 0.3]})
    found = raised_sections(thick, ways, replace(CHOICE, milling_depth=0.02))
    assert found["raised"].tolist() == pytest.approx([0.08, 0.2, 0.0])
    along = levels(found, road())
    assert [(x.begin, x.end) for x in along[0]] == [(0, 500), (550, 1000), (1000, 2000), (2000, 2500)]


def test_side_areas_by_hand() -> None:
    """Beside 500, 450 and 1000 m: 3 m of outer shoulder as high as the overlay; the ramp 8 x 5 m; inside nobody gave a width."""
    facts = road(second="")
    along = levels(RAISED, facts)
    found = side_areas(along, tapers(along, FREE, facts, CHOICE), facts, CHOICE)
    outside = found[found["place"] == "outside shoulder"]
    assert outside["area"].tolist() == pytest.approx([1500, 1350, 3000])
    assert outside["built"].tolist() == ["asphalt", "asphalt", UNKNOWN]
    assert outside["volume"].tolist() == pytest.approx([150, 135, np.nan], nan_ok=True)
    inside = found[found["place"] == "inside shoulder"]
    assert inside["length"].tolist() == pytest.approx([500, 450, 1000])
    assert inside[["width", "area", "volume"]].isna().all(axis=None)
    ramp = found.set_index("place").loc["Ramp B"]
    assert (ramp["area"], ramp["volume"]) == pytest.approx((40, 3.2))
    said = " ".join(worded(note, "metric") for note in side_notes(found))
    assert "Open: of inside shoulder the width not known: design.inside_shoulder" in said
    assert "Open: of inside shoulder and outside shoulder the kind not known" in said
    assert "ramp_width" not in said


def test_a_decided_shoulder_goes_before_its_kind() -> None:
    level = levels(RAISED, road())[0][0]
    assert shoulder_built(level, road(first="tied concrete"), CHOICE) == "overlay concrete"
    nothing = replace(CHOICE, shoulders=NO_SHOULDER)
    assert shoulder_built(level, road(first="tied concrete"), nothing) == NO_SHOULDER
    found = side_areas(levels(RAISED, road()), made(), road(), nothing)
    assert (found.loc[found["place"] == "outside shoulder", "volume"] == 0).all()


def test_quantities_by_lane_add_up_to_the_section() -> None:
    """W1 is 1000 m less a deck of 50 m: 950 x 3.5 and 950 x 4.0 m2."""
    found = lane_areas(SECTIONS, road())
    one = found[found["section"] == "W1"].set_index("lane")
    assert one["length"].tolist() == pytest.approx([950, 950])
    assert one["area"].to_dict() == pytest.approx({"1": 3325, "2": 3800})
    assert found.groupby("section")["area"].sum().to_dict() == pytest.approx(section_areas(SECTIONS, road()))
    assert len(found) == 6


def test_a_bridge_that_is_too_low_already_is_milled_below_the_old_surface() -> None:
    """30 mm short without an overlay, 80 mm raised: 110 mm beneath, and 33 m of taper at 1 in 300."""
    found = made(LOW_BRIDGE.assign(available=-0.03)).set_index("place")
    assert found.loc["beneath Mill Lane", "milled"] == pytest.approx(20 * 7.5 * 0.11)
    assert found.loc["under Mill Lane", "length"].tolist() == pytest.approx([33.0, 33.0])


def test_beneath_a_bridge_each_stretch_is_milled_by_its_own_excess() -> None:
    """The step from 80 to 100 mm lies in the middle of a bridge that leaves 50 mm; on the far side nothing is laid."""
    across = LOW_BRIDGE.assign(begin=990.0, end=1010.0)
    found = made(across, raised=RAISED.assign(raised=[0.08, 0.10, 0.0]))
    beneath = found[found["place"] == "beneath Mill Lane"]
    assert beneath["milled"].tolist() == pytest.approx([10 * 7.5 * 0.03, 10 * 7.5 * 0.05])
    assert found.loc[found["place"] == "under Mill Lane", "length"].tolist() == pytest.approx([9.0, 15.0])
    one_sided = made(across, raised=RAISED.assign(raised=[0.08, 0.0, 0.0]))
    assert (one_sided["place"] == "under Mill Lane").sum() == 1
    assert one_sided.loc[one_sided["place"] == "beneath Mill Lane", "end"].tolist() == pytest.approx([1000.0])
