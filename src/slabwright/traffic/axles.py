"""Loading: axle equivalence on rigid pavement, growth, lane shares, and equivalent axles of past and future."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from slabwright.calculation import Array, Quantity, calculation
from slabwright.terms import TerminalServiceability
from slabwright.units import INCH, KIP

__all__ = [
    "AXLE_CODES",
    "AxleEquivalence",
    "accumulated_axles",
    "design_lane_trucks",
    "growth_factor",
    "lane_share_of_trucks",
    "pca_spectrum",
    "projection_factor",
    "rigid_axle_equivalence",
    "spectrum_equivalence",
    "years_of_growing_traffic",
    "years_of_traffic",
]

AXLE_CODES = {"single": 1.0, "tandem": 2.0, "tridem": 3.0}
EQUATION = (
    "log10(1 / LEF) = 4.62 log10(18 + 1) - 4.62 log10(L + L2) + 3.28 log10(L2) + G / bx - G / b18;"
    " G = log10[(4.5 - pt) / 3.0]; b = 1 + 3.63 (L + L2)^5.20 / [(D + 1)^8.46 L2^3.52]"
)
Load = Annotated[Array, Quantity("axle_load", "load on the axle group", 0.1 * KIP, 120 * KIP, "L")]
Code = Annotated[Array, Quantity("count", "axle code: 1 single, 2 tandem, 3 tridem", 1, 3, "L2")]
Thickness = Annotated[Array, Quantity("thickness", "slab thickness", 4 * INCH, 20 * INCH, "D")]
USUAL_TERMINAL: Array = np.asarray(2.5)


@dataclass(frozen=True)
class AxleEquivalence:
    """The equivalency factor with the terms that a reviewer checks."""

    loss: Annotated[Array, Quantity("number", "serviceability term", symbol="G")]
    beta: Annotated[Array, Quantity("number", "load function", symbol="bx")]
    beta_standard: Annotated[Array, Quantity("number", "load function of the standard axle", symbol="b18")]
    factor: Annotated[Array, Quantity("number", "load equivalency factor", symbol="LEF")]


@calculation(
    source="liu1989",
    where="model of the Road Test, sign of the 4.62 load term corrected",
    equation=EQUATION,
)
def rigid_axle_equivalence(
    axle_load: Load,
    axle_code: Code,
    thickness: Thickness,
    terminal_serviceability: TerminalServiceability = USUAL_TERMINAL,
) -> AxleEquivalence:
    """Load equivalency factor of an axle group on rigid pavement."""
    return _equivalence(axle_load, axle_code, thickness, terminal_serviceability)


def _equivalence(load: Array, code: Array, thickness: Array, pt: Array) -> AxleEquivalence:
    kip, D = load / KIP, thickness / INCH
    loss = np.log10((4.5 - pt) / (4.5 - 1.5))
    beta = 1 + 3.63 * (kip + code) ** 5.20 / ((D + 1) ** 8.46 * code**3.52)
    standard = 1 + 3.63 * 19**5.20 / (D + 1) ** 8.46
    log_inverse = (
        4.62 * np.log10(19) - 4.62 * np.log10(kip + code) + 3.28 * np.log10(code) + loss / beta - loss / standard
    )
    factor = 10**-log_inverse
    return AxleEquivalence(loss + 0 * factor, beta + 0 * factor, standard + 0 * factor, factor)


@calculation(source="liu1989", equation="ESAL per truck = sum(n LEF(L, L2, D, pt)) / 1000")
def spectrum_equivalence(
    axle_loads: Annotated[Array, Quantity("axle_load", "loads on the axle groups", 0.1 * KIP, 120 * KIP, vector=True)],
    axle_codes: Annotated[Array, Quantity("count", "axle codes: 1 single, 2 tandem, 3 tridem", 1, 3, vector=True)],
    per_thousand_trucks: Annotated[
        Array, Quantity("number", "axle groups per 1,000 trucks", 0, 20000, "n", vector=True)
    ],
    thickness: Thickness,
    terminal_serviceability: TerminalServiceability = USUAL_TERMINAL,
) -> Annotated[Array, Quantity("number", "equivalent axles per truck")]:
    """Equivalent axles per truck from an axle-load spectrum along the last axis."""
    factors = _equivalence(axle_loads, axle_codes, thickness[..., None], terminal_serviceability[..., None]).factor
    return (per_thousand_trucks * factors).sum(axis=-1) / 1000


Growth = Annotated[Array, Quantity("share", "yearly growth", -0.2, 0.3, "g", "1")]
Years = Annotated[Array, Quantity("years", "number of years", 0, 100, "n")]


@calculation(source="garber_hoel", equation="G = [(1 + g)^n - 1] / g, or n where g = 0")
def growth_factor(growth: Growth, years: Years) -> Annotated[Array, Quantity("number", "growth factor", symbol="G")]:
    """Sum of n years of traffic over the first year's."""
    rate = np.log1p(growth)
    small = np.abs(growth) < 1e-9
    safe = np.where(small, 1.0, growth)
    return np.where(small, years + 0 * growth, np.expm1(rate * years) / safe)


