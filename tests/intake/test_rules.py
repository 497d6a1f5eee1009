"""Each rule of intake, broken once on purpose; and the same file unbroken, which breaks none."""

from __future__ import annotations

import datetime

import numpy as np
import pytest

from slabwright.errors import InputError
from slabwright.intake import RULES, resolve

from .conftest import drops, rules

HEAD = "Station,Lane,Load (lbf),D1 (mils)\n"


def named(found, rule: str) -> list[tuple[int | None, str]]:
    return [(f.row, f.column) for f in found.findings if f.rule == rule]


def test_a_clean_file_breaks_no_rule(reading) -> None:
    assert rules(reading(drops())) == set()


def test_every_rule_has_a_remedy() -> None:
    assert all(about.remedy.endswith(".") for about in RULES.values())


@pytest.mark.parametrize(
    ("row", "rule", "column"),
    [
        ("1+00,NB1,,5", "missing required", "load"),
        ("1+00,,9000,5", "missing required", "lane"),
        ("1+00,NB1,9o00,5", "unreadable number", "load"),
        ("xx,NB1,9000,5", "unreadable number", "station"),
        ("1+00,NB1,nan,5", "not finite", "load"),
        ("1+00,NB1,inf,5", "not finite", "load"),
        ("1+00,NB1,1e999,5", "not finite", "load"),
        ("1+00,NB1,=9000+1,5", "formula", "load"),
        ("1+00,NB1,@A1,5", "formula", "load"),
        ("1+00,NB1,+cmd,5", "formula", "load"),
        ("1+00,=1+1,9000,5", "formula kept as text", "lane"),
        ("1+00,NB1,900000,5", "out of bounds", "load"),
        ("1+00,NB1,9000,-5", "out of bounds", "deflection_1"),
        ("1+00,NB1,-9000,5", "negative load", "load"),
        ("1+00,NB1,9000 psi,5", "unit not understood", "load"),
        ("1+00,NB1,9000,5,6", "row too long", ""),
    ],
)
def test_single_cells(reading, row, rule, column) -> None:
    found = reading(HEAD + "0+00,NB1,9000,5\n" + row + "\n")
    assert (3, column) in named(found, rule)
    assert all(f.remedy and f.file == "day.csv" for f in found.findings)


def test_a_formula_in_a_text_stays_text(reading) -> None:
    assert reading(HEAD + "0+00,=1+1,9000,5\n").frame["lane"][0] == "=1+1"


def test_an_unknown_word(reading) -> None:
    found = reading("Station,Lane,Pos,Load (lbf),D1 (mils)\n1+00,NB1,J0,9000,5\n")
    assert named(found, "unknown word") == [(2, "position")]
    found = reading("From,To,Pavement,Slab (in)\n1+00,2+00,gremlin,10\n")
    assert named(found, "unknown word in a required column") == [(2, "pavement")]


def test_not_a_whole_number(reading) -> None:
    assert named(reading("Year,AADT\n2020.5,50000\n"), "not a whole number") == [(2, "year")]


def test_impossible_temperature(reading) -> None:
    found = reading("Station,Lane,Load (lbf),D1 (mils),Air temp (C)\n1+00,NB1,9000,5,250\n")
    assert named(found, "impossible temperature") == [(2, "air_temperature")]


@pytest.mark.parametrize("day", ["2025-02-30", "31/31/2025", "yesterday", "1066-10-14"])
def test_impossible_dates(reading, day) -> None:
    found = reading(f"Station,Lane,Load (lbf),D1 (mils),Test date\n1+00,NB1,9000,5,{day}\n")
    assert named(found, "impossible date") == [(2, "date")]


