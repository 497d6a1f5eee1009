"""What each method answers side by side: agreement, disagreement, no promise, one method alone."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from slabwright.errors import InputError
from slabwright.figures.methods import DISAGREE, agreement, decided_on, methods, reasons
from slabwright.records.decisions import Decisions, change
from slabwright.records.remarks import worded
from slabwright.records.results import StageResult
from slabwright.records.table import table
from slabwright.stages import outcomes
from slabwright.units import INCH

DESIGN = {
    "section": ["1", "2"],
    "required_slab": [0.30, 0.30],
    "effective_condition": [0.22, 0.22],
    "effective_life": [0.215, 0.22],
    "overlay": [0.09, np.nan],
    "years": [25.0, np.nan],
}


def results(**life: object) -> dict[str, StageResult]:
    made = {"design": StageResult("design", {"thicknesses": _filled("thicknesses", DESIGN)})}
    if life:
        made["life"] = StageResult(
            "life", {"fatigue_thickness": _filled("fatigue_thickness", {"section": ["1"], **life})}
        )
    return made


def _filled(name: str, columns: dict[str, object]) -> pd.DataFrame:
    schema = outcomes()[name]
    rows = len(columns["section"])  # type: ignore[arg-type]
    empty = {
        c.name: [""] * rows if c.kind in ("text", "remark", "station") else [np.nan] * rows for c in schema.columns
    }
    return table(schema, pd.DataFrame({**empty, **columns}))


def test_only_sections_with_an_overlay_are_listed_and_thicknesses_are_differences() -> None:
    (one,) = methods(results(), Decisions())
    assert (one.section, one.agree, one.why) == ("1", "one method alone", ())
    assert (one.condition, one.remaining) == pytest.approx((0.08, 0.085))
    assert np.isnan([one.fatigue, one.mechanistic_years, one.curve_years]).all()


@pytest.mark.parametrize(("years", "agree"), [(13.0, "yes"), (49.0, "yes"), (12.0, "no"), (51.0, "no")])
def test_lives_agree_within_the_factor_decided(years: float, agree: str) -> None:
    made = results(
        overlay_years=[years], overlay_curve_years=[20.0], promised=["yes"], point=["overlay, top"], found=[0.1]
    )
    (one,) = methods(made, Decisions())
    assert one.agree == agree
    assert ("do not agree" in agreement((one,), Decisions(), True, "us")) == (agree == "no")
    wide = change(Decisions(), "basis.agreement", "10")
    assert methods(made, wide)[0].agree == "yes"


def test_a_section_that_its_past_refutes_shows_no_life() -> None:
    made = results(
        overlay_years=[20.0], overlay_curve_years=[20.0], promised=["no"], point=["overlay, top"], found=[np.nan]
    )
    (one,) = methods(made, Decisions())
    assert one.agree == "no promise"
    said = agreement((one,), Decisions(), True, "us")
    assert "promises nothing in 1." in said
    assert "do not agree" not in said
    assert np.isnan([one.mechanistic_years, one.curve_years]).all()
    assert "promises nothing" in worded(one.why[0], "us")


def test_a_past_that_was_not_examined_is_told_with_the_life() -> None:
    made = results(
        overlay_years=[20.0],
        overlay_curve_years=[20.0],
        promised=["past not examined"],
        point=["overlay, top"],
        found=[0.1],
    )
    (one,) = methods(made, Decisions())
    assert (one.agree, one.mechanistic_years) == ("past not examined", 20.0)
    assert "not surveyed" in worded(one.why[0], "us")
    assert reasons((one,)) == {"the section's past was not surveyed": ["1"]}
    said = agreement((one,), Decisions(), True, "metric")
    assert "not held against the past in 1." in said
    assert "do not agree" not in said


def test_two_ways_to_the_effective_thickness_an_inch_apart_are_told() -> None:
    made = results()
    frame = made["design"].tables["thicknesses"].assign(effective_life=0.22 - 1.1 * INCH)
    (one,) = methods({"design": StageResult("design", {"thicknesses": frame})}, Decisions())
    assert one.agree == "no"
    said = worded(one.why[0], "us")
    assert said.startswith("AASHTO 1993 asks for 3.15 in by condition and 4.25 in by remaining life")
    assert worded(one.why[0], "metric").startswith("AASHTO 1993 asks for 80 mm by condition")


def test_what_is_built_on_is_open_until_it_is_decided_with_a_reason() -> None:
    assert "not decided" in decided_on((), Decisions())
    made = change(change(Decisions(), "basis.method", "AASHTO 1993"), "basis.reason", "it was calibrated here.")
    assert decided_on((), made) == "Built on: AASHTO 1993. Reason: it was calibrated here."
    assert "no reason is given" in decided_on((), change(Decisions(), "basis.method", "mechanistic analysis"))


@pytest.mark.parametrize("words", ["x" * 301, "two\nlines", "bell\a"])
def test_a_reason_is_one_line_of_plain_words(words: str) -> None:
    with pytest.raises(InputError, match=r"basis.reason .*one line of plain words"):
        change(Decisions(), "basis.reason", words)


def test_no_stage_reads_what_is_built_on() -> None:
    from slabwright.stages import stages

    assert not [s.name for s in stages() if "basis" in s.decisions]
    assert replace(Decisions().basis, method="AASHTO 1993") != Decisions().basis


def test_the_second_life_is_judged_too() -> None:
    made = results(
        overlay_years=[24.0], overlay_curve_years=[3.0], promised=["yes"], point=["overlay, top"], found=[0.1]
    )
    (one,) = methods(made, Decisions())
    assert one.agree == "no"
    assert worded(one.why[0], "us").startswith("with the published error of the cracking curve the life is 3.0 years")


def test_many_sections_without_an_answer_are_counted() -> None:
    found = methods(results(), Decisions())
    many = tuple(replace(found[0], section=f"S{i}", agree=DISAGREE) for i in range(62))
    said = agreement(many, Decisions(), True, "us")
    assert "S61" not in said
    assert "in 62 sections." in said