def years_of_traffic(axles: Array, first_year: Array | float, growth: Array | float) -> Array:
    """Years in which growing traffic adds up to the given axles: the growth factor solved for its years. [years]

    Infinite where shrinking traffic never adds up to them. Scalars, or arrays that broadcast: ``axles`` in all,
    ``first_year`` axles of the first year, ``growth`` [1/year]. Raises nothing.
    """
    ratio, rate = np.asarray(axles) / first_year, np.asarray(growth)
    small = np.abs(rate) < 1e-9
    inner = 1 + rate * ratio  # shrinking traffic may never add up to it
    years = np.log(np.where(inner > 0, inner, 1.0)) / np.log1p(np.where(small, 1.0, rate))
    return np.where(small, ratio, np.where(inner > 0, years, np.inf))


LONGEST_LIFE: Array = np.asarray(60.0)  # years: beyond, no forecast of traffic means anything


@calculation(
    source="garber_hoel",
    where="growth factor solved for its years",
    equation="n = ln(1 + g W / W1) / ln(1 + g), or W / W1 where g = 0; at most N, and N where the traffic never adds up to W",
)
def years_of_growing_traffic(
    axles: Annotated[Array, Quantity("count", "equivalent axles to carry", 0, 1e18, "W")],
    first_year: Annotated[Array, Quantity("count", "equivalent axles of the first year", 0, 1e15, "W1")],
    growth: Growth,
    longest: Annotated[Array, Quantity("years", "longest life shown", 1, 1000, "N")] = LONGEST_LIFE,
) -> Annotated[Array, Quantity("years", "years of traffic", symbol="n")]:
    """Years in which growing traffic adds up to the given axles, up to the longest life that a forecast can mean."""
    return np.minimum(years_of_traffic(axles, first_year, growth), longest)


@calculation(source="pca1984", where="Table 3", tag="looked up", equation="factor = (1 + g)^(n / 2)")
def projection_factor(growth: Growth, years: Years) -> Annotated[Array, Quantity("number", "projection factor")]:
    """Traffic at the middle of the design period over today's."""
    return (1 + growth) ** (years / 2)


@calculation(source="darter_lane", equation="share = 1.567 - 0.0826 ln(ADT) - 0.12368 (three or more lanes)")
def lane_share_of_trucks(
    one_way_traffic: Annotated[Array, Quantity("count", "average daily traffic in one direction", 2000, 200000, "ADT")],
    lanes: Annotated[Array, Quantity("count", "lanes in that direction", 2, 8)],
) -> Annotated[Array, Quantity("share", "share of trucks in the outer lane")]:
    """Share of a direction's trucks that use the outer lane."""
    share = 1.567 - 0.0826 * np.log(one_way_traffic) - np.where(lanes >= 3, 0.12368, 0.0)
    return np.clip(share, 0, 1)


