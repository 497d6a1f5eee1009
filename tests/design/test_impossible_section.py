"""A section for which the thickness equation has no answer leaves the others their design."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from slabwright.project import Project
from slabwright.records.decisions import Decisions
from slabwright.records.stage import RunContext
from slabwright.stages import plan
from slabwright.units import PSI
from tests.pipeline import computed

WITHOUT_NUMBER = ("required_slab", "bonded", "rounded", "overlay", "years", "years_gained", "reduction")


@pytest.mark.parametrize("reinforcement", ["none", "fabric", "continuous"])
def test_a_slab_of_0_8_million_psi_has_a_remark_and_the_others_a_thickness(
    demo_project: Project, reinforcement: str
) -> None:
    decisions = Decisions()
    decisions = replace(decisions, design=replace(decisions.design, reinforcement=reinforcement))
    results = computed(demo_project.facts(), decisions, until="economics")
    condition = results["evaluation"].tables["condition"].copy()
    # Strength from the modulus begins at 1 million psi: softer, there is none.
    condition.loc[condition["section"] == "A1", ["modulus", "rupture"]] = 0.8e6 * PSI, np.nan
    evaluation = results["evaluation"]
    results["evaluation"] = replace(evaluation, tables={**evaluation.tables, "condition": condition})
    again = dict(results)
    for stage in plan("economics"):
        if stage.name in ("design", "economics"):
            again[stage.name] = stage.compute(stage.given(demo_project.facts(), decisions, again, RunContext()))
    thicknesses = again["design"].tables["thicknesses"].set_index("section")
    assert thicknesses.loc["A1", list(WITHOUT_NUMBER)].isna().all()
    assert thicknesses.loc["A1", "note"] == "the thickness equation has no answer for these inputs"
    others = results["design"].tables["thicknesses"].set_index("section").drop("A1")
    assert np.array_equal(thicknesses.drop("A1")["overlay"], others["overlay"], equal_nan=True)
    steel = again["design"].tables["steel"].set_index("section")
    assert np.isnan(steel.loc["A1", "transverse_saw"])
    assert steel.loc["A1", "note"] == "no thickness, no steel and no joints"
    assert "A1" not in set(again["design"].tables["overlay_quantities"]["section"])


def test_where_no_section_has_a_thickness_each_has_its_remark(demo_project: Project) -> None:
    results = computed(demo_project.facts(), until="economics")
    evaluation = results["evaluation"]
    hopeless = evaluation.tables["condition"].assign(rupture=np.nan)
    results["evaluation"] = replace(evaluation, tables={**evaluation.tables, "condition": hopeless})
    design = next(stage for stage in plan("design") if stage.name == "design")
    made = design.compute(design.given(demo_project.facts(), Decisions(), results, RunContext())).tables
    assert made["thicknesses"]["overlay"].isna().all()
    assert (made["steel"]["note"] == "no thickness, no steel and no joints").all()
    assert len(made["steel"]) == 8
