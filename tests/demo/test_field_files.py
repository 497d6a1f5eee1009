"""What is in the field files: how much, written how, with which faults planted, and only those."""

import zipfile

import numpy as np
import pandas as pd
import pytest

from slabwright.demo import __main__ as command
from slabwright.demo.field_files import write
from slabwright.demo.truth import TRUTH
from slabwright.errors import InputError
from slabwright.units import FOOT, MIL

from .conftest import feet

MID, CORNER = "mid-slab", "corner"
WEAK, VOIDS, DURABILITY, CONTINUOUS = 1, 2, 3, 4


def stretch_of(station_feet):
    return TRUTH.index_at(np.asarray(station_feet) * FOOT)


def test_same_seed_same_bytes_and_another_seed_other_readings(folder, tmp_path):
    again = {p.name: p.read_bytes() for p in write(tmp_path / "again")}
    assert again == {p.name: p.read_bytes() for p in folder.iterdir()}
    other = {p.name: p.read_bytes() for p in write(tmp_path / "other", seed=7)}
    changed = {name for name in again if again[name] != other[name]}
    assert changed == {
        "cores.xlsx",
        "deflections_northbound.csv",
        "deflections_southbound.csv",
        "distress_northbound.csv",
        "distress_southbound.csv",
        "traffic_counts.csv",
        "weather.epw",
    }


def test_workbook_carries_the_day_of_the_cores_and_not_the_clock(folder):
    with zipfile.ZipFile(folder / "cores.xlsx") as book:
        assert b"2025-05-06T00:00:00Z</dcterms:created>" in book.read("docProps/core.xml")
        assert {entry.date_time[:3] for entry in book.infolist()} == {(1980, 1, 1)}


def test_as_many_points_cores_and_records_as_stated(road):
    points = road.drops.groupby("point")["position"].first()
    # Odd numbers of joints in a stretch begin with an approach: 6 + 4 + 5 + 4 of 11 + 8 + 9 + 7 each way.
    assert points.value_counts().to_dict() == {MID: 150, "joint approach": 38, "joint leave": 32, CORNER: 30}
    assert len(road.cores) == 40
    assert len(road.distress_northbound) + len(road.distress_southbound) == 600


def test_each_point_has_three_or_four_drops_near_the_set_loads(road):
    drops = road.drops
    assert set(drops.groupby("point").size()) == {3, 4}
    # Scatter of the load is 2 %; 4 standard deviations.
    target = drops["drop"].map({1: 6000, 2: 9000, 3: 12000, 4: 16000})
    assert np.allclose(drops["load"], target, rtol=0.08)
    assert (drops["load"] / target - 1).std() == pytest.approx(0.02, rel=0.15)


def test_every_station_is_written_in_feet_and_lies_on_the_road(road):
    for table, column in [
        (road.deflections_northbound, "Station"),
        (road.deflections_southbound, "Stationing"),
        (road.distress_northbound, "Station"),
        (road.distress_southbound, "Location"),
        (road.cores, "Station"),
        (road.alignment, "Station"),
        (road.ramps, "Sta"),
    ]:
        assert feet(table[column]).between(10_000, 20_600).all()


def test_the_two_crews_drove_opposite_ways(road):
    first = road.drops.groupby("point")["feet"].first()
    assert first[first.index.str.startswith("N")].is_monotonic_increasing
    assert first[first.index.str.startswith("S")].is_monotonic_decreasing


def test_one_sensor_is_stuck_for_one_day_and_no_other(road):
    bad = TRUTH.bad_sensor
    day = road.drops["date"] == bad.date
    assert road.drops[day]["point"].nunique() == 15
    stuck = road.drops[f"d{bad.sensor}"] == bad.reading / MIL
    assert stuck[day].all()
    assert stuck[~day].mean() < 0.02
    assert (road.drops["d5"] < road.drops["d6"])[day & (road.drops["drop"] == 3)].all()


def test_one_point_is_written_twice(road):
    twice = road.deflections_northbound[road.deflections_northbound.duplicated()]
    assert set(twice["Point ID"]) == {TRUTH.duplicated_point}
    assert len(twice) == (road.drops["point"] == TRUTH.duplicated_point).sum()
    assert not road.deflections_southbound.duplicated().any()


def test_beyond_the_joint_stands_the_sensor_of_that_test(road):
    first = road.drops[road.drops["drop"] == 3]
    near, far = first["d3"], first["d8"]
    weak = stretch_of(first["feet"]) == WEAK
    assert (near < 0.75 * far)[weak & (first["position"] == "joint approach")].all()
    assert (far < 0.75 * near)[weak & (first["position"] == "joint leave")].all()


def test_cores_are_tested_one_way_each_and_one_fell_in_two(road):
    cores = road.cores
    compressed, split = cores["Compressive strength (psi)"].notna(), cores["Split tensile (psi)"].notna()
    parted = cores["Delamination depth (in)"].notna()
    assert (compressed.astype(int) + split + parted == 1).all()
    assert list(cores["Core No"][parted]) == [TRUTH.delaminated_core]
    assert split.sum() == 10
    ratio = cores["Trimmed length (in)"] / cores["Core diameter (in)"]
    assert ratio[compressed].between(1.0, 2.0).all()


