"""Impossible pavements, loads and points: a sentence and no number."""

import math

import numpy as np
import pytest

from slabwright.errors import InputError
from slabwright.plate.assembly import Strain
from slabwright.plate.grid import grid
from slabwright.plate.loads import axle_patches
from slabwright.plate.pavement import (
    Cut,
    DenseLiquid,
    ElasticSolid,
    Interface,
    Layer,
    LayeredPavement,
    Rectangle,
    Void,
)
from slabwright.plate.plate import layered_plate
from slabwright.plate.response import deflection, interface_shear, stress

SLAB, BASE = Layer(0.22, 30e9), DenseLiquid(5e7)


def pavement(**more: object) -> LayeredPavement:
    given = {"x": (0.0, 4.0), "y": (0.0, 3.5), "layers": (Layer(0.1, 30e9), SLAB), "foundation": BASE} | more
    return LayeredPavement(**given)  # type: ignore[arg-type]


IMPOSSIBLE = {
    "layer thickness": lambda: Layer(0.0, 30e9),
    "layer thickness is": lambda: Layer(math.nan, 30e9),
    "elastic modulus": lambda: Layer(0.2, -1.0),
    "elastic modulus of a layer": lambda: Layer(0.2, 0.0),
    "Poisson": lambda: Layer(0.2, 30e9, 0.6),
    "foundation reaction": lambda: DenseLiquid(0.0),
    "elastic solid": lambda: ElasticSolid(-1.0),
    "shear stiffness of the interface": lambda: Interface(-5.0),
    "a rectangle needs": lambda: Rectangle(1.0, 1.0, 0.0, 2.0),
    "gap of a void": lambda: Void(Rectangle(0, 1, 0, 1), -0.1),
    "one layer or two": lambda: pavement(layers=()),
    "joint lines x": lambda: pavement(x=(0.0, 3.0, 2.0)),
    "joint lines y": lambda: pavement(y=(0.0,)),
    "cut the pavement shorter": lambda: pavement(x=(0.0, 500.0)),
    "shear stiffness of transverse joints": lambda: pavement(transverse=-1.0),
    "needs two layers": lambda: pavement(layers=(SLAB,), cuts=(Cut(1, "x", 2.0),)),
    "a cut lies inside": lambda: pavement(cuts=(Cut(1, "x", 9.0),)),
    "outside the pavement": lambda: pavement(interface=Interface(None, (Rectangle(3.0, 5.0, 0.0, 1.0),))),
    "element size": lambda: grid(pavement(), 0.0),
    "no axle group": lambda: axle_patches("quad", 1e5, [1.0], [0.0]),
    "axle load is positive": lambda: axle_patches("single", 0.0, [1.0], [0.0]),
    "partly off the pavement": lambda: _plate().load(axle_patches("single", 8e4, [0.0], [0.0])),
    "too coarse for the load": lambda: layered_plate(pavement(), 3.0).load(axle_patches("single", 8e4, [2.0], [0.0])),
    "one free strain for each layer": lambda: _plate().free_strain([Strain(0, 0, 0, 0)]),
    "a point lies outside": lambda: deflection(_plate().solve(_plate().weight()), [[9.0, 1.0]]),
    "no such layer": lambda: stress(_plate().solve(_plate().weight()), 2, "top", [[1.0, 1.0]]),
    "has no interface": lambda: interface_shear(_single(), [[1.0, 1.0]]),
}


def _plate():  # type: ignore[no-untyped-def]
    return layered_plate(pavement(), 0.5)


def _single():  # type: ignore[no-untyped-def]
    plate = layered_plate(pavement(layers=(SLAB,)), 0.5)
    return plate.solve(plate.weight())


@pytest.mark.parametrize("words", IMPOSSIBLE)
def test_a_sentence_and_no_number(words: str) -> None:
    with pytest.raises(InputError) as caught:
        IMPOSSIBLE[words]()
    assert words in str(caught.value)
    assert str(caught.value).endswith(".")


def test_nan_points_are_outside() -> None:
    with pytest.raises(InputError, match="outside the pavement"):
        deflection(_single(), np.array([[np.nan, 1.0]]))
