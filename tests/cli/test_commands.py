"""The commands as a user calls them: output, JSON, exit codes, and a sentence for every mistake."""

from __future__ import annotations

import json
import os
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pypdf
import pytest

from slabwright.cli import main
from slabwright.cli.progress import Watch
from slabwright.project import open_project
from tests.conftest import clock


def exit_code() -> int:
    try:
        main()
    except SystemExit as stop:
        return int(stop.code or 0)
    return 0


@pytest.fixture
def call(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):  # type: ignore[no-untyped-def]
    """Run a command in this process: (exit code, standard output, standard error)."""

    def run(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["slabwright", *map(str, words)])
        code = exit_code()
        out, err = capsys.readouterr()
        return code, out, err

    return run


@pytest.fixture
def road(demo_file: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(demo_file, tmp_path / "demo.slab"))


def refused(result: tuple[int, str, str]) -> str:
    """The one plain message of a refusal."""
    code, out, err = result
    assert code == 2, err
    assert "Traceback" not in out + err
    assert err.startswith("slabwright: ")
    assert err.count("\n") == 1
    return err


def test_calc_list_is_an_array_with_the_documented_keys(call) -> None:
    code, out, _ = call("calc", "list", "--json")
    entries = json.loads(out)
    assert code == 0
    assert len(entries) > 100
    for entry in entries:
        assert {"name", "title", "room", "source", "tag", "inputs", "outputs", "checks"} <= set(entry)
        for given in entry["inputs"]:
            assert {"name", "unit", "default", "low", "high", "meaning"} <= set(given)
        for made in entry["outputs"]:
            assert {"name", "unit", "meaning"} == set(made)


def test_calc_gives_value_unit_source_tag_and_working(call) -> None:
    """Harrington & Fick, as quoted in a joint-sawing lesson: a 3-in overlay is sawn 3.5 in deep across and at least 1.5 in along."""
    code, out, _ = call("calc", "saw_depth", "thickness=76.2 mm", "--json")
    found = json.loads(out)
    assert code == 0
    assert {"name", "inputs", "outputs", "source", "tag", "working"} <= set(found)
    assert found["outputs"]["transverse"] == {"value": pytest.approx(3.5), "unit": "in"}
    assert found["outputs"]["longitudinal"] == {"value": pytest.approx(1.5), "unit": "in"}
    assert "3.5 in" in found["working"]


def test_calc_in_metric_takes_and_gives_metric(call) -> None:
    _, out, _ = call("calc", "saw_depth", "thickness=76.2", "--json", "--units", "metric")
    assert json.loads(out)["outputs"]["transverse"] == {"value": pytest.approx(88.9), "unit": "mm"}


@pytest.mark.parametrize(
    ("words", "part"),
    [
        (("calc", "saw_depth", "thickness=40 in"), "0.5 to 12 in"),
        (("calc", "saw_depth", "thickness=three"), "not a number with a unit"),
        (("calc", "saw_depth", "thickness=3 psi"), "unit"),
        (("calc", "saw_depth", "height=3 in"), "no input of this name"),
        (("calc", "saw_depth"), "needs thickness"),
        (("calc", "saw_depth", "thickness"), "NAME=VALUE"),
        (("calc", "no_such_thing"), "no calculation of this name"),
        (("calc", "show"), "the name of one calculation"),
        (("calc", "list", "--units", "furlongs"), "us or metric"),
        (("show", "missing.slab", "survey"), "no project file"),
        (("run", "."), ""),
    ],
)
def test_mistakes_are_refused_with_one_sentence(call, words: tuple[str, ...], part: str) -> None:
    assert part in refused(call(*words))


def test_unknown_commands_and_missing_words_exit_2(call) -> None:
    assert call("pave")[0] == 2
    assert call("load")[0] == 2


