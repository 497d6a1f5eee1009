"""Bond and life in a project: asked for by name, with progress, stopped without a trace, and remembered.

The life is computed here on a stress model in closed form, so that the conductor is tested and not the plate.
"""

import shutil
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from slabwright.calculation import Array
from slabwright.errors import InputError, MissingFact
from slabwright.life import section_life as life
from slabwright.plate.plate_stresses import PlateStresses
from slabwright.plate.stresses import PavementState, StressGrid
from slabwright.project import Project, create, open_project
from slabwright.records.decisions import change, to_plain
from slabwright.records.remarks import worded
from slabwright.stages import plan
from slabwright.workflow import Computation
from tests.conftest import clock
from tests.life.closed_form import ClosedForm

ASKED: list[PavementState] = []
SMALL = {"life.surface_power": "5", "life.sample_power": "8"}


def closed_form(self: PlateStresses, state: PavementState, grid: StressGrid) -> Array:
    ASKED.append(state)
    return ClosedForm()(state, grid)


@pytest.fixture
def road(demo_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Project]:
    shutil.copy(demo_file, tmp_path / "copy.slab")
    monkeypatch.setattr(PlateStresses, "__call__", closed_form)
    monkeypatch.setattr(life, "DAMAGE_SUMS", 128)  # rougher damage surfaces in an eighth of the time
    ASKED.clear()
    with open_project(tmp_path / "copy.slab", user="tester", clock=clock) as project:
        for name, text in SMALL.items():
            decide(project, name, text)
        yield project


def decide(road: Project, name: str, text: str) -> None:
    road.decide("base", {name: to_plain(change(road.decisions(), name, text))[name]})


def test_the_stages_behind_a_result() -> None:
    def planned(until: str | None = None) -> list[str]:
        return [stage.name for stage in plan(until)]

    assert planned() == ["survey", "evaluation", "repair", "design", "economics"]
    assert planned("evaluation") == ["survey", "evaluation"]
    assert planned("life") == ["survey", "evaluation", "repair", "design", "life"]
    assert planned("bond")[-1] == "bond"
    with pytest.raises(InputError, match="no stage of this name"):
        plan("nonsense")


def test_life_of_the_demo_road(road: Project) -> None:
    told: list[tuple[str, float]] = []
    result = Computation(road).run("life", lambda name, share: told.append((name, share)))["life"]
    shares = [share for name, share in told if name == "life"]
    # A true fraction: it never falls back, begins at zero and ends at one.
    assert shares[0] == 0.0
    assert shares[-1] == 1.0
    assert (np.diff(shares) >= -1e-12).all()
    assert len(shares) > 50
    # Jointed sections with an overlay only; the others are named.
    assert result.tables["fatigue_thickness"]["section"].tolist() == ["W1", "W2", "W3", "A1", "A2", "A3"]
    assert any("A5" in note.section and "CRCP" in worded(note, "us") for note in result.notes)
    # Thicker lives longer, a surer life is shorter, everywhere.
    for _, lives in result.tables["fatigue_lives"].groupby("section"):
        years = lives.pivot(index="overlay", columns="reliability", values="years").to_numpy()
        assert (np.diff(years, axis=0) >= -1e-9).all()
        assert (np.diff(years, axis=1) <= 1e-9).all()
    assert Computation(road).saved("life") is not None

    # Another level of cracking needs lives, not surfaces: the model is not asked again.
    before = len(ASKED)
    decide(road, "life.cracking_level", "20 %")
    assert Computation(road).saved("life") is None
    later = Computation(road).run("life")["life"]
    assert len(ASKED) == before
    longer = later.tables["fatigue_lives"]["years"] - result.tables["fatigue_lives"]["years"]
    assert (longer >= 0).all()
    # Back again, the old result is there without any work.
    decide(road, "life.cracking_level", "10 %")
    assert Computation(road).saved("life") is not None


class Stopped(Exception):
    pass


def test_stopped_work_leaves_no_result(road: Project) -> None:
    def tell(name: str, share: float) -> None:
        if name == "life" and share > 0.1:
            raise Stopped

    with pytest.raises(Stopped):
        Computation(road).run("life", tell)
    assert Computation(road).saved("life") is None
    assert "stress_surface" not in {stage for stage, _ in road.result_keys()}


def test_life_waits_for_weather(tmp_path: Path) -> None:
    with create(tmp_path / "bare.slab", user="tester", clock=clock) as project:
        state = next(s for s in Computation(project).states() if s.stage == "life")
        assert state.state == "waiting"
        with pytest.raises(MissingFact):
            Computation(project).run("life")


def test_a_change_of_the_long_groups_leaves_the_others_current(road: Project) -> None:
    Computation(road).run()
    decide(road, "bond.averaging_length", "60 mm")
    decide(road, "life.fatigue_law", "PCA 1984")
    assert [s.state for s in Computation(road).states()][:4] == ["current"] * 4
