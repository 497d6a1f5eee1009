"""Files that contradict each other or the project: each is found, names both rows, and stops or waits."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from contextlib import ExitStack
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path

import pytest

from slabwright.errors import InputError
from slabwright.intake.contradictions import lane_key
from slabwright.project import Project, create
from slabwright.records.findings import Finding
from slabwright.workflow import contradictions_held, load_files, load_whole, loading, read_files

ROAD = "Road name,Stationing,Begin station,End station\nHollow Street,feet,100+00,150+00\n"
LANES = "Lane,Direction,Position,Width (ft)\nNB1,with stationing,1,12\nNB2,with stationing,2,12\nSB1,against stationing,1,12\n"
LAYERS = "From,To,Pavement type,Slab thickness (in)\n100+00,120+00,JPCP,9\n120+00,150+00,CRCP,8\n"
COUNTS = "Year,AADT,Trucks (%)\n2020,41000,9\n2021,42000,9\n"
BRIDGES = "Bridge,From,To,Passes\nMill Creek,110+00,112+00,under the road\nHigh Street,130+00,131+00,over the road\n"
DISTRESS = "Station,Lane,Distress\n101+00,NB1,faulting\n102+00,NB2,faulting\n149+00,SB1,faulting\n"
CORES = "Core,Station,Lane,Core length (in)\nC1,101+00,NB1,9\nC2,102+00,NB2,9.1\n"
DROPS = "Station,Lane,Position,Drop,Load (lbf),D1 (mils)\n101+00,NB1,mid-slab,1,9000,5\n102+00,NB1,mid-slab,1,9000,5\n"


class Desk:
    """Files written, read together and loaded; the project is made when something is loaded first."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.made = folder, ExitStack()

    @cached_property
    def project(self) -> Project:
        made = create(self.folder / "road.slab", user="an engineer", clock=lambda: datetime(2026, 11, 25, tzinfo=UTC))
        return self.made.enter_context(made)

    def write(self, **files: str) -> list[Path]:
        paths = [self.folder / f"{name}.csv" for name in files]
        for path, content in zip(paths, files.values(), strict=True):
            path.write_text(content)
        return paths

    def found(self, *paths: Path) -> dict[str, list[Finding]]:
        """What is questioned, by rule, but for assumed units."""
        rules: dict[str, list[Finding]] = {}
        for readings in read_files(self.__dict__.get("project"), paths).values():
            for finding in (f for r in readings for f in r.findings if f.weight != "note" and f.rule != "unit assumed"):
                rules.setdefault(finding.rule, []).append(finding)
        return rules

    def load(self, *paths: Path) -> None:
        load_files(self.project, read_files(self.project, paths), accept=True)


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    made = Desk(tmp_path)
    with made.made:
        yield made


