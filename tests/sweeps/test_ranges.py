"""Sweeps over the stated range of every calculation: finite, and rising or falling as physics says."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slabwright import catalogue
from slabwright.calculation import Calculation, Choice
from slabwright.published import checks_by_calculation

CALCULATIONS = catalogue.calculations()
# calculation: {input: +1 the (first) output rises with it over its whole stated range, -1 it falls}
DIRECTIONS: dict[str, dict[str, int]] = {
    "relative_stiffness": {"modulus": 1, "thickness": 1, "foundation": -1},
    "resisting_radius": {"load_radius": 1},
    "interior_stress_westergaard": {"load": 1, "relative_stiffness": 1, "load_radius": -1},
    "interior_deflection_westergaard": {"load": 1, "foundation": -1, "relative_stiffness": -1},
    "edge_stress_circle": {"load": 1, "relative_stiffness": 1},
    "edge_stress_semicircle": {"load": 1, "relative_stiffness": 1},
    "edge_deflection_circle": {"load": 1, "foundation": -1},
    "corner_stress_ioannides": {"load": 1, "relative_stiffness": 1, "load_radius": -1},
    "corner_deflection_ioannides": {"load": 1, "foundation": -1},
    "rigid_required_thickness": {"axles": 1, "rupture": -1, "load_transfer": 1, "reliability": 1, "drainage": -1},
    "seasonal_damage": {"thickness": 1, "foundation": -1},
    "reliability_factor": {"reliability": 1, "standard_deviation": 1},
    "standard_normal_deviate": {"reliability": -1},
    "relative_stiffness_area_36": {"area": 1},
    "relative_stiffness_area_60": {"area": 1},
    "relative_stiffness_area_48_outer": {"area": 1},
    "relative_stiffness_area_36_solid": {"area": 1},
    "relative_stiffness_area_60_solid": {"area": 1},
    "deflection_coefficient": {"relative_stiffness": 1},
    "modulus_from_relative_stiffness": {"foundation": 1, "relative_stiffness": 1, "thickness": -1, "poisson": -1},
    "foundation_from_deflection": {"load": 1, "deflection": -1, "relative_stiffness": -1},
    "rigid_axle_equivalence": {},
    "growth_factor": {"growth": 1, "years": 1},
    "projection_factor": {"growth": 1, "years": 1},
    "lane_share_of_trucks": {"one_way_traffic": -1},
    "remaining_life": {"past_axles": -1, "failure_axles": 1},
    "condition_factor": {"remaining_life": 1},
    "joints_and_cracks_factor": {"unrepaired": -1},
    "fatigue_factor": {"cracking": -1},
    "rupture_from_modulus": {"modulus": 1},
    "rupture_from_strength": {"strength": 1},
    "modulus_from_strength": {"strength": 1},
    "load_transfer_coefficient": {"efficiency": -1},
    "bonded_overlay_thickness": {"required": 1, "effective": -1},
    "partly_bonded_overlay_thickness": {"required": 1, "effective": -1},
    "unbonded_overlay_thickness": {"required": 1, "effective": -1},
    "continuous_crack_spacing": {"tensile": 1, "bar": 1, "steel": -1, "shrinkage": -1},
    "continuous_crack_width": {"tensile": 1, "bar": 1, "steel": -1},
    "continuous_steel_stress": {"temperature_drop": 1, "tensile": 1, "steel": -1, "shrinkage": -1},
    "drag_steel_area": {"thickness": 1, "length": 1, "friction": 1, "steel_stress": -1},
    "interface_shear": {"load": 1, "spread_width": -1},
    "core_length_factor_c42": {"length_ratio": 1},
    "core_strength_aci": {"strength": 1},
    "percent_within_limits": {"quality_index": 1},
    "grubbs_critical": {"count": 1, "significance": -1},
    "tolerance_factor_one_sided": {"coverage": 1, "confidence": 1},
    **{name: {"stress_ratio": -1} for name in CALCULATIONS if name.startswith("fatigue_") and name != "fatigue_factor"},
    "cracked_slabs_2004": {"damage": 1},
    "cracked_slabs_2008": {"damage": 1},
    "saw_depth": {"thickness": 1},
    "allowable_deducts": {"highest": -1},
    "curling_stress_edge": {"coefficient": 1},
    "bimetal_curvature_timoshenko": {"strain": 1},
    "strip_forces": {"strain": 1, "slab": 1},
    "edge_shear_suhir": {"strain": 1, "poisson": -1},
    "joint_layer_shear": {"layer": -1, "shear_modulus": 1},
    "crack_energy_release": {"stress": 1, "modulus": -1},
    "partial_interaction_uniform": {"interface": -1, "pressure": 1, "span": 1},
    "partial_interaction_point": {"interface": -1, "load": 1, "upper_modulus": -1},
    "load_transfer_efficiency_ioannides": {"joint_stiffness": 1, "foundation": -1, "load_radius": 1},
    "joint_stiffness_from_efficiency": {"efficiency": 1, "foundation": 1},
    "dowel_joint_stiffness": {"diameter": 1, "opening": -1, "support": 1, "spacing": -1},
    "relieved_stress": {"creep": -1, "strain": 1},
    "surface_coefficient_barber": {"wind": 1},
    "sky_radiation_clark_allen": {"air_temperature": 1, "humidity": 1, "sky_cover": 1},
    "periodic_temperature_barber": {"depth": -1, "surface_coefficient": 1, "period": 1},
    "effective_air_barber": {"radiation": 1, "surface_coefficient": -1},
    "saturation_pressure": {"temperature": 1},
    "wind_at_height": {"wind": 1, "surface": 1, "height": -1},
    "evaporation_menzel": {"surface": 1, "air": -1, "humidity": -1, "wind": 1},
    "evaporation_uno": {"surface": 1, "air": -1, "humidity": -1, "wind": 1},
    "evaporation_fhwa2005": {"surface": 1, "air": -1, "humidity": -1, "wind": 1},
    "rate_factor": {"temperature": 1, "reference": -1},
    "activation_energy_fhp": {"temperature": -1},
    "strength_hyperbolic": {"age": 1, "ultimate": 1, "rate": 1, "start": -1},
    "strength_exponential": {"age": 1, "ultimate": 1, "time_constant": -1},
    "strength_plowman": {"maturity": 1, "intercept": 1, "slope": 1},
    "hydration_parameters": {"c3s": 1, "free_lime": 1},
    "degree_of_hydration": {"age": 1, "ultimate": 1, "time": -1},
    "heat_rate": {"temperature": 1, "binder": 1, "heat": 1},
}
OUTPUTS = {
    "interface_shear": "stress",
    "core_strength_aci": "strength",
    "dowel_joint_stiffness": "joint",
    "joint_layer_shear": "edge_shear",
    "sky_radiation_clark_allen": "radiation",
}
CASES = [(name, key, sign) for name, keys in DIRECTIONS.items() for key, sign in keys.items()]


def base_case(calculation: Calculation) -> dict[str, object]:
    return calculation.read(checks_by_calculation()[calculation.name][0].inputs)


@pytest.mark.parametrize(("name", "key", "sign"), CASES, ids=lambda v: str(v))
def test_rises_or_falls_over_the_whole_range(name: str, key: str, sign: int) -> None:
    calculation = CALCULATIONS[name]
    about = next(p.about for p in calculation.parameters if p.name == key)
    wide = about.low > 0 and about.high / about.low > 1e4
    sweep = (np.geomspace if wide else np.linspace)(about.low, about.high, 401)
    values = calculation.values(calculation(**{**base_case(calculation), key: sweep}))
    found = np.asarray(values[OUTPUTS.get(name, next(iter(values)))])
    finite = np.isfinite(found)
    assert finite.mean() > 0.25, f"{name} answers only {finite.mean():.0%} of the range of {key}"
    steps = np.diff(found[finite]) * sign
    assert (steps >= -1e-9 * np.abs(found[finite][1:])).all()
    assert steps.sum() > 0


@pytest.mark.parametrize("name", sorted(CALCULATIONS))
@settings(max_examples=25)
@given(data=st.data())
def test_anywhere_in_range_there_is_a_finite_answer_or_a_sentence(name: str, data: st.DataObject) -> None:
    """Inside the stated bounds a calculation gives a finite number, or says plainly that it has none: never NaN."""
    calculation = CALCULATIONS[name]
    values = {}
    for p in calculation.parameters:
        if isinstance(p.about, Choice):
            values[p.name] = data.draw(st.sampled_from(p.about.options))
        elif p.about.vector:
            values[p.name] = np.array(data.draw(st.lists(st.floats(p.about.low, p.about.high), min_size=4, max_size=4)))
        else:
            values[p.name] = data.draw(st.floats(p.about.low, p.about.high))
    for value in answer(calculation, values):
        assert np.isfinite(value).all()


def answer(calculation: Calculation, values: dict[str, object]) -> list[np.ndarray]:
    from slabwright.errors import OutOfRange

    try:
        return [np.asarray(v) for v in calculation.values(calculation(**values)).values()]
    except OutOfRange as refusal:
        return [] if "finite answer" in str(refusal) else [np.array(np.nan)]


def test_thickness_equation_rises_with_thickness_wherever_it_answers() -> None:
    """The bracket turns upward near its singularity; the guard against it holds over modulus, k and serviceability."""
    equation = CALCULATIONS["rigid_allowable_axles"]
    D = np.linspace(4, 24, 300) * 0.0254
    for k in np.geomspace(2.8e6, 8e8, 12):
        for E in np.geomspace(2.1e9, 1e11, 10):
            for pt in (1.5, 2.0, 2.5, 3.0):
                log = equation(D, 4.5e6, E, k, 3.2, 0.9, 0.35, terminal_serviceability=pt).log_axles
                log = log[np.isfinite(log)]
                assert (np.diff(log) > 0).all()


def test_thickness_and_traffic_invert_each_other() -> None:
    solve, carry = CALCULATIONS["rigid_required_thickness"], CALCULATIONS["rigid_allowable_axles"]
    axles = np.geomspace(1e6, 2e8, 60)
    common = {
        "rupture": 4.6e6,
        "modulus": 3.2e10,
        "foundation": 3e7,
        "load_transfer": 3.2,
        "reliability": 0.9,
        "standard_deviation": 0.35,
    }
    thickness = solve(axles=axles, **common)
    np.testing.assert_allclose(carry(thickness=thickness, **common).axles, axles, rtol=1e-9)


def test_salsilli_at_even_chance_is_nchrp_1_26_within_half_a_per_cent() -> None:
    """Same field data: within .4 % in N for stress ratios .45 to .8."""
    ratio = np.linspace(0.45, 0.8, 36)
    one, two = (CALCULATIONS[n](ratio) for n in ("fatigue_salsilli", "fatigue_nchrp_1_26"))
    np.testing.assert_allclose(one, two, rtol=0.005)


def test_fatigue_laws_differ_by_four_orders_of_magnitude_at_half_the_strength() -> None:
    lives = [
        float(law(0.5))
        for name, law in CALCULATIONS.items()
        if name.startswith("fatigue_") and name != "fatigue_factor"
    ]
    assert max(lives) / min(lives) > 1e4


def test_overlay_reduction_table() -> None:
    """Independent solution (theory): per cent reductions for an 8-in slab, E 4e6 psi, k 200 pci, 9,000 lb, a 5.9055 in."""
    printed = {
        2: (32.3, 28.1, 30.1, 26.4, 29.8, 25.8),
        3: (43.0, 37.6, 40.2, 35.5, 39.9, 34.8),
        4: (51.4, 45.2, 48.1, 42.9, 48.0, 42.1),
    }
    get = CALCULATIONS.__getitem__
    inch, psi, pci, lbf = 0.0254, 6894.757293168361, 271447.137530, 4.4482216152605

    def all_six(h: float) -> np.ndarray:
        l = float(get("relative_stiffness")(4e6 * psi, h, 200 * pci))
        stress = {"load": 9000 * lbf, "thickness": h, "relative_stiffness": l, "load_radius": 5.9055 * inch}
        moved = {"load": 9000 * lbf, "foundation": 200 * pci, "relative_stiffness": l, "load_radius": 5.9055 * inch}
        return np.array([
            get("interior_stress_westergaard")(**stress),
            get("interior_deflection_westergaard")(**moved),
            get("edge_stress_circle")(**stress),
            get("edge_deflection_circle")(**moved),
            get("corner_stress_ioannides")(**stress),
            get("corner_deflection_ioannides")(**moved),
        ])

    for overlay, row in printed.items():
        fall = 100 * (1 - all_six((8 + overlay) * inch) / all_six(8 * inch))
        np.testing.assert_allclose(fall, row, atol=0.1)


def test_unbonded_overlays_take_little_deflection() -> None:
    """Independent solution (theory): 0.8, 2.5, 5.6 % for 2, 3, 4 in unbonded on 8 in."""
    get = CALCULATIONS.__getitem__
    for overlay, fall in ((2, 0.8), (3, 2.5), (4, 5.6)):
        h = float(get("composite_section")(overlay * 0.0254, 8 * 0.0254).unbonded)
        moved = []
        for thickness in (8 * 0.0254, h):
            l = float(get("relative_stiffness")(4e6 * 6894.757, thickness, 200 * 271447.1))
            moved.append(float(get("interior_deflection_westergaard")(40e3, 200 * 271447.1, l, 0.15)))
        assert 100 * (1 - moved[1] / moved[0]) == pytest.approx(fall, abs=0.1)
