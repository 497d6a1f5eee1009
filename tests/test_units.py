"""Units at the rim. Factors are exact by definition (international yard and pound, standard gravity)."""

import math

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slabwright import units
from slabwright.errors import InputError, SlabwrightError
from slabwright.records.decisions import Decisions, change, entries, to_plain
from slabwright.records.display import plain_rows
from slabwright.records.outcomes.design import BOND
from slabwright.records.table import Column, Schema


@pytest.mark.parametrize(
    ("text", "kind", "si"),
    [
        ("4 in", "thickness", 0.1016),
        ("3 1/2 in", "thickness", 3.5 * 0.0254),
        ("3/4", "thickness", 0.75 * 0.0254),
        ("101.6 mm", "thickness", 0.1016),
        ("4", "thickness", 0.1016),
        ("1,500 ft", "length", 457.2),
        ("9000 lb", "force", 9000 * 4.4482216152605),
        ("40 kN", "force", 40e3),
        ("1 kip", "axle_load", 4448.2216152605),
        ("5.91 mils", "deflection", 5.91 * 25.4e-6),
        ("150 microns", "deflection", 150e-6),
        ("70 %", "share", 0.70),
        ("70", "share", 0.70),
        ("68 °F", "temperature", 20.0),
        ("20 C", "temperature", 20.0),
        ("27 delta_degF", "temperature_change", 15.0),
        ("1 pci", "foundation", 4.4482216152605 / 0.0254**3),
        ("200 1/mi", "frequency", 200 / 1609.344),
        ("-3 mm", "thickness", -0.003),
        ("1e3 psi", "stress", 1000 * 4.4482216152605 / 0.0254**2),
    ],
)
def test_parse_reads_what_field_files_hold(text: str, kind: str, si: float) -> None:
    assert units.parse(text, kind) == pytest.approx(si, rel=1e-12)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "in",
        "nan",
        "inf",
        "-inf",
        "1e999 in",
        "4 in in",
        "0x10",
        "4 pci",
        "4 sec",
        "9**9**9 in",
        "4 in^99999999",
        "=4",
        "4\n5",
    ],
)
def test_parse_refuses_with_a_sentence(text: str) -> None:
    with pytest.raises(InputError) as refusal:
        units.parse(text, "thickness")
    assert str(refusal.value).endswith(".")


def test_bare_numbers_follow_the_system() -> None:
    assert units.parse("100", "thickness", "metric") == pytest.approx(0.1)
    assert units.parse("100", "thickness", "us") == pytest.approx(2.54)


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("12+34.5", 1234.5 * 0.3048),
        ("1+234.5", 1234.5),
        ("sta. 12+34", 1234 * 0.3048),
        ("1234.5 ft", 1234.5 * 0.3048),
        ("0.5 km", 500.0),
        ("-1+50.0", -150 * 0.3048),
    ],
)
def test_stations(text: str, metres: float) -> None:
    assert units.parse_station(text) == pytest.approx(metres, rel=1e-12)


@given(st.floats(-1e5, 1e6), st.sampled_from(["us", "metric"]))
def test_stations_survive_printing_and_reading(metres: float, system: units.System) -> None:
    again = units.parse_station(units.format_station(metres, system), system)
    assert abs(again - metres) <= 0.05001 * (0.3048 if system == "us" else 1)


@given(st.floats(-1e9, 1e9), st.sampled_from(sorted(units.KINDS)), st.sampled_from(["us", "metric"]))
def test_conversion_and_back_loses_nothing(value: float, kind: str, system: units.System) -> None:
    there = units.convert(value, kind, system)
    back = units.to_si(there, units.unit_of(kind, system), kind)
    assert back == pytest.approx(value, rel=1e-12, abs=1e-9)


@given(st.text(max_size=60), st.sampled_from(sorted(units.KINDS)))
def test_no_text_raises_anything_but_our_own_errors(text: str, kind: str) -> None:
    outcome = _outcome(text, kind)
    assert isinstance(outcome, SlabwrightError) or math.isfinite(outcome)


