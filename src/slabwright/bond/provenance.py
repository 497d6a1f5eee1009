"""Where the numbers of the bond as a field come from: the plate model in words, closed forms beside it, and arithmetic."""

from __future__ import annotations

import pandas as pd

from slabwright.bond.answers import DECIDED
from slabwright.bond.history import ACI_CEMENTS, B3_CEMENTS
from slabwright.bond.pair import CURLED, FLAT
from slabwright.bond.patches import PATCH_PLACES, UNIT_WEIGHT, WHEELS, edge_decay
from slabwright.design.left import LEFT
from slabwright.design.section_model import ModelledSection, modelled_sections
from slabwright.interface.bond_growth import bond_strength_at_age, shear_bond_from_tension
from slabwright.interface.mixed_mode import mixed_mode_coulomb, mixed_mode_elliptic, mixed_mode_hyperbolic
from slabwright.interface.patches import patch_opening, patch_ratios, patch_under_wheel
from slabwright.interface.strips import bilayer_energy_release, edge_peel_suhir, edge_shear_suhir, strip_forces
from slabwright.materials.growth import strength_ratio_aci209, strength_ratio_en1992
from slabwright.materials.shrinkage import drying_shrinkage_b3, shrinkage_en1992
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
    " memory). Wheels and temperature act on the modulus at 28 days, shrinkage with what creep has left of it at that age."
)
MARCHED = (
    "The force between overlay and old slab, free to curl, marched in time from the compliance of both in stretching and bending"
    " (integral of linear ageing viscoelasticity, Bazant 1972; with constant moduli Timoshenko's bimetal strip, 1925; both from"
    " memory), as the strain that brings this force in the plate model."
)
SHORT = (
    "The same force by the age-adjusted modulus, all strain counted from the end of curing (Bazant 1972, from memory)."
)
BESIDE = "The least factor of all places and ages of the section"
TESTS = " The load of the deflection tests stands on its round plate at each place, on full support."
WEATHER = (
    "Temperatures through the pavement for each hour of the loaded year (heat conduction with sun, wind and sky at the surface);"
    " the linear part of each profile, and of its differences the value that half a per cent of the hours go beyond."
)
GIVEN: dict[str, Source] = {
    "overlay": Cell("overlay"),
    "slab": LEFT,
    "overlay_modulus": Decided("design.overlay_modulus"),
    "slab_modulus": Of("condition", "modulus"),
    "strain": Of("bond_verdicts", "strain"),
}
POISSON = Decided("evaluation.poisson")

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


def _difference(gradient: str, sign: float) -> Origin:
    both = Derived("sum", (Cell("overlay"), LEFT), meaning="depth of both layers")
    return Derived("product", (Fixed(sign), Decided(gradient), both), "temperature_change")


def _by_weather(gradient: str, sign: float, row: Row) -> Origin:
    return Method(WEATHER) if len(row.scene.facts.weather) else _difference(gradient, sign)


def _humidity(row: Row) -> Origin:
    if row["humidity_from"] == DECIDED:
        return Copied(Decided("bond.humidity"))
    return Method(
        "Mean of the relative humidity of the loaded year, fog taken as saturated, within 40 to 100 per cent."
    )


def _energy(row: Row) -> Origin:
    if not row["energy"] > 0:
        return Method("Nothing is released: no shrinkage is left.")
    both = (_released("energy_strain", CURLED), _released("energy_held", FLAT))
    return Derived("greatest", both, "energy_release")


def _released(column: str, support: str) -> Calculated:
    forces = Calculated(strip_forces, {**GIVEN, "strain": Cell(column), "support": support}, "axial_force")
    return Calculated(
        bilayer_energy_release,
        {"axial_force": forces, "strain": Cell(column), "poisson": Decided("evaluation.poisson")},
    )


CRITERION = {
    "hyperbola": mixed_mode_hyperbolic,
    "ellipse": mixed_mode_elliptic,
    "Mohr-Coulomb line": mixed_mode_coulomb,
}
PULL = Derived("greatest", (Cell("mean_peel"), Fixed(0.0, "stress", where="pressure earns nothing")), "stress", "peel")
STRENGTH = Copied(Decided("design.bond_strength"))
REQUIRED = Derived("ratio", (Cell("strength"), Cell("factor")), "stress")
HUMIDITY = Of("bond_verdicts", "humidity")


def _strength_ratio(row: Row, age: Source) -> Calculated:
    """Compressive strength over that at 28 days, by the model decided."""
    cement = str(row.scene.decision("bond.cement"))
    if row.scene.decision("bond.model") == "EN 1992-1-1":
        return Calculated(strength_ratio_en1992, {"age": age, "cement": cement})
    return Calculated(strength_ratio_aci209, {"age": age, "cement": ACI_CEMENTS[cement]})


