"""Cracking of the demo road: a share of slabs, or a number per length, never one under the other's heading."""

from __future__ import annotations

import numpy as np

from slabwright.records.results import StageResult


def test_each_kind_of_pavement_has_its_own_measure(demo_results: dict[str, StageResult]) -> None:
    condition = demo_results["evaluation"].tables["condition"]
    plain = (condition["pavement"] == "JPCP").to_numpy()
    assert plain.any()
    assert (~plain).any()
    assert (np.isfinite(condition["cracking"]) == plain).all()
    assert (np.isfinite(condition["crack_density"]) == ~plain).all()
    assert condition.loc[plain, "cracking"].between(0, 1).all()