def test_the_whole_job(call, tmp_path: Path) -> None:
    road = tmp_path / "lantern.slab"
    assert call("new", road, "--example")[0] == 0
    assert "waiting" not in call("check", road)[1]
    assert "design: computed" in call("run", road)[1]
    assert "design: current" in call("run", road)[1]
    code, out, _ = call("show", road, "design", "--table", "thicknesses")
    assert code == 0
    assert "W1" in out
    assert call("decide", road, "design.thickness=4 in")[0] == 0
    assert "design: computed" in call("run", road)[1]
    assert "Undone: decide design.thickness" in call("undo", road)[1]
    assert "design: current" in call("run", road)[1]
    assert "Done again" in call("redo", road)[1]
    assert call("alternative", road, "thin")[0] == 0
    assert call("decide", road, "-a", "thin", "design.thickness=2 in")[0] == 0
    assert "thin" in call("compare", road)[1]
    _, out, _ = call("history", road, "--json")
    assert any("design.thickness" in c["what"] for c in json.loads(out)["changes"])
    (thin,) = (c for c in json.loads(out)["changes"] if c["after"].get("alternative") == "thin" and c["before"])
    # 25.4 mm to the inch, by definition
    assert [thin[side]["design.thickness"] for side in ("before", "after")] == pytest.approx([0.1016, 0.0508])
    lines = call("history", road)[1]
    assert re.search(r"design\.thickness 4\.00 in\W+design\.thickness 2\.00 in", " ".join(lines.split()))


def test_show_json_is_versioned_and_complete(call, road: Path) -> None:
    _, out, _ = call("show", road, "evaluation", "--json")
    found = json.loads(out)
    assert found["version"] == 1
    table = found["tables"]["condition"]
    names = [c["name"] for c in table["columns"]]
    assert len(table["rows"]) == 10
    assert all(len(row) == len(names) for row in table["rows"])
    unit = {c["name"]: c["unit"] for c in table["columns"]}
    assert unit["modulus"] == "psi"
    assert unit["thickness"] == "in"


def test_show_opens_each_number_of_a_row(call, road: Path) -> None:
    """Its own reliability in the working, in the units asked for."""
    code, out, _ = call("show", road, "design", "--table", "lives", "--row", "1", "--units", "metric")
    assert code == 0
    words = " ".join(out.split())
    assert "R = 50 %" in words
    assert "overlay thickness (this row)" in words
    assert "Feeds: bond, life" in words


@pytest.mark.parametrize(("more", "told"), [((), "--table"), (("--table", "lives", "--row", "9999"), "1 to 288")])
def test_a_row_that_cannot_be_opened_is_refused(call, road: Path, more: tuple[str, ...], told: str) -> None:
    assert told in refused(call("show", road, "design", "--row", "1", *more))


def test_show_prints_the_governing_calculations(call, road: Path) -> None:
    _, out, _ = call("show", road, "design", "--table", "clearances", "--working")
    assert "Slab thickness that carries the given equivalent axles" in " ".join(out.split())


def test_metric_and_us_show_the_same_slab(call, road: Path) -> None:
    def modulus(system: str) -> float:
        _, out, _ = call("show", road, "evaluation", "--table", "condition", "--json", "--units", system)
        table = json.loads(out)["tables"]["condition"]
        column = [c["name"] for c in table["columns"]].index("modulus")
        return float(table["rows"][0][column])

    assert modulus("us") / modulus("metric") == pytest.approx(145.0377, rel=1e-6)  # psi in a MPa


def test_preview_changes_nothing(call, tmp_path: Path) -> None:
    road, file = tmp_path / "a.slab", tmp_path / "lanes.csv"
    file.write_text("Lane,Direction,Lane number,Lane width (ft)\nEB1,with stationing,1,12\n")
    call("new", road)
    code, out, _ = call("load", road, file, "--preview")
    assert code == 0
    assert "nothing was changed" in out
    assert len(json.loads(call("history", road, "--json")[1])["changes"]) <= 1
    assert call("load", road, file)[0] == 0
    assert json.loads(call("check", road, "--json")[1])["tables"]["lanes"] == 1


def test_preview_shows_rows_with_empty_cells(call, tmp_path: Path) -> None:
    road, file = tmp_path / "a.slab", tmp_path / "cores.csv"
    file.write_text("Core,Station,Lane,Core length (in),Remarks\nC-1,101+10,NB1,9,\nC-2,102+10,NB1,,broken\n")
    call("new", road)
    code, out, _ = call("load", road, file, "--preview", "--table", "cores")
    assert code == 0
    assert "First rows" in out
    assert "broken" in out


