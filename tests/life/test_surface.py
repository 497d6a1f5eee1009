"""The response surface of stresses: exact where it can be, honest about the rest, and the same everywhere."""

from __future__ import annotations

from concurrent.futures import Executor, ProcessPoolExecutor, ThreadPoolExecutor
from dataclasses import astuple, replace
from multiprocessing import get_context

import numpy as np
import pytest

from slabwright.errors import InputError, NotConverged, StoreError
from slabwright.life.surface import StressSurface, build, from_table, to_table
from slabwright.plate.stresses import POINTS, PavementState, StressGrid, usual_grid
from slabwright.project.results import packed, unpacked
from slabwright.records.results import StageResult
from slabwright.statistics.polynomial import Scale, basis, fit, terms
from slabwright.units import INCH, PCI, PSI
from tests.life.closed_form import ClosedForm

LOW = PavementState(2 * INCH, 8 * INCH, 4e6 * PSI, 3e6 * PSI, 80 * PCI, 0.0)
HIGH = PavementState(6 * INCH, 10 * INCH, 5e6 * PSI, 5e6 * PSI, 300 * PCI, 0.1)
GRID = replace(usual_grid(), offsets=np.array([0.0, 0.5]))


class Quadratic:
    """Stresses that are a quadratic of the logarithms of the inputs: a surface can be exact."""

    def __call__(self, state: PavementState, grid: StressGrid) -> np.ndarray:
        h, d, e, f, k = np.log(astuple(state)[:5])
        value = 1 + h * d - 0.5 * k**2 + 3 * e - f * h + 40 * state.delaminated**2
        return np.full(grid.shape, value) * np.arange(1, len(grid.points) + 1)


class Holes:
    """No number for thick overlays."""

    def __call__(self, state: PavementState, grid: StressGrid) -> np.ndarray:
        return np.full(grid.shape, np.nan if state.overlay > 5 * INCH else 1.0)


def same(one: StressSurface, other: StressSurface) -> bool:
    """Equal in every bit of every number."""
    arrays = (
        (
            s.polynomial.coefficients,
            s.polynomial.degrees,
            s.left_out,
            s.held_out,
            s.grid.loads,
            s.grid.offsets,
            s.grid.differences,
        )
        for s in (one, other)
    )
    plain = [(s.low, s.high, s.grid.points, s.samples, s.seed) for s in (one, other)]
    return plain[0] == plain[1] and all(
        a.dtype == b.dtype and a.tobytes() == b.tobytes() for a, b in zip(*arrays, strict=True)
    )


def test_a_quadratic_is_found_exactly() -> None:
    surface = build(Quadratic(), (LOW, HIGH), GRID, 64, 1)
    assert surface.error.max() < 1e-9  # least squares of well-conditioned terms: rounding only
    middle = PavementState(3 * INCH, 9 * INCH, 4.2e6 * PSI, 4e6 * PSI, 200 * PCI, 0.03)
    np.testing.assert_allclose(surface.stresses(np.array([astuple(middle)]))[0], Quadratic()(middle, GRID), rtol=1e-9)


def test_a_sample_left_out_misses_as_much_as_a_fit_without_it() -> None:
    rng = np.random.default_rng(2)
    unit, values = rng.uniform(-1, 1, (40, 3)), rng.normal(size=(40, 2))
    found = fit(unit, values, orders=(2,))
    degrees = terms(3, 2)
    for row in (0, 17, 39):
        rest = np.delete(np.arange(40), row)
        coefficients, *_ = np.linalg.lstsq(basis(unit[rest], degrees).T, values[rest], rcond=None)
        missed = values[row] - basis(unit[row : row + 1], degrees)[:, 0] @ coefficients
        np.testing.assert_allclose(found.left_out[row], missed, rtol=1e-9)


def test_the_order_is_the_one_that_misses_least() -> None:
    rng = np.random.default_rng(4)
    unit = rng.uniform(-1, 1, (60, 2))
    line = fit(unit, 1 + unit[:, :1] + rng.normal(0, 0.1, (60, 1)))
    cubic = fit(unit, unit[:, :1] ** 3)
    assert (len(line.polynomial.degrees), len(cubic.polynomial.degrees)) == (3, 10)


def test_the_error_falls_with_samples_and_unseen_pavements_agree_with_left_out_ones() -> None:
    few, many = (build(ClosedForm(), (LOW, HIGH), GRID, n, 1) for n in (32, 256))
    assert (many.error < few.error / 3).all()
    assert (many.error < 0.02).all()
    # Two estimates of one error, from 256 and 64 pavements: equal within a factor of two.
    assert (np.abs(np.log2(many.held_out / many.left_out)) < 1).all()


def test_the_stated_error_is_that_of_pavements_drawn_at_random() -> None:
    surface = build(ClosedForm(), (LOW, HIGH), GRID, 128, 1)
    rng = np.random.default_rng(9)
    states = np.exp(rng.uniform(np.log(np.array(astuple(LOW)[:5])), np.log(np.array(astuple(HIGH)[:5])), (200, 5)))
    states = np.column_stack([states, rng.uniform(0, 0.1, 200)])
    exact = np.stack([ClosedForm()(PavementState(*row), GRID) for row in states])
    missed = surface.stresses(states) - exact
    found = np.sqrt((missed**2).mean(axis=(0, 1, 2, 3, 4)) / (exact**2).mean(axis=(0, 1, 2, 3, 4)))
    assert (found < 1.5 * surface.error).all()
    assert (found > surface.error / 3).all()


