"""What the design cannot work without, beyond rows in its tables."""

from __future__ import annotations

from slabwright.design.run import stationing_of
from slabwright.design.thickness import built_step

__all__ = ["PRECONDITIONS"]

PRECONDITIONS = (lambda given: built_step(given.decisions.design.round_to, stationing_of(given.facts)),)