@pytest.mark.parametrize("heading", ["Delaminated", "Delaminated?", "DELAM", "Debonded", "core_delaminated"])
def test_a_mark_of_delamination_is_read(call, tmp_path: Path, heading: str) -> None:
    road, file = tmp_path / "a.slab", tmp_path / "cores.csv"
    file.write_text(
        f"Core,Station,Lane,Core length (in),MRD,{heading}\nC-1,101+10,NB1,9,none,Yes\nC-2,102+10,NB1,9,none,N\n"
    )
    call("new", road)
    code, out, _ = call("load", road, file, "--table", "cores")
    assert code == 0
    assert "not used" not in out
    with open_project(road, user="tester", clock=clock) as project:
        assert project.facts().cores["delaminated"].tolist() == ["yes", "no"]


def test_columns_that_are_not_used_are_told_at_every_load(call, tmp_path: Path) -> None:
    road, file = tmp_path / "a.slab", tmp_path / "cores.csv"
    file.write_text("Core,Station,Lane,Core length (in),Void at base,Crew\nC-1,101+10,NB1,9,yes,A\n")
    call("new", road)
    code, out, _ = call("load", road, file, "--table", "cores")
    assert code == 0
    line = next(line for line in out.splitlines() if "not used" in line)
    assert "Void at base, Crew" in line
    assert "--map 'Void at base=COLUMN' --map Crew=COLUMN" in out
    assert "moisture" in out.partition("COLUMN is one of")[2]


def test_a_batch_loads_what_is_whole_and_lists_the_rest(call, tmp_path: Path) -> None:
    road = tmp_path / "a.slab"
    contents = {
        "counts.csv": "Year,AADT\n2020,many\n",
        "lanes.csv": "Lane,Direction,Lane number,Lane width (ft)\nEB1,with stationing,1,12\n",
        "strange.csv": "A,B\n1,2\n",
        "cores.csv": "Core,Station,Lane,Core length (in),Delaminated\nC1,1+00,EB1,9,no\n",
    }
    for name, content in contents.items():
        (tmp_path / name).write_text(content)
    call("new", road)
    files = [tmp_path / name for name in contents] + [tmp_path / "nowhere.csv"]
    code, out, err = call("load", road, *files)
    assert code == 2
    assert "3 of 5 files cannot be loaded" in err
    for name in ("counts.csv", "strange.csv", "nowhere.csv"):
        assert name in err
    assert "Loaded lanes.csv" in out
    assert out.index("[unreadable number") < out.index(
        "Loaded lanes.csv"
    )  # all is checked before anything is said to be in
    tables = json.loads(call("check", road, "--json")[1])["tables"]
    assert (tables["lanes"], tables["cores"], tables["counts"]) == (1, 1, 0)


def test_a_batch_asks_for_each_file_and_loads_what_needs_no_answer(call, tmp_path: Path) -> None:
    """Exit code 3 while there are questions only, 2 once a file was refused; each question has its own options."""
    road = tmp_path / "a.slab"
    contents = {
        "east.csv": "km,Strip,Position,Load (kN),D1 (um)\n1.2,A1,corner,40,127\n",
        "counts.csv": "Year,AADT\n2020,120000\n",
        "west.csv": "km,Crew,Position,Load (kN),D1 (um)\n1.2,Ada,corner,40,127\n",
        "broken.csv": "Year,AADT\n2021,many\n",
    }
    for name, content in contents.items():
        (tmp_path / name).write_text(content)
    call("new", road)
    east, counts, west, broken = (tmp_path / name for name in contents)
    code, out, err = call("load", road, east, counts, west)
    assert code == 3
    assert "2 of 3 files wait for an answer" in err
    assert "--map Strip=lane" in err
    assert "--map Crew=lane" in err
    assert "Loaded counts.csv" in out
    code, out, err = call("load", road, east, west, broken, "--map", "Strip=lane")
    assert code == 2
    assert "1 of 3 files cannot be loaded: (1) broken.csv" in err
    assert "1 of 3 files waits for an answer" in err
    assert "--map Crew=lane" in err
    assert "Loaded east.csv" in out
    asked = json.loads(call("load", road, west, "--json")[1])["files"][0]
    assert [a["option"] for q in asked["questions"] for a in q["answers"]] == ["--map Crew=lane"]