@pytest.mark.parametrize("kind", ["threads", "processes"])
def test_any_executor_gives_the_same_numbers(kind: str) -> None:
    made: dict[str, Executor] = {
        "threads": ThreadPoolExecutor(2),
        "processes": ProcessPoolExecutor(2, mp_context=get_context("spawn")),
    }
    alone = build(ClosedForm(), (LOW, HIGH), GRID, 32, 7)
    with made[kind] as executor:
        assert same(build(ClosedForm(), (LOW, HIGH), GRID, 32, 7, executor), alone)
    assert not same(build(ClosedForm(), (LOW, HIGH), GRID, 32, 8), alone)


def test_progress_is_the_share_of_pavements_answered() -> None:
    told: list[float] = []
    build(ClosedForm(), (LOW, HIGH), GRID, 32, 1, progress=told.append)
    assert told == pytest.approx([(i + 1) / 36 for i in range(36)])  # 32 fitted and 4 held out


def test_a_pavement_without_an_answer_stops_the_build_and_is_named() -> None:
    words = r"pavement \d+ of 36 of the response surface \(overlay 2\.\d\d in, slab .* delaminated .* %\)"
    with pytest.raises(NotConverged, match=f"{words}: the model of the pavement has no answer: contact was not found"):
        build(ClosedForm(fails_below=2.5 * INCH), (LOW, HIGH), GRID, 32, 1)
    with pytest.raises(NotConverged, match=r"overlay 5\.\d\d in.*gave no finite stresses"):
        build(Holes(), (LOW, HIGH), GRID, 32, 1)


def test_a_refusal_crosses_from_another_process_whole() -> None:
    with (
        ProcessPoolExecutor(1, mp_context=get_context("spawn")) as executor,
        pytest.raises(NotConverged, match=r"pavement \d+ of 36 .*No surface was built"),
    ):
        build(ClosedForm(fails_below=2.5 * INCH), (LOW, HIGH), GRID, 32, 1, executor)


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (LOW, replace(HIGH, slab=7 * INCH), "range of slab .* is not one; given '8.00 in to 7.00 in'"),
        (replace(LOW, foundation=0.0), HIGH, "range of foundation"),
        (LOW, replace(HIGH, slab_modulus=np.inf), "range of slab_modulus"),
        (replace(LOW, delaminated=-0.1), HIGH, "range of delaminated"),
        (replace(LOW, overlay=0.0), HIGH, "for overlays or for the old slab alone"),
    ],
)
def test_impossible_ranges_are_refused(low: PavementState, high: PavementState, words: str) -> None:
    with pytest.raises(InputError, match=words):
        build(ClosedForm(), (low, high), GRID, 32, 1)


@pytest.mark.parametrize(
    ("samples", "words"), [(100, "a power of two; given 100"), (0, "power of two"), (8, "too few")]
)
def test_a_design_needs_enough_pavements_in_a_power_of_two(samples: int, words: str) -> None:
    with pytest.raises(InputError, match=words):
        build(ClosedForm(), (LOW, HIGH), GRID, samples, 1)


def test_beyond_the_ranges_the_end_is_taken_and_told() -> None:
    surface = build(ClosedForm(), (LOW, HIGH), GRID, 32, 1)
    inside, beyond, end = (np.array(astuple(replace(LOW, overlay=h * INCH))) for h in (3.0, 9.0, 6.0))
    states = np.stack([inside, beyond, end])
    assert surface.outside(states).tolist() == [False, True, False]
    found = surface.stresses(states)
    np.testing.assert_array_equal(found[1], found[2])
    assert surface.stresses(states[:0]).shape == (0, *GRID.shape)


def test_constants_are_no_inputs() -> None:
    """The old slab alone: no overlay, so nothing of it varies; and nothing at all."""
    none = {"overlay": 0.0, "overlay_modulus": 3e10, "delaminated": 0.0}
    grid = replace(GRID, points=POINTS[:1])
    old = build(ClosedForm(), (replace(LOW, **none), replace(HIGH, **none)), grid, 64, 1)
    assert old.polynomial.degrees.shape[1] == 3
    assert old.error.max() < 0.01
    still = build(ClosedForm(), (LOW, LOW), GRID, 32, 1)
    np.testing.assert_allclose(
        still.stresses(np.array([astuple(LOW)]))[0], ClosedForm()(LOW, GRID), rtol=1e-9, atol=1e-6
    )


def test_a_surface_comes_back_from_a_stored_result_bit_for_bit() -> None:
    surface = build(ClosedForm(), (LOW, HIGH), GRID, 64, 5)
    stored = unpacked(packed(StageResult("life", {"stress_surface": to_table(surface)})))
    again = from_table(stored.tables["stress_surface"])
    assert same(again, surface)
    states = np.array([astuple(LOW), astuple(HIGH)])
    assert again.stresses(states).tobytes() == surface.stresses(states).tobytes()
    still = build(ClosedForm(), (LOW, LOW), GRID, 32, 1)
    assert same(from_table(to_table(still)), still)


def test_a_stored_surface_that_lacks_a_part_is_refused() -> None:
    frame = to_table(build(ClosedForm(), (LOW, HIGH), GRID, 32, 1))
    with pytest.raises(StoreError, match="lacks coefficients"):
        from_table(frame[frame["part"] != "coefficients"])


def test_a_scale_goes_there_and_back() -> None:
    scale = Scale(np.array([0.1, 2.0, 0.0]), np.array([1.0, 2.0, 0.2]), np.array([True, True, False]))
    unit = np.random.default_rng(1).uniform(-1, 1, (50, 2))
    np.testing.assert_allclose(scale.unit(scale.inputs(unit)), unit, atol=1e-12)
    assert (scale.inputs(unit)[:, 1] == 2.0).all()
