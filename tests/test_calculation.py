"""The decorator: bounds, arrays, text inputs, working, catalogue."""

import dataclasses

import numpy as np
import pytest

from slabwright import catalogue
from slabwright.calculation import UNCONFIRMED, Choice
from slabwright.catalogue import calculations
from slabwright.errors import InputError, OutOfRange
from slabwright.evaluation.backcalculation import modulus_from_relative_stiffness, relative_stiffness_area_36
from slabwright.evaluation.condition import durability_factor
from slabwright.published import checks, checks_by_calculation
from slabwright.slab.closed_forms import interior_stress_westergaard, relative_stiffness
from slabwright.units import INCH, PCI, PSI

NINE = {"modulus": 4e6 * PSI, "thickness": 9 * INCH, "foundation": 100 * PCI}


def test_scalar_outside_its_bounds_raises_with_name_value_bounds_and_source() -> None:
    with pytest.raises(OutOfRange) as refusal:
        relative_stiffness(**{**NINE, "thickness": 1 * INCH})
    text = str(refusal.value)
    for part in ("thickness", "given '1 in'", "2 to 24 in", "Westergaard"):
        assert part in text


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), -float("inf")])
def test_scalar_that_is_no_number_raises(bad: float) -> None:
    with pytest.raises(OutOfRange):
        relative_stiffness(**{**NINE, "thickness": bad})


def test_array_elements_outside_yield_nan_and_are_reported() -> None:
    thickness = np.array([9.0, 1.0, np.nan, 30.0, 9.0]) * INCH
    found = relative_stiffness(**{**NINE, "thickness": thickness})
    assert np.isnan(found).tolist() == [False, True, True, True, False]
    (excluded,) = relative_stiffness.excluded(**{**NINE, "thickness": thickness})
    assert (excluded.count, excluded.first, excluded.quantity) == (2, 1, "thickness")
    assert "2 to 24 in" in str(excluded)


def test_empty_arrays_pass_through() -> None:
    assert relative_stiffness(**{**NINE, "thickness": np.array([])}).shape == (0,)


def test_lists_and_scalars_broadcast() -> None:
    found = relative_stiffness([4e6 * PSI, 5e6 * PSI], [[8 * INCH], [9 * INCH], [10 * INCH]], 100 * PCI)
    assert found.shape == (3, 2)
    assert found[1, 0] == pytest.approx(float(relative_stiffness(**NINE)))


def test_no_finite_answer_is_an_error_and_not_a_number() -> None:
    with pytest.raises(OutOfRange, match="no finite answer"):
        interior_stress_westergaard.__class__.__call__(
            catalogue.find("rigid_required_thickness"),
            axles=1.0,
            rupture=650 * PSI,
            modulus=4e6 * PSI,
            foundation=100 * PCI,
            load_transfer=3.2,
            reliability=0.5,
            standard_deviation=0.3,
        )


def test_unknown_and_missing_inputs_are_named() -> None:
    with pytest.raises(InputError, match="no input of this name"):
        relative_stiffness.read({"height": "9 in"})
    with pytest.raises(InputError, match="needs modulus"):
        relative_stiffness.read({"thickness": "9 in"})
    with pytest.raises(InputError):
        relative_stiffness(thickness=1.0)


def test_choices_are_checked() -> None:
    assert float(durability_factor("sound")) == 1.0
    with pytest.raises(InputError, match="not one of the published cases"):
        durability_factor("fine")


def test_text_inputs_take_any_compatible_unit() -> None:
    metric = catalogue.evaluate(
        "relative_stiffness", {"modulus": "27.579 GPa", "thickness": "228.6 mm", "foundation": "27.145 MPa/m"}
    )
    us = catalogue.evaluate("relative_stiffness", {"modulus": "4e6", "thickness": "9", "foundation": "100"})
    one, two = (r["outputs"]["relative_stiffness"]["value"] for r in (metric, us))
    assert one == pytest.approx(two, rel=1e-4)
    assert us["outputs"]["relative_stiffness"]["unit"] == "in"


def test_working_shows_equation_values_result_and_source() -> None:
    text = relative_stiffness_area_36.working(area=29.147 * INCH).text()
    for part in ("AREA", "29.147", "l = {ln[(36 - 29.147) / 1812.279]", "FHWA-RD-96-198", "from memory", "30.51"):
        assert part in text


def test_working_in_metric() -> None:
    text = modulus_from_relative_stiffness.working(
        system="metric", foundation=200 * PCI, relative_stiffness=30 * INCH, thickness=8 * INCH
    ).text()
    assert "203.2 mm" in text
    assert "MPa" in text