def test_a_file_is_taken_out_and_brought_back(call, tmp_path: Path) -> None:
    road, file = tmp_path / "a.slab", tmp_path / "counts.csv"
    file.write_text("Year,AADT\n2020,120000\n")
    call("new", road)
    call("load", road, file)
    assert "counts.csv" in refused(call("unload", road, "other.csv"))
    assert "1 row" in call("unload", road, file)[1]
    assert json.loads(call("check", road, "--json")[1])["tables"]["counts"] == 0
    assert call("undo", road)[0] == 0
    assert json.loads(call("check", road, "--json")[1])["tables"]["counts"] == 1


def test_check_says_that_without_a_lanes_table_widths_and_directions_are_assumed(call, tmp_path: Path) -> None:
    road, lanes = tmp_path / "a.slab", tmp_path / "lanes.csv"
    lanes.write_text("Lane,Direction,Position,Width (ft)\nNB1,with stationing,1,12\n")
    call("new", road)
    said = "No table of lanes is loaded: their width and direction are assumed"
    assert said in " ".join(call("check", road)[1].split())
    call("load", road, lanes)
    assert said not in " ".join(call("check", road)[1].split())


def test_a_sensor_that_reads_only_zero_is_left_out_as_its_refusal_says(call, tmp_path: Path) -> None:
    road, drops = tmp_path / "a.slab", tmp_path / "fwd.csv"
    drops.write_text(
        "Station,Lane,Position,Load (kN),D0 (um),D300 (um),D600 (um)\n"
        "1+00,NB1,mid-slab,40,100,80,0\n2+00,NB1,mid-slab,40,101,81,0\n"
    )
    call("new", road)
    assert "--map 'D600 (um)='" in refused(call("load", road, drops))
    assert call("load", road, drops, "--map", "D600 (um)=")[0] == 0


def test_a_corrected_file_takes_the_place_of_the_first_in_one_change(call, tmp_path: Path) -> None:
    road, file = tmp_path / "a.slab", tmp_path / "counts.csv"
    call("new", road)
    file.write_text("Year,AADT\n2020,120000\n2021,112000\n")
    assert "no file of this name" in refused(call("load", road, file, "--replace"))
    call("load", road, file)
    before = len(json.loads(call("history", road, "--json")[1])["changes"])
    file.write_text("Year,AADT\n2020,120000\n2021,122000\n")
    assert "given already in counts.csv, row 2" in refused(call("load", road, file))
    code, out, _ = call("load", road, file, "--replace")
    assert code == 0
    assert "in place of counts.csv" in out
    assert len(json.loads(call("history", road, "--json")[1])["changes"]) == before + 1
    with open_project(road, user="tester", clock=clock) as project:
        assert project.facts().counts["daily_traffic"].tolist() == [120000, 122000]
        project.undo()
        assert project.facts().counts["daily_traffic"].tolist() == [120000, 112000]
        project.redo()
    other = tmp_path / "newer.csv"
    other.write_text("Year,AADT\n2022,123000\n")
    assert call("load", road, other, "--in-place-of", "counts.csv")[0] == 0
    with open_project(road, user="tester", clock=clock) as project:
        assert [s.name for s in project.sources()] == ["newer.csv"]


def test_findings_are_one_line_a_rule_errors_first(call, tmp_path: Path) -> None:
    road, file = tmp_path / "a.slab", tmp_path / "day.csv"
    rows = "".join(f"{i}+00,NB1,9000,5,corner\n" * 2 for i in range(30))
    file.write_text("Station,Lane,Load (lbf),D1 (mils),Position\n" + rows + "40+00,NB1,9000,-5,corner\n")
    call("new", road)
    code, out, _ = call("load", road, file)
    told = [line for line in out.splitlines() if line.startswith("  ")]
    assert code == 2
    assert told[0].startswith("  error [out of bounds, deflection_1] in 1 row (62)")
    assert told[1].startswith("  warning [duplicate row] in 30 rows (3, 5, 7, 9, 11, …)")
    assert len(told) == 2
    each = [line for line in call("load", road, file, "--all")[1].splitlines() if "duplicate row" in line]
    assert len(each) == 21
    found = json.loads(call("load", road, file, "--json")[1])["files"][0]
    assert found["loaded"] is False
    assert "must lie within" in found["refusal"]
    rows = {r for f in found["tables"][0]["findings"] if f["rule"] == "duplicate row" for r in f["rows"]}
    assert rows == set(range(3, 62, 2))