# What a second file says (its first row contradicts), the rule, the row of the first file that it must name.
PAIRS = {
    "a road twice": (
        ROAD,
        "Road name,Stationing,Begin station,End station\nOther Street,feet,0+00,10+00\n",
        "more than one road",
        2,
    ),
    "a lane twice": (LANES, "Lane,Direction,Position,Width (ft)\nnb-1,with stationing,4,12\n", "given twice", 2),
    "a place twice": (LANES, "Lane,Direction,Position,Width (ft)\nNB9,with stationing,2,12\n", "given twice", 3),
    "a year twice": (COUNTS, "Year,AADT,Trucks (%)\n2021,900000,95\n", "given twice", 3),
    "layers over layers": (
        LAYERS,
        LAYERS.replace("100+00,120+00,JPCP,9", "118+00,119+00,CRCP,8"),
        "overlapping layers",
        2,
    ),
    "a lane over all": (
        LAYERS,
        "From,To,Lane,Pavement type,Slab thickness (in)\n100+00,110+00,NB1,JPCP,8\n",
        "lane over all lanes",
        2,
    ),
    "a bridge twice": (
        BRIDGES,
        "Bridge,From,To,Passes\nmill creek,111+00,113+00,under the road\n",
        "bridge given twice",
        2,
    ),
    "bridges in one place": (
        BRIDGES,
        "Bridge,From,To,Passes\nMill Creek east,111+00,113+00,under the road\n",
        "overlapping bridges",
        2,
    ),
    "a class twice": ("Truck class,Share (%)\n5,60\n9,40\n", "Truck class,Share (%)\n9,100\n", "given twice", 3),
    "a core twice": (CORES, "Core,Station,Lane,Core length (in)\nC2,140+00,NB2,7\n", "name used twice", 3),
    "a drop twice": (DROPS, DROPS.replace("9000,5", "9000,6").replace("102+00", "103+00"), "duplicate drop", 2),
    "a row twice": (DISTRESS, "Station,Lane,Distress\n102+00,NB2,faulting\n", "duplicate row", 3),
    "a point twice": (
        "Station,Easting (m),Northing (m)\n100+00,0,0\n101+00,0,30\n",
        "Station,Easting (m),Northing (m)\n101+00,5,30\n",
        "given twice",
        3,
    ),
    "an axle load twice": (
        "Axle type,Axle load (kip),Axles per 1000 trucks\nsingle,12,180\nsingle,14,40\n",
        "Axle type,Axle load (kip),Axles per 1000 trucks\nsingle,14,4000\n",
        "given twice",
        3,
    ),
}


@pytest.mark.parametrize("case", PAIRS)
def test_the_second_file_is_questioned_and_both_rows_are_named(desk: Desk, case: str) -> None:
    """In one command, and one after the other."""
    content, other, rule, row = PAIRS[case]
    first, second = desk.write(first=content, second=other)
    together = desk.found(first, second)[rule][0]
    desk.load(first)
    for finding in (together, desk.found(second)[rule][0]):
        assert (finding.file, finding.row) == ("second.csv", 2)
        assert f"first.csv, row {row}" in finding.message
    if together.weight == "error":
        with pytest.raises(InputError, match=r"first\.csv"):
            desk.load(second)


@pytest.mark.parametrize(
    "case", ["a road twice", "a year twice", "layers over layers", "a bridge twice", "a core twice"]
)
def test_the_same_within_one_file(desk: Desk, case: str) -> None:
    content, other, rule, row = PAIRS[case]
    (path,) = desk.write(one=content + "\n".join(other.splitlines()[1:2]) + "\n")
    finding = desk.found(path)[rule][0]
    assert f"one.csv, row {row}" in finding.message
    assert finding.row == len(content.splitlines()) + 1


def test_what_fits_together_is_not_questioned(desk: Desk) -> None:
    files = {"road": ROAD, "lanes": LANES, "layers": LAYERS, "counts": COUNTS, "bridges": BRIDGES, "cores": CORES}
    paths = desk.write(**files, distress=DISTRESS, drops=DROPS)
    assert desk.found(*paths) == {}
    desk.load(*paths)
    assert contradictions_held(desk.project, "us") == ()


def test_a_repeated_row_of_a_year_is_no_second_year_but_cannot_be_kept(desk: Desk) -> None:
    (path,) = desk.write(counts=COUNTS + "2021,42000,9\n")
    assert set(desk.found(path)) == {"duplicate row"}
    with pytest.raises(InputError, match="given twice"):
        desk.load(path)
    load_files(desk.project, read_files(desk.project, [path]), accept=True, reject=["duplicate row"])
    assert desk.project.facts().counts["year"].tolist() == [2020, 2021]


@pytest.mark.parametrize("order", list(itertools.permutations(range(3))))
def test_outside_the_road_in_any_order_of_files(desk: Desk, order: tuple[int, ...]) -> None:
    paths = desk.write(road=ROAD, lanes=LANES, distress=DISTRESS + "151+00,NB1,faulting\n")
    (finding,) = desk.found(*(paths[i] for i in order))["outside the road"]
    assert (finding.file, finding.row) == ("distress.csv", 5)


