"""What the bond stage cannot work without, beyond rows in its tables."""

from __future__ import annotations

from slabwright.climate.temperature import hourly_weather
from slabwright.design.section_model import modelled_sections
from slabwright.records.stage import Given

__all__ = ["PRECONDITIONS"]


def _weather(given: Given) -> None:
    if len(given.facts.weather):
        hourly_weather(given.facts)


def _sizes(given: Given) -> None:
    condition, thicknesses = given.tables("evaluation")["condition"], given.tables("design")["thicknesses"]
    modelled_sections(given.facts, condition, thicknesses, given.decisions)


PRECONDITIONS = (_weather, _sizes)
