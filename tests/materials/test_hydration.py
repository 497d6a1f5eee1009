"""Heat and degree of hydration: measured cements, limits, and the peak of an isothermal rate."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from slabwright.materials.hydration import degree_of_hydration, heat_rate, hydration_parameters

DATA = Path(__file__).parent / "data"
CALORIE = 4.184e3  # J/kg in a cal/g, thermochemical
TYPE_I = {
    "c3s": 0.55, "c2s": 0.18, "c3a": 0.08, "c4af": 0.10, "so3": 0.028, "free_lime": 0.01, "magnesia": 0.02, "blaine": 350.0,
    "water_binder": 0.42,
}  # fmt: skip


def test_thirteen_measured_cements() -> None:
    """Woods and others 1932: heat after half a year. None gives more than its compounds wholly hydrated; slow ones lack most."""
    found = pd.read_csv(DATA / "woods1932_heat_of_hydration_13_cements.csv")
    compounds = {n: found[f"{n.upper()}_pct"].to_numpy() / 100 for n in ("c3s", "c2s", "c3a", "c4af")}
    rest = {"so3": 0.01, "free_lime": 0.0, "magnesia": 0.0, "blaine": 300.0, "water_binder": 0.4}
    bounded = {
        n: np.clip(v, {"c3s": 0.15, "c3a": 0.005, "c4af": 0.005}.get(n, 0.0), None) for n, v in compounds.items()
    }
    complete = hydration_parameters(**bounded, **rest).cement_heat - 624e3 * 0.01
    reached = found["heat_cal_per_g"].to_numpy() * CALORIE / complete
    assert np.corrcoef(complete, found["heat_cal_per_g"])[0, 1] > 0.98
    assert ((reached > 0.80) & (reached < 1.0)).all()
    assert np.corrcoef(reached, compounds["c2s"])[0, 1] < -0.5


def test_the_isothermal_rate_is_greatest_where_its_slope_says() -> None:
    """At t = tau [beta / (1 + beta)]^(1 / beta), from the derivative of the rate set to nothing."""
    made = hydration_parameters(**TYPE_I)
    ages = np.geomspace(0.1, 100, 20001) * 3600
    rate = heat_rate(ages, 21.1, 335.0, made.heat, made.ultimate, made.time, made.slope, made.activation_energy)
    expected = made.time * (made.slope / (1 + made.slope)) ** (1 / made.slope)
    assert ages[rate.argmax()] == pytest.approx(expected, rel=1e-3)


def test_the_rate_is_the_slope_of_the_degree_and_sums_to_the_heat() -> None:
    made = hydration_parameters(**TYPE_I)
    ages = np.linspace(0.0, 3e6, 60001)
    rate = heat_rate(ages, 21.1, 335.0, made.heat, made.ultimate, made.time, made.slope, made.activation_energy)
    degree = degree_of_hydration(ages, made.ultimate, made.time, made.slope)
    assert degree[0] == 0
    assert degree[-1] < made.ultimate
    summed = np.trapezoid(rate, ages)
    assert summed == pytest.approx(335.0 * made.heat * degree[-1], rel=2e-4)  # the first step cuts a corner


def test_slag_and_ash_that_leave_no_cement_have_no_answer() -> None:
    assert np.isnan(hydration_parameters(**TYPE_I, slag=np.array([0.6]), ash=0.5).heat).all()


def test_slag_slows_and_ash_of_little_lime_cools() -> None:
    plain, slag = hydration_parameters(**TYPE_I), hydration_parameters(**TYPE_I, slag=np.linspace(0, 0.5, 6))
    ash = hydration_parameters(**TYPE_I, ash=np.linspace(0, 0.4, 6), ash_lime=0.05)
    assert (np.diff(slag.time) > 0).all()
    assert (np.diff(slag.slope) < 0).all()
    assert (np.diff(ash.heat) < 0).all()
    assert slag.heat[0] == plain.heat == ash.heat[0]