def test_every_file_that_is_shipped_is_previewed_in_100_columns_and_loaded(call, tmp_path: Path) -> None:
    from slabwright.demo.field_files import write

    road = tmp_path / "a.slab"
    call("new", road)
    files = write(tmp_path / "files")
    assert len(files) == 15
    for number, file in enumerate(files):
        units = "us" if number % 2 else "metric"
        code, out, err = call("load", road, file, "--preview", "--units", units)
        assert code == 0, err
        lines = out.splitlines()
        tables = [line for line in lines if line.startswith(" ") and not line.startswith("  ")]
        assert "First rows" in out
        assert max(map(len, tables)) <= 100
        assert not any(len(n.partition(".")[2]) > 4 for n in re.findall(r"(?<![\w.])\d+\.\d+", "\n".join(tables)))
    code, out, err = call("load", road, *files, "--accept-findings", "--reject", "duplicate row")
    assert code == 0, err
    assert out.count("Loaded ") == 15


def test_check_says_what_run_refuses_and_what_contradicts(call, road: Path) -> None:
    with open_project(road, user="tester", clock=clock) as project:
        facts = project.facts()
        project.replace_table("layers", facts.layers.assign(year_built=float("nan")))
        project.replace_table("counts", facts.counts.assign(year=[2005.0, *facts.counts["year"][:-1]]))
    found = json.loads(call("check", road, "--json")[1])
    needs = {s["stage"]: s["needs"] for s in found["stages"]}
    assert "year of construction" in needs["evaluation"]
    assert "year of construction" in refused(call("run", road))
    assert found["contradictions"][0]["rule"] == "given twice"
    out = " ".join(call("check", road)[1].split())
    assert "contradict each other" in out
    assert "year of construction" in out


def test_check_speaks_in_the_units_asked_for(call, road: Path) -> None:
    us, metric = (call("check", road, "--units", units)[1] for units in ("us", "metric"))
    assert "170.0 ft" in us
    assert "51.82 m" in metric


def test_a_mapping_is_used_and_remembered(call, tmp_path: Path) -> None:
    road, first, second = tmp_path / "a.slab", tmp_path / "one.csv", tmp_path / "two.csv"
    first.write_text("Wann,Wieviel\n2020,120000\n")
    second.write_text("Wann,Wieviel\n2021,121000\n")
    call("new", road)
    refused(call("load", road, first))
    assert (
        call("load", road, first, "--table", "counts", "--map", "Wann=year", "--map", "Wieviel=daily_traffic")[0] == 0
    )
    assert call("load", road, second)[0] == 0
    assert json.loads(call("check", road, "--json")[1])["tables"]["counts"] == 2


def test_a_column_that_is_not_sure_is_asked_with_options_to_copy(call, tmp_path: Path) -> None:
    road, first, second = tmp_path / "a.slab", tmp_path / "one.csv", tmp_path / "two.csv"
    first.write_text("km,Strip,Position,Load (kN),D1 (um),Crew\n1.2,A1,corner,40,127,Ada\n1.3,A2,corner,41,130,Bo\n")
    second.write_text("km,Strip,Position,Load (kN),D1 (um),Crew\n2.2,A1,corner,40,127,Ada\n")
    call("new", road)
    code, _, err = call("load", road, first)
    assert code == 3
    assert "but for lane" in err
    (line,) = [line.strip() for line in err.splitlines() if "Strip=lane" in line]
    assert line.split("  ") == ["--map Strip=lane", "A1, A2"]
    option = shlex.split(line.split("  ")[0])
    assert call("load", road, first, *option)[0] == 0
    assert call("load", road, second)[0] == 0
    assert json.loads(call("check", road, "--json")[1])["tables"]["deflections"] == 3


def test_check_names_each_need_once_with_the_stages_that_it_holds_up(call, tmp_path: Path) -> None:
    road = tmp_path / "a.slab"
    call("new", road)
    needs = json.loads(call("check", road, "--json")[1])["needs"]
    sentences = [n["need"] for n in needs]
    assert len(sentences) == len(set(sentences))
    (layers,) = [n for n in needs if "'layers'" in n["need"]]
    assert layers["stages"] == ["survey", "evaluation", "repair", "design", "bond", "life", "economics"]
    (weather,) = [n for n in needs if "'weather'" in n["need"]]
    assert weather["stages"] == ["life"]
    plain = call("check", road)[1]
    assert plain.count("table 'layers'") == plain.count("table 'deflections'") == 1


