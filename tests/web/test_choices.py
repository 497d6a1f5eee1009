"""What the forms of decisions offer: bounds and sliders whose ends are allowed as they are written."""

from __future__ import annotations

from typing import Any

import pytest

from slabwright.calculation import Quantity
from slabwright.errors import SlabwrightError
from slabwright.records.decisions import Decisions, change, entries
from slabwright.web.parts.choices import _bounds, _range

BOUNDED = [e for e in entries(Decisions()) if isinstance(e.about, Quantity) and e.about.low is not None]


@pytest.mark.parametrize("system", ["us", "metric"])
def test_the_ends_that_are_written_are_allowed(system: Any) -> None:
    """Each end of a hint and of a slider is taken as it stands there."""
    assert BOUNDED
    for e in BOUNDED:
        assert isinstance(e.about, Quantity)
        span = _range(e, system)
        ends = _bounds(e.about, system).replace(", or ", " to ").split(" to ")
        ends += [f"{v:.{span.digits}f} {span.unit}" for v in (span.low, span.high)] if span else []
        for end in ends:
            try:
                change(Decisions(), e.name, end, system)
            except SlabwrightError as refusal:
                pytest.fail(f"{e.name}: {end}: {refusal}")


def test_bounds_are_round_in_either_system() -> None:
    """98.4252 ft is 30 m, 16,404.2 ft is 5 km, 76.2 mm is 3 in, by definition of the foot."""
    assert _bounds(Quantity("length", "a", low=30.0, high=5000.0), "us") == "98.5 ft to 16,400.0 ft"
    assert _bounds(Quantity("thickness", "a", low=0.0762, high=0.2032), "metric") == "77 mm to 203 mm"
    least = Quantity("thickness", "a; 0 for none", low=0.0, high=0.2032, least=0.0254)
    assert _bounds(least, "us") == "0.00 in, or 1.00 in to 8.00 in"
