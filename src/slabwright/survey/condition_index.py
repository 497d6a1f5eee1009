"""Pavement condition index: densities, allowable deducts, sampling, and the value of a section."""

from __future__ import annotations

from typing import Annotated

import numpy as np

from slabwright.calculation import Array, Quantity, calculation

__all__ = [
    "allowable_deducts",
    "condition_index",
    "condition_index_of_section",
    "distress_density_slabs",
    "sample_units",
]

Slabs = Annotated[Array, Quantity("count", "slabs in the sample unit", 1, 10000)]
Index = Annotated[Array, Quantity("number", "condition index", symbol="PCI")]


@calculation(source="tm5_623", equation="density = affected / slabs")
def distress_density_slabs(
    affected: Annotated[Array, Quantity("count", "slabs with the distress", 0, 10000)], slabs: Slabs
) -> Annotated[Array, Quantity("share", "density")]:
    """Density of a distress counted by slabs."""
    return np.where(affected <= slabs, affected / slabs, np.nan)


@calculation(
    source="astm_d6433",
    tag="looked up",
    where="as worked in a thesis example",
    equation="m = 1 + (9 / 98) (100 - HDV), at most 10",
)
def allowable_deducts(
    highest: Annotated[Array, Quantity("number", "highest deduct value", 0, 100, "HDV")],
) -> Annotated[Array, Quantity("number", "allowable number of deducts", symbol="m")]:
    """Number of deduct values that count, with its fraction."""
    return np.minimum(1 + 9 / 98 * (100 - highest), 10)


@calculation(source="tm5_623", equation="PCI = 100 - CDV")
def condition_index(
    corrected_deduct: Annotated[Array, Quantity("number", "corrected deduct value", 0, 100, "CDV")],
) -> Index:
    """Condition index from the (largest) corrected deduct value."""
    return 100 - corrected_deduct


@calculation(source="tm5_623", where="equation 3-1", equation="PCI = [(N - A) PCI1 + A PCI2] / N")
def condition_index_of_section(
    units: Annotated[Array, Quantity("count", "sample units in the section", 1, 10000, "N")],
    additional: Annotated[Array, Quantity("count", "additional units surveyed", 0, 10000, "A")],
    random_index: Annotated[Array, Quantity("number", "mean index of the random units", 0, 100, "PCI1")],
    additional_index: Annotated[Array, Quantity("number", "mean index of the additional units", 0, 100, "PCI2")],
) -> Index:
    """Condition index of a section from random and additional sample units."""
    return ((units - additional) * random_index + additional * additional_index) / units


@calculation(
    source="astm_d6433",
    where="sections 7.5 and 7.6",
    equation="n = N s^2 / [(e^2 / 4) (N - 1) + s^2], rounded up",
)
def sample_units(
    units: Annotated[Array, Quantity("count", "sample units in the section", 1, 10000, "N")],
    spread: Annotated[Array, Quantity("number", "standard deviation of the index between units", 1, 50, "s")],
    error: Annotated[Array, Quantity("number", "tolerable error of the section's index", 1, 20, "e")],
) -> Annotated[Array, Quantity("count", "units to survey", symbol="n")]:
    """Number of sample units to survey."""
    return np.ceil(units * spread**2 / (error**2 / 4 * (units - 1) + spread**2) - 1e-9)