@pytest.mark.parametrize(
    ("day", "iso"),
    [
        ("2025-06-04", "2025-06-04"),
        ("2025/6/4".replace("/6/4", "/06/04"), "2025-06-04"),
        ("25/06/2025", "2025-06-25"),
        ("6/25/2025", "2025-06-25"),
        ("4-Jun-2025", "2025-06-04"),
        ("2025-06-04 13:30", "2025-06-04"),
    ],
)
def test_dates(reading, day, iso) -> None:
    found = reading(f"Station,Lane,Load (lbf),D1 (mils),Test date\n1+00,NB1,9000,5,{day}\n")
    assert found.frame["date"][0] == iso
    assert rules(found) == set()


def test_a_date_that_can_be_read_two_ways(reading) -> None:
    text = "Station,Lane,Load (lbf),D1 (mils),Test date\n1+00,NB1,9000,5,04/06/2025\n"
    assert reading(text).frame["date"][0] == "2025-04-06"
    assert reading(text, system="metric").frame["date"][0] == "2025-06-04"
    assert "date order assumed" in rules(reading(text))


def test_a_future_date_needs_to_know_today(reading) -> None:
    text = "Station,Lane,Load (lbf),D1 (mils),Test date\n1+00,NB1,9000,5,2031-01-01\n"
    assert named(reading(text, today=datetime.date(2026, 11, 25)), "future date") == [(2, "date")]
    assert rules(reading(text)) == set()


def test_duplicate_rows_and_drops(reading) -> None:
    text = drops()
    assert named(reading(text + text.splitlines()[4] + "\n"), "duplicate row") == [(38, "")]
    cells = text.splitlines()[4].split(",")
    cells[5] = "5.1"
    found = reading(text + ",".join(cells) + "\n")
    assert named(found, "duplicate drop") == [(38, "")]
    assert named(found, "duplicate row") == []


def test_begins_after_it_ends(reading) -> None:
    found = reading("From,To,Pavement type,Slab thickness (in)\n9+00,0+00,JPCP,10\n")
    assert named(found, "begins after it ends") == [(2, "begin, end")]


def test_a_station_out_of_order_and_outside_the_road(reading) -> None:
    lines = [f"{i}+00,NB1,9000,5.{i:02d}" for i in range(40)]
    lines[20] = "2+00,NB1,9000,5.5"
    found = reading(HEAD + "\n".join(lines) + "\n", road=(0.0, 38 * 30.48))
    assert named(found, "station out of order") == [(22, "station")]
    assert named(found, "outside the road") == [(41, "station")]


def test_turning_round_is_no_break_of_order(reading) -> None:
    lines = [
        f"{i}+00,{lane},9000,5.{i:02d}"
        for lane in ("NB1", "SB1")
        for i in (range(20) if lane == "NB1" else range(19, -1, -1))
    ]
    assert rules(reading(HEAD + "\n".join(lines) + "\n")) == set()


@pytest.mark.parametrize(
    ("said", "scale", "meant"),
    [("mils", 25.4, "um"), ("um", 1.0, "mil"), ("mm", 25.4, "um")],
)
def test_deflections_that_look_like_another_unit(reading, said, scale, meant) -> None:
    """Readings of 4 to 7 mil, written in ``meant`` under a heading that says ``said``."""
    found = reading(drops(unit=said, scale=scale))
    assert any(
        f.rule == "looks like another unit" and f"looks like {meant} read as {said.removesuffix('s')}" in f.message
        for f in found.findings
    )


@pytest.mark.parametrize(
    ("said", "factor", "meant"),
    [("kip", 4.4482216 / 1000, "kN"), ("kN", 1 / 1000, "kip"), ("N", 1.0, "lbf"), ("lbf", 4.4482216, "N")],
)
def test_loads_that_look_like_another_unit(reading, said, factor, meant) -> None:
    found = reading(drops(load_unit=said, load_scale=factor))
    assert any(
        f.rule == "looks like another unit" and f"looks like {meant} read as {said}" in f.message
        for f in found.findings
    )


