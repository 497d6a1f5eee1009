"""What else acts on a life: each change has the sign that it must, on the closed form and on the plate."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest

from slabwright.design.steel import drag_steel_area
from slabwright.life.effects import Effect, base_drag, middle_state, section_effects, variant_stresses, variants
from slabwright.life.reliability import lives
from slabwright.life.section_life import SectionLife, at_medians
from slabwright.life.tables import life_tables
from slabwright.plate.plate_stresses import PlateStresses
from slabwright.plate.stresses import PavementState, StressGrid, usual_grid
from slabwright.records.remarks import worded
from tests.life import roads
from tests.life.closed_form import ClosedForm


@dataclass(frozen=True)
class Counted(PlateStresses):
    """Looks like a plate; answers in closed form for its length."""

    def __call__(self, state: PavementState, grid: StressGrid) -> np.ndarray:
        stresses = ClosedForm(self.length)(state, grid)
        return stresses * (0.8 if self.shoulder > 0 else 1.0) * (1.1 if self.joint < 3.0 else 1.0)


PLATE = Counted(5.2, 3.7, 3.0)


@pytest.fixture(scope="module")
def life() -> SectionLife:
    return roads.road().life()


@pytest.fixture(scope="module")
def effects(life: SectionLife) -> tuple[Effect, ...]:
    state, grid = middle_state(life), life.model.grid
    known = np.stack([variant_stresses(variant, state, grid) for variant in variants(PLATE)])
    surface = roads.road().surface
    return section_effects(life, surface, known, PLATE, roads.climate(), roads.passes(), roads.decided())


@pytest.fixture(scope="module")
def found(effects: tuple[Effect, ...]) -> dict[str, Effect]:
    return {worded(e.change, "metric"): e for e in effects}


def test_as_computed_is_the_life_at_the_medians(life: SectionLife, found: dict[str, Effect]) -> None:
    """By the damage surface, fitted to the exact sums that the effects take: 1 % of stress, tenfold in damage."""
    years = lives(life.model, at_medians(life.model, life.sample), life.overlay).years[0]
    assert found["as computed"].years == pytest.approx(years, rel=0.15)
    assert found["as computed"].ratio == 1.0


@pytest.mark.parametrize(
    ("change", "longer"),
    [
        ("slabs of 6.10 m", False),
        ("slabs of 4.60 m", True),
        ("joints that have lost nine tenths of their stiffness", False),
        ("a tied concrete shoulder", True),
        ("a lane widened by 0.60 m", True),
        ("no growth of the overlay's strength and modulus", False),
        ("the overlay shrinks by 50 millionths more than the old slab, left by creep", False),
        ("the slab shrinks on a base with friction 1.500, at all hours", False),
    ],
)
def test_each_change_has_its_sign(found: dict[str, Effect], change: str, longer: bool) -> None:
    assert (found[change].ratio > 1) == longer
    assert found[change].ratio == pytest.approx(found[change].years / found["as computed"].years)


def test_a_plate_that_is_the_same_changes_nothing(life: SectionLife) -> None:
    """All variants solved as the first: every plate's life is the one as computed."""
    first = variant_stresses(variants(PLATE)[0], middle_state(life), life.model.grid)
    same = np.stack([first] * len(variants(PLATE)))
    surface = roads.road().surface
    made = section_effects(life, surface, same, PLATE, roads.climate(), roads.passes(), roads.decided())
    assert [e.ratio for e in made[: len(same)]] == [1.0] * len(same)


def test_the_drag_of_the_base_is_that_of_distributed_steel() -> None:
    """At the middle of 6 m: 1.5 times 24 kN/m3 times 3 m are 108 kPa; at a quarter half of it.

    The steel that carries it over a slab's thickness is that of the drag formula (Huang 2004, from memory).
    """
    plate, decisions, grid = Counted(6.0, 3.7, 3.0), roads.decided(), usual_grid()
    drag = base_drag(plate, grid, decisions)
    weight = decisions.design.overlay_density * 9.80665
    assert drag.tolist() == pytest.approx([1.5 * weight * 3.0] * 3 + [1.5 * weight * 1.5])
    steel = drag_steel_area(0.2, 6.0, decisions.design.friction, 300e6, weight)
    assert float(steel) * 300e6 / 0.2 == pytest.approx(drag[0])


def test_what_the_model_does_not_hold_is_said(found: dict[str, Effect]) -> None:
    (missing,) = [e for words, e in found.items() if "not in the model" in words]
    assert np.isnan(missing.years)


def test_the_table_holds_every_change(life: SectionLife, effects: tuple[Effect, ...]) -> None:
    frame = life_tables([life], [effects])["fatigue_effects"]
    assert len(frame) == len(effects) >= 11
    assert (frame["years"].dropna() > 0).all()


def test_a_slab_with_a_tied_shoulder_is_compared_with_a_free_edge() -> None:
    tied = variants(PlateStresses(4.6, 3.7, 3.0, shoulder=3.0, tie=3.0))
    assert [worded(v.change, "us") for v in tied][3] == "a free edge"
    assert tied[3].plate.shoulder == 0
