"""Printed workings that a pencil reproduces: per cent as per cent, one unit of length on a sheet."""

from __future__ import annotations

import pytest

from slabwright.catalogue import find


def test_the_metric_sheet_of_a_linear_pay_factor_checks_by_pencil() -> None:
    """55 + 0.5 x 90 = 100 per cent; 55 + 0.5 x 0.9 is 55.45."""
    name = find("pay_factor_linear").parameters[0].name
    assert "0.5 90" in find("pay_factor_linear").working(system="metric", **{name: 0.9}).substituted


def test_the_us_sheet_of_edge_shear_puts_lengths_in_the_unit_of_the_rate() -> None:
    """k is in 1/in, so that the 2 in from the edge must stand as 2, not as 0.166667 ft."""
    inch = 0.0254
    printed = find("edge_shear_suhir").working(
        system="us",
        overlay=3 * inch,
        slab=9 * inch,
        overlay_modulus=31e9,
        slab_modulus=33e9,
        strain=1.6e-4,
        half_length=90 * inch,
        distance=2 * inch,
    )
    assert "(90 - 2)" in printed.substituted


def test_the_us_sheet_of_a_taper_checks_by_pencil() -> None:
    """A rise of 3 in at 400 to 1 is 1,200 in or 100 ft; 400 times 3 is not 100."""
    printed = find("taper_length").working(system="us", rise=3 * 0.0254, ratio=400.0)
    assert "(1200 in)" in str(printed.results)
    assert "400 3" in printed.substituted
    assert pytest.approx(100 * 0.3048) == 400 * 3 * 0.0254