def _outcome(text: str, kind: str) -> float | SlabwrightError:
    try:
        return units.parse(text, kind)
    except SlabwrightError as refusal:
        return refusal


def test_many_values_share_the_unit_at_the_end() -> None:
    assert units.parse_many("5.9, 5.6; 5.4 mil", "deflection") == pytest.approx([
        5.9 * 25.4e-6,
        5.6 * 25.4e-6,
        5.4 * 25.4e-6,
    ])


def test_arrays_convert_as_arrays() -> None:
    inches = units.convert(np.array([0.0254, 0.0508]), "thickness", "us")
    assert inches == pytest.approx([1.0, 2.0])


def test_missing_values_are_shown_as_a_dash() -> None:
    assert units.format_quantity(float("nan"), "thickness") == "–"
    assert units.format_quantity(0.1016, "thickness") == "4.00 in"
    assert units.format_quantity(2026.0, "calendar_year") == "2026"
    assert units.format_quantity(2026.0, "count") == "2,026"
    assert units.format_quantity(1e308 * units.MIL / 1000, "deflection") == "1e305 mil"
    assert units.format_quantity(-2.5e20, "count") == "-2.5e20"
    assert units.format_quantity(0.1016, "thickness", "metric") == "102 mm"


@pytest.mark.parametrize(
    ("text", "kelvin"), [("75 °F", 75 / 1.8), ("-10 degF", -10 / 1.8), ("41.7 °C", 41.7), ("41.7 K", 41.7)]
)
def test_a_temperature_difference_is_no_point_of_the_scale(text: str, kelvin: float) -> None:
    """A difference of 1.8 °F is one of 1 K by definition; 75 °F of drop once came out as 297 K and was refused."""
    found = units.parse(text, "temperature_change")
    assert found == pytest.approx(kelvin)
    for system in ("us", "metric"):
        shown = units.format_quantity(found, "temperature_change", system)
        assert units.parse(shown, "temperature_change", system) == pytest.approx(kelvin, abs=0.06)  # one digit shown


def test_every_decision_reads_back_what_it_prints() -> None:
    """What a list of decisions prints can be typed in again, in both systems, to the digits shown."""
    for system in ("us", "metric"):
        for entry in entries(Decisions()):
            again = change(Decisions(), entry.name, entry.text(system), system)
            value = to_plain(again)[entry.name]
            if isinstance(entry.value, str):
                assert value == entry.value
            else:
                assert value == pytest.approx(entry.value, rel=0.03), (entry.name, system)  # whole mm


@pytest.mark.parametrize(("kind", "inches"), [("first_moment", 0.0254**-2), ("second_moment", 0.0254**-3)])
def test_moments_are_per_width(kind: str, inches: float) -> None:
    """An inch is 0.0254 m by definition; in square feet or cubic yards a wheel's moments read as nought."""
    assert units.convert(1.0, kind, "us") == pytest.approx(inches)
    assert units.parse(units.format_quantity(0.003, kind), kind) == pytest.approx(0.003, rel=1e-2)


def test_the_wheel_check_shows_its_moments() -> None:
    assert {BOND[name].kind for name in ("first_moment", "inertia")} == {"first_moment", "second_moment"}


@pytest.mark.parametrize(
    ("value", "kind", "words"), [(-1e-9, "stress", "0.0 psi"), (-0.3, "money", "0"), (-7000.0, "stress", "-1.0 psi")]
)
def test_nothing_is_written_without_a_sign(value: float, kind: str, words: str) -> None:
    """A rounded nothing has no minus; 7,000 Pa is 1.0 psi by definition of the pound-force."""
    assert units.format_quantity(value, kind) == words


def test_a_negative_zero_goes_out_as_zero() -> None:
    schema = Schema("t", "t", "a row", (Column("x", "number", "x"),))
    found = plain_rows(schema, pd.DataFrame({"x": [-0.0]}), "us")[0][0]
    assert math.copysign(1.0, found) == 1.0
