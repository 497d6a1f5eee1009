"""Where the surveys say another thing of the old pavement than its declaration: kind of slab, thickness."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pandas as pd

from slabwright.evaluation.joint_tests import JOINT_SIDES
from slabwright.evaluation.kind_of_slab import MANY_JOINTS, joints_found
from slabwright.evaluation.suitability import Evidence
from slabwright.records.remarks import Remark, Value, by_number, remark
from slabwright.roadway.places import section_layers
from slabwright.units import INCH

__all__ = ["at_odds"]

ONE_JOINT = 2.0  # m: tests nearer than this are on both sides of one joint (common practice, no source)
SHORT = 0.8  # of the spacing declared, below which two joints cannot be neighbours (common practice, no source)
UNLIKE_PLAN = 0.5 * INCH  # between the cores and the plan, or what is taken (common practice, no source)
Point = tuple[str, Remark | str, str]


def at_odds(condition: pd.DataFrame, evidence: Evidence) -> Iterator[Point]:
    """Open points: what the table of the existing pavement says and tests, distresses or cores deny, each once for all sections.

    condition: its table, one row a section. Raises nothing.
    """
    layers = section_layers(evidence.facts, condition)
    on_plan = condition[layers >= 0]
    plans = evidence.facts.layers.iloc[layers[layers >= 0]]
    yield from _joints(on_plan[(plans["pavement"] == "CRCP").to_numpy()], evidence)
    yield from _punchouts(on_plan[(plans["pavement"] != "CRCP").to_numpy()], evidence)
    yield from _spacing(on_plan, plans["joint_spacing"].to_numpy(dtype=float), evidence)
    yield from _thickness(on_plan, plans["thickness"].to_numpy(dtype=float), evidence)


def _joints(continuous: pd.DataFrame, evidence: Evidence) -> Iterator[Point]:
    found = {s["section"]: joints_found(s, evidence) for _, s in continuous.iterrows()}
    denied = {name: both for name, both in found.items() if any(both)}
    if denied:
        tests, spoiled = (sum(both[i] for both in denied.values()) for i in (0, 1))
        said = remark(
            f"declared continuously reinforced, which has no joints, while"
            f" {by_number(tests, '{tests} place was', '{tests} places were')} tested at joints and"
            f" {by_number(spoiled, '{spoiled} distress of joints was', '{spoiled} distresses of joints were')} found",
            tests=("count", tests),
            spoiled=("count", spoiled),
        )
        yield ", ".join(denied), said, "Correct the kind of pavement, or the places of the tests."


def _punchouts(jointed: pd.DataFrame, evidence: Evidence) -> Iterator[Point]:
    found = {s["section"]: int((evidence.distresses(s)["kind"] == "punchout").sum()) for _, s in jointed.iterrows()}
    if denied := {name: many for name, many in found.items() if many}:
        number = sum(denied.values())
        said = remark(
            "declared jointed, while "
            + by_number(number, "{number} punchout was", "{number} punchouts were")
            + " found, which continuous slabs have",
            number=("count", number),
        )
        yield ", ".join(denied), said, "Correct the kind of pavement, or of the distress."


def _spacing(sections: pd.DataFrame, declared: np.ndarray, evidence: Evidence) -> Iterator[Point]:
    """Sections in which joints were tested nearer to one another than the slabs are long."""
    near: dict[str, tuple[float, float]] = {}
    tests = evidence.facts.deflections
    joints = tests[tests["position"].isin(JOINT_SIDES)]
    for (_, section), spacing in zip(sections.iterrows(), declared, strict=True):
        here = joints[(joints["station"] >= section["begin"]) & (joints["station"] <= section["end"])]
        apart = [
            np.diff(np.unique(here.loc[here["lane"] == lane, "station"]))
            for lane in evidence.lanes(section["direction"])
        ]
        gaps = np.concatenate([*apart, np.empty(0)])
        gaps = gaps[(gaps > ONE_JOINT) & (gaps < SHORT * spacing)]
        if len(gaps) >= MANY_JOINTS:
            near[section["section"]] = float(np.median(gaps)), float(spacing)
    if near:
        said = remark(
            "joints were tested {apart} from one another, nearer than the slabs are declared long, {spacing}",
            apart=("length", min(gap for gap, _ in near.values())),
            spacing=("length", max(spacing for _, spacing in near.values())),
        )
        yield ", ".join(near), said, "Correct the spacing of joints, or the stations of the tests."


def _thickness(sections: pd.DataFrame, planned: np.ndarray, evidence: Evidence) -> Iterator[Point]:
    """Sections whose own cores are not as thick as planned or as taken: what each of the three is."""
    names: list[str] = []
    words: list[str] = []
    values: dict[str, Value] = {}
    for (_, section), plan in zip(sections.iterrows(), planned, strict=True):
        here = (evidence.cores["section"] == section["section"]).to_numpy()
        cored = evidence.facts.cores["thickness"].to_numpy(dtype=float)[here]
        cored = cored[np.isfinite(cored)]
        taken = float(section["thickness"])
        if not cored.size or not (np.abs(cored.mean() - np.array([plan, taken])) > UNLIKE_PLAN).any():
            continue
        n = len(names)
        names.append(section["section"])
        words.append(f"{section['section']}: {{cores_{n}}} of {{number_{n}}}, {{plan_{n}}}, {{taken_{n}}}")
        values |= {
            f"cores_{n}": ("thickness", float(cored.mean())),
            f"number_{n}": ("count", cored.size),
            f"plan_{n}": ("thickness", float(plan)),
            f"taken_{n}": ("thickness", taken),
        }
    if names:
        said = "the slab by its own cores (mean, how many), by the plan, and as it is taken: " + "; ".join(words)
        cure = "Correct the thickness of the existing pavement, by direction where these differ, or core more."
        yield ", ".join(names), remark(said, "", **values), cure
