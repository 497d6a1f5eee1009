"""Shear on the interface near an edge: the strip theory as a limit of the element model, and where it departs."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from scipy.sparse.linalg import spsolve

from slabwright.interface.strips import edge_shear_suhir
from slabwright.plate.assembly import Strain
from slabwright.plate.grid import Grid, grid
from slabwright.plate.pavement import Cut, DenseLiquid, Interface, Layer, LayeredPavement, Rectangle
from slabwright.plate.plate import LayeredPlate, Solution, layered_plate
from slabwright.plate.response import interface_shear, stress

# Overlay 75 mm of 30 GPa shrinking by 200e-6 on 200 mm of 35 GPa, nu 0.2, half length 2.25 m.
SHRINK, HALF = 200e-6, 2.25
SOFT = DenseLiquid(1e5)


def strip(finest: float = 0.004, **more: object) -> LayeredPlate:
    """A strip bent in one way: narrow, of Poisson's ratio 0, with the shear moduli of the theory in the interface."""
    new, old = Layer(0.075, 30e9, 0.0), Layer(0.2, 35e9, 0.0)
    bond = 1 / (0.075 / 3 / (30e9 / 2.4) + 0.2 / 3 / (35e9 / 2.4))
    pavement = LayeredPavement((0.0, 2 * HALF), (0.0, 0.5), (new, old), SOFT, Interface(bond, **more))  # type: ignore[arg-type]
    lines = grid(pavement, 0.25, focus_x=[(0.0, finest), (2 * HALF, finest)], growth=0.4)
    return layered_plate(pavement, lines)


STRAINS = (Strain(-SHRINK, 0.0, -SHRINK, -SHRINK), Strain(0, 0, 0, 0))


def shrinking(**more: object) -> Solution:
    """The strip on ground too soft to hold it."""
    plate = strip(**more)
    return plate.solve(np.zeros((plate.unknowns, 1)), strains=STRAINS)


def held_flat() -> Solution:
    """The strip whose deflection is zero everywhere: only the displacements in the plane are solved for."""
    plate = strip()
    kept = np.arange(plate.fields.deflection.size, plate.unknowns)
    dofs = np.zeros((plate.unknowns, 1))
    dofs[kept, 0] = spsolve(plate.stiffness[kept][:, kept].tocsc(), plate.free_strain(STRAINS)[kept, 0])
    return Solution(plate, dofs, STRAINS, None)


@pytest.mark.parametrize(
    ("solved", "support", "edge", "top", "bottom"),
    [
        # Strip theory worked for these layers (Suhir 1986 from memory, re-derived): edge shear, overlay stress, MPa.
        (shrinking, "free to curl", 2.114, 1.026, 2.888),
        (held_flat, "held flat", 3.219, 4.541, 4.541),
    ],
)
def test_edge_shear_and_layer_stress(
    solved: Callable[[], Solution], support: str, edge: float, top: float, bottom: float
) -> None:
    solution = solved()
    shear = np.abs(interface_shear(solution, [[0.0, 0.25]])[0, 0, 0])
    faces = [stress(solution, 0, face, [[HALF, 0.25]])[0, 0, 0] for face in ("top", "bottom")]  # type: ignore[arg-type]
    # 1 per cent: elements of 4 mm at the edge against an edge zone of 200 mm, and ground that is soft but not absent
    # (its share, 0.65 per cent of the upper stress, falls in proportion with k).
    assert faces == pytest.approx([top * 1e6, bottom * 1e6], rel=0.01)
    assert shear == pytest.approx(edge * 1e6, rel=0.01)
    theory = edge_shear_suhir(0.075, 0.2, 30e9, 35e9, SHRINK, HALF, 0.0, support=support, poisson=0.2)
    assert float(theory.edge_shear) == pytest.approx(edge * 1e6, rel=2e-3)


def test_ground_that_holds_the_slab_flat_lets_its_edge_turn_up() -> None:
    """Between the two limits the theory has no answer: on stiff ground the edge still curls, and the shear there is less.

    The middle of the overlay is stressed as if held flat, its edge not: the departure that strip theory cannot show.
    """
    plate = strip()
    stiff = layered_plate(replace(plate.pavement, foundation=DenseLiquid(1e10)), plate.lines)
    solution = stiff.solve(np.zeros((stiff.unknowns, 1)), strains=STRAINS)
    middle = [stress(solution, 0, face, [[HALF, 0.25]])[0, 0, 0] for face in ("top", "bottom")]  # type: ignore[arg-type]
    assert middle == pytest.approx([4.541e6, 4.541e6], rel=5e-3)
    assert 2.114e6 < np.abs(interface_shear(solution, [[0.0, 0.25]])[0, 0, 0]) < 3.219e6


