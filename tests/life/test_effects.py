"""What else acts on a life: each change has the sign that it must, on the closed form and on the plate."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest

from slabwright.life.cracking import years_to_level
from slabwright.life.damage import LAWS
from slabwright.life.effects import DirectStresses, Effect, section_effects
from slabwright.life.exposure import exact_damage
from slabwright.life.inputs import exposure_of
from slabwright.life.reliability import aged, pavements_of
from slabwright.life.section_life import SectionLife, at_medians
from slabwright.life.tables import life_tables
from slabwright.plate.plate_stresses import PlateStresses
from slabwright.plate.stresses import PavementState, StressGrid
from slabwright.records.remarks import worded
from tests.life import roads
from tests.life.closed_form import ClosedForm

PLATE = PlateStresses(5.2, 3.7, 3.0)


@dataclass(frozen=True)
class Counted(PlateStresses):
    """Looks like a plate; answers in closed form for its length."""

    def __call__(self, state: PavementState, grid: StressGrid) -> np.ndarray:
        stresses = ClosedForm(self.length)(state, grid)
        return stresses * (0.8 if self.shoulder > 0 else 1.0) * (1.1 if self.joint < 3.0 else 1.0)


@pytest.fixture(scope="module")
def life() -> SectionLife:
    return roads.road().life()


@pytest.fixture(scope="module")
def found(life: SectionLife) -> dict[str, Effect]:
    made = section_effects(life, Counted(5.2, 3.7, 3.0), roads.climate(), roads.passes(), roads.decided())
    return {worded(e.change, "metric"): e for e in made}


def test_as_computed_is_the_exact_life_at_the_medians(life: SectionLife, found: dict[str, Effect]) -> None:
    sample, model = at_medians(life.model, life.sample), life.model
    direct = DirectStresses(ClosedForm(5.2), model.grid)
    exposure = exposure_of(roads.passes(), roads.climate(), model.grid, roads.decided())
    pavements = pavements_of(sample.values, life.overlay, model.grid)
    law = LAWS["NCHRP 1-37A, 2004"]
    exact = np.stack([
        exact_damage(direct, exposure, law, aged(pavements, float(r), model.grid)) for r in model.ageing.nodes
    ])
    spans = model.ageing.spread(model.causes.worst(exact))
    years, _ = years_to_level(
        model.level, model.exponent, model.carried(None, 1), spans, model.trucks, sample.values["traffic"], model.ageing
    )
    assert found["as computed"].years == pytest.approx(years[0], rel=1e-9)
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
    ],
)
def test_each_change_has_its_sign(found: dict[str, Effect], change: str, longer: bool) -> None:
    assert (found[change].ratio > 1) == longer
    assert found[change].ratio == pytest.approx(found[change].years / found["as computed"].years)


def test_what_the_model_does_not_hold_is_said(found: dict[str, Effect]) -> None:
    (missing,) = [e for words, e in found.items() if "not in the model" in words]
    assert np.isnan(missing.years)


def test_a_stress_is_asked_for_once() -> None:
    asked = []

    def model(state: PavementState, grid: StressGrid) -> np.ndarray:
        asked.append(state)
        return np.zeros(grid.shape)

    direct = DirectStresses(model, roads.GRID)
    row = np.array([[0.1, 0.2, 3e10, 3e10, 5e7, 0.0]])
    assert direct.stresses(np.vstack([row, row])).shape == (2, *roads.GRID.shape)
    assert len(asked) == 1


def test_the_table_holds_every_change(life: SectionLife) -> None:
    made = section_effects(life, Counted(5.2, 3.7, 3.0), roads.climate(), roads.passes(), roads.decided())
    frame = life_tables([life], [made])["fatigue_effects"]
    assert len(frame) == len(made) >= 11
    assert (frame["years"].dropna() > 0).all()
