"""Energy, symmetry, reciprocity, the patch test and the springs against drift, swept over pavements and loads."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slabwright.plate import assembly
from slabwright.plate.assembly import Strain, joint_jump, plate_stiffness
from slabwright.plate.grid import grid, make_fields
from slabwright.plate.loads import axle_patches
from slabwright.plate.pavement import DenseLiquid, Interface, Layer, LayeredPavement, Rectangle
from slabwright.plate.plate import Solution, layered_plate
from slabwright.plate.response import deflection, interface_shear, stress
from tests.plate.models import block, square

GAUSS = np.polynomial.legendre.leggauss(4)


def slabs(bond: float | None, k: float = 54e6, joint: float = 1e8) -> LayeredPavement:
    patch = (Rectangle(4.5, 5.3, 0.0, 0.8),)
    return LayeredPavement(
        (0.0, 4.5, 9.0),
        (0.0, 3.6),
        (Layer(0.09, 31e9), Layer(0.22, 28e9)),
        DenseLiquid(k),
        Interface(bond, patch),
        transverse=joint,
    )


def stored_energy(solution: Solution) -> float:
    """Energy in plates, interface, joints and ground, summed from stresses, shears and deflections at Gauss points.

    Independent of the stiffness matrix: bending and stretching from the faces' stresses by Hooke's law.
    """
    plate = solution.plate
    local, weight = (GAUSS[0] + 1) / 2, GAUSS[1] / 2
    at = plate.lines.element_places(np.array([(a, b) for a in local for b in local]))
    width, height = plate.lines.sizes(at.column, at.row)
    area = np.tile(np.outer(weight, weight).ravel(), plate.lines.elements) * width * height
    points = np.column_stack([plate.lines.x[at.column] + at.xi * width, plate.lines.y[at.row] + at.eta * height])
    total = 0.0
    for number, layer in enumerate(plate.pavement.layers):
        top, bottom = (stress(solution, number, face, points)[:, 0] for face in ("top", "bottom"))  # type: ignore[arg-type]
        for part, share in (((top + bottom) / 2, 1.0), ((bottom - top) / 2, 1 / 3)):
            x, y, xy = part.T
            density = (x**2 + y**2 - 2 * layer.poisson * x * y + 2 * (1 + layer.poisson) * xy**2) / (2 * layer.modulus)
            total += layer.thickness * share * float(area @ density)
    shear = interface_shear(solution, points)[:, 0]
    total += float(area @ (shear**2).sum(axis=1)) / (2 * plate.pavement.interface_stiffness)
    w = plate.support_rows @ solution.dofs[:, 0]
    total += float(plate.support.stiffness @ w**2) / 2
    for line in plate.lines.joints_x[1:-1]:
        jump, lengths = joint_jump(plate.lines, plate.fields, "x", float(line))
        total += plate.pavement.transverse * float(lengths @ (jump @ solution.dofs[:, 0]) ** 2) / 2
    return total


@settings(max_examples=12, deadline=None)
@given(
    bond=st.sampled_from([1e8, 1e10, None, 1e13]),
    k=st.floats(2e7, 2e8),
    joint=st.sampled_from([0.0, 1e7, 1e9]),
    x=st.floats(1.5, 7.0),
    group=st.sampled_from(["single", "tandem", "tridem"]),
)
def test_work_of_the_load_is_the_energy_stored(
    bond: float | None, k: float, joint: float, x: float, group: str
) -> None:
    plate = layered_plate(slabs(bond, k, joint), 0.5)
    load = plate.load(axle_patches(group, 100e3, [x], [0.2]))
    solution = plate.solve(load)
    work = float(load[:, 0] @ solution.dofs[:, 0]) / 2
    # Four Gauss points integrate every term exactly; 1e-6 leaves room for the springs against drift.
    assert stored_energy(solution) == pytest.approx(work, rel=1e-6)
    # The ground carries the whole load.
    push = plate.support.stiffness @ (plate.support_rows @ solution.dofs[:, 0])
    assert push == pytest.approx(100e3, rel=1e-6)


def test_mirror_images() -> None:
    pavement = LayeredPavement(
        (0.0, 4.5, 9.0), (0.0, 3.6), (Layer(0.09, 31e9), Layer(0.22, 28e9)), DenseLiquid(5e7), transverse=1e8
    )
    plate = layered_plate(pavement, 0.5)
    one = plate.solve(plate.load(block(1.0, 1.3, 0.4, 0.6, 4e4)))
    other = plate.solve(plate.load(block(7.7, 8.0, 3.0, 3.2, 4e4)))
    points = np.array([[1.1, 0.5], [3.0, 2.0], [6.0, 1.0], [0.3, 0.2]])
    mirrored = np.array([9.0, 3.6]) - points
    np.testing.assert_allclose(deflection(one, points), deflection(other, mirrored), rtol=1e-7, atol=1e-12)
    np.testing.assert_allclose(
        stress(one, 1, "bottom", points), stress(other, 1, "bottom", mirrored), rtol=1e-6, atol=20.0
    )


def test_reciprocity() -> None:
    """Maxwell and Betti: a load here deflects there as much as the same load there deflects here."""
    plate = layered_plate(slabs(None), 0.5)
    loads = np.hstack([plate.load(block(1.0, 1.3, 0.4, 0.6, 4e4)), plate.load(block(6.7, 7.0, 2.0, 2.2, 4e4))])
    work = loads.T @ plate.solve(loads).dofs
    assert work[0, 1] == pytest.approx(work[1, 0], rel=1e-9)


@pytest.mark.parametrize("bond", [0.0, 1e10, 1e13])
def test_patch_of_constant_curvature_and_strain(bond: float) -> None:
    """Any mesh holds constant curvature exactly: the inner unknowns feel no force in that state."""
    pavement = LayeredPavement(
        (0.0, 3.0), (0.0, 2.0), (Layer(0.1, 30e9), Layer(0.2, 30e9)), DenseLiquid(5e7), Interface(bond)
    )
    lines = grid(pavement, 0.7, focus_x=[(1.1, 0.1)], focus_y=[(0.3, 0.15)])
    fields = make_fields(pavement, lines)
    nodal = fields.deflection.nodal
    x, y = np.meshgrid(fields.deflection.repeated_x, fields.deflection.repeated_y, indexing="ij")
    state = np.zeros(fields.unknowns)
    # w = x^2 + x y + 2 y^2 with the slip it would cause undone by the slabs' displacements: u = z grad w, no slip.
    for flags, value in (
        ((0, 0), x**2 + x * y + 2 * y**2),
        ((1, 0), 2 * x + y),
        ((0, 1), x + 4 * y),
        ((1, 1), 1 + 0 * x),
    ):
        state[nodal[:, flags[0], :, flags[1]]] = value
    for field, arm in zip(fields.planes, (-0.1, 0.05), strict=True):
        places = field.basis.doflocs + np.array(field.centre)[:, None]
        along, across = 2 * places[0] + places[1], places[0] + 4 * places[1]
        first = np.zeros(field.size, bool)
        first[np.unique(field.element_dofs[0::2] - field.start)] = True
        slope = np.where(first, along, across)
        state[field.start : field.start + field.size] = -arm * slope
    # slip = u2 - u1 + (h1 + h2) / 2 grad w = (-0.05 - 0.1 + 0.15) grad w = 0.
    force = plate_stiffness(pavement, fields) @ state
    inner = nodal[2:-2, :, 2:-2].ravel()
    scale = np.abs(plate_stiffness(pavement, fields)).max() * np.abs(state).max()
    assert np.abs(force[inner]).max() < 1e-9 * scale


def test_springs_against_drift_change_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    def answers() -> np.ndarray:
        plate = layered_plate(slabs(None), 0.6)
        strains = [Strain.straight(1e-4, -2e-5, 0.09), Strain.straight(-2e-5, -9e-5, 0.22)]
        solution = plate.solve(plate.load(axle_patches("tandem", 150e3, [3.0], [0.2])), strains=strains)
        points = [[3.0, 0.1], [5.5, 2.0]]
        return np.concatenate([stress(solution, 0, "top", points).ravel(), 1e9 * deflection(solution, points).ravel()])

    found = []
    for drift in (1e-10, 1e-7, 1e-5):
        monkeypatch.setattr(assembly, "DRIFT", drift)
        found.append(answers())
    # A hundred times more or a thousand times less moves no stress by more than 2e-5 of the largest.
    np.testing.assert_allclose(found[0], found[1], atol=2e-5 * np.abs(found[1]).max())
    np.testing.assert_allclose(found[2], found[1], atol=2e-5 * np.abs(found[1]).max())


def test_stiffer_in_any_way_deflects_less() -> None:
    def work(**change: float) -> float:
        values = {"h1": 0.09, "h2": 0.22, "e1": 31e9, "e2": 28e9, "k": 54e6, "bond": 1e10} | change
        pavement = square(
            4.5,
            (Layer(values["h1"], values["e1"]), Layer(values["h2"], values["e2"])),
            DenseLiquid(values["k"]),
            values["bond"],
        )
        plate = layered_plate(pavement, 0.5)
        load = plate.load(block(1.0, 1.3, 0.4, 0.6, 4e4))
        return float((load.T @ plate.solve(load).dofs)[0, 0])

    base = work()
    for name, factor in (("h1", 1.2), ("h2", 1.2), ("e1", 1.2), ("e2", 1.2), ("k", 1.2), ("bond", 10.0)):
        values = {"h1": 0.09, "h2": 0.22, "e1": 31e9, "e2": 28e9, "k": 54e6, "bond": 1e10}
        assert work(**{name: values[name] * factor}) < base, name


def test_free_temperature_makes_no_stress() -> None:
    """Both layers of the same expansion warmed evenly grow without stress; the interface does not slip."""
    plate = layered_plate(slabs(None), 0.6)
    strains = [Strain(2e-4, 0.0, 2e-4, 2e-4)] * 2
    solution = plate.solve(np.zeros((plate.unknowns, 1)), strains=strains)
    points = [[2.0, 1.0], [4.4, 0.1], [6.0, 3.5]]
    restrained = 31e9 / (1 - 0.15) * 2e-4
    for layer in (0, 1):
        # 1e-5 of the restrained stress: what the springs against drift hold back.
        assert np.abs(stress(solution, layer, "top", points)).max() < 1e-5 * restrained
    assert np.abs(interface_shear(solution, points)).max() < 1e-5 * restrained


def test_a_bent_profile_keeps_its_mean_curvature_and_faces() -> None:
    """Exact: quadratic temperature t = z^2 over [0, h] has mean h^2/3 and curvature 12/h^3 Int (z-h/2) z^2 dz = h."""
    depth = np.linspace(0.0, 0.2, 4001)
    strain = Strain.profile(depth, depth**2)
    assert strain.mean == pytest.approx(0.04 / 3, rel=1e-6)
    assert strain.curvature == pytest.approx(0.2, rel=1e-6)
    assert (strain.top, strain.bottom) == (0.0, pytest.approx(0.04))
