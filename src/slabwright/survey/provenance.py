"""Where the numbers of the survey come from."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd

from slabwright.records.facts import LARGEST_SENSOR_COUNT, NO_DISTRESS
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
)
from slabwright.roadway.places import directions_of_lanes, road_limits, section_layers
from slabwright.roadway.structures import decks, on_deck
from slabwright.survey.basins import DEFLECTIONS, OFFSETS, area_36, area_60, near_offset, normalised_deflection
from slabwright.survey.cores import MOISTURE_FACTORS, core_strength_aci
from slabwright.survey.sections import cumulative_difference
from slabwright.units import INCH

__all__ = ["ORIGINS", "SHEETS"]

POINT = ["station", "lane", "position", "point"]
SECTION_ENDS = "Where sections end by the method decided, by a change of pavement, by durability cracking or by hand:"


def _drop(row: Row) -> int:
    """Place in the deflection file of the drop used: of those of the point, the one nearest the standard load."""
    tests = row.scene.facts.deflections
    points = row.scene.kept("drops of points", lambda: tests.groupby(POINT, dropna=False).indices)
    drops = points[tuple(row[c] for c in POINT)]
    away = np.abs(np.log(tests["load"].to_numpy()[drops] / row.scene.decision("survey.standard_load")))
    return int(drops[away.argmin()])


def _from_drop(column: str) -> Callable[[Row], Origin]:
    return lambda row: Copied(Fact("deflections", column, _drop(row)))


def _deflection(number: int) -> Callable[[Row], Origin]:
    return lambda row: Calculated(
        normalised_deflection,
        {
            "deflection": Fact("deflections", f"deflection_{number}", _drop(row)),
            "load": Cell("load"),
            "standard_load": Decided("survey.standard_load"),
        },
    )


def _area(calculation: Any, inches: tuple[int, ...]) -> Callable[[Row], Origin]:
    def origin(row: Row) -> Origin:
        basin = row.scene.frame(row.table).iloc[row.index]
        d, r = (basin[names].to_numpy(dtype=float)[None] for names in (DEFLECTIONS, OFFSETS))
        sensors = {
            f"d{x}": Fixed(
                float(near_offset(d, r, x * INCH)[0]),
                "deflection",
                where="the sensor there or those beside it, this row",
            )
            for x in inches
        }
        return Calculated(calculation, {"d0": Cell("deflection_1"), **sensors})

    return origin


def _core(column: str) -> Callable[[Row], Origin]:
    return lambda row: Copied(Fact("cores", column, row.index))


def _core_strength(row: Row) -> Origin:
    moisture = row.scene.facts.cores["moisture"].iloc[row.index]
    return Calculated(
        core_strength_aci,
        {
            "strength": Cell("compressive_strength"),
            "diameter": Fact("cores", "diameter", row.index),
            "length_ratio": Derived(
                "least", (Cell("length_ratio"), Fixed(3.0)), meaning="length over diameter, at most 3"
            ),
            "moisture_factor": Fixed(
                MOISTURE_FACTORS[moisture], where=f"moisture of the core: {moisture or 'standard'}"
            ),
        },
        "strength",
    )


def _distress(column: str) -> Callable[[Row], Origin]:
    def origin(row: Row) -> Origin:
        rated = np.flatnonzero((row.scene.facts.distresses["kind"] != NO_DISTRESS).to_numpy())
        return Copied(Fact("distresses", column, int(rated[row.index])))

    return origin


def _in_group(operation: str, column: str) -> Origin:
    return Gathered(operation, "rated_distresses", column, ("lane", "kind", "severity"))


def _per_lane_length(column: str, kind: str) -> Callable[[Row], Origin]:
    def origin(row: Row) -> Origin:
        begin, end = road_limits(row.scene.facts)
        return Derived(
            "ratio", (Cell(column), Fixed(end - begin, "length", "length of the lane", "limits of the road")), kind
        )

    return origin


def _lanes(row: Row) -> list[str]:
    return [lane for lane, way in directions_of_lanes(row.scene.facts).items() if way == row["direction"]]


def _mid_slab(row: Row, basins: pd.DataFrame) -> Any:
    """Mid-slab tests of a section: from its beginning to before the next; those before the first belong to it."""
    sections = row.scene.frame("sections")
    begins = sections["begin"][sections["direction"] == row["direction"]].to_numpy()
    place = np.clip(np.searchsorted(begins, basins["station"], side="right") - 1, 0, None)
    here = place == int(np.flatnonzero(begins == row["begin"])[0])
    here &= ~on_deck(basins["station"], decks(row.scene.facts))
    return here & (basins["position"] == "mid-slab").to_numpy() & basins["lane"].isin(_lanes(row)).to_numpy()


def _of_tests(operation: str, column: str) -> Origin:
    return Gathered(operation, "basins", column, (), rows=_mid_slab)


def _plan_thickness(row: Row) -> Origin:
    layer = section_layers(row.scene.facts, pd.DataFrame([{c: row[c] for c in ("direction", "begin", "end")}]))
    return Copied(Fact("layers", "thickness", int(layer[0])))


def _distress_density(kinds: dict[str, object]) -> Callable[[Row], Origin]:
    def here(row: Row, rated: pd.DataFrame) -> Any:
        last = row["end"] >= road_limits(row.scene.facts)[1]
        before = rated["station"] <= row["end"] if last else rated["station"] < row["end"]
        ground = ~on_deck(rated["station"], decks(row.scene.facts))
        return ground & rated["lane"].isin(_lanes(row)) & (rated["station"] >= row["begin"]) & before

    def origin(row: Row) -> Origin:
        length = Derived(
            "product",
            (
                Derived("difference", (Cell("end"), Cell("begin")), meaning="length of the section"),
                Fixed(len(_lanes(row)), "count", "lanes in this direction", "table of lanes"),
            ),
            "length",
            "length of lanes",
        )
        return Derived("ratio", (Gathered("number", "rated_distresses", "kind", (), kinds, here), length), "frequency")

    return origin


def _begin(row: Row) -> Origin:
    return Method(f"{SECTION_ENDS} {row['boundary']}. Table Section boundaries gives both methods.")


def _border(row: Row) -> Origin:
    return Method(f"Half way between the tests or joints on both sides, by: {row['method']}.")


ORIGINS: Origins = {
    "basins": {
        "station": _from_drop("station"),
        "drops": Method("Counted: the drops of this point in the deflection file."),
        "load": _from_drop("load"),
        "plate_radius": _from_drop("plate_radius"),
        **{f"deflection_{i}": _deflection(i) for i in range(1, LARGEST_SENSOR_COUNT + 1)},
        **{f"offset_{i}": _from_drop(f"offset_{i}") for i in range(1, LARGEST_SENSOR_COUNT + 1)},
        "area_36": _area(area_36, (12, 24, 36)),
        "area_60": _area(area_60, (8, 12, 18, 24, 36, 60)),
        "linearity": Method(
            "Range of the centre deflection over load across all drops of the point, over its mean (common practice, no source)."
        ),
        "repeatability": Method(
            "Greatest coefficient of variation of centre deflection over load among the drops of one height, which are those"
            " whose loads lie within 8 % (common practice, no source)."
        ),
        "air_temperature": _from_drop("air_temperature"),
        "surface_temperature": _from_drop("surface_temperature"),
    },
    "core_strengths": {
        **{
            c: _core(c)
            for c in ("station", "thickness", "compressive_strength", "split_strength", "delamination_depth")
        },
        "length_ratio": lambda row: Derived(
            "ratio", (Fact("cores", "specimen_length", row.index), Fact("cores", "diameter", row.index)), "number"
        ),
        "strength": _core_strength,
    },
    "rated_distresses": {
        c: _distress(c)
        for c in ("station", "length", "width", "area", "crack_width", "spall_width", "faulting", "depth")
    },
    "distress_quantities": {
        "number": _in_group("number", "station"),
        "length": _in_group("sum", "length"),
        "area": _in_group("sum", "area"),
        "number_density": _per_lane_length("number", "frequency"),
        "length_share": _per_lane_length("length", "number"),
    },
    "sections": {
        "begin": _begin,
        "end": Method("Where the next section begins, or the end of the road."),
        "plan_thickness": _plan_thickness,
        "tests": _of_tests("number", "station"),
        "mean_deflection": _of_tests("mean", "deflection_1"),
        "deviation": _of_tests("standard deviation", "deflection_1"),
        "variation": Derived("ratio", (Cell("deviation"), Cell("mean_deflection")), "share"),
        "design_deflection": Method(
            "The percentile survey.design_percentile of the centre deflections of the section's mid-slab tests, interpolated"
            " between neighbours."
        ),
        "mean_area": _of_tests("mean", "area_36"),
        "distress_per_length": _distress_density({}),
        "durability_per_length": _distress_density({"kind": "durability cracking"}),
    },
    "boundaries": {"station": _border},
    "differences": {
        "station": Copied(Of("basins", "station", ("station",), {"position": "mid-slab"})),
        "response": Gathered(
            "mean",
            "basins",
            "deflection_1",
            ("station",),
            {"position": "mid-slab"},
            lambda row, basins: basins["lane"].isin(_lanes(row)),
        ),
        "difference": Method(
            "Sum over the points up to here of this direction's mid-slab tests, each with the mean deflection to its neighbour.",
            calculations=(cumulative_difference,),
        ),
    },
}


def _first_basin(basins: pd.DataFrame) -> pd.DataFrame:
    return basins[(basins["position"] == "mid-slab") & basins["area_36"].notna()].head(1)


SHEETS = (Sheet("basins", ("deflection_1", "area_36"), _first_basin),)