def test_tests_without_a_position_wait_for_one_and_check_counts_those_that_have_none(call, tmp_path: Path) -> None:
    road, drops = tmp_path / "a.slab", tmp_path / "drops.csv"
    drops.write_text("km,Lane,Load (kN),D1 (um)\n1.2,A1,40,127\n1.3,A1,41,130\n")
    call("new", road)
    code, _, err = call("load", road, drops)
    assert code == 3
    assert "--position mid-slab" in err
    assert call("load", road, drops, "--position", "not known")[0] == 0
    assert "2 of 2 deflection tests have no position on the slab" in call("check", road)[1]
    assert json.loads(call("check", road, "--json")[1])["tests_without_position"] == 2
    drops.write_text("km,Lane,Load (kN),D1 (um)\n1.2,A1,40,127\n1.3,A1,41,131\n")
    assert call("load", road, drops, "--replace", "--position", "mid-slab")[0] == 0
    assert "no position on the slab" not in call("check", road)[1]
    counts = tmp_path / "counts.csv"
    counts.write_text("Year,AADT\n2020,45000\n")
    assert "none of the files is without one" in refused(call("load", road, counts, "--position", "corner"))


def test_a_heading_with_a_blank_and_a_quote_is_ready_to_copy(call, tmp_path: Path) -> None:
    road, file = tmp_path / "a.slab", tmp_path / "one.csv"
    file.write_text("km,Crew's strip,Position,Load (kN),D1 (um)\n1.2,A1,corner,40,127\n")
    call("new", road)
    line = next(line for line in call("load", road, file)[2].splitlines() if "--map" in line)
    assert call("load", road, file, *shlex.split(line.partition("=lane")[0] + "=lane'"))[0] == 0


def test_words_are_proposed_with_options_to_copy_and_kept_with_the_project(call, tmp_path: Path) -> None:
    road, first, second = tmp_path / "a.slab", tmp_path / "one.csv", tmp_path / "two.csv"
    first.write_text("km,lane,defect\n" + "".join(f"{1 + i / 1000},A1,LTC\n" for i in range(300)))
    second.write_text("km,lane,defect,sev\n2.2,A1,LTC,m\n")
    call("new", road)
    code, out, err = call("load", road, first)
    assert code == 2
    assert "word guessed" in err
    assert "--word 'LTC=longitudinal crack'" in out
    assert len([line for line in out.splitlines() if "LTC" in line]) <= 2
    assert call("load", road, first, "--word", "LTC=transverse crack")[0] == 0
    assert call("load", road, second)[0] == 0
    with open_project(road, user="tester", clock=clock) as project:
        assert set(project.facts().distresses["kind"]) == {"transverse crack"}
    third = tmp_path / "three.csv"
    third.write_text("km,lane,defect,note\n3.2,A1,LTC,\n")
    assert "stands in no column that knows this meaning" in refused(
        call("load", road, third, "--word", "LTC=earthquake")
    )
    assert "a word is given as" in refused(call("load", road, third, "--word", "LTC"))


def test_a_post_is_declared_and_a_weather_station_chosen(call, tmp_path: Path) -> None:
    road, drops, hours = tmp_path / "a.slab", tmp_path / "drops.csv", tmp_path / "airport.csv"
    drops.write_text("Station,Lane,Load (kN),D1 (um),Position\nMP 2.0,A1,40,127,corner\n")
    hours.write_text("Station,Date,Hour,Temp (C)\nAAA,2025-01-01,1,1\nBBB,2025-01-01,1,2\n")
    call("new", road)
    assert "reference of posts assumed" in refused(call("load", road, drops))
    assert call("load", road, drops, "--post", "MP 2=105+60")[0] == 0
    with open_project(road, user="tester", clock=clock) as project:
        assert project.facts().deflections["station"].tolist() == pytest.approx([10560 * 0.3048])
    code, _, err = call("load", road, hours)
    assert code == 3
    assert "--weather-station BBB" in err
    assert "not a whole year" in str(call("load", road, hours, "--weather-station", "BBB"))