@pytest.mark.parametrize(
    ("heading", "values"), [("Compressive strength (psi)", "34,36"), ("Compressive strength (MPa)", "5000,5200")]
)
def test_strengths_that_look_like_another_unit(reading, heading, values) -> None:
    one, two = values.split(",")
    found = reading(f"Station,Lane,Core No,{heading}\n1+00,NB1,1,{one}\n2+00,NB1,2,{two}\n")
    assert named(found, "looks like another unit") == [(2, "compressive_strength")]


def test_mixed_units_in_a_column(reading) -> None:
    found = reading("Station,Lane,Load (lbf),D1 (mils)\n1+00,NB1,9000,5\n2+00,NB1,40 kN,5\n")
    assert named(found, "mixed units") == [(3, "load")]
    assert found.frame["load"][1] == pytest.approx(40e3)


def test_a_basin_that_rises_outward(reading) -> None:
    def rise(basin: np.ndarray) -> np.ndarray:
        basin[7, 3] = basin[7, 2] * 1.2
        return basin

    assert named(reading(drops(basins=rise)), "basin rises outward") == [(9, "")]


def test_swapped_sensors(reading) -> None:
    found = reading(drops(basins=lambda b: b[:, [0, 1, 3, 2, 4]]))
    assert [f.column for f in found.findings if f.rule == "swapped sensors"] == ["deflection_3, deflection_4"]
    assert "basin rises outward" not in rules(found)
    assert "faulty sensor" not in rules(found)


@pytest.mark.parametrize("factor", [0.5, 1.8])
def test_a_sensor_far_from_the_smooth_basin(reading, factor) -> None:
    def spoil(basin: np.ndarray) -> np.ndarray:
        basin[:, 2] *= factor
        return basin

    found = reading(drops(basins=spoil))
    assert [f.column for f in found.findings if f.rule == "faulty sensor"] == ["deflection_3"]


@pytest.mark.parametrize("value", [0.0, 1.2])
def test_a_dead_or_stuck_sensor(reading, value) -> None:
    def stick(basin: np.ndarray) -> np.ndarray:
        basin[9:24, 3] = value
        return basin

    found = reading(drops(basins=stick))
    assert named(found, "faulty sensor") == [(11, "deflection_4")]
    at = next(i for i, f in enumerate(found.findings) if f.rule == "faulty sensor")
    assert found.source_rows[found.suspicious[at].rows].tolist() == list(range(11, 26))


def test_a_sensor_that_reads_only_zero_stops_the_load(reading) -> None:
    """Whatever was accepted, a basin without a deflection is none; its column can be left out."""

    def dead(basin: np.ndarray) -> np.ndarray:
        basin[:, 3] = 0.0
        return basin

    found = reading(drops(2, basins=dead))
    told = [f for f in found.findings if f.weight == "error"]
    assert [(f.rule, f.row, f.column) for f in told] == [
        ("sensor reads only zero", row, "deflection_4") for row in range(2, 8)
    ]
    assert "sensor 4" in told[0].message
    with pytest.raises(InputError, match="sensor 4 reads zero"):
        resolve(found, accept=True)
    without = reading(drops(2, basins=dead), mapping={"D4 (mils)": None, "R4 (in)": None})
    assert resolve(without, accept=True).frame["deflection_4"].isna().all()


def test_a_sensor_of_one_drop_that_reads_zero_can_be_rejected(reading) -> None:
    def dead(basin: np.ndarray) -> np.ndarray:
        basin[:, 3] = 0.0
        return basin

    text = "".join(drops(1, basins=dead).splitlines(keepends=True)[:2])
    found = reading(text)
    assert named(found, "faulty sensor") == [(2, "deflection_4")]
    assert resolve(found, accept=True, reject=("faulty sensor",)).frame["deflection_4"].isna().all()


def test_a_drop_under_which_nothing_moved_is_left_out(reading) -> None:
    def missed(basin: np.ndarray) -> np.ndarray:
        basin[[4, 7]] = 0.0
        return basin

    found = reading(drops(basins=missed))
    assert [f.row for f in found.findings if f.rule == "drop without deflection"] == [6, 9]
    left = resolve(found, accept=True)
    assert len(left.frame) == 34
    assert (left.frame["deflection_1"] > 0).all()


