"""Every published and independent check value, through the public calculation.

The numbers, sources, tags, tolerances and their reasons stand in ``src/slabwright/published/*.toml``, one file for
each publication, from which the validation page is made too.
"""

import re

import pytest

from slabwright import catalogue
from slabwright.calculation import Choice
from slabwright.published import Check, checks, checks_by_calculation, compare
from slabwright.sources import SOURCES

CALCULATIONS = catalogue.calculations()
TAGS = {"looked up", "from memory", "derived", "common practice"}


@pytest.mark.parametrize("check", checks(), ids=lambda c: f"{c.file.removesuffix('.toml')}-{c.id}")
def test_value(check: Check) -> None:
    for found in compare(check, CALCULATIONS[check.calculation]):
        assert found.passes, (
            f"{check.title}: {found.output} printed {found.expected} {found.unit}, ours {found.ours:.8g},"
            f" allowed {found.allowed:.3g} ({check.reason})"
        )


def test_checks_are_complete() -> None:
    ids = [c.id for c in checks()]
    assert len(ids) == len(set(ids))
    for check in checks():
        assert check.calculation in CALCULATIONS, check.id
        assert check.kind in ("published", "independent", "constructed"), check.id
        assert check.tag in TAGS, check.id
        assert check.source, check.id
        assert check.reason, check.id
        assert check.expected, check.id


def test_every_calculation_has_source_bounds_and_a_check() -> None:
    covered = checks_by_calculation()
    for name, calculation in CALCULATIONS.items():
        assert calculation.source.key in SOURCES
        assert calculation.tag in TAGS
        assert name in covered, f"{name} has no published or independent check"
        assert calculation.title, name
        assert calculation.equation, name
        for parameter in calculation.parameters:
            about = parameter.about
            if isinstance(about, Choice):
                assert about.options, f"{name}.{parameter.name} has no choices"
            else:
                assert about.low is not None, f"{name}.{parameter.name} has no lower bound"
                assert about.high is not None, f"{name}.{parameter.name} has no upper bound"
                assert about.low < about.high, f"{name}.{parameter.name}"


def test_printed_load_equivalency_values_all_match_to_the_last_digit() -> None:
    """AASHTO 1993 Table D.11, scanned page: 40 of the 55 values read there were at hand."""
    table = [c for c in checks() if c.file == "aashto_1993_table_d11.toml"]
    assert len(table) == 40
    for check in table:
        printed = check.expected["factor"]
        digits = len(printed.partition(".")[2])
        (found,) = compare(check, CALCULATIONS[check.calculation])
        assert f"{found.ours:.{digits}f}" == f"{float(printed):.{digits}f}", check.title


def test_equal_layers_need_three_to_deflect_less_than_half_under_four_times_the_load() -> None:
    """Common practice, no source: several equal layers acting as one deflect less than half as much under four times
    the load that bends the unbonded layers by more than twice that. By second moments the ratio is 4 / n^2."""
    ratio = CALCULATIONS["equal_layers_deflection"]
    layers = range(1, 8)
    holds = [n for n in layers if float(ratio(n, 4.0)) < 0.5]
    assert holds == [3, 4, 5, 6, 7]
    assert float(ratio(2, 4.0)) == 1.0
    assert float(ratio(3, 4.0)) == pytest.approx(4 / 9)


def test_equations_name_their_symbols() -> None:
    """A symbol declared for a parameter appears in the printed equation, so that the working can be followed."""
    for name, calculation in CALCULATIONS.items():
        for parameter in calculation.parameters:
            symbol = getattr(parameter.about, "symbol", "")
            if symbol:
                pattern = rf"(?<![A-Za-z]){re.escape(symbol)}(?![A-Za-z])"
                assert re.search(pattern, calculation.equation), f"{name}: {symbol} is not in {calculation.equation!r}"
