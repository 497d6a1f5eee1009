"""What the page of the evaluation says before anything else: verdicts, open points, and what is assumed by name."""

from __future__ import annotations

from slabwright.project import Project
from slabwright.records.decisions import Decisions
from slabwright.records.results import StageResult
from slabwright.units import System
from slabwright.web.answers import ANSWERS, Seen
from tests.pipeline import computed, decided, without


def answer(results: dict[str, StageResult], system: System, decisions: Decisions | None = None) -> tuple[str, ...]:
    """The lines of the answer with no section at hand."""
    made = ANSWERS["evaluation"](Seen(results, decisions or Decisions(), system))
    return made.head, *made.against


def test_the_demo_road_is_judged_and_its_deck_is_told(demo_results: dict[str, StageResult]) -> None:
    """The deck is 1.7 stations of 100 ft long, 51.82 m."""
    found = demo_results
    first, *points = answer(found, "us")
    assert first == "10 sections: 8 suited after repair, 2 not suited. 4 open points."
    walked, *points = points
    assert walked.startswith("A5: the rows of the distress survey reach over part of a lane (SB1 47 %)")
    deck, *notes = points
    assert deck == (
        "Wick Slough Bridge: its deck, 170.0 ft, is in no section: no overlay is designed on it. Have the bridge engineer"
        " say what it can bear."
    )
    assert "4 mid-slab tests left out: on the deck of a bridge." in notes
    assert "51.82 m" in answer(found, "metric")[2]


def test_a_gap_is_an_open_point_until_it_is_assumed_by_name(demo_project: Project) -> None:
    bare = without(demo_project.facts(), "cores")
    first, *lines = answer(computed(bare, until="evaluation"), "us")
    assert "8 not judged" in first
    assert any("no core was examined. Take cores" in line for line in lines)
    chosen = decided(assume_without_cores="yes")
    first, *lines = answer(computed(bare, chosen, until="evaluation"), "us", chosen)
    assert "not judged" not in first
    assert not any("no core was examined" in line for line in lines)
    told = next(line for line in lines if line.startswith("Sound concrete, without a core: assumed in"))
    assert told.endswith("by evaluation.assume_without_cores; without it: not judged.")
