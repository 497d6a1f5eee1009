"""Support that only pushes: limits, equilibrium, voids, and what happens without convergence."""

import numpy as np
import pytest

from slabwright.errors import InputError, NotConverged
from slabwright.plate import contact
from slabwright.plate.assembly import Strain
from slabwright.plate.loads import axle_patches
from slabwright.plate.pavement import DenseLiquid, ElasticSolid, Layer, LayeredPavement, Rectangle, Void
from slabwright.plate.plate import LayeredPlate, Solution, layered_plate
from slabwright.plate.response import deflection, stress
from tests.plate.models import K, square

SLAB = Layer(0.22, 30e9)
CURL = 9.5e-6 * 12


def strain(top: float) -> list[Strain]:
    return [Strain.straight(top / 2, -top / 2, 0.22)]


def reaction(solution: Solution) -> np.ndarray:
    """Forces of the foundation at its points [N], from deflection and the forces that contact added."""
    plate = solution.plate
    added = np.zeros((len(plate.support.gap), 1)) if solution.added is None else solution.added
    return plate.support.stiffness[:, None] * (plate.support_rows @ solution.dofs) - added


def none(plate: LayeredPlate) -> np.ndarray:
    return np.zeros((plate.unknowns, 1))


def test_own_weight_alone_settles_evenly() -> None:
    plate = layered_plate(square(4.0, (SLAB,)), 0.5)
    solution = plate.solve_contact(none(plate))
    # Exact: weight over k everywhere.
    expected = 9.81 * 2350 * 0.22 / K
    np.testing.assert_allclose(deflection(solution, [[0, 0], [2, 2], [4, 1]])[:, 0], expected, rtol=1e-8)
    assert not solution.added.any()


@pytest.mark.parametrize("top", [CURL, -CURL])
@pytest.mark.parametrize("base", [DenseLiquid(K), ElasticSolid(80e6)])
def test_curled_slab_stands_on_what_it_touches(top: float, base: DenseLiquid | ElasticSolid) -> None:
    plate = layered_plate(square(4.6, (SLAB,), base), 0.46)
    solution = plate.solve_contact(none(plate), strains=strain(top))
    push = reaction(solution)[:, 0]
    # No tension anywhere, and the whole weight is carried.
    assert push.min() >= -1e-9 * push.max()
    assert push.sum() == pytest.approx(9.81 * 2350 * 0.22 * 4.6**2, rel=1e-8)
    assert (push <= 1e-9 * push.max()).any()


def test_curling_stress_is_less_where_the_slab_may_lift() -> None:
    plate = layered_plate(square(4.6, (SLAB,)), 0.46)
    held = stress(plate.solve(none(plate), strains=strain(CURL)), 0, "bottom", [[2.3, 2.3]])[0, 0, 0]
    free = stress(plate.solve_contact(none(plate), strains=strain(CURL)), 0, "bottom", [[2.3, 2.3]])[0, 0, 0]
    assert 0 < free < held


def test_stiff_soft_slabs_do_not_lift() -> None:
    """A curl too small to lift the slab anywhere: contact and full support agree to the last digits."""
    plate = layered_plate(square(4.6, (SLAB,)), 0.46)
    light = plate.solve_contact(none(plate), strains=strain(0.02 * CURL))
    held = plate.solve(plate.weight(), strains=strain(0.02 * CURL))
    np.testing.assert_allclose(light.dofs, held.dofs, atol=1e-15)


def test_void_below_a_corner_lowers_it_under_load() -> None:
    plain = LayeredPavement((0.0, 4.6), (0.0, 3.6), (SLAB,), DenseLiquid(K))
    area = Rectangle(0.0, 0.9, 0.0, 0.9)
    found = []
    for voids in ((), (Void(area, 0.0005),), (Void(area, 0.01),), (Void(area),)):
        plate = layered_plate(LayeredPavement(plain.x, plain.y, plain.layers, plain.foundation, voids=voids), 0.4)
        loads = plate.load(axle_patches("single", 80e3, [0.2], [0.0]))
        found.append(deflection(plate.solve_contact(loads), [[0.0, 0.0]])[0, 0])
    # Deeper voids give less support; one deeper than the slab bends is as good as bottomless.
    assert found[0] < found[1] < found[2] <= found[3]
    assert found[2] == pytest.approx(found[3], rel=1e-9)


def test_void_by_superposition_and_by_contact_agree_where_nothing_else_lifts() -> None:
    area = Rectangle(2.0, 2.6, 1.4, 2.2)
    pavement = LayeredPavement((0.0, 4.6), (0.0, 3.6), (SLAB,), DenseLiquid(K), voids=(Void(area),))
    plate = layered_plate(pavement, 0.4)
    pulled, pushed = plate.solve(plate.weight()), plate.solve_contact(none(plate))
    np.testing.assert_allclose(pulled.dofs, pushed.dofs, atol=1e-13)
    # Independent of the compliance: springs left out of the matrix from the start.
    inside = np.isinf(plate.support.gap)
    rows = plate.support_rows[np.flatnonzero(inside)]
    from scipy.sparse.linalg import spsolve

    bare = plate.stiffness - rows.T @ (rows * plate.support.stiffness[inside][:, None])
    np.testing.assert_allclose(spsolve(bare.tocsc(), plate.weight()[:, 0]), pulled.dofs[:, 0], atol=1e-12)


def test_no_number_without_convergence(monkeypatch: pytest.MonkeyPatch) -> None:
    plate = layered_plate(square(4.6, (SLAB,)), 0.46)
    monkeypatch.setattr(contact, "MOST_STEPS", 1)
    with pytest.raises(NotConverged, match="did not settle in 1 steps"):
        plate.solve_contact(none(plate), strains=strain(CURL))


def test_a_nearly_weightless_slab_still_stands_on_its_weight() -> None:
    """Curled up and light as air, it touches at few points, which carry it."""
    light = Layer(0.22, 30e9, density=1.0)
    plate = layered_plate(square(4.6, (light,)), 0.46)
    solution = plate.solve_contact(none(plate), strains=strain(-CURL))
    push = reaction(solution)[:, 0]
    assert push.sum() == pytest.approx(9.81 * 1.0 * 0.22 * 4.6**2, rel=1e-6)


@pytest.mark.parametrize(
    ("gap", "base"), [(0.001, DenseLiquid(K)), (0.001, ElasticSolid(80e6)), (np.inf, ElasticSolid(80e6))]
)
def test_a_pulling_foundation_has_no_answer_for_some_voids(gap: float, base: DenseLiquid | ElasticSolid) -> None:
    area = Rectangle(0.0, 0.9, 0.0, 0.9)
    plate = layered_plate(LayeredPavement((0.0, 4.6), (0.0, 3.6), (SLAB,), base, voids=(Void(area, gap),)), 0.6)
    with pytest.raises(InputError, match="Use solve_contact"):
        plate.solve(plate.weight())
    assert np.isfinite(plate.solve_contact(none(plate)).dofs).all()
