"""What the tests do not reach: the design lane, whole parts of a section, a cool surface, a recent year."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import pandas as pd

from slabwright.evaluation.joint_tests import JOINT_SIDES
from slabwright.evaluation.suitability import Evidence
from slabwright.records.decisions import Decisions
from slabwright.records.remarks import Remark, by_number, remark
from slabwright.roadway.places import design_lane
from slabwright.survey.run import WARM_JOINTS

__all__ = ["reach"]

OLD_TESTS = 5  # years before the overlay's first, beyond which tests speak of another slab (common practice, no source)
HALF = 0.5  # of a section's length, which its tests or cores should span at the least (common practice, no source)
FEWEST = 3  # tests or cores of a section, from which their span is looked at
KINDS = {"mid-slab": ("mid-slab",), "joint": JOINT_SIDES, "corner": ("corner",)}
Point = tuple[str, Remark | str, str]


def reach(condition: pd.DataFrame, evidence: Evidence, decisions: Decisions) -> Iterator[Point]:
    """Open points on where and when the old slab was tested; condition: its table, one row a section. Raises nothing."""
    yield from _design_lane(condition, evidence)
    yield from _span(condition, evidence)
    yield from _warm(condition, evidence)
    yield from _years(evidence, decisions)


def _within(frame: pd.DataFrame, section: pd.Series, evidence: Evidence) -> pd.DataFrame:
    inside = (frame["station"] >= section["begin"]) & (frame["station"] <= section["end"])
    return frame[inside & frame["lane"].isin(evidence.lanes(section["direction"]))]


def _design_lane(condition: pd.DataFrame, evidence: Evidence) -> Iterator[Point]:
    """Kinds of test that were made in other lanes alone: there the trucks of the design do not run."""
    for kind, positions in KINDS.items():
        tests = evidence.facts.deflections[evidence.facts.deflections["position"].isin(positions)]
        untested: dict[str, list[str]] = {}
        for _, section in condition.iterrows():
            lane = design_lane(evidence.facts, section["direction"])
            lanes = set(_within(tests, section, evidence)["lane"])
            if lanes and lane and lane not in lanes:
                untested.setdefault(lane, []).append(section["section"])
        for lane, names in untested.items():
            said = remark(
                "no {kind} test lies in lane {lane}, which the trucks of the design use: those of other lanes stand for it",
                kind=("text", kind),
                lane=("text", lane),
            )
            yield ", ".join(names), said, "Test the design lane."


def _span(condition: pd.DataFrame, evidence: Evidence) -> Iterator[Point]:
    deflections = evidence.facts.deflections
    for what, frame in (
        ("mid-slab tests", deflections[deflections["position"] == "mid-slab"]),
        ("cores", evidence.facts.cores),
    ):
        short = [s["section"] for _, s in condition.iterrows() if _is_short(_within(frame, s, evidence)["station"], s)]
        if short:
            said = remark("the {what} span less than half of the section's length", what=("text", what))
            yield ", ".join(short), said, "Test the rest, or make it a section of its own."


def _is_short(stations: Sequence[float], section: pd.Series) -> bool:
    if len(stations) < FEWEST:
        return False
    return float(np.ptp(stations)) < HALF * (section["end"] - section["begin"])


def _warm(condition: pd.DataFrame, evidence: Evidence) -> Iterator[Point]:
    """Joint and corner tests on a warm slab, whose joints are closed and whose corners lie down."""
    frame = evidence.facts.deflections
    places = frame["position"].isin([*JOINT_SIDES, "corner"])
    warm = frame[places & (frame["surface_temperature"] > WARM_JOINTS)]
    here = {s["section"]: _within(warm, s, evidence)["station"].nunique() for _, s in condition.iterrows()}
    if named := [name for name, number in here.items() if number]:
        said = remark(
            by_number(sum(here.values()), "{number} joint or corner was", "{number} joints and corners were")
            + " tested with the surface above {limit}: joints close and corners curl down,"
            " which hides poor load transfer and voids",
            number=("count", sum(here.values())),
            limit=("temperature", WARM_JOINTS),
        )
        yield ", ".join(named), said, "Test them on a cool morning."


def _years(evidence: Evidence, decisions: Decisions) -> Iterator[Point]:
    """Deflection tests of a year long before the overlay, or after its first."""
    years = pd.to_numeric(evidence.facts.deflections["date"].astype(str).str.slice(0, 4), errors="coerce").dropna()
    first = decisions.traffic.base_year
    old, late = years[years < first - OLD_TESTS], years[years > first]
    for wrong, words in (
        (old, "deflection tests are of {low} to {high}, more than five years before the overlay's first year, {first}"),
        (late, "deflection tests are of {low} to {high}, after the overlay's first year, {first}"),
    ):
        if len(wrong):
            said = remark(
                words,
                low=("calendar_year", float(wrong.min())),
                high=("calendar_year", float(wrong.max())),
                first=("calendar_year", first),
            )
            yield "Deflection tests", said, "Test again, or correct the dates or traffic.base_year."
