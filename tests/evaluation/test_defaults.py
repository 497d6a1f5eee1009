"""What nobody decided is listed among what is assumed, and moves the overlay as deciding it does.

The ends of each range are held against roads on which that value is decided: every stage is computed anew there.
"""

from __future__ import annotations

import pandas as pd
import pytest

from slabwright.project import Project
from slabwright.records.decisions import Decisions, change
from slabwright.records.facts import Facts
from tests.pipeline import tables

DIRECTION, LANES, GROWN = (f"traffic.{name}" for name in ("directional_share", "lane_share", "growth"))
RESTORED = "repair.restored_load_transfer"


@pytest.fixture(scope="module")
def facts(demo_project: Project) -> Facts:
    return demo_project.facts()


@pytest.fixture(scope="module")
def found(facts: Facts) -> dict[str, pd.DataFrame]:
    return tables(facts, until="design")


def told(found: dict[str, pd.DataFrame]) -> set[str]:
    return set(found["assumptions"]["decision"]) & {DIRECTION, LANES, GROWN, RESTORED}


def test_traffic_and_restored_joints_are_listed_until_they_are_decided(
    facts: Facts, found: dict[str, pd.DataFrame]
) -> None:
    assert told(found) == {DIRECTION, LANES, GROWN, RESTORED}
    decided = Decisions()
    for name, value in ((DIRECTION, "55 %"), (LANES, "70 %"), (GROWN, "3 %"), (RESTORED, "80 %")):
        decided = change(decided, name, value)
    assert not told(tables(facts, decided, until="evaluation"))


def test_a_default_moves_the_overlay_as_the_decision_does(facts: Facts) -> None:
    """The share of the lane is decided: by the published curve it moves a little with the traffic."""
    held = change(Decisions(), LANES, "60 %")
    effects = tables(facts, held, until="design")["assumption_effects"]
    for decision in (DIRECTION, GROWN):
        here = effects[effects["decision"] == decision].set_index("section")
        assert (here["at_low"] < here["at_high"]).all()
        (value,) = set(here["high"])
        there = tables(facts, change(held, decision, f"{100 * value} %"), until="design")["thicknesses"]
        bonded = there.set_index("section")["bonded"][here.index]
        assert here["at_high"].to_numpy() == pytest.approx(bonded.to_numpy(), rel=1e-9)
        assert here["swing"].max() > 0.005
