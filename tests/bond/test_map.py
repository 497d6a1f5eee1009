"""The worst places of a map are the greatest, and apart from each other."""

from __future__ import annotations

import numpy as np
import pandas as pd

from slabwright.bond.map import worst_places


def places(stresses: dict[tuple[float, float], float]) -> pd.DataFrame:
    rows = [{"along": x, "across": y, "wheels": s} for (x, y), s in stresses.items()]
    return pd.DataFrame(rows)


def test_a_neighbour_of_a_worse_place_is_the_same_place() -> None:
    """By hand: 9 hides 8, which is 0.1 m away; 7 is a metre away and counts, and so does 6, two metres away."""
    found = worst_places(places({(0, 0): 9, (0.1, 0): 8, (1, 0): 7, (0, 2): 6, (3, 3): 5}), "wheels", number=3)
    assert found["wheels"].tolist() == [9, 7, 6]


def test_there_may_be_fewer_than_asked_for() -> None:
    assert len(worst_places(places({(0, 0): 2, (0.2, 0.2): 1}), "wheels")) == 1
    assert worst_places(places({(0, 0): 2}).iloc[:0], "wheels").empty


def test_places_are_apart_and_fall_over_any_map() -> None:
    """By definition, for a map of random numbers: the first is the greatest of all, none is near another."""
    x, y = (v.ravel() for v in np.meshgrid(np.linspace(0, 4, 21), np.linspace(0, 3, 21)))
    made = pd.DataFrame({"along": x, "across": y, "wheels": np.random.default_rng(1).random(x.size)})
    found = worst_places(made, "wheels", apart=1.0)
    assert found["wheels"].iloc[0] == made["wheels"].max()
    assert found["wheels"].is_monotonic_decreasing
    spots = found[["along", "across"]].to_numpy()
    away = np.hypot(*(spots[:, None] - spots[None]).transpose(2, 0, 1))
    assert away[np.triu_indices(len(spots), 1)].min() >= 1.0
