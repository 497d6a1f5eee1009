"""Where the numbers of the bond as a field come from: the plate model in words, closed forms beside it, and arithmetic."""

from __future__ import annotations

import pandas as pd

from slabwright.design.section_model import ModelledSection, modelled_sections
from slabwright.interface.strips import bilayer_energy_release, edge_peel_suhir, edge_shear_suhir, strip_forces
from slabwright.materials.relaxation import relieved_stress
from slabwright.records.provenance import (
    Calculated,
    Cell,
    Copied,
    Decided,
    Derived,
    Fixed,
    Method,
    Of,
    Origin,
    Origins,
    Row,
    Sheet,
    Source,
)

__all__ = ["ORIGINS", "PLATE", "SHEETS"]

PLATE = (
    "Computed by the plate model: two plates on a dense liquid that share deflection and are joined by an interface of shear"
    " stiffness, with joints as springs and contact that may be lost."
)
STRIP = " The strip theories below are closed forms beside it, for a pencil: they know no wheels, corners or weight."
MEANS = (
    " Means are over the averaging length from the edge; peel follows from the shear by statics of the overlay (Suhir 1986, from"
    " memory); shear strength is taken as a multiple of tensile strength (Delatte and others, as reported in trade literature)."
)
TESTS = " The load of the deflection tests stands on its round plate at each place, on full support."
WEATHER = (
    "Temperatures through the pavement for each hour of the loaded year (heat conduction with sun, wind and sky at the surface);"
    " the linear part of each profile, and of its differences the value that half a per cent of the hours go beyond."
)
GIVEN: dict[str, Source] = {
    "overlay": Cell("overlay"),
    "slab": Of("condition", "thickness"),
    "overlay_modulus": Decided("design.overlay_modulus"),
    "slab_modulus": Of("condition", "modulus"),
    "strain": Of("bond_verdicts", "strain"),
}
POISSON = Decided("evaluation.poisson")
FORCES = Calculated(strip_forces, {**GIVEN, "support": "held flat"}, "axial_force")
PEEL = Calculated(edge_peel_suhir, {**GIVEN, "poisson": POISSON})


def _modelled(row: Row) -> ModelledSection:
    seen = row.scene

    def make() -> dict[str, ModelledSection]:
        found = modelled_sections(seen.facts, seen.frame("condition"), seen.frame("thicknesses"), seen.decisions)
        return {section.name: section for section in found}

    sections: dict[str, ModelledSection] = seen.kept("modelled sections", make)
    return sections[row["section"]]


def _edge_shear(row: Row) -> tuple[Calculated, ...]:
    """At the edge, free to curl and held flat."""
    half = Fixed(_modelled(row).model.length / 2, "length", where="half of the slab's length")
    given: dict[str, Source | float | str] = {**GIVEN, "half_length": half, "distance": 0.0, "poisson": POISSON}
    return tuple(
        Calculated(edge_shear_suhir, {**given, "support": support}, "edge_shear")
        for support in ("free to curl", "held flat")
    )


def _shear(row: Row) -> Origin:
    return Method(PLATE + MEANS + STRIP, _edge_shear(row))


def _worst(row: Row) -> Origin:
    return Method(
        PLATE + " It is that of the worst place under the worst cause." + MEANS + STRIP, (*_edge_shear(row), PEEL)
    )


def _difference(gradient: str, sign: float) -> Origin:
    both = Derived("sum", (Cell("overlay"), Of("condition", "thickness")), meaning="depth of both layers")
    return Derived("product", (Fixed(sign), Decided(gradient), both), "temperature_change")


def _by_weather(gradient: str, sign: float, row: Row) -> Origin:
    return Method(WEATHER) if len(row.scene.facts.weather) else _difference(gradient, sign)


def _energy(row: Row) -> Origin:
    if not row["strain"] > 0:
        return Method("Nothing is released: no shrinkage is left.")
    return Calculated(bilayer_energy_release, {"axial_force": FORCES, "strain": Cell("strain")})


SHEAR_TENSION = Derived("ratio", (Cell("mean_shear"), Decided("bond.shear_ratio")), "stress", "as a tensile strength")
STRESS = Calculated(
    relieved_stress,
    {
        "modulus": Decided("design.overlay_modulus"),
        "strain": Decided("design.shrinkage"),
        "creep": Decided("bond.creep_coefficient"),
        "ageing": Decided("bond.ageing_coefficient"),
    },
)
STRENGTH, FACTOR = (
    Copied(Decided("design.bond_strength")),
    Derived("ratio", (Cell("strength"), Cell("required")), "number"),
)
OVERLAY = Copied(Of("thicknesses", "overlay"))
ON_SLAB = Method("One of the places of the plate model on its slab, closer to each other near the edges.")
MAPPED = Method(PLATE + " Values at edges are elastic peaks, an index for comparing designs.")
TESTED = Method(PLATE + TESTS)

ORIGINS: Origins = {
    "bond_verdicts": {
        "overlay": OVERLAY,
        "required": _worst,
        "strength": STRENGTH,
        "factor": FACTOR,
        "least_factor": Copied(Decided("bond.least_factor")),
        "day": lambda row: _by_weather("bond.day_gradient", 1.0, row),
        "night": lambda row: _by_weather("bond.night_gradient", -1.0, row),
        "strain": Derived("ratio", (STRESS, Decided("design.overlay_modulus")), "strain"),
        "energy": _energy,
    },
    "bond_places": {
        "overlay": OVERLAY,
        "peak_shear": lambda row: Method(
            PLATE + " A peak at an edge is elastic, an index for comparing designs." + STRIP, _edge_shear(row)
        ),
        "mean_shear": _shear,
        "mean_peel": Method(PLATE + MEANS + STRIP, (PEEL,)),
        "required": Derived("greatest", (SHEAR_TENSION, Cell("mean_peel"))),
        "strength": STRENGTH,
        "factor": FACTOR,
    },
    "bond_map": {
        "along": ON_SLAB,
        "across": ON_SLAB,
        "wheels": MAPPED,
        "day": MAPPED,
        "night": MAPPED,
        "shrinkage": MAPPED,
        "together": MAPPED,
    },
    "bond_deflections": {
        "overlay": OVERLAY,
        "before": TESTED,
        "bonded": TESTED,
        "part_delaminated": TESTED,
        "unbonded": TESTED,
        "fall": Derived("reduction", (Cell("bonded"), Cell("before")), "share"),
        "unbonded_reduction": Derived("reduction", (Cell("unbonded"), Cell("before")), "share"),
        "warning_above": Derived("mean", (Cell("bonded"), Cell("unbonded"))),
    },
}


def _with_strain(verdicts: pd.DataFrame) -> pd.DataFrame:
    return verdicts[verdicts["strain"] > 0]


SHEETS = (Sheet("bond_verdicts", ("strain", "energy", "required"), _with_strain),)
