"""Where the numbers of the evaluation come from."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

import numpy as np
import pandas as pd

from slabwright.evaluation import backcalculation as back
from slabwright.evaluation.condition import (
    condition_factor,
    durability_factor,
    effective_thickness_remaining_life,
    fatigue_factor,
    joints_and_cracks_factor,
    remaining_life,
    rupture_from_modulus,
    rupture_from_split,
    rupture_from_strength,
)
from slabwright.evaluation.examined import off_decks
from slabwright.evaluation.joints import (
    bending_correction,
    load_transfer_coefficient,
    load_transfer_efficiency,
    void_intercept,
)
from slabwright.evaluation.loading import lanes_each_way, truck_share
from slabwright.evaluation.moduli import CONTINUOUS_LENGTH
from slabwright.evaluation.state import ASSUMED_TRANSFER, CONTINUOUS_TRANSFER, FAILURE, durability_states
from slabwright.records.provenance import (
    Calculated,
    Cell,
    Copied,
    Decided,
    Derived,
    Fact,
    Fixed,
    Gathered,
    Method,
    Of,
    Origin,
    Origins,
    Row,
    Sheet,
    Source,
)
from slabwright.roadway.places import USUAL_LANE_WIDTH, directions_of_lanes, layer_rows, section_layers
from slabwright.roadway.structures import decks, on_deck
from slabwright.slab.infinite_plate import plate_coefficient_elastic_solid
from slabwright.slab.serviceability import rigid_allowable_axles
from slabwright.statistics.samples import binomial_interval
from slabwright.survey.basins import DEFLECTIONS, OFFSETS
from slabwright.survey.cores import sound_cores
from slabwright.terms import PLATE_RADIUS
from slabwright.traffic.axles import AXLE_CODES, growth_factor, lane_share_of_trucks, pca_spectrum, spectrum_equivalence
from slabwright.units import INCH

__all__ = ["ORIGINS", "SHEETS", "of_opening_year"]

LOAD, POISSON = Decided("survey.standard_load"), Decided("evaluation.poisson")
TEST = ("station", "lane", "point")


# Backcalculation of one test --------------------------------------------------------------------------------


def _basin(column: str) -> Of:
    return Of("basins", column, TEST, {"position": "mid-slab"})


def _layer(row: Row) -> int:
    return int(layer_rows(row.scene.facts, np.array([row["station"]]), [row["lane"]])[0])


def _thickness(row: Row) -> Origin:
    words = {
        "plans": "Copied from the plans (layers.thickness) of the pavement at the test.",
        "mean of cores": "Mean thickness of the cores of the same pavement, three or more.",
        "core nearby": "Thickness of the core of the same lane and pavement nearest the test, close by.",
    }
    if row["thickness_from"] == "plans":
        return Copied(Fact("layers", "thickness", _layer(row)))
    return Method(words[row["thickness_from"]] + " Facts: cores.thickness.")


def _infinite() -> tuple[Calculated, Calculated]:
    """l and dynamic k of an infinite plate by basin area."""
    stiffness = Calculated(back.relative_stiffness_area_36, {"area": _basin("area_36")})
    coefficient = Calculated(back.deflection_coefficient, {"relative_stiffness": stiffness})
    return stiffness, Calculated(
        back.foundation_from_deflection,
        {
            "load": LOAD,
            "deflection": _basin("deflection_1"),
            "coefficient": coefficient,
            "relative_stiffness": stiffness,
        },
    )


def _factor(row: Row, output: str) -> Calculated:
    """A factor of the slab-size correction at a test."""
    facts, layer = row.scene.facts, _layer(row)
    continuous = facts.layers["pavement"].iloc[layer] == "CRCP"
    lane = np.flatnonzero((facts.lanes["lane"] == row["lane"]).to_numpy())
    length: Source = Fact("layers", "joint_spacing", layer)
    width: Source = Fact("lanes", "width", int(lane[0])) if len(lane) else Fixed(USUAL_LANE_WIDTH, "length")
    size = Calculated(
        back.slab_size,
        {
            "length": Fixed(CONTINUOUS_LENGTH, "length", where="a long slab, for continuous reinforcement")
            if continuous
            else length,
            "width": width,
        },
    )
    return Calculated(back.slab_size_factors, {"size": size, "relative_stiffness": _infinite()[0]}, output)


def _stiffness_area(row: Row) -> Origin:
    stiffness = _infinite()[0]
    if row.scene.decision("evaluation.slab_size_correction") == "no":
        return stiffness
    return Derived("product", (stiffness, _factor(row, "radius")))


def _foundation_area(row: Row) -> Origin:
    foundation = _infinite()[1]
    if row.scene.decision("evaluation.slab_size_correction") == "no":
        return foundation
    radius, deflection = _factor(row, "radius"), _factor(row, "deflection")
    factors = Derived("product", (radius, radius, deflection), "number", "factor on l twice, and factor on d0")
    return Derived("ratio", (foundation, factors))


def _modulus(method: str) -> Origin:
    return Calculated(
        back.modulus_from_relative_stiffness,
        {
            "foundation": Cell(f"foundation_{method}"),
            "relative_stiffness": Cell(f"stiffness_{method}"),
            "thickness": Cell("thickness"),
            "poisson": POISSON,
        },
    )


FIT = (
    "Least-squares fit of the deflection of an infinite plate on a dense liquid, under the loaded circle, to all sensors of the"
    " basin (plate theory, exact integral)"
)
CORRECTED = (
    "; where evaluation.slab_size_correction is yes, that which gives this reading on a free slab of the size at the test,"
    " computed by Ritz's method for the same sensors."
)


def _solid_modulus(row: Row) -> Origin:
    stiffness = Calculated(back.relative_stiffness_area_36_solid, {"area": _basin("area_36")})
    radius: Source = _basin("plate_radius")
    if not np.isfinite(_basin("plate_radius").take(row).number):
        radius = Fixed(float(PLATE_RADIUS), "thickness", where="the usual plate")
    coefficient = Calculated(
        plate_coefficient_elastic_solid, {"offset": 0.0, "relative_stiffness": stiffness, "load_radius": radius}
    )
    return Calculated(
        back.solid_modulus_from_deflection,
        {
            "load": LOAD,
            "deflection": _basin("deflection_1"),
            "coefficient": coefficient,
            "relative_stiffness": stiffness,
        },
    )


def _layer_modulus(output: str) -> Callable[[Row], Origin]:
    def origin(row: Row) -> Origin:
        area = row.scene.decision("evaluation.moduli_from") == "basin area"
        modulus, bond = Cell("modulus_area" if area else "modulus_fit"), row.scene.decision("evaluation.base_bond")
        if bond == "no partition":
            return Copied(modulus)
        return Calculated(
            back.partition_bonded if bond == "bonded" else back.partition_unbonded,
            {
                "modulus": modulus,
                "thickness": Cell("thickness"),
                "base_thickness": Fact("layers", "base_thickness", _layer(row)),
                "ratio": Decided("evaluation.modular_ratio"),
            },
            output,
        )

    return origin


MODULI: dict[str, Origin | Callable[[Row], Origin]] = {
    "station": Copied(_basin("station")),
    "thickness": _thickness,
    "stiffness_area": _stiffness_area,
    "foundation_area": _foundation_area,
    "modulus_area": _modulus("area"),
    "stiffness_fit": Method(FIT + CORRECTED),
    "foundation_fit": Method(FIT + CORRECTED),
    "modulus_fit": _modulus("fit"),
    "misfit": Method(FIT + "; the misfit is the root of the mean square of what is left."),
    "solid_modulus": _solid_modulus,
    "slab_modulus": _layer_modulus("slab"),
    "base_modulus": _layer_modulus("base"),
}


# Joints and corners -----------------------------------------------------------------------------------------


def _unloaded(row: Row) -> Origin:
    """The sensor 12 in ahead of the plate on the approach, behind it on the leave."""
    by = (*TEST, "position")
    there = Of("basins", "station", by).row(row)
    basin, side = there.scene.frame("basins").iloc[there.index], 1 if row["position"] == "joint approach" else -1
    offsets, moved = basin[OFFSETS].to_numpy(dtype=float), basin[DEFLECTIONS].to_numpy(dtype=float)
    reads = (np.abs(offsets - side * 12 * INCH) <= 0.006) & np.isfinite(moved)
    return Copied(Of("basins", DEFLECTIONS[int(np.flatnonzero(reads)[np.argmax(moved[reads])])], by))


def _bending(row: Row) -> Origin:
    if row.scene.decision("survey.bending_factor") > 0:
        return Copied(Decided("survey.bending_factor"))
    words = "Mean of d0 / d12 over the mid-slab tests of the section, because survey.bending_factor is 0."
    return Method(words, calculations=(bending_correction,))


def _line(output: str) -> Callable[[Row], Origin]:
    def origin(row: Row) -> Origin:
        tests = row.scene.facts.deflections
        here = tests[(tests["position"] == "corner") & np.logical_and.reduce([tests[c] == row[c] for c in TEST])]
        here = here.dropna(subset=["load", "deflection_1"])
        where = f"the {len(here)} drops here, deflections"
        return Calculated(
            void_intercept,
            {
                "loads": Fixed(here["load"].to_numpy(), "axle_load", where=f"{where}.load"),
                "deflections": Fixed(here["deflection_1"].to_numpy(), "deflection", where=f"{where}.deflection_1"),
            },
            output,
        )

    return origin


# Loading ----------------------------------------------------------------------------------------------------


def _daily_traffic(row: Row) -> Origin:
    counts = row.scene.facts.counts
    if row["basis"] == "counted":
        place = np.flatnonzero((counts["year"] == float(row["year"])).to_numpy())
        return Copied(Fact("counts", "daily_traffic", int(place[-1])))
    words = {
        "interpolated": "Interpolated on the logarithm of the traffic between the counts before and after.",
        "projected back": "The first count, less the growth traffic.past_growth for each year before it.",
        "projected": "The last count, with the growth traffic.growth for each year after it.",
    }
    return Method(words[row["basis"]] + " Facts: counts.daily_traffic.")


def _trucks(row: Row) -> Origin:
    share = float(truck_share(np.array([float(row["year"])]), row.scene.facts.counts)[0])
    return Derived(
        "product",
        (
            Cell("daily_traffic"),
            Fixed(share, "share", "share of trucks", "counts.truck_share, between counts in proportion"),
            Decided("traffic.directional_share"),
            _lane_share(row),
        ),
        "count",
    )


def of_opening_year(column: str) -> Derived:
    """Of ``loading.opening_year``, for later stages."""
    ahead = Gathered("sum", "traffic", column, (), rows=_from_base_year)
    steady = Calculated(growth_factor, {"growth": Decided("traffic.growth"), "years": Decided("traffic.design_period")})
    return Derived("ratio", (ahead, steady), "count", "first year of steady growth to the same sum")


def _from_base_year(row: Row, traffic: pd.DataFrame) -> Any:
    return traffic["year"].astype(float) >= row.scene.decision("traffic.base_year")


def _lane_share(row: Row) -> Source:
    if row.scene.decision("traffic.lane_share") > 0:
        return Decided("traffic.lane_share")
    lanes = lanes_each_way(row.scene.facts, row.scene.decisions.traffic)
    if lanes < 2:
        return Fixed(1.0, "share", "share of trucks in the design lane", "one lane each way")
    decided = row.scene.decision("traffic.lanes_each_way") > 0
    number: Source = Decided("traffic.lanes_each_way") if decided else Fixed(lanes, "count", "lanes", "table of lanes")
    one_way = Derived("product", (_in_base_year(row, "daily_traffic"), Decided("traffic.directional_share")), "count")
    least = Derived("greatest", (one_way, Fixed(2000.0, "count", "", "limit of the curve")), "count")
    within = Derived(
        "least", (least, Fixed(200000.0, "count", "", "limit of the curve")), "count", "traffic in one direction"
    )
    return Calculated(lane_share_of_trucks, {"one_way_traffic": within, "lanes": number})


def _in_base_year(row: Row, column: str) -> Of:
    return Of("traffic", column, (), {"year": f"{row.scene.decision('traffic.base_year'):.0f}"})


def _equivalence(row: Row) -> Source:
    """Equivalent axles per truck: decided, or from the loaded spectrum, or from the published category."""
    if row.scene.decision("traffic.esal_per_truck") > 0:
        return Decided("traffic.esal_per_truck")
    axles, where = row.scene.facts.axles, "facts axles"
    if len(axles):
        spectrum = (
            axles["load"].to_numpy(),
            axles["axle"].map(AXLE_CODES).to_numpy(dtype=float),
            axles["per_thousand_trucks"].to_numpy(),
        )
    else:
        spectrum, where = pca_spectrum(row.scene.decision("traffic.axle_category")), "traffic.axle_category"
    thickness = float(row.scene.facts.layers["thickness"].mean())
    return Calculated(
        spectrum_equivalence,
        {
            **{name: Fixed(v, kind, where=where) for v, (name, kind) in zip(spectrum, SPECTRUM, strict=True)},
            "thickness": Fixed(thickness, "thickness", where="mean of layers.thickness"),
            "terminal_serviceability": Decided("evaluation.terminal_serviceability"),
        },
    )


SPECTRUM = (("axle_loads", "axle_load"), ("axle_codes", "count"), ("per_thousand_trucks", "number"))


def _axles(row: Row) -> Origin:
    return Derived("product", (Cell("trucks"), Fixed(365.0, "count", "days in a year"), _equivalence(row)), "count")


def _years(first: Callable[[Row], float], last: Callable[[Row], float]) -> Callable[[Row, pd.DataFrame], Any]:
    def rows(row: Row, traffic: pd.DataFrame) -> Any:
        years = traffic["year"].astype(float)
        return (years >= first(row)) & (years <= last(row))

    return rows


ACCUMULATED = Gathered("sum", "traffic", "axles", (), rows=_years(lambda _: 0.0, lambda row: float(row["year"])))


# State of a section -----------------------------------------------------------------------------------------


def _of_moduli(operation: str, fitted: str, by_area: str = "") -> Callable[[Row], Origin]:
    """Over the tests of the section that are not left out; of the method decided, where the columns differ."""

    def origin(row: Row) -> Origin:
        area = by_area and row.scene.decision("evaluation.moduli_from") == "basin area"
        return Gathered(
            operation,
            "moduli",
            by_area if area else fitted,
            where={"excluded": ""},
            rows=lambda _, moduli: np.isfinite(moduli[by_area if area else fitted]),
        )

    return origin


def _mean_of_cores(row: Row, column: str) -> Origin:
    """Of the section's sound cores; of all sound cores where the section has none."""

    def sound(_: Row, cores: pd.DataFrame) -> Any:
        ground = ~on_deck(cores["station"], decks(row.scene.facts))
        return sound_cores(cores) & cores[column].notna() & ground

    def here(place: Row, cores: pd.DataFrame) -> Any:
        ways = cores["lane"].map(directions_of_lanes(place.scene.facts))
        within = (cores["station"] >= place["begin"]) & (cores["station"] <= place["end"])
        return sound(place, cores) & within & (ways == place["direction"])

    some = np.asarray(here(row, row.scene.frame("core_strengths"))).any()
    return Gathered("mean", "core_strengths", column, (), rows=here if some else sound)


