"""What the origins of several tables of the design start from: the state of the section, and the terms of the equation."""

from __future__ import annotations

from collections.abc import Callable

from slabwright.records.provenance import Decided, Of, Origin, Row, Source

__all__ = ["RELIABILITY", "TERMS", "RowOrigin", "repaired", "state"]

RowOrigin = Callable[[Row], Origin]


def state(column: str) -> Of:
    return Of("condition", column)


def repaired(column: str) -> Of:
    """A column of the section's row after repair."""
    return Of("after_repair", column)


# What the thickness equation takes of a section, beside axles, thickness and reliability.
TERMS: dict[str, Source] = {
    "rupture": state("rupture"),
    "modulus": state("modulus"),
    "foundation": state("foundation"),
    "load_transfer": repaired("coefficient"),
    "standard_deviation": Decided("design.standard_deviation"),
    "drainage": state("drainage_coefficient"),
    "initial_serviceability": Decided("evaluation.initial_serviceability"),
    "terminal_serviceability": Decided("evaluation.terminal_serviceability"),
}
RELIABILITY = Decided("design.reliability")