def _required_at_age(row: Row) -> Calculated:
    """The strength that the test is to find, at the age of the row."""
    return Calculated(
        bond_strength_at_age,
        {
            "strength": Decided("design.bond_strength"),
            "ratio": _strength_ratio(row, Cell("age")),
            "ratio_at_test": _strength_ratio(row, Decided("bond.test_age")),
            "follows": str(row.scene.decision("bond.bond_growth")),
        },
    )


def _sheared(row: Row) -> bool:
    return bool(row.scene.decision("design.bond_test") == "direct shear")


def _tension(row: Row) -> Calculated | Derived:
    found = _required_at_age(row)
    return Derived("ratio", (found, Decided("bond.shear_ratio")), "stress") if _sheared(row) else found


def _shear_strength(row: Row) -> Calculated:
    if _sheared(row):
        return _required_at_age(row)
    multiple = Decided("bond.shear_ratio")
    return Calculated(shear_bond_from_tension, {"strength": _required_at_age(row), "multiple": multiple})


def _factor(row: Row) -> Origin:
    criterion = str(row.scene.decision("bond.criterion"))
    given: dict[str, Source | float | str] = {
        "normal": PULL,
        "shear": Cell("mean_shear"),
        "tensile_strength": _tension(row),
        "shear_strength": _shear_strength(row),
    }
    if criterion != "ellipse":
        given["friction"] = Decided("bond.interface_friction")
    return Calculated(CRITERION[criterion], given, "factor")


def _free(row: Row) -> Origin:
    """Shrinkage by the model decided, times what a test of the mix found of it."""
    given: dict[str, Source | float | str] = {
        "age": Cell("age"),
        "curing_age": Decided("bond.curing_age"),
        "humidity": HUMIDITY,
        "volume_surface": Of("bond_verdicts", "overlay"),
        "strength": Decided("bond.concrete_strength"),
    }
    cement = str(row.scene.decision("bond.cement"))
    if row.scene.decision("bond.model") == "EN 1992-1-1":
        parts = [Calculated(shrinkage_en1992, {**given, "cement": cement}, o) for o in ("drying", "autogenous")]
        found: Source = Derived("sum", tuple(parts), "strain")
    else:
        more: dict[str, Source | float | str] = {
            "water": Decided("bond.water_content"),
            "cement_type": B3_CEMENTS[cement],
        }
        found = Calculated(drying_shrinkage_b3, given | more, "shrinkage")
    return Derived("product", (found, Decided("bond.measured_shrinkage")), "strain")


def _opening(row: Row) -> Origin:
    if row["place"] == WHEELS:
        return Method("Layers stay in contact under wheels and under an even curl.")
    return Calculated(
        patch_opening,
        {
            "size": Cell("size"),
            "difference": Derived(
                "greatest",
                (Fixed(0.0, "temperature_change"), Derived("difference", (Fixed(0.0), Of("bond_verdicts", "night")))),
                "temperature_change",
            ),
            "overlay": Cell("overlay"),
            "slab": LEFT,
            "modulus": Decided("design.overlay_modulus"),
            "expansion": Decided("design.thermal_expansion"),
            "unit_weight": Fixed(UNIT_WEIGHT, "unit_weight", where="that of the plate model"),
            "poisson": POISSON,
        },
    )


def _beside_patch(output: str, row: Row) -> Origin:
    place = str(row["place"])
    if place == WHEELS:
        section = _modelled(row)
        decay = Fixed(edge_decay(section.model, section.state), "per_length", where="strip theory")
        given: dict[str, Source | float | str] = {"size": Cell("size"), "decay": decay}
        given["averaging"] = Decided("bond.averaging_length")
        return Method(PLATE + MEANS + RAISED_BY_WHEEL, (Calculated(patch_under_wheel, given),))
    ratio = Calculated(patch_ratios, {"size": Cell("size"), "place": PATCH_PLACES[place]}, output)
    return Method(PLATE + MEANS + RAISED, (ratio,))


