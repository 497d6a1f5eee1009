"""Young concrete against the closed form of an adiabatic rise, the balance of heat, and an independent solver."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from slabwright.climate.heat_year import Columns, Forcing, Material, layered_columns
from slabwright.climate.young_heat import Mix, YoungHeat, node_volumes, young_heat
from slabwright.errors import InputError

CONCRETE, GROUND = Material(1.5, 2350.0, 1000.0), Material(0.3, 1600.0, 800.0)
# Type I and III of the check file's table, from its own arithmetic: heat [J/kg], end, time [s], slope, energy [J/mol].
TYPE_I = Mix(335.0, 479.41e3, 0.7052, 16.955 * 3600, 0.6486, 45263.0)
TYPE_III = Mix(415.0, 486.04e3, 0.6700, 9.712 * 3600, 0.5998, 51615.0)
HOUR = 3600.0


def insulated(steps: int) -> Forcing:
    return Forcing(np.zeros(steps), np.asarray(0.0), np.asarray(0.0))


def overlay_on_slab(number: int = 1) -> tuple[Columns, int]:
    thick = np.linspace(0.05, 0.10, number)
    layers = [(CONCRETE, thick, 10), (CONCRETE, np.full(number, 0.225), 14), (GROUND, np.full(number, 0.6), 16)]
    return layered_columns(layers), 10


def placed(columns: Columns, cells: int, fresh: float, old: float) -> np.ndarray:
    start = np.full(columns.depths.shape, old)
    start[:, :cells] = fresh
    return start


@pytest.mark.parametrize(
    ("mix", "rises"),
    [
        (TYPE_I, {6: 27.76, 12: 39.54, 24: 52.96, 48: 60.70, 72: 63.07, 168: 65.68}),
        (TYPE_III, {6: 44.62, 12: 62.09, 24: 70.33, 48: 73.65, 72: 74.70, 168: 75.98}),
    ],
    ids=["type I", "type III"],
)
def test_adiabatic_rise(mix: Mix, rises: dict[int, float]) -> None:
    """Recorded apart from the program by integrating the same law; two digits. Steps of five minutes lag by under 0.1 K."""
    columns = layered_columns([(CONCRETE, np.array([0.1]), 4)])
    found = young_heat(columns, 4, np.full((1, 5), 20.0), mix, insulated(168 * 12), 300.0, 12)
    for hour, temperature in rises.items():
        assert found.temperature[hour - 1, 0] == pytest.approx(np.full(5, temperature), abs=0.1)


def test_the_end_of_an_adiabatic_rise_is_the_heat_over_the_capacity() -> None:
    """T = T0 + Hu C a / (rho c), a from the age reached: nothing is lost, whatever the step."""
    columns = layered_columns([(CONCRETE, np.array([0.1]), 4)])
    for step in (300.0, 3600.0):
        found = young_heat(columns, 4, np.full((1, 5), 20.0), TYPE_I, insulated(round(200 * HOUR / step)), step)
        degree = TYPE_I.degree(found.age[-1, 0, 0])
        expected = 20.0 + TYPE_I.heat * TYPE_I.binder * degree / (2350.0 * 1000.0)
        # Backward differences hold half a step's rise back: 0.003 K in an hour by then.
        assert found.temperature[-1, 0, 0] == pytest.approx(float(expected), abs=0.005)


def test_insulated_on_a_slab_the_heat_goes_into_slab_and_ground() -> None:
    columns, cells = overlay_on_slab(3)
    start = placed(columns, cells, 25.0, 15.0)
    found = young_heat(columns, cells, start, TYPE_I, insulated(96 * 6), 600.0, 6)
    volumes, held = node_volumes(columns, cells), columns.size * columns.capacity / 2
    nodes = np.pad(held, ((0, 0), (0, 1))) + np.pad(held, ((0, 0), (1, 0)))
    gained = (nodes * (found.temperature[-1] - start)).sum(axis=1)
    freed = (TYPE_I.heat * TYPE_I.binder * TYPE_I.degree(found.age[-1]) * volumes).sum(axis=1)
    np.testing.assert_allclose(gained, freed, rtol=2e-4)  # half a step's heat is on its way at the end


def rival(
    columns: Columns, cells: int, start: np.ndarray, mix: Mix, air: float, h: float, hours: list[int]
) -> np.ndarray:
    """Temperatures (hours, nodes) by a solver of stiff equations on the same cells, ages among the unknowns."""
    size, conductivity, capacity = (a[0] for a in (columns.size, columns.conductivity, columns.capacity))
    nodes = len(size) + 1
    half = size * capacity / 2
    held = np.pad(half, (0, 1)) + np.pad(half, (1, 0))
    volume = node_volumes(columns, cells)[0]

    def rates(_: float, y: np.ndarray) -> np.ndarray:
        t, age = y[:nodes], np.maximum(y[nodes:], 1.0)
        flow = conductivity / size * np.diff(t)
        faster = np.exp(mix.activation_energy / 8.314462618 * (1 / 294.25 - 1 / (t[: cells + 1] + 273.15)))
        past = (mix.time / age) ** mix.slope
        freed = mix.heat * mix.binder * mix.ultimate * np.exp(-past) * past * mix.slope / age * faster
        change = np.pad(flow, (0, 1)) - np.pad(flow, (1, 0))
        change[0] += h * (air - t[0])
        change[: cells + 1] += freed * volume
        return np.concatenate([change / held, faster])

    y = np.concatenate([start[0], np.full(cells + 1, 1.0)])
    end = hours[-1] * HOUR
    found = solve_ivp(rates, (0.0, end), y, method="BDF", t_eval=[h * HOUR for h in hours], rtol=1e-7, atol=1e-6)
    return np.asarray(found.y[:nodes].T)


@pytest.mark.parametrize("mix", [TYPE_I, TYPE_III], ids=["type I", "type III"])
def test_against_a_solver_of_stiff_equations(mix: Mix) -> None:
    """75 mm on 225 mm and ground, placed at 30 deg C on a slab of 12, air of 18: within 0.1 K from six hours on."""
    columns, cells = overlay_on_slab()
    start, hours = placed(columns, cells, 30.0, 12.0), [6, 12, 24, 48, 72]
    forcing = Forcing(np.full(72 * 12, 18.0), np.asarray(15.0), np.asarray(0.0))
    found = young_heat(columns, cells, start, mix, forcing, 300.0, 12)
    mine = found.temperature[np.array(hours) - 1, 0]
    assert mine == pytest.approx(rival(columns, cells, start, mix, 18.0, 15.0, hours), abs=0.1)


def run(step: float) -> YoungHeat:
    columns, cells = overlay_on_slab()
    forcing = Forcing(np.full(round(24 * HOUR / step), 18.0), np.asarray(15.0), np.asarray(0.0))
    warm = replace(TYPE_I, age=3 * HOUR)  # past the first rise, which no power of the step describes
    return young_heat(columns, cells, np.full(columns.depths.shape, 18.0), warm, forcing, step, round(HOUR / step))


def test_a_step_of_half_the_length_errs_by_less_than_half() -> None:
    fine = run(37.5).temperature[11:, 0, :11]
    errors = [np.abs(run(step).temperature[11:, 0, :11] - fine).max() for step in (1200.0, 600.0, 300.0)]
    orders = np.log2(np.array(errors[:-1]) / errors[1:])
    assert (orders > 1.3).all()  # two for conduction, the first step one
    assert errors[1] < 0.05


def test_each_column_with_its_own_weather_is_as_alone() -> None:
    columns, cells = overlay_on_slab(4)
    air = np.random.default_rng(4).uniform(-5.0, 35.0, (48, 4))
    wind = np.random.default_rng(5).uniform(5.0, 40.0, (48, 4))
    start = placed(columns, cells, 24.0, 10.0)
    together = young_heat(columns, cells, start, TYPE_I, Forcing(air, wind, np.zeros((48, 4)), 0.0), 1800.0)
    for one in range(4):
        alone = Columns(*(a[one : one + 1] for a in (columns.size, columns.conductivity, columns.capacity)))
        forcing = Forcing(air[:, one], wind[:, one], np.zeros(48), 0.0)
        found = young_heat(alone, cells, start[one : one + 1], TYPE_I, forcing, 1800.0)
        np.testing.assert_allclose(together.temperature[:, one], found.temperature[:, 0], atol=1e-10)
        np.testing.assert_allclose(together.age[:, one], found.age[:, 0], rtol=1e-12)


def test_what_cannot_be_is_refused() -> None:
    columns, cells = overlay_on_slab()
    start = placed(columns, cells, 24.0, 10.0)
    with pytest.raises(InputError, match="too long"):
        young_heat(columns, cells, start, TYPE_I, insulated(4), 7200.0)
    with pytest.raises(InputError, match="each node"):
        young_heat(columns, cells, start[:, 1:], TYPE_I, insulated(4), 600.0)
    with pytest.raises(InputError, match="each node"):
        young_heat(columns, cells, start * np.nan, TYPE_I, insulated(4), 600.0)