def test_shear_dies_away_from_the_edge_as_the_theory_says() -> None:
    solution = shrinking()
    at = np.array([0.02, 0.05, 0.1, 0.2, 0.4])
    found = np.abs(interface_shear(solution, np.column_stack([at, 0 * at + 0.25]))[:, 0, 0])
    theory = [float(edge_shear_suhir(0.075, 0.2, 30e9, 35e9, SHRINK, HALF, x, poisson=0.2).shear) for x in at]
    # 2 per cent of the edge's shear: the soft ground is not quite absent.
    np.testing.assert_allclose(found, theory, atol=0.02 * 2.114e6)


def test_shear_collects_the_force_in_the_overlay() -> None:
    """The interface shear summed from the edge to the middle is the overlay's force there (statics)."""
    solution = shrinking()
    at = np.concatenate([np.linspace(0, 0.4, 400), np.linspace(0.4, HALF, 200)[1:]])
    shear = interface_shear(solution, np.column_stack([at, 0 * at + 0.25]))[:, 0, 0]
    collected = abs(np.sum(np.diff(at) * (shear[1:] + shear[:-1]) / 2))
    middle = [stress(solution, 0, face, [[HALF, 0.25]])[0, 0, 0] for face in ("top", "bottom")]  # type: ignore[arg-type]
    # 0.3 per cent: trapezoids across elements between which the slip's slope jumps.
    assert collected == pytest.approx(0.075 * sum(middle) / 2, rel=3e-3)


def test_no_shear_where_delaminated_and_a_new_peak_at_the_patch() -> None:
    sound, parted = shrinking(), shrinking(delaminated=(Rectangle(0.0, 0.5, 0.0, 0.5),))
    inside, rim = [[0.25, 0.25]], [[0.5001, 0.25]]
    assert interface_shear(parted, inside)[0, 0, 0] == 0.0
    # Behind the patch the edge begins anew: the peak moves there, nearly unchanged.
    edge = np.abs(interface_shear(sound, [[0.0, 0.25]])[0, 0, 0])
    assert np.abs(interface_shear(parted, rim)[0, 0, 0]) > 0.6 * edge
    assert np.abs(interface_shear(sound, rim)[0, 0, 0]) < 0.01 * edge


def bent(cut: tuple[Cut, ...]) -> tuple[Solution, LayeredPavement]:
    """A narrow slab under a line of load across its middle, above a cut through one layer."""
    new, old = Layer(0.1, 30e9, 0.0), Layer(0.2, 30e9, 0.0)
    pavement = LayeredPavement((0.0, 4.0), (0.0, 0.5), (new, old), DenseLiquid(60e6), cuts=cut)
    base = grid(pavement, 0.2, focus_x=[(2.0, 0.02)])
    plate = layered_plate(pavement, Grid(base.x, base.y, base.joints_x, base.joints_y))
    from tests.plate.models import block

    return plate.solve(plate.load(block(1.9, 2.1, 0.0, 0.5, 20e3))), pavement


def test_a_crack_below_the_overlay_raises_its_stress_and_the_interface_shear() -> None:
    whole, _ = bent(())
    cracked, _ = bent((Cut(1, "x", 2.0),))
    under = [[2.0001, 0.25]]
    overlay = [stress(s, 0, "bottom", under)[0, 0, 0] for s in (whole, cracked)]
    # Common sense of statics: with the old slab parted, the overlay alone must carry the moment (tension at its bottom).
    assert overlay[1] > max(3 * overlay[0], 0.0)
    shear = [np.abs(interface_shear(s, [[2.05, 0.25]])[0, 0, 0]) for s in (whole, cracked)]
    assert shear[1] > 3 * shear[0]
    # No force crosses the crack in the old slab: its mean stress there vanishes against that of the whole slab.
    means = [
        sum(stress(s, 1, face, under)[0, 0, 0] for face in ("top", "bottom")) / 2  # type: ignore[arg-type]
        for s in (whole, cracked)
    ]
    assert abs(means[1]) < 0.05 * abs(means[0])


def test_a_cut_through_both_layers_is_a_joint() -> None:
    """Deflection of a pavement parted through both layers lies between that cut in the old slab and a true joint."""
    lines = [[2.0, 0.25]]
    from slabwright.plate.response import deflection
    from tests.plate.models import block

    one, _ = bent((Cut(1, "x", 2.0),))
    both, _ = bent((Cut(0, "x", 2.0), Cut(1, "x", 2.0)))
    new, old = Layer(0.1, 30e9, 0.0), Layer(0.2, 30e9, 0.0)
    joint = LayeredPavement((0.0, 2.0, 4.0), (0.0, 0.5), (new, old), DenseLiquid(60e6), transverse=1e12)
    plate = layered_plate(joint, grid(joint, 0.2, focus_x=[(2.0, 0.02)]))
    jointed = plate.solve(plate.load(block(1.9, 2.1, 0.0, 0.5, 20e3)))
    d = [deflection(s, lines)[0, 0] for s in (one, both, jointed)]
    # A hinge that passes shear is what both models say; the strip without bending is as long as the layer is thick.
    # and the interface holds the ends of the layers to each other up to the cut, which a joint does not: stiffer.
    assert d[0] < d[1] < d[2]
    assert d[1] == pytest.approx(d[2], rel=0.2)