def test_a_road_that_comes_late_names_what_lies_beyond_it(desk: Desk) -> None:
    distress, road = desk.write(distress=DISTRESS + "151+00,NB1,faulting\n", road=ROAD)
    desk.load(distress)
    (finding,) = desk.found(road)["outside the road"]
    assert finding.file == "road.csv"
    assert "distress.csv, row 5" in finding.message


WRONG = {
    "another road": ("road", ROAD.replace("100+00,150+00", "600+00,650+00"), "outside the road"),
    "a mistyped end": ("road", ROAD.replace("150+00", "20692+00"), "road far too long"),
    "other lanes": ("lanes", LANES.replace("NB", "Q").replace("SB", "R"), "lane not declared"),
}


@pytest.mark.parametrize("case", WRONG)
def test_a_file_that_all_others_contradict_is_at_fault_and_they_load(desk: Desk, case: str) -> None:
    """Once every file of the batch was refused for the road, and the road was loaded."""
    name, content, rule = WRONG[case]
    good = {"road": ROAD, "lanes": LANES, "cores": CORES, "distress": DISTRESS, "drops": DROPS}
    paths = desk.write(**{**good, name: content})
    found = desk.found(*paths)
    assert {f.file for f in found.pop(rule)} == {f"{name}.csv"}
    assert not found
    readings = read_files(desk.project, paths)
    loaded, refused = load_whole(desk.project, readings)
    assert {path.stem for path in refused} == {name}
    assert {each.file for each in loaded} == {f"{n}.csv" for n in good if n != name}


def test_one_file_off_the_road_is_at_fault_itself(desk: Desk) -> None:
    paths = desk.write(road=ROAD, cores=CORES.replace(",10", ",90"), distress=DISTRESS, drops=DROPS)
    assert {f.file for f in desk.found(*paths)["outside the road"]} == {"cores.csv"}


@pytest.mark.parametrize("order", [(0, 1), (1, 0)])
def test_a_mistyped_end_of_the_road(desk: Desk, order: tuple[int, ...]) -> None:
    """390 miles for half a mile."""
    paths = desk.write(road=ROAD.replace("150+00", "20692+00"), distress=DISTRESS)
    (finding,) = desk.found(*(paths[i] for i in order))["road far too long"]
    assert "distress.csv, row 4" in finding.message
    assert "20692+00" in finding.message
    desk.load(paths[0])
    (finding,) = desk.found(paths[1])["road far too long"]
    assert "road.csv, row 2" in finding.message


@pytest.mark.parametrize(("end", "told"), [("18+400", True), ("12+000", False)])
def test_a_road_three_times_as_long_as_its_surveys(desk: Desk, end: str, told: bool) -> None:
    """3+200 to 18+400 where all lies before 8+400; 12+000 is less than twice as long."""
    distress = "Station,Lane,Distress\n3+300,NB1,faulting\n8+400,NB1,faulting\n"
    road = f"Road name,Stationing,Begin station,End station\nHollow Street,metres,3+200,{end}\n"
    found = desk.found(*desk.write(road=road, distress=distress))
    assert ("road far too long" in found) == told


@pytest.mark.parametrize(
    "name", ["nb2", "NB 2", "NB-02", "Lane NB 2", "lane nb2", "NB-2", "voie NB2", "Fahrstreifen NB 2"]
)
def test_a_lane_spelled_another_way_is_that_lane(desk: Desk, name: str) -> None:
    paths = desk.write(distress=DISTRESS + f"103+00,{name},faulting\n", lanes=LANES)
    (finding,) = desk.found(*paths)["lane spelled another way"]
    assert (finding.row, finding.value) == (5, name)
    assert "NB2" in finding.message
    desk.load(*paths)
    assert desk.project.facts().distresses["lane"].tolist() == ["NB1", "NB2", "SB1", "NB2"]


