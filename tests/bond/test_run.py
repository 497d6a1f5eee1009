"""The stage on one section of the demo road: its answer, its tables, and that every number is what is declared of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from slabwright.bond.history import AGES
from slabwright.bond.run import mean_humidity
from slabwright.bond.stage import STAGE
from slabwright.project import Project
from slabwright.provenance import origin_of, scene
from slabwright.records.decisions import Decisions
from slabwright.records.provenance import Copied, Method, Row, Scene
from slabwright.records.remarks import worded
from slabwright.records.results import StageResult
from slabwright.records.stage import RunContext
from slabwright.stages import outcomes

ROAD = ("survey", "evaluation", "repair", "design")
ALTERNATIVES = {
    "as it stands": {},
    "the other way of each": {
        "bond.model": "Model B3",
        "bond.criterion": "ellipse",
        "design.bond_test": "direct shear",
        "bond.humidity": 0.7,
        "bond.bond_growth": "root of compressive strength",
    },
    "unlike": {"bond.expansion_difference": 1e-6, "bond.yearly_change": 30.0, "bond.slab_creep": 0.4},
    "the line": {"bond.criterion": "Mohr-Coulomb line", "bond.measured_shrinkage": 0.5},
}


@pytest.fixture(scope="module")
def answer(demo_project: Project, demo_results: dict[str, StageResult]) -> Callable[[str], Scene]:
    """Section A1 alone, without weather, whose year of heat takes the longest."""
    facts = demo_project.facts()
    facts = replace(facts, weather=facts.weather.iloc[:0])
    made: dict[str, Scene] = {}

    def of(name: str) -> Scene:
        if name not in made:
            decisions = Decisions()
            for key, value in ALTERNATIVES[name].items():
                group, attribute = key.split(".")
                decisions = replace(decisions, **{group: replace(getattr(decisions, group), **{attribute: value})})
            earlier = {stage: demo_results[stage] for stage in ROAD}
            tables = dict(earlier["design"].tables)
            tables["thicknesses"] = tables["thicknesses"].query("section == 'A1'").reset_index(drop=True)
            earlier["design"] = replace(earlier["design"], tables=tables)
            result = STAGE.compute(STAGE.given(facts, decisions, earlier, RunContext()))
            made[name] = scene(facts, decisions, earlier | {"bond": result})
        return made[name]

    return of


@pytest.mark.parametrize("name", ALTERNATIVES)
def test_what_is_declared_gives_the_number(answer: Callable[[str], Scene], name: str) -> None:
    seen = answer(name)
    calculated = 0
    for table in (schema.name for schema in STAGE.outcomes if schema.name != "bond_map"):
        frame = seen.frame(table)
        for column in (c.name for c in outcomes()[table].columns if not c.is_text):
            for index in frame.index[np.isfinite(frame[column].to_numpy(dtype=float))]:
                origin = origin_of(Row(seen, table, int(index)), column)
                if isinstance(origin, Method):
                    for beside in origin.beside:
                        beside.take(Row(seen, table, int(index)))
                    continue
                taken = (origin.source if isinstance(origin, Copied) else origin).take(Row(seen, table, int(index)))
                assert taken.number == pytest.approx(frame[column][index], rel=1e-9, abs=1e-15), (table, column, index)
                calculated += 1
    assert calculated > 500


def test_the_verdict_is_the_worst_of_places_and_of_ages(answer: Callable[[str], Scene]) -> None:
    seen = answer("as it stands")
    verdict = seen.frame("bond_verdicts").iloc[0]
    assert verdict["factor"] == pytest.approx(seen.frame("bond_places")["factor"].min())
    assert verdict["factor"] == pytest.approx(seen.frame("bond_ages")["factor"].min())
    assert AGES[0] <= verdict["age"] <= AGES[-1]
    at = seen.frame("bond_ages").query("place == @verdict.place").set_index("age")["factor"]
    assert at.idxmin() == pytest.approx(verdict["age"])
    short, rich = verdict["factor"] < verdict["least_factor"], verdict["energy"] >= verdict["fracture_energy"]
    assert verdict["passes"] == ("no" if short and rich else "open" if short or rich else "yes")
    assert verdict["differences_from"].startswith("without weather")
    assert verdict["humidity_from"] == "without weather, the humidity decided"


def test_the_answer_comes_first_with_factor_length_age_and_test(answer: Callable[[str], Scene]) -> None:
    seen = answer("as it stands")
    first = worded(seen.results["bond"].notes[0], "metric")
    verdict = seen.frame("bond_verdicts").iloc[0]
    for part in (
        f"{verdict['factor']:.3f}",
        "50 mm",
        "pull-off at 28.0 day",
        "of 1 sections",
        verdict["mode"],
        "years",
    ):
        assert part in first, part


def test_before_traffic_no_cause_names_wheels(answer: Callable[[str], Scene]) -> None:
    ages = answer("as it stands").frame("bond_ages")
    young = ages["age"] < Decisions().bond.opening_age - 1
    assert young.any()
    assert not ages["cause"][young].str.contains("wheels").any()
    assert ages["cause"][~young].str.contains("wheels").all()


def test_by_stress_alone_section_a1_is_open(answer: Callable[[str], Scene]) -> None:
    """The review: no in stress, though the energy released is below the fracture energy, is neither pass nor failure."""
    verdict = answer("as it stands").frame("bond_verdicts").iloc[0]
    assert verdict["factor"] < 1.5
    assert verdict["energy"] < 50.0
    assert verdict["passes"] == "open"
    assert verdict["strain"] > 1.2 * verdict["held"]
    assert verdict["other_support"] > 1.2 * verdict["factor"]


def test_the_overlay_of_section_a1_cracks_by_these_numbers(answer: Callable[[str], Scene]) -> None:
    """The review: by the plate its middle is pulled with 2.5 MPa at the top and 3.5 at the bottom at 163e-6, against 2.66."""
    seen = answer("as it stands")
    verdict = seen.frame("bond_verdicts").iloc[0]
    assert verdict["tensile"] > 2.6e6
    assert max(verdict["pull"], verdict["pull_held"]) > verdict["tensile"]
    assert any("would crack between joints" in worded(n, "metric") for n in seen.results["bond"].notes)


def test_unlike_expansion_adds_its_strain(answer: Callable[[str], Scene]) -> None:
    alike, unlike = (answer(n).frame("bond_ages").query("place == 'corner'") for n in ("as it stands", "unlike"))
    more = unlike["strain"].to_numpy() - alike["strain"].to_numpy()
    np.testing.assert_allclose(more, 1e-6 * 30.0, rtol=1e-9)


def test_half_the_shrinkage_asks_half(answer: Callable[[str], Scene]) -> None:
    whole, half = (answer(n).frame("bond_ages").query("place == 'corner'") for n in ("as it stands", "the line"))
    late = (whole["age"] > 100 * 86400).to_numpy()
    ratio = (half["mean_peel"].to_numpy() / whole["mean_peel"].to_numpy())[late]
    np.testing.assert_allclose(ratio, 0.5, rtol=0.02)  # wheels and night are the rest


def test_humidity_is_the_years_mean_or_the_one_decided(demo_project: Project) -> None:
    facts = demo_project.facts()
    by_hand = facts.weather["relative_humidity"].clip(upper=1.0).mean()
    found, weathered = mean_humidity(facts, Decisions())
    assert weathered
    assert found == pytest.approx(by_hand, abs=5e-4)
    silent = replace(facts, weather=facts.weather.assign(relative_humidity=np.nan))
    assert mean_humidity(silent, Decisions()) == (Decisions().bond.humidity, False)