RAISED = (
    " Beside a patch it is raised by a ratio fitted to elements of three dimensions, since these plates cannot part."
)
RAISED_BY_WHEEL = " Beside a patch the part from wheels is raised by the shear that the patch does not pass."
SEASON = " The unlike expansion decided, times the change of temperature decided, is added and not relieved."
STRAIN_LEFT = Method(MARCHED + SEASON)
HELD_LEFT = Method(
    "The same force with no curvature, so that only stretching gives: the other end of what the ground may do." + SEASON
)
ENERGY_OF: dict[str, Origin] = {
    "energy_age": Method("The age, of those asked, at which the greater energy of both ends of support is most."),
    "energy_strain": STRAIN_LEFT,
    "energy_held": HELD_LEFT,
}
PULLED = (
    "Stress of the overlay from its shrinkage by the same march, both ways at once: over 1 less Poisson's ratio, at the age"
    " when it is the greatest share of the tensile strength."
)
OVERLAY = Copied(Of("thicknesses", "overlay"))
ON_SLAB = Method("One of the places of the plate model on its slab, closer to each other near the edges.")
MAPPED = Method(PLATE + " Values at edges are elastic peaks, an index for comparing designs.")
TESTED = Method(PLATE + TESTS)

WORST_AGE = Method("The age, of those asked from one day to twenty years, at which strength over demand is least.")
ORIGINS: Origins = {
    "bond_verdicts": {
        "overlay": OVERLAY,
        "age": WORST_AGE,
        "factor": Copied(Of("bond_places", "factor", ("section", "place", "cause"))),
        "least_factor": Copied(Decided("bond.least_factor")),
        "required": REQUIRED,
        "strength": STRENGTH,
        "test_age": Copied(Decided("bond.test_age")),
        "averaging": Copied(Decided("bond.averaging_length")),
        "other_criterion": Method(BESIDE + " by the ellipse, or by the hyperbola where the ellipse is decided."),
        "other_model": Method(BESIDE + " by the model of shrinkage, creep and growth that was not decided."),
        "other_support": Method(BESIDE + " with the force marched for a pair held flat."),
        "day": lambda row: _by_weather("bond.day_gradient", 1.0, row),
        "night": lambda row: _by_weather("bond.night_gradient", -1.0, row),
        "humidity": _humidity,
        "free": _free,
        "strain": STRAIN_LEFT,
        "held": HELD_LEFT,
        "short_cut": Method(SHORT),
        **ENERGY_OF,
        "energy": _energy,
        "fracture_energy": Copied(Decided("bond.fracture_energy")),
        "pull": Method(PULLED + " At whichever face is pulled more where the pair curls freely."),
        "pull_held": Method(PULLED + " Even through the depth where the pair is held flat."),
        "pull_age": Method(
            "The age, of those asked, at which this tension is the greatest share of the tensile strength."
        ),
        "tensile": Method(
            "Mean tensile strength from the cylinder strength decided, 0.3 fck^(2/3) with fck = fcm - 8 MPa up to C50, and its"
            " growth (EN 1992-1-1, Table 3.1 and 3.1.2, from memory)."
        ),
    },
    "bond_places": {
        "overlay": OVERLAY,
        "age": WORST_AGE,
        "peak_shear": lambda row: Method(
            PLATE + " A peak at an edge is elastic, an index for comparing designs." + STRIP, _edge_shear(row)
        ),
        "mean_shear": _shear,
        "mean_peel": Method(PLATE + MEANS + STRIP, (PEEL,)),
        "tension": _tension,
        "shear_strength": _shear_strength,
        "required": REQUIRED,
        "strength": STRENGTH,
        "factor": _factor,
    },
    "bond_ages": {
        "age": Method("One of the ages asked, from one day to twenty years, in steps that grow."),
        "free": _free,
        "strain": STRAIN_LEFT,
        "held": HELD_LEFT,
        "short_cut": Method(SHORT),
        "other_strain": Method(MARCHED + " By the model that was not decided."),
        "mean_shear": Method(PLATE + MEANS),
        "mean_peel": Method(PLATE + MEANS),
        "tension": _tension,
        "shear_strength": _shear_strength,
        "demand": Derived("ratio", (Cell("tension"), Cell("factor")), "stress"),
        "factor": _factor,
        "other_criterion": Method("As the factor, by the ellipse, or by the hyperbola where the ellipse is decided."),
        "other_model": Method("As the factor, by the model of shrinkage, creep and growth that was not decided."),
        "other_support": Method("As the factor, with the force marched for a pair held flat."),
    },
    "bond_patches": {
        "overlay": OVERLAY,
        "size": Method("One of the sizes that sounding would find."),
        "age": WORST_AGE,
        "mean_shear": lambda row: _beside_patch("shear", row),
        "mean_peel": lambda row: _beside_patch("peel", row),
        "factor": _factor,
        "sound": Method("The least factor of that place without a patch."),
        "opening": _opening,
        **ENERGY_OF,
        "energy": _energy,
        "fracture_energy": Copied(Decided("bond.fracture_energy")),
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
    return verdicts[(verdicts["strain"] > 0) & (verdicts["energy"] > 0)]


SHEETS = (Sheet("bond_verdicts", ("free", "energy", "factor"), _with_strain),)
