"""The engineer's decisions, one frozen group for each stage; a named set of them is an alternative.

A field's annotation is the same ``Quantity`` or ``Choice`` as in a calculation, so bounds, units and
meaning are written once and every form, command and report reads them from here. Values are SI.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field, fields, replace
from functools import cache
from typing import Annotated, Any, get_args, get_type_hints

from slabwright import units
from slabwright.calculation import Choice, Quantity
from slabwright.errors import InputError, OutOfRange
from slabwright.units import FOOT, INCH, KIP, LBF, MIL, MILE, PSI

__all__ = [
    "BondDecisions",
    "Decisions",
    "Entry",
    "EvaluationDecisions",
    "FATIGUE_WORDS",
    "LAW_BASIS",
    "LifeDecisions",
    "OverlayDecisions",
    "PlateDecisions",
    "RepairDecisions",
    "SurveyDecisions",
    "TrafficDecisions",
    "change",
    "checked",
    "entries",
    "from_plain",
    "to_plain",
]

YES_NO = ("yes", "no")


@dataclass(frozen=True)
class SurveyDecisions:
    """How field data are reduced and the road is cut into sections."""

    standard_load: Annotated[float, Quantity("force", "load that deflections are normalised to", 2 * KIP, 40 * KIP)] = (
        9000 * LBF
    )
    bending_factor: Annotated[
        float, Quantity("number", "slab bending correction of load transfer; 0 takes it from the basins", 0, 1.5)
    ] = 0.0
    section_method: Annotated[
        str, Choice("how borders are found", ("cumulative difference", "optimal change points"))
    ] = "cumulative difference"
    shortest_section: Annotated[float, Quantity("length", "shortest section", 30.0, 5000.0)] = 400 * FOOT
    section_borders: Annotated[
        str, Choice("borders set by hand, as stations separated by semicolons; empty to find them", ())
    ] = ""
    design_percentile: Annotated[
        float, Quantity("share", "percentile of a section that design uses for deflection", 0.5, 0.99)
    ] = 0.85


@dataclass(frozen=True)
class TrafficDecisions:
    """Loading of the past and of the years to come."""

    base_year: Annotated[float, Quantity("calendar_year", "first year of the overlay", 1950, 2150)] = 2026
    design_period: Annotated[float, Quantity("years", "years that the overlay is designed for", 1, 60)] = 25
    past_growth: Annotated[float, Quantity("share", "yearly growth of traffic before the first count", -0.1, 0.2)] = (
        0.025
    )
    growth: Annotated[float, Quantity("share", "yearly growth of traffic to come", -0.1, 0.2)] = 0.02
    directional_share: Annotated[float, Quantity("share", "share of traffic in the design direction", 0.3, 1.0)] = 0.5
    lane_share: Annotated[
        float, Quantity("share", "share of trucks in the design lane; 0 uses the published curve", 0.0, 1.0)
    ] = 0.0
    lanes_each_way: Annotated[float, Quantity("count", "lanes in the design direction", 1, 8)] = 3
    esal_per_truck: Annotated[
        float, Quantity("number", "equivalent axles per truck; 0 computes it from the axle spectrum", 0, 20)
    ] = 0.0
    axle_category: Annotated[str, Choice("published axle spectrum where none is loaded", ("1", "2", "3", "4"))] = "3"


@dataclass(frozen=True)
class EvaluationDecisions:
    """How the old slab is judged."""

    poisson: Annotated[float, Quantity("number", "Poisson's ratio of concrete", 0.1, 0.25)] = 0.15
    moduli_from: Annotated[str, Choice("which backcalculation the design uses", ("basin area", "plate fit"))] = (
        "basin area"
    )
    slab_size_correction: Annotated[str, Choice("correct backcalculation for the size of the slab", YES_NO)] = "yes"
    static_ratio: Annotated[float, Quantity("number", "static over dynamic foundation modulus", 0.3, 1.0)] = 0.5
    base_bond: Annotated[
        str, Choice("slab and base for the partition of stiffness", ("unbonded", "bonded", "no partition"))
    ] = "no partition"
    modular_ratio: Annotated[float, Quantity("number", "base modulus over slab modulus", 0.001, 2.0)] = 0.02
    strength_from: Annotated[
        str, Choice("which estimate of flexural strength is used", ("lower of both", "cores", "modulus"))
    ] = "lower of both"
    initial_serviceability: Annotated[float, Quantity("number", "serviceability when new", 3.5, 5.0)] = 4.5
    terminal_serviceability: Annotated[
        float, Quantity("number", "serviceability at which the road is renewed", 1.5, 3.5)
    ] = 2.5
    drainage_coefficient: Annotated[
        float, Quantity("number", "drainage coefficient; 0 takes it from the drainage quality", 0, 1.25)
    ] = 0.0
    load_transfer_coefficient: Annotated[
        float, Quantity("number", "load transfer coefficient J; 0 takes it from measured load transfer", 0, 4.4)
    ] = 0.0
    durability_factor: Annotated[
        float, Quantity("number", "durability factor; 0 takes it from distress and cores", 0, 1)
    ] = 0.0
    void_intercept: Annotated[
        float, Quantity("deflection", "deflection at zero load that points to a void", 0.5 * MIL, 10 * MIL)
    ] = 2 * MIL
    unrepaired: Annotated[
        float, Quantity("frequency", "deteriorated joints and cracks left unrepaired", 0.0, 200 / MILE)
    ] = 0.0
    least_raise: Annotated[
        float, Quantity("thickness", "raise of grade that the thinnest overlay needs", 1 * INCH, 4 * INCH)
    ] = 2 * INCH
    lowest_load_transfer: Annotated[float, Quantity("share", "load transfer below which it is restored", 0.3, 0.95)] = (
        0.7
    )
    most_full_depth: Annotated[
        float, Quantity("share", "share of area in full-depth repair that still suits a bonded overlay", 0.01, 0.5)
    ] = 0.1
    most_durability_cores: Annotated[
        float, Quantity("share", "share of cores with materials-related distress that still suits", 0.0, 0.5)
    ] = 0.1
    most_delaminated_cores: Annotated[
        float, Quantity("share", "share of cores delaminated that still suits", 0.0, 0.5)
    ] = 0.1
    most_void_corners: Annotated[
        float, Quantity("share", "share of tested corners with voids that still suits after repair", 0.0, 1.0)
    ] = 0.5


@dataclass(frozen=True)
class RepairDecisions:
    """The rules by which repairs are marked out; an agency changes them here."""

    full_depth_shortest: Annotated[float, Quantity("length", "shortest full-depth repair along the lane", 0.9, 6.0)] = (
        6 * FOOT
    )
    full_depth_severity: Annotated[
        str, Choice("severity from which cracks and joints are replaced full depth", ("moderate", "high"))
    ] = "high"
    merge_gap: Annotated[
        float, Quantity("length", "sound length between repairs that is always replaced with them", 0.0, 10.0)
    ] = 6 * FOOT
    partial_depth_deepest: Annotated[
        float, Quantity("share", "depth of spalling over slab depth beyond which repair is full depth", 0.1, 0.6)
    ] = 0.33
    partial_depth_margin: Annotated[
        float, Quantity("length", "sound margin around a partial-depth repair", 0.0, 0.5)
    ] = 3 * INCH
    crack_width_to_fill: Annotated[
        float, Quantity("width", "opening from which a crack is routed and filled", 0.0005, 0.02)
    ] = 0.003
    fill_partial_with_overlay: Annotated[str, Choice("fill partial-depth repairs as part of the overlay", YES_NO)] = (
        "yes"
    )
    restore_load_transfer: Annotated[str, Choice("restore load transfer at joints below the limit", YES_NO)] = "yes"
    saw_cost: Annotated[float, Quantity("money", "cost of one transverse sawcut across a lane", 0, 1e5)] = 180.0
    full_depth_cost: Annotated[float, Quantity("money", "full-depth repair, per square metre", 0, 1e5)] = 260.0
    partial_depth_cost: Annotated[float, Quantity("money", "partial-depth repair, per square metre", 0, 1e5)] = 420.0
    partial_removal_cost: Annotated[
        float, Quantity("money", "removal alone, where the overlay fills the repair, per square metre", 0, 1e5)
    ] = 190.0
    crack_cost: Annotated[float, Quantity("money", "crack routed and filled, per metre", 0, 1e5)] = 28.0
    void_cost: Annotated[float, Quantity("money", "slab stabilised, per corner", 0, 1e5)] = 240.0
    load_transfer_cost: Annotated[float, Quantity("money", "load transfer restored, per joint and lane", 0, 1e5)] = (
        560.0
    )


@dataclass(frozen=True)
class OverlayDecisions:
    """Thickness, steel, joints and surface preparation of the overlay."""

    thickness: Annotated[float, Quantity("thickness", "overlay thickness; 0 takes the required one", 0.0, 8 * INCH)] = (
        0.0
    )
    thinnest: Annotated[float, Quantity("thickness", "practical minimum", 1 * INCH, 4 * INCH)] = 2 * INCH
    thickest: Annotated[
        float,
        Quantity("thickness", "greatest thickness at which a bonded overlay is still considered", 3 * INCH, 8 * INCH),
    ] = 6 * INCH
    round_to: Annotated[
        float, Quantity("thickness", "step to which thickness is rounded up", 0.25 * INCH, 1 * INCH)
    ] = 0.5 * INCH
    reliability: Annotated[float, Quantity("share", "design reliability", 0.5, 0.999)] = 0.95
    standard_deviation: Annotated[
        float, Quantity("number", "overall standard deviation S0 of the design equation", 0.2, 0.6)
    ] = 0.39
    effective_by: Annotated[
        str, Choice("which effective thickness governs", ("condition", "remaining life", "lower of both"))
    ] = "condition"
    reinforcement: Annotated[str, Choice("reinforcement of the overlay", ("none", "fabric", "continuous"))] = "none"
    reinforcement_stress: Annotated[
        float, Quantity("stress", "working stress of the steel", 20000 * PSI, 60000 * PSI)
    ] = 45000 * PSI
    friction: Annotated[float, Quantity("number", "friction of the slab on its base", 0.5, 3.0)] = 1.5
    bar_diameter: Annotated[float, Quantity("width", "diameter of continuous bars", 0.25 * INCH, 1.25 * INCH)] = (
        0.625 * INCH
    )
    temperature_drop: Annotated[
        float, Quantity("temperature_change", "design temperature drop for continuous steel", 5.0, 80.0)
    ] = 41.7
    shrinkage: Annotated[float, Quantity("number", "drying shrinkage at 28 days", 1e-5, 1.5e-3)] = 0.0004
    thermal_expansion: Annotated[float, Quantity("expansion", "thermal expansion of the concrete", 4e-6, 1.5e-5)] = (
        9.5e-6
    )
    bond_strength: Annotated[float, Quantity("stress", "required bond strength by pull-off", 50 * PSI, 400 * PSI)] = (
        200 * PSI
    )
    bond_factor: Annotated[
        float, Quantity("number", "least ratio of bond strength to interface shear from wheels", 1.0, 10.0)
    ] = 2.0
    wheel_load: Annotated[float, Quantity("force", "wheel load for interface shear", 2 * KIP, 40 * KIP)] = 9000 * LBF
    milling_depth: Annotated[float, Quantity("thickness", "depth milled off the old slab", 0.0, 2 * INCH)] = 0.0
    preparation: Annotated[
        str, Choice("surface preparation", ("shot blasting", "milling and shot blasting", "water blasting"))
    ] = "shot blasting"
    texture_depth: Annotated[
        float, Quantity("width", "mean texture depth required of the prepared surface", 0.0003, 0.005)
    ] = 0.0008
    grout: Annotated[str, Choice("bonding grout", ("none", "cement grout"))] = "none"
    overlay_modulus: Annotated[
        float, Quantity("modulus", "elastic modulus of the overlay concrete", 2e6 * PSI, 7e6 * PSI)
    ] = 4.5e6 * PSI
    concrete_cost: Annotated[float, Quantity("money", "overlay concrete in place, per cubic metre", 0, 1e5)] = 310.0
    surface_cost: Annotated[float, Quantity("money", "preparation, joints and curing, per square metre", 0, 1e5)] = 14.0


# How a fatigue law is called where one is chosen, and the calculation behind it.
FATIGUE_WORDS = {
    "NCHRP 1-37A, 2004": "fatigue_nchrp_1_37a",
    "AASHTO 2008": "fatigue_aashto_2008",
    "PCA 1984": "fatigue_pca",
    "Darter 1977, 50 % failed": "fatigue_darter",
    "Darter 1977, 24 % failed": "fatigue_darter_24_percent",
    "Vesic and Saxena 1969": "fatigue_vesic",
    "NCHRP 1-26, 1992": "fatigue_nchrp_1_26",
    "Corps of Engineers, field": "fatigue_corps",
    "Salsilli and others 1993": "fatigue_salsilli",
    "Majidzadeh and Ilves 1983": "fatigue_majidzadeh",
    "Tepfers and Kutti 1979": "fatigue_tepfers",
    "Titus-Glover and others 2005": "fatigue_titus_glover",
}


# What each law was fitted to, and what its failure is (all from memory); they are not the same thing.
LAW_BASIS = {
    "NCHRP 1-37A, 2004": "field slabs; with its own curve of cracked slabs",
    "AASHTO 2008": "field slabs, calibrated anew; with its own curve of cracked slabs",
    "PCA 1984": "design curve below laboratory beams; no damage at a stress ratio of 0.45 or less",
    "Darter 1977, 50 % failed": "laboratory beams, half of them failed",
    "Darter 1977, 24 % failed": "laboratory beams, a quarter of them failed",
    "Vesic and Saxena 1969": "Road Test slabs to serviceability 2.5",
    "NCHRP 1-26, 1992": "field slabs",
    "Corps of Engineers, field": "field slabs, half of them cracked",
    "Salsilli and others 1993": "field slabs, the data of NCHRP 1-26, at an even chance",
    "Majidzadeh and Ilves 1983": "Road Test slabs",
    "Tepfers and Kutti 1979": "plain concrete in the laboratory, lower stress nought",
    "Titus-Glover and others 2005": "laboratory beams gathered anew, at an even chance",
}


@dataclass(frozen=True)
class LifeDecisions:
    """Fatigue life at a reliability: law, limit, what is carried on, and how much each input scatters.

    Coefficients of variation lie within those published for design inputs (AASHTO 1993 App. EE, NCHRP 1-26, PCA;
    from memory): thickness 2-5 %, strength 8-15 %, modulus 15-25 %, k 30-50 %, forecast of axles 20-40 %. Wander
    and the built-in difference are the defaults of NCHRP 1-37A (from memory), with whose law and curve they were
    calibrated. Spreads of temperature and of the delaminated share are common practice, no source.
    """

    fatigue_law: Annotated[str, Choice("fatigue law", tuple(FATIGUE_WORDS))] = "NCHRP 1-37A, 2004"
    cracking_curve: Annotated[
        str, Choice("share of slabs cracked by fatigue damage", ("2004 calibration", "2008 calibration"))
    ] = "2004 calibration"
    cracking_level: Annotated[
        float,
        Quantity(
            "share", "share of sound slabs that crack until life ends (10 % on interstates, AASHTO 2008)", 0.01, 0.5
        ),
    ] = 0.1
    target_years: Annotated[float, Quantity("years", "life to reach; 0 takes the design period", 0, 60)] = 0.0
    past_damage_from: Annotated[str, Choice("damage of the old slab so far", ("past traffic", "observed cracking"))] = (
        "past traffic"
    )
    overlay_strength: Annotated[
        float, Quantity("stress", "flexural strength of the overlay concrete", 400 * PSI, 1100 * PSI)
    ] = 650 * PSI
    wander_mean: Annotated[
        float, Quantity("thickness", "mean distance of the outer tyre from the slab's edge", 0.0, 48 * INCH)
    ] = 18 * INCH
    wander_deviation: Annotated[float, Quantity("thickness", "standard deviation of that distance", 0.0, 24 * INCH)] = (
        10 * INCH
    )
    built_in_difference: Annotated[
        float,
        Quantity("temperature_change", "lasting curl and warp as a temperature difference, top less bottom", -25, 10),
    ] = -10 / 1.8
    overlay_shrinkage: Annotated[
        float,
        Quantity(
            "number",
            "shrinkage of the overlay beyond the old slab's that creep leaves, not in that difference",
            0.0,
            5e-4,
        ),
    ] = 0.0
    foundation_spring: Annotated[float, Quantity("number", "k in March to May over its yearly value", 0.3, 3.0)] = 1.0
    foundation_summer: Annotated[float, Quantity("number", "k in June to August over its yearly value", 0.3, 3.0)] = 1.0
    foundation_autumn: Annotated[
        float, Quantity("number", "k in September to November over its yearly value", 0.3, 3.0)
    ] = 1.0
    foundation_winter: Annotated[
        float, Quantity("number", "k in December to February over its yearly value", 0.3, 3.0)
    ] = 1.0
    tests_behind_mean: Annotated[
        float,
        Quantity(
            "count", "tests that a section's means rest on: their doubt is the scatter over the root of this", 1, 100
        ),
    ] = 9
    overlay_thickness_variation: Annotated[
        float, Quantity("share", "coefficient of variation of overlay thickness", 0.0, 0.15)
    ] = 0.05
    slab_thickness_variation: Annotated[
        float, Quantity("share", "coefficient of variation of old slab thickness", 0.0, 0.1)
    ] = 0.03
    overlay_strength_variation: Annotated[
        float, Quantity("share", "coefficient of variation of overlay strength", 0.0, 0.25)
    ] = 0.1
    slab_strength_variation: Annotated[
        float, Quantity("share", "coefficient of variation of old slab strength", 0.0, 0.25)
    ] = 0.12
    overlay_modulus_variation: Annotated[
        float, Quantity("share", "coefficient of variation of overlay modulus", 0.0, 0.3)
    ] = 0.15
    slab_modulus_variation: Annotated[
        float, Quantity("share", "coefficient of variation of old slab modulus", 0.0, 0.4)
    ] = 0.2
    foundation_variation: Annotated[float, Quantity("share", "coefficient of variation of k", 0.0, 0.5)] = 0.35
    traffic_variation: Annotated[
        float, Quantity("share", "coefficient of variation of the traffic to come", 0.0, 0.5)
    ] = 0.3
    temperature_variation: Annotated[
        float, Quantity("share", "coefficient of variation of temperature differences", 0.0, 0.4)
    ] = 0.1
    delaminated_mean: Annotated[float, Quantity("share", "mean share of the area without bond", 0.0, 0.3)] = 0.02
    delaminated_deviation: Annotated[
        float, Quantity("share", "standard deviation of the share without bond", 0.0, 0.1)
    ] = 0.02
    sample_power: Annotated[
        float, Quantity("count", "lives computed for each thickness, as a power of two (14 is 16,384)", 8, 17)
    ] = 14
    surface_power: Annotated[
        float, Quantity("count", "pavements computed for the response surface, as a power of two (6 is 64)", 4, 10)
    ] = 6
    seed: Annotated[float, Quantity("count", "seed of the sampling", 0, 1e6)] = 1


@dataclass(frozen=True)
class BondDecisions:
    """What the bond must bear."""

    axle_load: Annotated[float, Quantity("force", "single axle that stresses the bond", 4 * KIP, 60 * KIP)] = 18 * KIP
    creep_coefficient: Annotated[
        float, Quantity("number", "creep coefficient of the overlay (ultimate, ACI 209)", 0.0, 6.0)
    ] = 2.35
    ageing_coefficient: Annotated[float, Quantity("number", "ageing coefficient", 0.5, 1.0)] = 0.8
    averaging_length: Annotated[
        float, Quantity("thickness", "length over which bond stress is averaged (a pull-off core)", 0.02, 0.2)
    ] = 0.05
    shear_ratio: Annotated[float, Quantity("number", "shear bond strength over tensile bond strength", 1.0, 3.0)] = 2.0
    least_factor: Annotated[
        float,
        Quantity(
            "number", "least bond strength over demand (partial factor of concrete, EN 1992-1-1, from memory)", 1.0, 5.0
        ),
    ] = 1.5
    day_gradient: Annotated[
        float, Quantity("temperature_gradient", "day gradient where no weather is loaded", 0.0, 150.0)
    ] = 3 / 1.8 / INCH
    night_gradient: Annotated[
        float, Quantity("temperature_gradient", "night gradient where no weather is loaded", 0.0, 150.0)
    ] = 1 / 1.8 / INCH


@dataclass(frozen=True)
class PlateDecisions:
    """How the plate model is laid out where nothing was measured."""

    slab_length: Annotated[
        float, Quantity("length", "slab length of continuous reinforcement, between cracks", 1.0, 6.0)
    ] = 2.0
    unmeasured_transfer: Annotated[
        float, Quantity("share", "load transfer of joints that were not tested", 0.05, 0.95)
    ] = 0.7


@dataclass(frozen=True)
class Decisions:
    """All groups of one alternative."""

    survey: SurveyDecisions = field(default_factory=SurveyDecisions)
    traffic: TrafficDecisions = field(default_factory=TrafficDecisions)
    evaluation: EvaluationDecisions = field(default_factory=EvaluationDecisions)
    repair: RepairDecisions = field(default_factory=RepairDecisions)
    overlay: OverlayDecisions = field(default_factory=OverlayDecisions)
    life: LifeDecisions = field(default_factory=LifeDecisions)
    bond: BondDecisions = field(default_factory=BondDecisions)
    plate: PlateDecisions = field(default_factory=PlateDecisions)


@dataclass(frozen=True)
class Entry:
    """One decision as it is listed: ``overlay.thickness``, its value in SI, and what it is."""

    name: str
    value: float | str
    about: Quantity | Choice

    def text(self, system: units.System = "us") -> str:
        if isinstance(self.about, Choice):
            return str(self.value)
        return units.format_quantity(float(self.value), self.about.kind, system)


def entries(decisions: Decisions) -> Iterator[Entry]:
    """Every decision in order."""
    for group in fields(decisions):
        value = getattr(decisions, group.name)
        for name, about in _annotated(type(value)).items():  # type: ignore[arg-type]
            yield Entry(f"{group.name}.{name}", getattr(value, name), about)


@cache
def _annotated(group: type) -> dict[str, Any]:
    """What is said of each decision of a group; read from the annotations once."""
    return {name: get_args(hint)[1] for name, hint in get_type_hints(group, include_extras=True).items()}


def change(decisions: Decisions, name: str, text: str | float, system: units.System = "us") -> Decisions:
    """The decisions with one of them read from text, e.g. ``change(d, "overlay.thickness", "4 in")``.

    Raises InputError for an unknown name or an unreadable value, OutOfRange for one outside its bounds.
    """
    about = {e.name: e.about for e in entries(decisions)}.get(name)
    if about is None:
        close = ", ".join(e.name for e in entries(decisions))
        raise InputError("there is no decision of this name", given=name, allowed=close)
    given = str(text) if isinstance(about, Choice) else units.parse(text, about.kind, system)
    value = checked(name, given, about)
    group, attribute = name.split(".")
    return replace(decisions, **{group: replace(getattr(decisions, group), **{attribute: value})})


def checked(name: str, value: float | str, about: Quantity | Choice) -> float | str:
    """The value in SI, or the word, if the decision may have it; InputError or OutOfRange if not."""
    if isinstance(about, Quantity):
        return _within_bounds(name, value, about)
    word = str(value).strip()
    if about.options and word not in about.options:
        raise InputError(
            f"{name} ({about.meaning}) takes one of its choices", given=word, allowed=", ".join(about.options)
        )
    return word


def _within_bounds(name: str, value: float | str, about: Quantity) -> float:
    if isinstance(value, str) or not math.isfinite(value):
        raise InputError(f"{name} ({about.meaning}) is a number", given=value)
    low, high = about.low, about.high
    slack = 1e-9
    if (low is not None and value < low - slack * abs(low)) or (high is not None and value > high + slack * abs(high)):
        bounds = [("any" if b is None else units.format_quantity(b, about.kind)) for b in (low, high)]
        raise OutOfRange(
            f"{name} ({about.meaning}) is outside its bounds",
            given=units.format_quantity(value, about.kind),
            allowed=" to ".join(bounds),
        )
    return value


def to_plain(decisions: Decisions) -> dict[str, float | str]:
    """As a flat mapping in SI, for the project file."""
    return {e.name: e.value for e in entries(decisions)}


def from_plain(plain: dict[str, Any]) -> Decisions:
    """From the mapping of ``to_plain``; names it does not hold keep their default, unknown ones are refused."""
    decisions = Decisions()
    known = {e.name for e in entries(decisions)}
    groups: dict[str, dict[str, Any]] = {}
    for name, value in plain.items():
        if name not in known:
            raise InputError("the project holds a decision that this version does not know", given=name)
        group, attribute = name.split(".")
        groups.setdefault(group, {})[attribute] = value
    changed = {group: replace(getattr(decisions, group), **values) for group, values in groups.items()}
    return replace(decisions, **changed)