def test_rejected_rows_of_a_lane_go(desk: Desk) -> None:
    paths = desk.write(
        layers="From,To,Lane,Pavement,Thickness (in)\n100+00,120+00,nb1,JPCP,9\n100+00,120+00,SB1,JPCP,9\n", lanes=LANES
    )
    readings = read_files(desk.project, paths)
    load_files(desk.project, readings, accept=True, reject=["lane spelled another way"])
    assert desk.project.facts().layers["lane"].tolist() == ["SB1"]


def test_without_a_lanes_table_the_usual_spelling_holds(desk: Desk) -> None:
    (path,) = desk.write(distress="Station,Lane,Distress\n1+00,nb1,faulting\n2+00,NB1,faulting\n3+00,NB1,faulting\n")
    (finding,) = desk.found(path)["lane spelled another way"]
    assert finding.row == 2


def test_a_lane_that_is_not_declared(desk: Desk) -> None:
    paths = desk.write(
        lanes=LANES, distress=DISTRESS + "103+00,NB3,faulting\n104+00,NB3,faulting\n", far=CORES + "C9,1+00,Q,9\n"
    )
    found = {f.value: f for f in desk.found(*paths)["lane not declared"]}
    assert found["NB3"].row == 5
    assert "2 rows" in found["NB3"].message
    assert "same as NB" in found["NB3"].message
    assert "NB1, NB2, SB1" in found["Q"].message


def test_lanes_that_come_late_name_the_rows_that_lie_in_none(desk: Desk) -> None:
    cores, lanes = desk.write(cores=CORES.replace("NB2", "NB7"), lanes=LANES)
    desk.load(cores)
    (finding,) = desk.found(lanes)["lane not declared"]
    assert "cores.csv, row 3" in finding.message


def test_lane_names_that_are_not_the_same() -> None:
    names = ["NB1", "NB2", "NB10", "NB11", "SB1", "1", "2", "R 1", "Lane", "ünten", "unten", "東1", "-1"]
    assert len({lane_key(n) for n in names}) == len(names)


def test_contradictions_that_came_in_by_hand_are_told(desk: Desk) -> None:
    lanes, counts = desk.write(lanes=LANES, counts=COUNTS)
    desk.load(lanes, counts)
    frame = desk.project.facts().counts
    desk.project.replace_table("counts", frame.assign(year=[2020.0, 2020.0]))
    (finding,) = contradictions_held(desk.project, "us")
    assert finding.rule == "given twice"
    assert "counts.csv, row 2" in finding.message


@pytest.mark.parametrize(
    ("name", "declared", "hint"),
    [
        ("NB3", ["SB3", "NB1", "SB1"], "same as NB1?"),
        ("3NB", ["SB3", "NB2"], "same as NB2?"),
        ("N3", ["SB3", "NB3"], "same as NB3?"),
        ("NB3", ["SB3", "SB2"], "its lanes are SB3, SB2"),
        ("R3", ["L3", "R2"], "same as R2?"),
        ("Q3", ["Q1", "SB3"], "same as Q1?"),
    ],
)
def test_a_lane_of_the_other_direction_is_never_proposed(name, declared, hint) -> None:
    from slabwright.intake.contradictions import _nearest

    assert _nearest(name, declared).endswith(hint)