def test_a_mapping_given_with_several_files_goes_to_those_that_have_the_heading(call, tmp_path: Path) -> None:
    road, lanes, counts = tmp_path / "a.slab", tmp_path / "lanes.csv", tmp_path / "counts.csv"
    lanes.write_text("Strip,Position,Width (m)\nA1,1,3.5\n")
    counts.write_text("Year,AADT\n2020,45000\n")
    call("new", road)
    assert call("load", road, lanes, counts, "--map", "Strip=lane")[0] == 0
    lanes.write_text("Strip,Position,Width (m)\nA1,1,3.5\nA2,2,3.5\n")
    counts.write_text("Year,AADT\n2021,46000\n")  # the same bytes again are set aside before anything is asked
    both = call("load", road, counts, lanes, "--map", "Strip=lane", "--map", "Nobody=lane")
    assert "none of the files has a heading of this name; given 'Nobody'" in refused(both)
    assert "counts.csv" not in both[2]  # no file is to blame
    assert "headings that the file does not have" in refused(call("load", road, lanes, "--map", "Nobody=lane"))


def test_doubts_wait_for_the_engineer(call, tmp_path: Path) -> None:
    road, file = tmp_path / "a.slab", tmp_path / "counts.csv"
    file.write_text("Year,AADT,Percent trucks (%)\n2020,120000,5\n2020,120000,5\n")
    call("new", road)
    assert "duplicate row" in refused(call("load", road, file))
    assert call("load", road, file, "--reject", "duplicate row")[0] == 0
    checked = json.loads(call("check", road, "--json")[1])
    assert checked["tables"]["counts"] == 1
    assert checked["findings"][0]["answer"] == "rejected"


