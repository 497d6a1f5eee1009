"""Pavements that several tests share."""

from slabwright.calculation import Array
from slabwright.plate.grid import grid
from slabwright.plate.loads import Patches, circles
from slabwright.plate.pavement import DenseLiquid, ElasticSolid, Interface, Layer, LayeredPavement
from slabwright.plate.plate import LayeredPlate, Solution, layered_plate

K, E, NU = 54e6, 28e9, 0.15


def square(
    side: float,
    layers: tuple[Layer, ...],
    foundation: DenseLiquid | ElasticSolid | None = None,
    bond: float | None = None,
    **more: object,
) -> LayeredPavement:
    return LayeredPavement((0.0, side), (0.0, side), layers, foundation or DenseLiquid(K), Interface(bond), **more)  # type: ignore[arg-type]


def fine_at(pavement: LayeredPavement, size: float, x: float, y: float, finest: float) -> LayeredPlate:
    return layered_plate(pavement, grid(pavement, size, focus_x=[(x, finest)], focus_y=[(y, finest)]))


def plate_load(plate: LayeredPlate, load: float, radius: float, x: float, y: float) -> Solution:
    return plate.solve(plate.load(circles(load, radius, [x], [y])))


def block(x0: float, x1: float, y0: float, y1: float, load: float) -> Patches:
    import numpy as np

    area = (x1 - x0) * (y1 - y0)
    return Patches(*(np.array([v]) for v in (x0, x1, y0, y1, load / area)), np.array([0]), 1)


def two_layers(overlay: float, slab: float, poisson: float = NU) -> tuple[Array, ...]:
    return (Layer(overlay, 31e9, poisson), Layer(slab, E, poisson))  # type: ignore[return-value]