def test_durability_cracking_stays_in_its_stretch(road):
    ill = road.cores["Petrography"] == "durability cracking"
    assert set(stretch_of(feet(road.cores["Station"]))[ill]) == {DURABILITY}
    assert ill.sum() == 5
    for table, column, kind in [
        (road.distress_northbound, "Station", "Distress"),
        (road.distress_southbound, "Location", "Distress type"),
    ]:
        cracked = table[table[kind] == "durability cracking"]
        assert len(cracked) > 15
        assert set(stretch_of(feet(cracked[column]))) == {DURABILITY}


def records(road) -> pd.DataFrame:
    """Both distress files as one: stretch, kind, severity; opening, faulting and spalling in mm."""
    north, south = road.distress_northbound, road.distress_southbound
    return pd.concat([
        pd.DataFrame({
            "feet": feet(north["Station"]),
            "kind": north["Distress"],
            "severity": north["Severity"],
            "opening": north["Crack width (in)"] * 25.4,
            "fault": north["Faulting (in)"] * 25.4,
            "spall": north["Spall width (in)"] * 25.4,
        }),
        pd.DataFrame({
            "feet": feet(south["Location"]),
            "kind": south["Distress type"],
            "severity": south["Level"],
            "opening": south["Crack opening (mm)"],
            "fault": south["Fault (mm)"],
            "spall": south["Spalling (mm)"],
        }),
    ]).assign(stretch=lambda t: stretch_of(t["feet"]))


def test_weak_support_is_cracked_more_and_punchouts_are_continuous_only(road):
    table = records(road)
    length = np.array([(s.end - s.begin) / FOOT for s in TRUTH.stretches])
    for kind in ("transverse crack", "corner break"):
        density = np.bincount(table["stretch"][table["kind"] == kind], minlength=5) / length
        assert density[WEAK] > 1.5 * np.delete(density, WEAK).max()
    assert set(table["stretch"][table["kind"] == "punchout"]) == {CONTINUOUS}


def rated_by(table: pd.DataFrame, kind: str, measure: str, limits: list[float]) -> None:
    """Each record of the kind has the measurement, near two in five lack a severity, and the others agree with it."""
    records = table[table["kind"] == kind]
    assert records[measure].notna().all()
    assert records["severity"].isna().mean() == pytest.approx(0.4, abs=0.13)
    rated = records.dropna(subset="severity")
    levels = pd.cut(rated[measure], limits, labels=["low", "moderate", "high"])
    assert list(levels) == list(rated["severity"])


def test_severities_agree_with_the_measurements_or_are_left_to_them(road):
    # Limits in mm between low, moderate and high: federal distress manual, from memory.
    rated_by(records(road), "transverse crack", "opening", [0, 3, 6, np.inf])
    rated_by(records(road), "corner break", "fault", [-1, 0, 13, np.inf])
    rated_by(records(road), "joint spalling", "spall", [0, 75, 150, np.inf])


def test_traffic_stays_between_its_bounds_and_shares_sum_to_the_whole(road):
    counts = road.traffic_counts
    assert list(counts["Year"]) == list(range(2005, 2026))
    assert counts["AADT"].between(109_000, 131_000).all()
    assert counts["Percent trucks (%)"].between(3.5, 4.5).all()
    assert road.truck_classes["Share (%)"].sum() == pytest.approx(100)


def test_axles_per_thousand_trucks_are_the_published_spectrum(road):
    # Packard 1984, Table 15, category 3 (from memory): column sums of the printed axles per 1,000 trucks.
    sums = road.axle_spectrum.groupby("Axle type")["Axles per 1000 trucks"].sum()
    assert sums["single"] == pytest.approx(
        182.02 + 47.73 + 31.82 + 25.15 + 16.33 + 7.85 + 5.21 + 1.78 + 0.85 + 0.45, abs=0.001
    )
    assert sums["tandem"] == pytest.approx(
        99.34 + 85.94 + 72.54 + 121.22 + 103.63 + 56.25 + 21.31 + 8.01 + 2.91 + 1.19, abs=0.001
    )


def test_alignment_is_as_long_as_its_stationing(road):
    x, y = road.alignment["Easting (m)"], road.alignment["Northing (m)"]
    chord = np.hypot(np.diff(x), np.diff(y))
    # A 60.96-m arc of a 4,000-m circle is 0.6 mm longer than its chord; coordinates are written to the centimetre.
    assert np.allclose(chord, 200 * 0.3048, atol=0.012)


@pytest.mark.parametrize("seed", [-1, 1.5, True, "1988"])
def test_a_seed_that_is_none_is_refused(tmp_path, seed):
    with pytest.raises(InputError, match="seed must be a whole number"):
        write(tmp_path / "new", seed=seed)
    assert not (tmp_path / "new").exists()


def test_nothing_is_written_over(tmp_path):
    mine = tmp_path / "road.csv"
    mine.write_text("my own road\n")
    with pytest.raises(InputError, match="already holds other files"):
        write(tmp_path)
    assert [p.name for p in tmp_path.iterdir()] == ["road.csv"]
    assert mine.read_text() == "my own road\n"


def test_command_writes_and_names_the_files(tmp_path, capsys):
    assert command.main([str(tmp_path / "road")]) == 0
    named = capsys.readouterr().out.splitlines()
    assert len(named) == 15
    assert sorted(named) == sorted(str(p) for p in (tmp_path / "road").iterdir())
    assert command.main([str(tmp_path / "road")]) == 0


def test_command_refuses_in_one_sentence(tmp_path, capsys):
    (tmp_path / "file").write_text("")
    assert command.main([str(tmp_path / "file")]) == 2
    assert "cannot be written here" in capsys.readouterr().err