def _rupture_of_cores(row: Row) -> Origin:
    if np.isfinite(row["core_strength"]):
        return Calculated(rupture_from_strength, {"strength": Cell("core_strength")})
    return Calculated(rupture_from_split, {"split_strength": Cell("core_split")})


def _rupture(row: Row) -> Origin:
    chosen = row.scene.decision("evaluation.strength_from")
    columns = {"cores": ("rupture_cores",), "modulus": ("rupture_modulus",)}.get(
        chosen, ("rupture_cores", "rupture_modulus")
    )
    known = [Cell(c) for c in columns if np.isfinite(row[c])]
    return Copied(known[0]) if len(known) == 1 else Derived("least", tuple(known))


def _load_transfer_coefficient(row: Row) -> Origin:
    if row.scene.decision("evaluation.load_transfer_coefficient") > 0:
        return Copied(Decided("evaluation.load_transfer_coefficient"))
    if row["pavement"] == "CRCP":
        return Method(
            f"{CONTINUOUS_TRANSFER}, the middle of the range for continuous reinforcement (AASHTO Guide 1993, Part III, section"
            " 5.8.5, from memory)."
        )
    if np.isfinite(row["transfer"]):
        return Calculated(load_transfer_coefficient, {"efficiency": Cell("transfer")})
    by_name = "evaluation.assume_without_joint_tests"
    taken = ASSUMED_TRANSFER[row.scene.decision(by_name)]
    return Calculated(load_transfer_coefficient, {"efficiency": Fixed(taken, "share", "assumed", by_name)})


