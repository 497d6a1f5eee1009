"""The federal bonded-overlay files, as extracted. Expected numbers are counted from the files by the csv module alone."""

from __future__ import annotations

import csv
import runpy
import shutil
import subprocess
import sys
from collections import Counter, defaultdict
from datetime import date
from pathlib import Path

import pytest

from slabwright.errors import InputError
from slabwright.intake import read, resolve

from .conftest import DATA

EXAMPLE = Path(__file__).parents[2] / "examples" / "federal_traffic.py"
TRAFFIC = "fed_ltpp_bonded_overlay_traffic_by_year.csv"


def rows_of(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(newline="") as stream:
        return list(csv.DictReader(stream))


@pytest.mark.parametrize(
    ("name", "table"),
    [
        ("sections_events", "events"),
        ("iri_runs", "ride_runs"),
        ("traffic_by_year", "loadings"),
        ("climate_by_year", "climate"),
    ],
)
def test_each_file_loads_as_it_is(name, table) -> None:
    (found,) = read(DATA / f"fed_ltpp_bonded_overlay_{name}.csv")
    raw = rows_of(f"fed_ltpp_bonded_overlay_{name}.csv")
    assert found.table == table
    assert found.unmapped == ()
    assert len(found.frame) == len(raw)
    assert not [f for f in found.findings if f.weight == "error"]
    assert found.frame["section"].tolist() == [r["section"] for r in raw]  # leading zeros kept
    assert len(resolve(found, accept=True).frame) == len(raw)


def test_units_of_the_federal_headings() -> None:
    (ride,) = read(DATA / "fed_ltpp_bonded_overlay_iri_runs.csv")
    (frost,) = read(DATA / "fed_ltpp_bonded_overlay_climate_by_year.csv")
    assert ride.frame["iri_left"][0] == pytest.approx(1.117e-3)
    assert frost.frame.loc[0, ["mean_annual_temperature", "freezing_index"]].tolist() == pytest.approx([9.0, 690])


def test_impossible_loading_per_truck_is_named() -> None:
    """Row 41 (0701, 1996) divides a whole year's axles by part of a year's trucks; first years do the reverse."""
    (found,) = read(DATA / TRAFFIC)
    named = {
        int(found.source_rows[r])
        for f, c in zip(found.findings, found.suspicious, strict=True)
        if f.rule == "equivalent axles per truck" and "annual_esal" in c.columns
        for r in c.rows
    }
    ratio = [float(r["esal_per_truck"]) for r in rows_of(TRAFFIC)]
    assert named == {i for i, value in enumerate(ratio, start=2) if value < 0.5 or value > 1.6}
    assert 41 in named


def test_repeated_construction_numbers_are_named() -> None:
    (found,) = read(DATA / TRAFFIC)
    seen = Counter((r["state_code"], r["section"], r["year"]) for r in rows_of(TRAFFIC))
    cells = [
        c for f, c in zip(found.findings, found.suspicious, strict=True) if f.rule == "repeated construction number"
    ]
    assert sum(len(c.rows) for c in cells) == sum(n - 1 for n in seen.values())
    left = resolve(found, accept=True, reject=("repeated construction number",)).frame
    assert len(left) == len(seen)


def expected_loading() -> dict[tuple[str, str], tuple[float, float]]:
    """Before and since, in millions, by plain loops over the csv rows."""
    overlay = {
        (r["state_code"], r["section"]): date.fromisoformat(r["event_date"])
        for r in rows_of("fed_ltpp_bonded_overlay_sections_events.csv")
        if "Portland Cement Concrete Overlay" in r["events"]
    }
    sums: dict[tuple[str, str], list[float]] = defaultdict(lambda: [0.0, 0.0])
    for row in rows_of(TRAFFIC):
        if row["construction_no"] == "1":
            place, start = (row["state_code"], row["section"]), date(int(row["year"]), 1, 1)
            days = (date(start.year + 1, 1, 1) - start).days
            share = min(max((overlay.get(place, date.max) - start).days / days, 0), 1)
            sums[place][0] += float(row["annual_esal"]) * share / 1e6
            sums[place][1] += float(row["annual_esal"]) * (1 - share) / 1e6
    return {place: (before, since) for place, (before, since) in sums.items()}


def test_the_example_divides_the_loading_at_the_overlay() -> None:
    example = runpy.run_path(str(EXAMPLE))
    table = example["loading"](example["load"](DATA))
    found = {(r.state, r.section): (r.before, r.since) for r in table.itertuples()}
    expected = expected_loading()
    assert set(found) == set(expected)
    assert all(found[place] == pytest.approx(expected[place], rel=1e-9) for place in expected)
    assert set(table.loc[table["overlay"] == "none", "section"]) == {"0701", "0759"}


def test_the_example_as_a_command() -> None:
    done = subprocess.run([sys.executable, str(EXAMPLE), str(DATA)], capture_output=True, text=True, check=True)
    assert f"{TRAFFIC}, row 41: state 19, section 0701, construction 2, 1996: 1.956" in done.stdout
    refused = subprocess.run([sys.executable, str(EXAMPLE), "nowhere"], capture_output=True, text=True, check=False)
    assert refused.returncode == 2
    assert "no such folder" in refused.stderr
    assert "Traceback" not in refused.stderr


def test_the_example_takes_any_states_under_any_file_names(tmp_path: Path) -> None:
    """The same record with its files renamed, and one state moved to another code."""
    for number, path in enumerate(sorted(DATA.glob("*.csv"))):
        rows = path.read_text().splitlines()
        at = rows[0].split(",").index("state_code")
        moved = [[*c[:at], "55" if c[at] == "29" else c[at], *c[at + 1 :]] for c in (row.split(",") for row in rows)]
        (tmp_path / f"file{number}.csv").write_text("\n".join(",".join(c) for c in moved) + "\n")
    example = runpy.run_path(str(EXAMPLE))
    here, there = (
        example["loading"](example["load"](DATA), ("29",)),
        example["loading"](example["load"](tmp_path), ("55",)),
    )
    assert len(here) > 5
    assert here.drop(columns="state").equals(there.drop(columns="state"))
    with pytest.raises(InputError, match="allowed 19, 55"):
        example["loading"](example["load"](tmp_path), ("29",))
    next(tmp_path.glob("*.csv")).unlink()
    with pytest.raises(InputError, match="lacks a file"):
        example["load"](tmp_path)


def test_a_file_with_few_headings_of_a_table_is_no_file_of_it(tmp_path: Path) -> None:
    """Beside the four lies one of sections' condition, with state, section, year and freezing index among thirty headings."""
    for path in DATA.glob("fed_ltpp_bonded_overlay_*.csv"):
        shutil.copy(path, tmp_path)
    other = ",".join(["state_code", "section", "year", "freeze_index_degC_day", *(f"measure_{n}" for n in range(30))])
    (tmp_path / "a_condition.csv").write_text(
        other + "\n" + ",".join(["19", "0701", "1990", "690", *["1"] * 30]) + "\n"
    )
    load = runpy.run_path(str(EXAMPLE))["load"]
    assert sorted(load(tmp_path)) == ["climate", "events", "loadings", "ride_runs"]
