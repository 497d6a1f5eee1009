"""The drawing of joints and steel: to scale, each cut by itself, with its dimensions in the reader's units."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from slabwright.figures.joint_drawing import joint_drawing
from slabwright.figures.record import Figure, Spans
from slabwright.figures.shown import in_units
from slabwright.project import Project
from slabwright.records.results import StageResult
from slabwright.units import System


@pytest.fixture
def drawn(demo_project: Project, demo_results: dict[str, StageResult]) -> Figure:
    made = joint_drawing(demo_project.facts(), demo_results, "A1")
    assert made is not None
    return made


def test_no_axis_of_numbers_runs_under_both_cuts(drawn: Figure) -> None:
    assert (drawn.x.kind, drawn.y.kind, drawn.x.places, drawn.equal) == ("words", "words", (), True)


@pytest.mark.parametrize(
    ("system", "words"), [("us", "← joints every 15.0 ft →"), ("metric", "← joints every 4.57 m →")]
)
def test_the_joint_spacing_is_written(drawn: Figure, system: System, words: str) -> None:
    """The demo road's slabs are 15 ft long, which is 4.572 m."""
    assert words in [w.text for w in in_units(drawn, system).words]


def test_words_that_hold_in_both_cuts_stand_between_them(drawn: Figure) -> None:
    spans = [s for s in drawn.series if isinstance(s, Spans)]
    begin = np.sort(np.unique(np.concatenate([s.begin for s in spans])))
    end = np.sort(np.unique(np.concatenate([s.end for s in spans])))
    between = [w for w in drawn.words if w.text.startswith(("overlay", "old slab", "base"))]
    assert len(between) == 3
    assert all(end[0] < w.x < begin[1] for w in between)


def test_continuous_concrete_has_no_joint_spacing_but_steel(
    demo_project: Project, demo_results: dict[str, StageResult]
) -> None:
    """1,000 mm² in a metre, made up."""
    design = demo_results["design"]
    steel = design.tables["steel"].assign(longitudinal_steel=1e-3)
    results = {**demo_results, "design": replace(design, tables={**design.tables, "steel": steel})}
    made = joint_drawing(demo_project.facts(), results, "A5")
    assert made is not None
    said = " ".join(w.text for w in in_units(made, "metric").words)
    assert "joints every" not in said
    assert "steel 1,000.0 mm²/m" in said