def _drainage(row: Row) -> Origin:
    if row.scene.decision("evaluation.drainage_coefficient") > 0:
        return Copied(Decided("evaluation.drainage_coefficient"))
    return Method(
        "From the quality of drainage (layers.drainage), the lower end of the published range where it is saturated 5 to 25 % of the time, which is the value for longer"
        " (AASHTO Guide 1993, Table 2.5, from memory); 1.0 where it is not given."
    )


VOID_SHARE = Derived(
    "ratio",
    (
        Gathered("number", "voids", "intercept", where={"void": "yes"}),
        Gathered("number", "voids", "intercept", rows=lambda _, voids: voids["void"].isin(["yes", "no"])),
    ),
    "share",
)


OF_LANE = Method("Corner tests of the lane in the section that are judged (void yes or no).")
BY_BINOMIAL = {
    output: Calculated(
        binomial_interval,
        {"found": Cell("found"), "count": Cell("tested"), "confidence": Decided("evaluation.sample_confidence")},
        output,
    )
    for output in ("share", "lower", "upper")
}


def _left_untested(share: str) -> Derived:
    untested = Derived("difference", (Cell("slabs"), Cell("tested")), "count", "slabs not tested")
    return Derived("rounded up", (Derived("product", (untested, Cell(share)), "count"),), "count")


