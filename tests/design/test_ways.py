"""Ways through a refused stretch: what each takes, by hand, and who decides it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from slabwright.design.ways import chosen_ways, inlay, refused_ways, room_under_bridges, way_notes
from slabwright.errors import InputError
from slabwright.records.decisions.design import INLAY, LEFT_OUT, UNBONDED, UNDECIDED, DesignDecisions
from slabwright.records.facts import FACTS, Facts
from slabwright.records.remarks import worded
from slabwright.records.table import table
from slabwright.records.words import OVER, UNKNOWN

AGAINST = "against stationing"
REFUSED = pd.DataFrame({
    "section": ["A2", "A4"],
    "direction": AGAINST,
    "begin": [0.0, 500.0],
    "end": [500.0, 900.0],
    "verdict": "not suited",
    "thickness": 0.23,
})
REQUIRED, EFFECTIVE = np.array([0.26, np.nan]), np.array([0.10, 0.10])
AREAS = {"A2": 4000.0, "A4": 3000.0}
LEAST_AND_STEP = (0.05, 0.01)


def ways(choice: DesignDecisions, facts: Facts | None = None) -> pd.DataFrame:
    return refused_ways(REFUSED, REQUIRED, EFFECTIVE, AREAS, facts or Facts(), choice, LEAST_AND_STEP)


def bridge(clearance: float, required: float) -> Facts:
    """A bridge over A2."""
    columns = {"begin": [100.0], "end": [120.0], "clearance": [clearance], "required_clearance": [required]}
    return Facts(bridges=table(FACTS["bridges"], {"name": ["Mill Lane"], "passes": [OVER], **columns}))


def test_what_each_way_takes() -> None:
    """Inlay: the slab of 230 mm goes, 260 mm come, 30 mm higher. Unbonded: root of 260^2 - 100^2 is 240 mm exactly."""
    found = ways(DesignDecisions()).set_index(["section", "way"])
    assert found.loc[("A2", INLAY), ["concrete", "volume", "removed", "raised"]].tolist() == pytest.approx([
        0.26,
        0.26 * 4000,
        0.23 * 4000,
        0.03,
    ])
    assert found.loc[("A2", UNBONDED), ["concrete", "volume", "removed", "raised"]].tolist() == pytest.approx([
        0.24,
        960,
        0,
        0.24,
    ])
    assert found.loc[("A2", LEFT_OUT), ["concrete", "volume", "removed", "raised"]].tolist() == [0, 0, 0, 0]
    assert (found["chosen"] == "no").all()
    unknown = found.loc[("A4", INLAY)]
    assert np.isnan([unknown["concrete"], unknown["volume"]]).all()
    assert unknown["note"] == "the slab required is not known here"


def test_an_inlay_by_depth_is_flush_and_never_lowers_the_grade() -> None:
    new, removed = inlay(np.array([0.26]), np.array([0.23]), 0.1, 0.01)
    assert (new[0], removed[0]) == pytest.approx((0.1, 0.1))
    new, removed = inlay(
        np.array([0.18, 0.264]), np.array([0.23, 0.23]), 0.0, 0.01
    )  # thinner than the old slab; rounded up
    assert new.tolist() == pytest.approx([0.23, 0.27])
    assert removed.tolist() == pytest.approx([0.23, 0.23])


@pytest.mark.parametrize(("depth", "told"), [(0.0, False), (0.229, False), (0.23, True), (0.508, True)])
def test_an_inlay_decided_deeper_than_the_slab_is_told(depth: float, told: bool) -> None:
    """Of a slab of 230 mm: 20 in through it were taken for the whole slab without a word."""
    note = ways(DesignDecisions(inlay_depth=depth)).set_index(["section", "way"]).loc[("A2", INLAY), "note"]
    assert ("reaches through the old slab, so it is not used" in note) == told


def test_a_section_by_hand_goes_before_its_direction_and_that_before_the_rest() -> None:
    by_hand = DesignDecisions(refused=LEFT_OUT, refused_by_hand=f"A4: {UNBONDED}")
    assert chosen_ways(by_hand, REFUSED) == {"A2": LEFT_OUT, "A4": UNBONDED}
    assert chosen_ways(replace(by_hand, refused_by_hand=f"A4: {UNBONDED}; {AGAINST}: {INLAY}"), REFUSED) == {
        "A2": INLAY,
        "A4": UNBONDED,
    }
    assert chosen_ways(DesignDecisions(), REFUSED) == {"A2": UNDECIDED, "A4": UNDECIDED}
    with pytest.raises(InputError, match="no way through section A4"):
        chosen_ways(DesignDecisions(refused_by_hand="A4: crack and seat"), REFUSED)


@pytest.mark.parametrize(
    ("clearance", "room", "fits"), [(5.10, 0.10, "no"), (5.40, 0.40, "yes"), (np.nan, np.nan, UNKNOWN)]
)
def test_a_bridge_over_a_raised_grade(clearance: float, room: float, fits: str) -> None:
    """240 mm against 100 mm and 400 mm of room."""
    facts = bridge(clearance, 5.0)
    assert room_under_bridges(facts, 0.0, 500.0) == pytest.approx(room, nan_ok=True)
    assert room_under_bridges(facts, 500.0, 900.0) == np.inf
    found = ways(DesignDecisions(refused=UNBONDED), facts)
    assert found.set_index(["section", "way"]).loc[("A2", UNBONDED), "fits"] == fits
    told = [n for n in (worded(note, "metric") for note in way_notes(found)) if "bridge over it leaves" in n]
    assert len(told) == (fits == "no")


def test_what_nobody_decided_is_told() -> None:
    said = " ".join(
        worded(note, "metric") for note in way_notes(ways(DesignDecisions(refused_by_hand=f"A2: {LEFT_OUT}")))
    )
    assert "What is built in A4 is not decided" in said
    assert "Built in A2: leave out." in said
