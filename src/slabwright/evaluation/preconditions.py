"""What the evaluation cannot work without, beyond rows in its tables."""

from __future__ import annotations

import numpy as np

from slabwright.errors import InputError, MissingFact
from slabwright.evaluation.loading import equivalence_per_truck, truck_share
from slabwright.records.facts import Facts
from slabwright.records.stage import Given

__all__ = ["PRECONDITIONS", "first_year"]


def first_year(facts: Facts) -> float:
    """The first year of construction of any layer. Raises MissingFact where none is given."""
    years = facts.layers["year_built"].dropna()
    if years.empty:
        raise MissingFact(
            "no layer has a year of construction",
            remedy="Give year_built in the layers table: past traffic counts from it.",
        )
    return float(years.min())


def _built_before_the_base_year(given: Given) -> None:
    base, built = given.decisions.traffic.base_year, given.facts.layers["year_built"].min()
    if built > base:
        raise InputError(
            "the pavement is built after the base year of the design",
            given=f"built {built:.0f}, base year {base:.0f}",
            remedy="Correct year_built in the layers table, or the decision traffic.base_year.",
        )


def _axles_can_be_reckoned(given: Given) -> None:
    """As the stage reckons them, for the mean thickness of the road: raises OutOfRange for one that the equivalence lacks."""
    thickness = float(given.facts.layers["thickness"].mean())
    decisions = given.decisions
    equivalence_per_truck(given.facts, decisions.traffic, thickness, decisions.evaluation.terminal_serviceability)


PRECONDITIONS = (
    lambda given: first_year(given.facts),
    _built_before_the_base_year,
    lambda given: truck_share(np.zeros(1), given.facts.counts),
    _axles_can_be_reckoned,
)