def test_a_load_off_its_drop_height(reading) -> None:
    def spoil(load: np.ndarray) -> np.ndarray:
        load[4] = 13000
        return load

    assert named(reading(drops(loads=spoil)), "load off its drop height") == [(6, "load")]


def test_drops_that_are_not_linear(reading) -> None:
    def spoil(basin: np.ndarray) -> np.ndarray:
        basin[5] *= 1.6
        return basin

    found = reading(drops(basins=spoil))
    at = next(i for i, f in enumerate(found.findings) if f.rule == "non-linear drops")
    assert found.source_rows[found.suspicious[at].rows].tolist() == [5, 6, 7]


def test_shares_that_do_not_add_up(reading) -> None:
    assert rules(reading("Truck class,Share (%)\n5,30\n9,70\n")) == set()
    assert rules(reading("Truck class,Share (%)\n5,30\n9,50\n")) == {"shares do not add up"}


def test_a_mean_that_is_not_the_mean(reading) -> None:
    head = "visit_date,run,iri_left_m_per_km,iri_right_m_per_km,mean_iri_m_per_km\n"
    assert rules(reading(head + "2001-05-01,1,1.0,1.2,1.1\n")) == set()
    assert named(reading(head + "2001-05-01,1,1.0,1.2,1.3\n"), "mean is not the mean") == [(2, "mean_iri")]


def test_numbers_are_told_as_a_person_writes_them(reading) -> None:
    found = reading("Station,Lane,Load (lbf),D1\n1+00,NB1,9000,1e308\n")
    assert all(len(str(f)) < 250 for f in found.findings)
    assert "half of deflection_1 then exceeds 1e308 mil" in " ".join(f.message for f in found.findings)
    found = reading("from,to,pavement,thickness (in),year\n0+00,10+00,JPCP,9,2500\n")
    (told,) = [f for f in found.findings if f.weight == "error"]
    assert (told.message, told.value) == ("year of construction must lie within 1900 to 2100", "2500")


def test_many_broken_rows_are_summed_up_but_all_kept(reading) -> None:
    found = reading(HEAD + "".join(f"{i}+00,NB1,-9000,5\n" for i in range(100)))
    told = [i for i, f in enumerate(found.findings) if f.rule == "negative load"]
    assert len(told) == 21
    assert "79 more rows" in found.findings[told[-1]].message
    assert sorted(np.concatenate([found.suspicious[i].rows for i in told])) == list(range(100))


def test_sensors_of_which_nobody_says_where_they_stood(reading) -> None:
    rows = "1+00,NB1,9000,5,4,3\n2+00,NB1,9000,5,4,3\n"
    found = reading("Station,Lane,Load (lbf),D1 (mils),D2 (mils),D3 (mils)\n" + rows)
    (finding,) = [f for f in found.findings if f.rule == "sensors without distance"]
    assert (finding.weight, finding.row) == ("warning", 2)
    assert "sensors 2, 3" in finding.message
    for head in ("D0 (mils),D12 (mils),D24 (mils)", "D1 (mils)"):
        right = reading(f"Station,Lane,Load (lbf),{head}\n" + (rows if "," in head else rows.replace(",4,3", "")))
        assert rules(right) == set()


def test_ends_in_two_units_are_told_as_they_were_read(reading) -> None:
    """3+200 counts 3,200 m and 84+00 counts 8,400 ft, which are 2,560.32 m by the definition of the foot."""
    found = reading("Road name,Stationing,Begin station,End station\nHollow Street,metres,3+200,84+00\n")
    (finding,) = [f for f in found.findings if f.rule == "begins after it ends"]
    assert "read as 3,200.0 m (10,499 ft)" in finding.message
    assert "read as 2,560.3 m (8,400 ft)" in finding.message
    assert "in one unit" in finding.remedy
