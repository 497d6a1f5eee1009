"""What is milled off the whole surface is no slab any more: not for thickness, life, deflection, bond and the bid."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from slabwright.design.section_model import modelled_sections
from slabwright.errors import InputError
from slabwright.life.inputs import SectionState
from slabwright.life.section_life import require_past
from slabwright.project import Project
from slabwright.records.decisions import Decisions, change
from slabwright.units import INCH
from tests.pipeline import tables

MILLED = change(Decisions(), "design.milling_depth", f"{2 * INCH} m")


@pytest.fixture(scope="module")
def made(demo_project: Project) -> tuple[dict[str, pd.DataFrame], dict[str, pd.DataFrame]]:
    facts = demo_project.facts()
    return tables(facts), tables(facts, MILLED)


def test_the_effective_slab_loses_its_share(made: tuple[dict[str, pd.DataFrame], dict[str, pd.DataFrame]]) -> None:
    """AASHTO 1993: Deff is a product of factors and D, so of a slab of D with m milled (D - m) / D is left."""
    whole, milled = (m["thicknesses"].set_index("section") for m in made)
    slab = made[0]["condition"].set_index("section")["thickness"]
    assert milled["effective"].dropna().to_numpy() == pytest.approx(
        (whole["effective"] * (slab - 2 * INCH) / slab).dropna().to_numpy()
    )
    needs = (milled["required_slab"] - milled["effective"]).dropna()
    assert milled["bonded"].dropna().to_numpy() == pytest.approx(needs.to_numpy())
    # Worked by hand by a reviewer with a solver of the 1993 equation of his own, to a hundredth of an inch.
    assert milled.loc[["W1", "W2", "A3"], "bonded"].to_numpy() / INCH == pytest.approx([4.84, 6.32, 4.88], abs=0.015)


def test_deflection_and_bond_see_the_thinner_slab(
    made: tuple[dict[str, pd.DataFrame], dict[str, pd.DataFrame]], demo_project: Project
) -> None:
    whole, milled = made
    at = [m["deflection_changes"].query("section == 'W1'").set_index("overlay")["interior"] for m in (whole, milled)]
    assert (at[1][1:] > at[0][1:]).all()  # the same overlay on less slab changes more
    facts = demo_project.facts()
    slabs = [
        modelled_sections(facts, m["condition"], m["thicknesses"], d)[0].state.slab
        for m, d in ((whole, Decisions()), (milled, MILLED))
    ]
    assert slabs[0] - slabs[1] == pytest.approx(2 * INCH)


def test_what_is_milled_is_in_the_bid(made: tuple[dict[str, pd.DataFrame], dict[str, pd.DataFrame]]) -> None:
    whole, milled = made
    assert not whole["bid_items"]["item"].str.contains("milled under the overlay").any()
    area, volume = milled["lane_quantities"][["area", "milled"]].sum()
    assert volume == pytest.approx(area * 2 * INCH)
    items = milled["bid_items"].query("item == 'old slab milled under the overlay'")
    assert len(items) == milled["lane_quantities"]["lane"].nunique()


def test_a_past_of_another_slab_gives_no_life() -> None:
    state = SectionState("1", 0.2, 3e10, 4e6, 5e7, 0.05, 0.05, 1e6)
    with pytest.raises(InputError, match="its past is that of the whole slab"):
        require_past(state, MILLED)


def test_refused_sections_keep_their_slab(made: tuple[dict[str, pd.DataFrame], dict[str, pd.DataFrame]]) -> None:
    whole, milled = (m["refused_ways"] for m in made)
    assert len(whole)
    np.testing.assert_allclose(whole["concrete"], milled["concrete"])
