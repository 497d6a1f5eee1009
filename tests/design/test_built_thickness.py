"""Thickness is rounded up to a step that is built: half an inch on a road in feet, a centimetre on one in metres."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from slabwright.design.thickness import built_step, curve_thicknesses, least_built
from slabwright.errors import OutOfRange
from slabwright.project import Project
from slabwright.records.decisions import Decisions, change
from slabwright.records.results import StageResult
from slabwright.records.stage import RunContext
from slabwright.stages import stage_named

INCH = 0.0254


def designed(project: Project, results: dict[str, StageResult], stationing: str, decisions: Decisions) -> pd.DataFrame:
    """The thicknesses of the demo road if it counted so."""
    facts = project.facts()
    facts = replace(facts, road=facts.road.assign(stationing=stationing))
    stage = stage_named("design")
    made = stage.compute(stage.given(facts, decisions, results, RunContext())).tables["thicknesses"]
    return made.dropna(subset=["overlay"])


@pytest.mark.parametrize(("stationing", "step"), [("feet", 0.5 * INCH), ("metres", 0.010), ("", 0.5 * INCH)])
def test_every_overlay_is_whole_steps_and_enough(
    demo_project: Project, demo_results: dict[str, StageResult], stationing: str, step: float
) -> None:
    found = designed(demo_project, demo_results, stationing, Decisions())
    steps = found["overlay"].to_numpy() / step
    assert len(steps) > 3
    np.testing.assert_allclose(steps, np.round(steps), atol=1e-9)
    assert (found["overlay"] >= found["bonded"] - 1e-4 * step).all()
    assert (found["overlay"] - found["bonded"] < step + 1e-9).any()


def test_a_decided_step_stands_whatever_the_road_counts_in(
    demo_project: Project, demo_results: dict[str, StageResult]
) -> None:
    """Such as the half inch of a project saved before the step followed the road."""
    for given, step in (("5 mm", 0.005), ("0.5 in", 0.5 * INCH)):
        found = designed(demo_project, demo_results, "metres", change(Decisions(), "design.round_to", given))
        needed = found[found["bonded"] > 0.06]
        np.testing.assert_allclose(needed["overlay"], np.ceil(needed["bonded"] / step - 1e-4) * step, atol=1e-9)


@pytest.mark.parametrize(
    ("thinnest", "step", "least"),
    [
        (2 * INCH, 0.010, 0.06),
        (0.05, 0.010, 0.05),
        (0.05, 0.5 * INCH, 2 * INCH),
        (2.1 * INCH, INCH, 3 * INCH),
        (0.051, 0.010, 0.06),
        (0.055, 0.010, 0.06),
        (2 * INCH, 0.5 * INCH, 2 * INCH),
        (2 * INCH, 0.005, 0.055),
    ],
)
def test_the_practical_minimum_is_a_step_too(thinnest: float, step: float, least: float) -> None:
    """A minimum that is decided binds: the next whole step, never the one below (arithmetic)."""
    assert least_built(thinnest, step) == pytest.approx(least)


def test_curves_run_over_thicknesses_that_are_built() -> None:
    assert (np.round(curve_thicknesses("metres") * 1000) == np.arange(50, 151, 10)).all()
    np.testing.assert_allclose(curve_thicknesses("feet") / INCH, np.arange(2, 6.1, 0.5))


def test_a_step_that_nobody_builds_is_refused() -> None:
    with pytest.raises(OutOfRange, match="finer step than is built"):
        built_step(0.0005, "metres")