EXPECTED: dict[str, Origin] = {
    "tested": OF_LANE,
    "found": OF_LANE,
    "share": BY_BINOMIAL["share"],
    "low": BY_BINOMIAL["lower"],
    "high": BY_BINOMIAL["upper"],
    "slabs": Method("Length of the section off the decks, by the joint spacing of its layer."),
    "more": _left_untested("share"),
    "more_low": _left_untested("low"),
    "more_high": _left_untested("high"),
}
CRACKING = Method(
    "Slabs with a transverse crack or corner break of any severity in the worst lane, over the slabs of the"
    " length over which the lane is counted (lanes_walked), from the rated distresses."
)


def _crack_density(row: Row) -> Origin:
    what = "punchouts" if row["pavement"] == "CRCP" else "transverse cracks and corner breaks"
    return Method(
        f"Number of {what} of moderate or high severity in the worst lane, over the length over which the lane is counted (lanes_walked)."
    )


def _durability(row: Row) -> Origin:
    if row.scene.decision("evaluation.durability_factor") > 0:
        return Copied(Decided("evaluation.durability_factor"))
    facts = row.scene.facts
    survey = {name: off_decks(facts, row.scene.frame(name)) for name in ("rated_distresses", "core_strengths")}
    section = row.scene.frame("condition").iloc[[row.index]]
    (state,) = durability_states(survey, section, directions_of_lanes(row.scene.facts))
    return Calculated(durability_factor, {"state": Fixed(state, "", where="durability cracking and cores")})


