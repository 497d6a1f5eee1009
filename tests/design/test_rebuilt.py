"""A taper that would mill away what the traffic needs is rebuilt full depth, and is in the bid as that."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from slabwright.design.rebuilt import REBUILT, rebuilt
from slabwright.design.sides import MILLED
from slabwright.project import Project
from tests.pipeline import tables

TAPER = {
    "direction": "", "place": "deck", "begin": 0.0, "end": 20.0, "high": 0.075, "low": 0.0, "area": 150.0, "milled": 5.6,
    "note": MILLED,
}  # fmt: skip
THICK = pd.DataFrame({
    "section": ["A"], "direction": [""], "begin": [0.0], "end": [900.0], "overlay": [0.075], "effective": [0.200],
    "required_slab": [0.270],
})  # fmt: skip
STATES = pd.DataFrame({"section": ["A"], "thickness": [0.225]})


def test_the_deep_end_is_held_against_the_slab_required() -> None:
    """By hand: 75 mm on 200 (225 - 75) / 225 = 133 mm are 208 mm of 270: 62 mm short. On 20 mm milled, 257: 13 mm short."""
    found = rebuilt(
        pd.DataFrame([TAPER, TAPER | {"low": 0.055}, TAPER | {"low": 0.0751, "milled": 0.0}]), THICK, STATES
    )
    assert found["short"].to_numpy() == pytest.approx([0.0617, 0.0128, 0.0], abs=1e-4)
    assert found["rebuilt"].tolist() == [150.0, 150.0, 0.0]
    assert found["milled"].tolist() == [0.0, 0.0, 0.0]
    assert found["note"].tolist() == [REBUILT, REBUILT, MILLED]


def test_where_enough_is_left_it_is_milled() -> None:
    found = rebuilt(pd.DataFrame([TAPER]), THICK.assign(required_slab=0.200), STATES)
    assert (found["short"][0], found["milled"][0], found["note"][0]) == (0.0, 5.6, MILLED)
    unknown = rebuilt(pd.DataFrame([TAPER]), THICK.assign(required_slab=np.nan), STATES)
    assert unknown["milled"][0] == 5.6  # nothing is known against it, and the section has no answer of its own


def test_the_demo_road_is_rebuilt_at_its_decks_and_ends(demo_project: Project) -> None:
    made = tables(demo_project.facts())
    full = made["tapers"].query("rebuilt > 0")
    assert {"deck", "end of the road", "no overlay beyond"} == set(full["place"])
    items = made["bid_items"].query("item == 'slab rebuilt full depth at tapers'")
    assert len(items) == 2  # one a direction
    assert not made["bid_items"]["item"].eq("old slab milled at tapers").any()
