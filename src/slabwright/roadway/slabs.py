"""The slabs of the road: how thick they are where, from cores and plans."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright.calculation import Array
from slabwright.records.facts import Facts
from slabwright.roadway.places import directions_of_lanes, layer_rows
from slabwright.roadway.structures import decks, on_deck

__all__ = ["slab_thickness"]

NEAR_CORE = 30.0  # m: a core this close gives the thickness at a test
ENOUGH_CORES = 3  # the mean of a pavement's cores is used from this many on


def slab_thickness(facts: Facts, tests: pd.DataFrame) -> tuple[Array, npt.NDArray[np.object_]]:
    """Slab thickness (n,) [m] at each row of a table of tests with station [m] and lane, and where it comes from (n,).

    Cores of decks that carry the road are not taken. A near core, the cores of the same pavement in the same direction, those of
    the same pavement where that direction has too few, or the plans; NaN and "" where none is known. Raises IndexError when
    there are tests and no layers: the stages that ask need layers.
    """
    cores = facts.cores.dropna(subset=["thickness"])
    cores = cores[~on_deck(cores["station"], decks(facts))]
    stations = tests["station"].to_numpy()
    layer = layer_rows(facts, stations, tests["lane"])
    plan = np.where(layer >= 0, facts.layers["thickness"].to_numpy()[layer], np.nan)
    value, origin = plan, np.where(np.isfinite(plan), "plans", "").astype(object)
    if cores.empty:
        return value, origin
    core_layer = layer_rows(facts, cores["station"].to_numpy(), cores["lane"])
    ways = directions_of_lanes(facts)
    of_cores = pd.DataFrame({"layer": core_layer, "way": cores["lane"].map(ways).to_numpy()})
    of_tests = pd.DataFrame({"layer": layer, "way": tests["lane"].map(ways).to_numpy()})
    mean = np.full(len(tests), np.nan)
    for keys in (["layer"], ["layer", "way"]):
        cored = cores["thickness"].groupby([of_cores[k].to_numpy() for k in keys]).agg(["mean", "count"])
        known = cored.loc[cored["count"] >= ENOUGH_CORES, "mean"]
        index = pd.MultiIndex.from_frame(of_tests) if len(keys) > 1 else pd.Index(of_tests["layer"])
        own = known.reindex(index).to_numpy(dtype=float)
        mean = np.where(np.isfinite(own), own, mean)
    value = np.where(np.isfinite(mean), mean, value)
    origin[np.isfinite(mean)] = "mean of cores"
    same_lane = tests["lane"].to_numpy()[:, None] == cores["lane"].to_numpy()[None, :]
    distance = np.abs(stations[:, None] - cores["station"].to_numpy()[None, :])
    distance = np.where(same_lane & (layer[:, None] == core_layer[None, :]), distance, np.inf)
    nearest = distance.argmin(axis=1)
    near = distance.min(axis=1) <= NEAR_CORE
    value = np.where(near, cores["thickness"].to_numpy()[nearest], value)
    origin[near] = "core nearby"
    return value, origin