def _fatigue(row: Row) -> Origin:
    kind = Fixed(row["pavement"] or "JPCP", "", where="this row")
    column = "cracking" if row["pavement"] == "JPCP" else "crack_density"
    return Calculated(fatigue_factor, {"pavement": kind, "cracking": Cell(column)})


def _past_axles(row: Row) -> Origin:
    """From the year in which the pavement of the section was built to the year before the overlay."""
    facts, base = row.scene.facts, row.scene.decision("traffic.base_year")
    layer = int(section_layers(facts, pd.DataFrame([{c: row[c] for c in ("direction", "begin", "end")}]))[0])
    built = float(facts.layers["year_built"].iloc[layer])
    return Gathered("sum", "traffic", "axles", (), rows=_years(lambda _: built, lambda _: base - 1))


def _future_axles(row: Row) -> Origin:
    base, period = row.scene.decision("traffic.base_year"), row.scene.decision("traffic.design_period")
    return Gathered("sum", "traffic", "axles", (), rows=_years(lambda _: base, lambda _: base + period - 1))


CONDITION: dict[str, Origin | Callable[[Row], Origin]] = {
    "begin": Copied(Of("sections", "begin")),
    "end": Copied(Of("sections", "end")),
    "thickness": Gathered("mean", "moduli", "thickness", where={"excluded": ""}),
    "tests": _of_moduli("number", "modulus_fit", "modulus_area"),
    "dynamic_foundation": _of_moduli("mean", "foundation_fit", "foundation_area"),
    "foundation": Calculated(
        back.static_foundation,
        {"dynamic_foundation": Cell("dynamic_foundation"), "ratio": Decided("evaluation.static_ratio")},
    ),
    "foundation_variation": _of_moduli("coefficient of variation", "foundation_fit", "foundation_area"),
    "modulus": _of_moduli("mean", "slab_modulus"),
    "modulus_variation": _of_moduli("coefficient of variation", "slab_modulus"),
    "core_strength": partial(_mean_of_cores, column="strength"),
    "core_split": partial(_mean_of_cores, column="split_strength"),
    "rupture_cores": _rupture_of_cores,
    "rupture_modulus": Calculated(rupture_from_modulus, {"modulus": Cell("modulus")}),
    "rupture": _rupture,
    "transfer": Gathered("mean", "transfers", "efficiency"),
    "load_transfer_coefficient": _load_transfer_coefficient,
    "drainage_coefficient": _drainage,
    "void_share": VOID_SHARE,
    "cracking": CRACKING,
    "crack_density": _crack_density,
    "durability_factor": _durability,
    "fatigue_factor": _fatigue,
    "past_axles": _past_axles,
    "failure_axles": Calculated(
        rigid_allowable_axles,
        {
            **{name: Cell(name) for name in ("thickness", "rupture", "modulus", "foundation")},
            "load_transfer": Cell("load_transfer_coefficient"),
            "drainage": Cell("drainage_coefficient"),
            "initial_serviceability": Decided("evaluation.initial_serviceability"),
            **FAILURE,
        },
        "axles",
        "to failure",
    ),
    "remaining_life": Calculated(
        remaining_life, {"past_axles": Cell("past_axles"), "failure_axles": Cell("failure_axles")}
    ),
    "condition_factor": Calculated(condition_factor, {"remaining_life": Cell("remaining_life")}),
    "effective_life": Calculated(
        effective_thickness_remaining_life, {"thickness": Cell("thickness"), "factor": Cell("condition_factor")}
    ),
    "future_axles": _future_axles,
}