@pytest.mark.parametrize("name", sorted(catalogue.calculations()))
def test_every_entry_describes_itself(name: str) -> None:
    entry = catalogue.describe(catalogue.find(name))
    for key in ("name", "title", "room", "source", "tag", "inputs", "outputs", "checks"):
        assert entry[key], f"{name} has no {key}"
    for given in entry["inputs"]:
        assert given["meaning"]
        assert given["unit"] or given.get("choices")


NUMERIC = [n for n, c in catalogue.calculations().items() if not all(isinstance(p.about, Choice) for p in c.parameters)]


@pytest.mark.parametrize("name", sorted(NUMERIC))
def test_every_calculation_takes_scalars_and_arrays_alike(name: str) -> None:
    """The first check of each calculation, alone and three times over, gives the same numbers."""
    from slabwright.published import checks_by_calculation

    calculation = catalogue.find(name)
    values = calculation.read(checks_by_calculation()[name][0].inputs)
    alone = calculation.values(calculation(**values))
    thrice = {
        p.name: values[p.name] if isinstance(p.about, Choice) else np.stack([np.asarray(values[p.name])] * 3)
        for p in calculation.parameters
    }
    many = calculation.values(calculation(**thrice))
    for key, value in alone.items():
        assert np.asarray(many[key]).shape[0] == 3, key
        np.testing.assert_allclose(np.asarray(many[key])[1], value, rtol=1e-9)


def test_results_are_frozen() -> None:
    found = catalogue.find("saw_depth")(0.1)
    with pytest.raises(dataclasses.FrozenInstanceError):
        found.transverse = 1.0


def test_unknown_calculation_offers_close_names() -> None:
    with pytest.raises(InputError, match="saw_depth"):
        catalogue.find("sawdepth")


def test_the_list_read_from_the_source_is_what_loading_gives() -> None:
    """A list of calculations loads none of them, so it must say the same as they do when loaded."""
    loaded = catalogue.calculations()
    assert list(loaded) == list(catalogue.listed())
    for name, entry in catalogue.listed().items():
        assert (entry.title, entry.tag, entry.room) == (loaded[name].title, loaded[name].tag, loaded[name].room), name


def test_a_metric_sheet_of_an_equation_that_holds_in_any_units_is_in_si() -> None:
    """D = E h^3 / (12 (1 - nu^2)): the line with the values gives the printed result when it is worked out in SI."""
    from slabwright.slab.closed_forms import relative_stiffness

    sheet = relative_stiffness.working(system="metric", modulus=30e9, thickness=0.2, foundation=50e6, poisson=0.15)
    text = sheet.text()
    assert relative_stiffness.coherent
    for inch_pound in (" in)", " psi)", " pci)"):
        assert inch_pound not in text
    assert "3e+10 Pa" in text
    assert "0.2 m" in text
    expected = (30e9 * 0.2**3 / (12 * (1 - 0.15**2) * 50e6)) ** 0.25  # by hand
    assert f"({expected:.6g} m)" in sheet.results[0][1]


def test_a_metric_sheet_of_a_published_inch_pound_equation_keeps_its_units_in_brackets() -> None:
    from slabwright.slab.serviceability import rigid_required_thickness

    assert not rigid_required_thickness.coherent


def test_an_equation_worked_by_hand_as_it_is_recalled_confirms_nothing() -> None:
    """Such a check finds a slip of the typing; the equation it works is the one remembered."""
    for check in checks():
        words = f"{check.source} {check.reason}".lower()
        if "hand" in words and ("recalled" in words or check.tag == "from memory"):
            assert check.kind != "independent", check.id
    for name in ("condition_factor", "dowel_joint_stiffness", "remaining_life", "core_strength_aci"):
        assert calculations()[name].known == UNCONFIRMED


def test_an_equation_from_memory_is_confirmed_by_an_independent_or_a_looked_up_check() -> None:
    """Each of the three kinds of standing, and that the printed sheet says it."""
    for name, entry in calculations().items():
        kinds = {(c.kind, c.tag) for c in checks_by_calculation().get(name, ())}
        independent = any(kind == "independent" for kind, _ in kinds)
        looked_up = ("published", "looked up") in kinds
        doubtful = entry.tag == "from memory" and not independent and not looked_up
        assert entry.known == (UNCONFIRMED if doubtful else entry.tag), name
    by_memory = calculations()["durability_factor"]
    sheet = by_memory.working(state="sound")
    assert sheet.text().endswith(f"[{UNCONFIRMED}]")
    assert calculations()["fatigue_pca"].known == "from memory"