@calculation(source="pca1984", where="sample problem 1", equation="N = ADT f T c s 365 n")
def design_lane_trucks(
    daily_traffic: Annotated[Array, Quantity("count", "average daily traffic, both directions", 1, 1e6, "ADT")],
    projection: Annotated[Array, Quantity("number", "projection factor", 0.1, 10, "f")],
    truck_share: Annotated[Array, Quantity("share", "share of trucks", 0, 1, "T", "1")],
    directional_share: Annotated[Array, Quantity("share", "share in the design direction", 0.1, 1, "c", "1")],
    lane_share: Annotated[Array, Quantity("share", "share in the design lane", 0.1, 1, "s", "1")],
    years: Years,
) -> Annotated[Array, Quantity("count", "trucks in the design lane", symbol="N")]:
    """Trucks in the design lane over the design period."""
    return daily_traffic * projection * truck_share * directional_share * lane_share * 365 * years


@calculation(source="garber_hoel", equation="W = AADT T f G 365 n LEF")
def accumulated_axles(
    daily_traffic: Annotated[Array, Quantity("count", "average daily traffic", 0, 1e6, "AADT")],
    vehicle_share: Annotated[Array, Quantity("share", "share of the vehicles counted here", 0, 1, "T", "1")],
    lane_factor: Annotated[Array, Quantity("share", "share of them in the design lane", 0, 1, "f", "1")],
    growth_factor: Annotated[Array, Quantity("number", "growth factor", 0, 1e4, "G")],
    axles_per_vehicle: Annotated[Array, Quantity("number", "axle groups per vehicle", 0, 20, "n")],
    equivalence: Annotated[Array, Quantity("number", "equivalent axles per axle group", 0, 1000, "LEF")],
) -> Annotated[Array, Quantity("count", "equivalent axles over the period", symbol="W")]:
    """Equivalent axles in the design lane over a period of growing traffic."""
    return daily_traffic * vehicle_share * lane_factor * growth_factor * 365 * axles_per_vehicle * equivalence


# Packard, Engineering Bulletin 109, Table 15, from memory: axle groups per 1,000 trucks, by load in kips.
_SINGLE = np.arange(4.0, 35.0, 2.0)
_TANDEM = np.arange(4.0, 61.0, 4.0)
_PCA = {
    "1": (
        (1693.31, 732.28, 483.10, 204.96, 124.00, 56.11, 38.02, 15.81, 4.23, 0.96, 0, 0, 0, 0, 0, 0),
        (31.90, 85.59, 139.30, 75.02, 57.10, 39.18, 68.48, 69.59, 4.19, 0, 0, 0, 0, 0, 0),
    ),
    "2": (
        (0, 0, 233.60, 142.70, 116.76, 47.76, 23.88, 16.61, 6.63, 2.60, 1.60, 0.07, 0, 0, 0, 0),
        (0, 47.01, 91.15, 59.25, 45.00, 30.74, 44.43, 54.76, 38.79, 7.76, 1.16, 0, 0, 0, 0),
    ),
    "3": (
        (0, 0, 0, 0, 182.02, 47.73, 31.82, 25.15, 16.33, 7.85, 5.21, 1.78, 0.85, 0.45, 0, 0),
        (0, 0, 0, 99.34, 85.94, 72.54, 121.22, 103.63, 56.25, 21.31, 8.01, 2.91, 1.19, 0, 0),
    ),
    "4": (
        (0, 0, 0, 0, 0, 0, 57.07, 68.27, 41.82, 9.69, 4.16, 3.52, 1.78, 0.63, 0.54, 0.19),
        (0, 0, 0, 0, 0, 71.16, 95.79, 109.54, 78.19, 20.31, 3.52, 3.03, 1.79, 1.07, 0.57),
    ),
}


def pca_spectrum(category: str) -> tuple[Array, Array, Array]:
    """A published axle-load spectrum (category 1 to 4): loads [N], axle codes, groups per 1,000 trucks; each (n,).

    Raises KeyError for another category.
    """
    singles, tandems = (np.array(v, dtype=float) for v in _PCA[category])
    loads = np.concatenate([_SINGLE, _TANDEM]) * KIP
    codes = np.concatenate([np.ones(len(_SINGLE)), np.full(len(_TANDEM), 2.0)])
    number = np.concatenate([singles, tandems])
    return loads[number > 0], codes[number > 0], number[number > 0]