RANGE = (
    "End of the published range of the quantity, named as the source in the row (from memory), widened to the assumed value; for"
    " joints and cracks, the factor if none that the survey found were repaired."
)


COPIED = (
    "evaluation.static_ratio",
    "survey.bending_factor",
    "traffic.directional_share",
    "traffic.growth",
    "repair.restored_load_transfer",
)


def _assumed_value(row: Row) -> Origin:
    enters = row["enters"]
    if row["decision"] in COPIED:
        return Copied(Decided(row["decision"]))
    if row["decision"] == "traffic.lane_share":
        curve = _lane_share(row)
        assert isinstance(curve, Calculated)  # one lane each way, and a share decided, assume nothing
        return curve
    if enters == "joints_factor":
        left: Source = Decided("evaluation.unrepaired")
        if not row.scene.decision("evaluation.unrepaired") > 0:
            left = Fixed(0.0, "frequency", "none left", row["decision"])
        return Calculated(joints_and_cracks_factor, {"unrepaired": left})
    return Copied(Of("condition", enters)) if enters else Method("No correction is applied where nothing is given.")


ORIGINS: Origins = {
    "moduli": MODULI,
    "transfers": {
        "station": Copied(Of("basins", "station", (*TEST, "position"))),
        "loaded": Copied(Of("basins", "deflection_1", (*TEST, "position"))),
        "unloaded": _unloaded,
        "bending": _bending,
        "efficiency": Calculated(
            load_transfer_efficiency, {name: Cell(name) for name in ("loaded", "unloaded", "bending")}
        ),
    },
    "voids": {
        "station": Copied(Of("basins", "station", TEST, {"position": "corner"})),
        "drops": Method("Counted: the drops at this corner in the deflection file that have a load and a deflection."),
        "slope": _line("slope"),
        "intercept": _line("intercept"),
    },
    "traffic": {
        "daily_traffic": _daily_traffic,
        "trucks": _trucks,
        "axles": _axles,
        "accumulated": ACCUMULATED,
    },
    "condition": CONDITION,
    "lanes_walked": {
        "share": Method(
            "Length of the section off the decks within evaluation.survey_reach of a row of the distress survey in the lane, over"
            " the whole length off the decks; 0 where no row lies in the section. Common practice, no source."
        ),
        "counted": Method(
            "The whole length off the decks where the share is evaluation.least_walked or more, or evaluation.lanes_walked_whole"
            " names the lane; the length walked where it is less; 0 where nobody walked."
        ),
    },
    "expected_voids": EXPECTED,
    "core_states": {"station": lambda row: Copied(Fact("cores", "station", row.index))},
    "assumptions": {
        "value": _assumed_value,
        "low": Method(RANGE),
        "high": Method(RANGE),
    },
    "verdicts": {"begin": Copied(Of("sections", "begin")), "end": Copied(Of("sections", "end"))},
}


def _usable(moduli: pd.DataFrame) -> pd.DataFrame:
    """The first test that is not left out."""
    return moduli[moduli["excluded"] == ""].head(1)


WORTH = (
    "foundation",
    "failure_axles",
    "remaining_life",
    "condition_factor",
    "effective_life",
)


def _answered(condition: pd.DataFrame) -> pd.DataFrame:
    return condition[condition["effective_life"].notna()]


SHEETS = (
    Sheet("moduli", ("stiffness_area", "foundation_area", "modulus_area"), _usable),
    Sheet("condition", WORTH, _answered),
)