@pytest.mark.parametrize(("other", "kept"), [("2021,43000,9", 1), ("2022,43000,9", 2)])
def test_of_two_that_load_at_once_the_later_is_held_against_the_earlier(
    desk: Desk, monkeypatch: pytest.MonkeyPatch, other: str, kept: int
) -> None:
    """Another load comes between the comparison and the writing: what then contradicts is refused, the rest loads."""
    mine, theirs = desk.write(mine="Year,AADT,Trucks (%)\n2021,42000,9\n", theirs=f"Year,AADT,Trucks (%)\n{other}\n")
    readings = {path: read_files(desk.project, [path]) for path in (mine, theirs)}
    prepare, calls = loading._prepared, []

    def between(*given: object) -> object:
        made = prepare(*given)
        calls.append(made)
        if len(calls) == 1:
            load_files(desk.project, readings[theirs], accept=True)
        return made

    monkeypatch.setattr(loading, "_prepared", between)
    if kept == 1:
        with pytest.raises(InputError, match=r"given already in theirs\.csv"):
            load_files(desk.project, readings[mine], accept=True)
    else:
        load_files(desk.project, readings[mine], accept=True)
    assert len(desk.project.facts().counts) == kept


COUNTED = "Year,AADT,Trucks (%)\n"
# Rows of a counts file, the column questioned, the row it is told at, the rows that the message must name.
SLIPS = {
    "trucks of a tenth": ("2020,66000,9.5\n2024,70300,1.0\n", "truck_share", 3, [2]),
    "traffic of a tenth": ("2020,66000,9.5\n2024,7030,9.5\n", "daily_traffic", 3, [2]),
    "ten times in the middle": ("2006,54000,9\n2011,612000,9\n2024,70300,9\n", "daily_traffic", 3, [2, 4]),
    "more than half again in three years": ("2020,40000,9\n2023,60100,9\n", "daily_traffic", 3, [2]),
    "more than 1.15 a year over ten years": ("2010,10000,9\n2020,40600,9\n", "daily_traffic", 3, [2]),
}


@pytest.mark.parametrize("case", SLIPS)
def test_a_slip_in_the_counts_is_questioned_beside_its_neighbours(desk: Desk, case: str) -> None:
    """Factors of 1.5 within three years, 1.15 a year beyond and 2 of trucks: common practice, no source."""
    rows, column, at, others = SLIPS[case]
    (path,) = desk.write(counts=COUNTED + rows)
    (finding,) = desk.found(path)["count unlike its neighbours"]
    assert (finding.weight, finding.row, finding.column) == ("warning", at, column)
    assert all(f"counts.csv, row {other}" in finding.message for other in others)


@pytest.mark.parametrize(
    "rows", ["2020,40000,9\n2023,60000,17.9\n", "2010,10000,9\n2020,40400,9\n", "2020,40000,\n2021,41000,\n"]
)
def test_counts_that_grow_within_reason_are_not_questioned(desk: Desk, rows: str) -> None:
    (path,) = desk.write(counts=COUNTED + rows)
    assert desk.found(path) == {}


@pytest.mark.parametrize(("held", "new"), [("2020,66000,9\n", "2022,7030,9\n"), ("2022,7030,9\n", "2020,66000,9\n")])
def test_a_slip_is_questioned_across_files(desk: Desk, held: str, new: str) -> None:
    first, second = desk.write(first=COUNTED + held, second=COUNTED + new)
    together = desk.found(first, second)["count unlike its neighbours"]
    desk.load(first)
    for found in (together, desk.found(second)["count unlike its neighbours"]):
        assert [(f.file, f.row) for f in found] == [("second.csv", 2)]
        assert "first.csv, row 2" in found[0].message


def test_more_vehicles_than_the_lanes_carry(desk: Desk) -> None:
    """Two lanes and one: 75,000 a day at 25,000 a lane (common practice, no source)."""
    counts, lanes = desk.write(counts=COUNTED + "2020,75000,9\n2021,75100,9\n", lanes=LANES)
    (finding,) = desk.found(counts, lanes)["more traffic than lanes carry"]
    assert (finding.file, finding.row) == ("counts.csv", 3)
    assert "lanes.csv, row 2" in finding.message
    desk.load(counts)
    (finding,) = desk.found(lanes)["more traffic than lanes carry"]
    assert finding.file == "lanes.csv"
    assert "counts.csv, row 3" in finding.message