def test_what_ctrl_c_leaves_is_told(call, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    road, loaded = tmp_path / "r.slab", []
    call("new", road)
    for name, year in (("a.csv", 2001), ("b.csv", 2002)):
        (tmp_path / name).write_text(f"year,aadt\n{year},1000\n")

    def stop(watch: Watch, name: str, rows: int, whole: int) -> None:
        loaded.append((name, rows, whole))
        if len(loaded) == 2:
            raise KeyboardInterrupt

    monkeypatch.setattr(Watch, "written", stop)
    code, _, err = call("load", road, tmp_path / "a.csv", tmp_path / "b.csv", "--table", "counts")
    assert (code, err) == (130, "slabwright: stopped: a.csv loaded whole, nothing of the other files.\n")
    assert loaded == [("a.csv", 1, 1), ("b.csv", 1, 1)]
    with open_project(road, user="Ben", clock=clock) as project:
        assert [source.name for source in project.sources()] == ["a.csv"]


def test_the_same_file_is_not_loaded_twice(call, tmp_path: Path) -> None:
    road, file = tmp_path / "a.slab", tmp_path / "counts.csv"
    file.write_text("Year,AADT\n2020,120000\n")
    call("new", road)
    assert call("load", road, file)[0] == 0
    code, out, err = call("load", road, file)
    assert (code, err) == (0, "")
    assert "counts.csv: already loaded by" in out


def test_a_batch_run_again_loads_what_is_new_and_says_the_rest_apart(call, tmp_path: Path) -> None:
    road, old, new, bad = tmp_path / "a.slab", tmp_path / "old.csv", tmp_path / "new.csv", tmp_path / "bad.csv"
    old.write_text("Year,AADT\n2020,120000\n")
    new.write_text("Year,AADT\n2021,121000\n")
    bad.write_text("Year,AADT\n2021,-5\n")
    call("new", road)
    call("load", road, old)
    code, out, _ = call("load", road, old, new)
    assert code == 0
    assert "old.csv: already loaded by" in out
    assert "Loaded new.csv: 1 rows of counts." in out
    said = refused(call("load", road, old, new, bad))
    assert "1 of 1 files cannot be loaded" not in said
    assert "bad.csv" in said
    assert "old.csv" not in said
    files = json.loads(call("load", road, old, bad, "--json")[1])["files"]
    assert [(f["file"], f["already_loaded"]) for f in files] == [("old.csv", True), ("bad.csv", False)]


def test_the_same_bytes_are_loaded_anew_with_other_answers(call, tmp_path: Path) -> None:
    road, file = tmp_path / "a.slab", tmp_path / "counts.csv"
    file.write_text("Year,AADT,Other way\n2020,120000,90000\n")
    call("new", road)
    call("load", road, file)
    answers = ("--map", "AADT=", "--map", "Other way=daily_traffic")
    assert "--replace" in refused(call("load", road, file, *answers))
    code, out, _ = call("load", road, file, "--replace", *answers)
    assert (code, "in place of counts.csv" in out) == (0, True)
    with open_project(road, user="Ben", clock=clock) as project:
        assert project.facts().counts["daily_traffic"].tolist() == [90000.0]


def test_an_existing_file_is_never_overwritten_by_new(call, road: Path) -> None:
    before = road.read_bytes()
    refused(call("new", road))
    assert road.read_bytes() == before


def test_documents(call, road: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    assert call("report", road, "-o", tmp_path / "report.pdf")[0] == 0
    assert (tmp_path / "report.pdf").read_bytes().startswith(b"%PDF")
    assert [p.name for p in tmp_path.glob("report*.pdf")] == ["report.pdf"]
    assert call("report", road, "-o", tmp_path / "both.pdf", "--with-appendix", "--engineer", "R. Oak")[0] == 0
    both, appendix = (pypdf.PdfReader(tmp_path / name) for name in ("both.pdf", "both-appendix.pdf"))
    assert (both.metadata.author, appendix.metadata.author) == ("R. Oak", "R. Oak")
    assert "Every repair" not in "".join(page.extract_text() for page in both.pages)
    assert "Every repair" in "".join(page.extract_text() for page in appendix.pages)
    assert call("export", road, "--xlsx", "--gpkg", "--dxf", "-o", out)[0] == 0
    assert {f.name for f in out.iterdir()} == {"quantities.xlsx", "road.gpkg", "repairs.dxf"}
    refused(call("export", road, "-o", out))
    refused(call("report", road, "-o", tmp_path / "nowhere" / "report.pdf"))


def test_help_names_every_command(call) -> None:
    _, out, _ = call("--help")
    for command in (
        "new",
        "load",
        "unload",
        "check",
        "run",
        "show",
        "compare",
        "decide",
        "report",
        "export",
        "history",
        "undo",
        "redo",
        "calc",
    ):
        assert command in out


def test_start_imports_nothing_heavy() -> None:
    """What makes starting slow: none of it may be imported before a command needs it."""
    heavy = {"numpy", "scipy", "pandas", "sqlalchemy", "matplotlib", "geopandas", "pint", "typst"}
    script = "import sys, slabwright, slabwright.cli.app; print(' '.join(sorted(set(sys.modules))))"
    loaded = subprocess.run([sys.executable, "-c", script], check=True, capture_output=True, text=True).stdout.split()
    assert not heavy & {name.partition(".")[0] for name in loaded}


def test_a_closed_pipe_is_no_defect(road: Path) -> None:
    command = f"{sys.executable} -c 'from slabwright.cli import main; main()' show {road} survey --all --json | head -1"
    done = subprocess.run(["bash", "-c", command], capture_output=True, text=True, check=False)
    assert "Traceback" not in done.stderr


def test_an_old_name_of_a_decision_is_understood(call, road: Path) -> None:
    code, out, _ = call("decide", road, "overlay.thickness=4 in")
    assert code == 0
    assert "design.thickness = 4.00 in (once called overlay.thickness)" in out
    assert "given twice" in refused(call("decide", road, "overlay.thickness=4 in", "design.thickness=5 in"))


@pytest.mark.parametrize("name", ["con.slab", "a.slab.slab", ".slab", "road.txt", "road"])
def test_a_project_has_a_name_that_every_computer_keeps(call, tmp_path: Path, name: str) -> None:
    code, _, said = call("new", tmp_path / name)
    assert code == 2
    assert ".slab" in said or "device" in said
    assert not list(tmp_path.iterdir())


def test_what_is_no_file_on_a_disk_is_refused_and_not_waited_for(road: Path, call, tmp_path: Path) -> None:
    """A pipe that nobody writes to and a device without end: each is a sentence, at once."""
    os.mkfifo(pipe := tmp_path / "drops.csv")
    for odd in (pipe, Path("/dev/zero")):
        assert "this is no file of bytes on a disk" in refused(call("load", road, odd))
