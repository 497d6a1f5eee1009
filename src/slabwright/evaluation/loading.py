"""Equivalent axles by year, from counts, truck share, lane share and an axle-load spectrum."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from slabwright.calculation import Array
from slabwright.errors import MissingFact
from slabwright.records.decisions.traffic import TrafficDecisions
from slabwright.records.facts import Facts
from slabwright.records.outcomes.evaluation import TRAFFIC
from slabwright.records.table import table
from slabwright.traffic.axles import AXLE_CODES, growth_factor, lane_share_of_trucks, pca_spectrum, spectrum_equivalence

__all__ = [
    "Loading",
    "equivalence_per_truck",
    "growth_ratio",
    "lanes_each_way",
    "load_by_year",
    "opening_year",
    "truck_share",
]


@dataclass(frozen=True)
class Loading:
    """Equivalent axles of the design lane by year."""

    years: Array
    daily_traffic: Array
    trucks: Array
    axles: Array
    basis: tuple[str, ...]
    equivalence: float
    lane_share: float

    def between(self, first: float, last: float) -> float:
        """Sum of the years first to last, both included."""
        return float(self.axles[(self.years >= first) & (self.years <= last)].sum())

    def frame(self) -> pd.DataFrame:
        return table(
            TRAFFIC,
            pd.DataFrame({
                "year": [f"{y:.0f}" for y in self.years],
                "daily_traffic": self.daily_traffic,
                "trucks": self.trucks,
                "axles": self.axles,
                "accumulated": self.axles.cumsum(),
                "basis": self.basis,
            }),
        )


def equivalence_per_truck(facts: Facts, decisions: TrafficDecisions, thickness: float, terminal: float) -> float:
    """Equivalent axles per truck: decided, or from the loaded spectrum, or from the published category.

    ``thickness`` [m], ``terminal`` serviceability. Raises OutOfRange where the equivalence of the Road Test ends.
    """
    if decisions.esal_per_truck > 0:
        return decisions.esal_per_truck
    if len(facts.axles):
        loads = facts.axles["load"].to_numpy()
        codes = facts.axles["axle"].map(AXLE_CODES).to_numpy(dtype=float)
        number = facts.axles["per_thousand_trucks"].to_numpy()
    else:
        loads, codes, number = pca_spectrum(decisions.axle_category)
    return float(spectrum_equivalence(loads, codes, number, thickness, terminal))


def load_by_year(
    facts: Facts, decisions: TrafficDecisions, first_year: float, thickness: float, terminal: float
) -> Loading:
    """Loading from the year of construction to the end of the design period.

    Between counts traffic is interpolated on its logarithm, and in proportion where a count is zero; before the first it shrinks by the past growth, after
    the last it grows by the growth to come. Raises MissingFact when there are no counts with a truck share.
    """
    counts = facts.need("counts", "evaluation").sort_values("year").drop_duplicates("year", keep="last")
    last_year = decisions.base_year + decisions.design_period - 1
    years = np.arange(first_year, last_year + 1)
    counted = counts["year"].to_numpy()
    daily = _interpolated(years, counted, counts["daily_traffic"].to_numpy(dtype=float))
    daily *= (1 + decisions.past_growth) ** np.minimum(years - counted[0], 0)
    daily *= (1 + decisions.growth) ** np.maximum(years - counted[-1], 0)
    share = truck_share(years, counts)
    lane = _lane_share(facts, decisions, float(daily[years == decisions.base_year][0]))
    trucks = daily * share * decisions.directional_share * lane
    equivalence = equivalence_per_truck(facts, decisions, thickness, terminal)
    basis = np.where(np.isin(years, counted), "counted", np.where(years < counted[0], "projected back", "interpolated"))
    basis = np.where(years > counted[-1], "projected", basis)
    return Loading(years, daily, trucks, trucks * 365 * equivalence, tuple(basis), equivalence, lane)


def _interpolated(years: Array, counted: Array, daily: Array) -> Array:
    """Daily traffic (years,) between counts (n,)."""
    if (daily > 0).all():
        return np.asarray(np.exp(np.interp(years, counted, np.log(daily))))
    return np.asarray(np.interp(years, counted, daily), dtype=float)


def truck_share(years: Array, counts: pd.DataFrame) -> Array:
    """Share of trucks in each year, between counts in proportion. Raises MissingFact where no count has one."""
    shared = counts.sort_values("year").drop_duplicates("year", keep="last").dropna(subset=["truck_share"])
    if shared.empty:
        raise MissingFact("no traffic count has a share of trucks", remedy="Give the truck share in the counts table.")
    return np.interp(years, shared["year"].to_numpy(), shared["truck_share"].to_numpy())


def opening_year(traffic: pd.DataFrame, column: str, decisions: TrafficDecisions) -> float:
    """What the overlay's first year carries, scalar: the year from which steady growth adds up to the sum over the design period.

    Without counts in that period it is its first year. ``traffic``: the table ``traffic``; ``column``: axles or trucks. Raises nothing.
    """
    ahead = traffic.loc[traffic["year"].astype(float) >= decisions.base_year, column].to_numpy(dtype=float)
    return float(ahead.sum() / growth_factor(np.asarray(decisions.growth), np.asarray(float(len(ahead)))))


def growth_ratio(traffic: pd.DataFrame, decisions: TrafficDecisions, growth: Array) -> Array:
    """Axles of the design period with another yearly ``growth`` (n,) [1] of the years after the last count, over those found: (n,).

    ``traffic``: the table ``traffic``. One where no axle is to come. The share of the design lane is held. Raises nothing.
    """
    years, axles = (traffic[c].to_numpy(dtype=float) for c in ("year", "axles"))
    counted = years[(traffic["basis"] != "projected").to_numpy()].max(initial=years.min() - 1)
    ahead = years >= decisions.base_year
    after = np.maximum(years[ahead] - counted, 0.0)
    factor = ((1 + np.asarray(growth)[:, None]) / (1 + decisions.growth)) ** after
    whole = axles[ahead].sum()
    return (axles[ahead] * factor).sum(axis=1) / whole if whole > 0 else np.ones(len(growth))


def lanes_each_way(facts: Facts, decisions: TrafficDecisions) -> float:
    """Lanes over which the trucks of a direction are shared out, scalar: decided, else those of the lanes table.

    Of directions with unlike numbers the lesser counts, and one lane where there is no table: both ask more of the slab.
    """
    if decisions.lanes_each_way > 0:
        return decisions.lanes_each_way
    return float(facts.lanes["direction"].value_counts().min()) if len(facts.lanes) else 1.0


def _lane_share(facts: Facts, decisions: TrafficDecisions, daily: float) -> float:
    if decisions.lane_share > 0:
        return decisions.lane_share
    lanes = lanes_each_way(facts, decisions)
    if lanes < 2:
        return 1.0
    return float(lane_share_of_trucks(np.clip(daily * decisions.directional_share, 2000, 200000), lanes))
