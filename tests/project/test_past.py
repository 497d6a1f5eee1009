"""Every project and every list of decisions that an earlier version saved opens, with the values that were decided."""

from __future__ import annotations

import gzip
import json
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from slabwright.errors import InputError
from slabwright.project import Project, open_project
from slabwright.records.decisions import Decisions, change, entries, from_plain, to_plain
from slabwright.records.decisions.past import GONE, OLD_NAMES, OLD_WORDS, check_once, present, present_name
from slabwright.units import FOOT
from tests.conftest import clock

DATA = Path(__file__).parent / "data"  # made by running the versions named, with these decisions changed
SAVED = ["saved_first", "saved_before_the_rooms"]


@pytest.fixture(params=SAVED)
def old(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    path = tmp_path / f"{request.param}.slab"
    path.write_bytes(gzip.decompress((DATA / f"{request.param}.slab.gz").read_bytes()))
    return path


def opened(path: Path) -> Project:
    return open_project(path, user="tester", clock=clock)


def test_a_project_of_any_version_keeps_what_was_decided(old: Path) -> None:
    with opened(old) as project:
        decided = project.decisions("base")
        assert decided.design.thickness == 0.1016
        assert decided.design.reliability == 0.9
        assert decided.design.grout == "cement grout"
        assert decided.repair.merge_gap == 2.0
        assert project.decisions("thin").design.thickness == 0.0508
        assert (
            change(decided, "survey.section_borders", "128+00; 146+00").survey.section_boundaries
            == "3901.44 m; 4450.08 m"
        )
        if "rooms" in old.name:
            assert decided.plate.slab_length == 1.5
            assert decided.plate.unmeasured_transfer == 0.9
            assert decided.life.cracking_level == 0.2


def test_old_answers_to_findings_are_read_in_the_present_words(old: Path) -> None:
    with closing(sqlite3.connect(old)) as connection, connection:
        connection.execute("INSERT INTO source_file (born, name, sha256, size, rows) VALUES (1, 'a.csv', 'x', 1, 1)")
        connection.execute(
            'INSERT INTO finding (born, source_file, answer, weight, rule, file, row, "column", value, message, remedy)'
            " VALUES (1, 1, 'struck', 'doubt', 'duplicate row', 'a.csv', 3, '', '', 'repeats', '')"
        )
    with opened(old) as project:
        assert [(f.answer, f.finding.weight) for f in project.findings()] == [("rejected", "warning")]


def test_an_old_project_takes_new_decisions_and_undo(old: Path) -> None:
    with opened(old) as project:
        project.decide("base", {"design.thickness": 0.127})
        assert project.decisions("base").design.thickness == 0.127
        project.undo()
        assert project.decisions("base").design.thickness == 0.1016
        project.redo()
        assert project.decisions("base").design.thickness == 0.127
        assert project.decisions("thin").design.thickness == 0.0508


EVER = json.loads((DATA / "decisions_ever.json").read_text())  # every name that a version had, with its last default


@pytest.mark.parametrize("name", list(EVER))
def test_every_decision_that_a_version_knew_has_its_place(name: str) -> None:
    """Or is gone for good, with the reason, and stands in no one's way."""
    if name in GONE:
        assert GONE[name]
        assert from_plain({name: EVER[name]}) == Decisions()
        return
    assert to_plain(from_plain({name: EVER[name]}))[present_name(name)] == EVER[name]


def test_old_names_lead_to_decisions_that_exist() -> None:
    now = set(to_plain(Decisions()))
    for new in OLD_NAMES.values():
        assert new in now or any(name.startswith(new) for name in now), new
    assert set(OLD_WORDS) <= now
    for name, words in OLD_WORDS.items():
        about = next(e.about for e in entries(Decisions()) if e.name == name)
        assert set(words.values()) <= set(about.options)  # type: ignore[union-attr]
    assert not set(GONE) & now


def test_the_present_name_wins_over_the_old_one() -> None:
    both = {"design.thickness": 0.1, "overlay.thickness": 0.2}
    assert present(both) == present(dict(reversed(both.items()))) == {"design.thickness": 0.1}


def test_a_name_renamed_twice_is_followed_and_the_later_name_wins() -> None:
    assert present_name("overlay.concrete_cost") == "economics.concrete_cost"
    names = ("overlay.concrete_cost", "design.concrete_cost", "economics.concrete_cost")
    for last in (1, 2, 3):
        held = {name: float(number) for number, name in enumerate(names[:last], start=1)}
        assert present(held) == present(dict(reversed(held.items()))) == {"economics.concrete_cost": float(last)}


def test_prices_of_an_old_project_are_kept(old: Path) -> None:
    """Each price set to a value of its own in the old file, under the name that it had there."""
    with closing(sqlite3.connect(old)) as connection, connection:
        held = {str(n) for (n,) in connection.execute("SELECT DISTINCT name FROM decision WHERE name GLOB '*_cost'")}
        priced = {name: 11.0 + number for number, name in enumerate(sorted(held))}
        for name, price in priced.items():
            connection.execute("UPDATE decision SET number = ? WHERE name = ?", (price, name))
    assert len(held) == 9
    with opened(old) as project:
        found = to_plain(project.decisions("base"))
        assert {name: found[f"economics.{name.partition('.')[2]}"] for name in held} == priced
        project.decide("base", {"economics.saw_cost": 5.0})
        assert project.decisions("base").economics.saw_cost == 5.0
        project.undo()
        assert project.decisions("base").economics.saw_cost == priced["repair.saw_cost"]


def test_a_name_that_no_version_had_is_refused() -> None:
    with pytest.raises(InputError, match="does not know"):
        from_plain({"overlay.colour": 1.0})


@pytest.mark.parametrize(
    ("text", "system", "metres"),
    [
        ("128+00; 146+00", "us", "3901.44 m; 4450.08 m"),
        ("3+901.44; 4+450.08", "metric", "3901.44 m; 4450.08 m"),
        ("14600;12800", "us", "3901.44 m; 4450.08 m"),
        ("4450.08;3901.44;3901.44", "metric", "3901.44 m; 4450.08 m"),
        ("", "us", ""),
        (" ; ", "metric", ""),
    ],
)
def test_section_boundaries_are_read_when_they_are_decided(text: str, system: str, metres: str) -> None:
    """A hundred feet are 30.48 m by definition."""
    decided = change(Decisions(), "survey.section_boundaries", text, system)  # type: ignore[arg-type]
    assert decided.survey.section_boundaries == metres
    shown = next(e for e in entries(decided) if e.name == "survey.section_boundaries")
    if not metres:
        assert change(decided, shown.name, shown.text("metric"), "metric") == decided
    else:
        assert shown.text("us") == "128+00.0; 146+00.0"
        assert shown.text("metric") == "3+901.4; 4+450.1"


@pytest.mark.parametrize("text", ["hello", "128+00; x", "12 psi"])
def test_what_is_no_station_is_refused_at_once(text: str) -> None:
    with pytest.raises(InputError, match=r"survey\.section_boundaries .* is not a list of stations"):
        change(Decisions(), "survey.section_boundaries", text)


def test_a_settled_core_that_is_none_is_refused_by_name(demo_file: Path, tmp_path: Path) -> None:
    shutil.copy(demo_file, tmp_path / "copy.slab")  # the demo road is shared with other tests
    with open_project(tmp_path / "copy.slab", user="tester", clock=clock) as road:
        head, known = road.head, road.facts().cores["core"].iloc[0]
        with pytest.raises(
            InputError, match=rf"settled_cores names what is no core; given 'NOSUCH'; allowed {known}, "
        ):
            road.decide("base", {"evaluation.settled_cores": f"{known}; NOSUCH"})
        assert road.head == head
        assert road.decide("base", {"evaluation.settled_cores": str(known)}) > head


def test_a_lane_walked_whole_that_is_none_is_refused_by_name(demo_project: Project) -> None:
    head, lanes = demo_project.head, sorted(demo_project.facts().lanes["lane"])
    said = rf"lanes_walked_whole names what is no lane of the road; given 'NB9'; allowed {lanes[0]}, .*all\."
    with pytest.raises(InputError, match=said):
        demo_project.decide("base", {"evaluation.lanes_walked_whole": f"{lanes[0]}, NB9"})
    assert demo_project.head == head


def test_a_boundary_off_the_road_is_refused_at_once(demo_project: Project) -> None:
    head = demo_project.head
    road = demo_project.facts().road
    beyond = float(road["end"].max()) + 100 * FOOT
    for values in (f"{beyond} m", f"{float(road['begin'].min())} m"):
        with pytest.raises(InputError, match=r"names a station off the road; given .*; allowed between 100"):
            demo_project.decide("base", {"survey.section_boundaries": values})
    assert demo_project.head == head


def test_one_decision_under_two_names_is_refused() -> None:
    check_once(["overlay.thickness", "design.grout", "overlay.thickness"])
    with pytest.raises(InputError, match=r"design\.thickness is given twice"):
        check_once(["overlay.thickness", "design.thickness"])


@pytest.mark.parametrize(
    ("text", "system", "si"), [("$5/yd2", "us", 5 / 0.83612736), ("5 per m2", "metric", 5.0), ("€5", "metric", 5.0)]
)
def test_a_price_may_carry_its_sign(text: str, system: str, si: float) -> None:
    """A square yard is 0.83612736 m2 by definition."""
    decided = change(Decisions(), "economics.full_depth_cost", text, system)  # type: ignore[arg-type]
    assert decided.economics.full_depth_cost == pytest.approx(si)


def test_a_refused_number_names_its_decision() -> None:
    with pytest.raises(InputError, match=r"^economics\.full_depth_cost: ") as refusal:
        change(Decisions(), "economics.full_depth_cost", "much")
    assert "money" not in str(refusal.value)
