"""Headings, units and stations as crews write them; factors are exact by definition (1 mil = 25.4 um)."""

from __future__ import annotations

import numpy as np
import pytest

from slabwright.errors import InputError
from slabwright.intake.headings import fit, sensor_offsets
from slabwright.intake.questions import AnswerNeeded
from slabwright.records.facts import FACTS

from .conftest import rules

LEAST = "Station,Lane,{load},{d}\n1+00,NB1,{l},{v}\n2+00,NB1,{l},{v}\n"


@pytest.mark.parametrize(
    ("heading", "written", "newtons"),
    [
        ("Load (lbf)", "9000", 9000 * 4.4482216152605),
        ("load_kN", "40", 40e3),
        ("Load [kip]", "9", 9000 * 4.4482216152605),
        ("PEAK LOAD, lbs", "9000", 9000 * 4.4482216152605),
        ("Force {kN}", "40.5", 40.5e3),
        ("drop load pounds", "9000", 9000 * 4.4482216152605),
        ("Load (lbf)", "40 kN", 40e3),
        ("Load", "9.1 kip", 9100 * 4.4482216152605),
    ],
)
def test_load_headings_and_units(reading, heading, written, newtons) -> None:
    found = reading(LEAST.format(load=f'"{heading}"', d="D1 (mils)", l=written, v="5"))
    assert found.table == "deflections"
    assert found.frame["load"].to_numpy() == pytest.approx([newtons] * 2, rel=1e-12)


@pytest.mark.parametrize(
    ("heading", "written", "metres"),
    [
        ("D1 (mils)", "5", 127e-6),
        ("d1_um", "127", 127e-6),
        ("Sensor 1 (microns)", "127", 127e-6),
        ("Defl 1 [µm]", "127", 127e-6),
        ("deflection_1 (mm)", "0.127", 127e-6),
        ("DF1, thou", "5", 127e-6),
        ("D1 (in)", "0.005", 127e-6),
    ],
)
def test_deflection_headings_and_units(reading, heading, written, metres) -> None:
    found = reading(LEAST.format(load="load_lbf", d=f'"{heading}"', l="9000", v=written))
    assert found.frame["deflection_1"].to_numpy() == pytest.approx([metres] * 2, rel=1e-12)


@pytest.mark.parametrize(
    ("written", "metres"),
    [
        ("12+34.5", 1234.5 * 0.3048),
        ("1+234.5", 1234.5),
        ("1234.5 ft", 1234.5 * 0.3048),
        ("0.234 km", 234.0),
        ("2 mi", 3218.688),
        ("STA 12+34", 1234 * 0.3048),
        ("-0+50", -50 * 0.3048),
    ],
)
def test_stations(reading, written, metres) -> None:
    found = reading(f"Station,Lane,Load (lbf),D1 (mils)\n{written},NB1,9000,5\n")
    assert found.frame["station"][0] == pytest.approx(metres, rel=1e-12)
    assert "unit assumed" not in rules(found)


@pytest.mark.parametrize("heading", ["Betriebskm", "Betriebs-km", "Station Betriebskm", "Bau-km"])
def test_kilometres_of_a_road_say_their_own_unit(reading, heading) -> None:
    found = reading(f"{heading};Fahrstreifen;Schaden\n12,100;R3;Querriss\n12,250;R3;Querriss\n")
    assert found.frame["station"].tolist() == [12100.0, 12250.0]
    assert "unit assumed" not in rules(found)


@pytest.mark.parametrize(
    "heading", ["Rel. Feuchte (%)", "rel. Luftfeuchte [%]", "Luftfeuchtigkeit (%)", "Humidité rel. (%)"]
)
def test_relative_humidity_shortened(heading) -> None:
    (match,) = fit([heading], FACTS["weather"], {}, fuzzy=False).matches
    assert (match.column, match.unit) == ("relative_humidity", "%")


def test_bare_stations_take_the_unit_of_their_heading(reading) -> None:
    found = reading("Chainage (km),Lane,Load (lbf),D1 (mils)\n1.5,NB1,9000,5\n2,NB1,9000,5\n")
    assert found.frame["station"].tolist() == pytest.approx([1500, 2000])


@pytest.mark.parametrize(
    ("system", "load", "deflection"), [("us", 9000 * 4.4482216152605, 25.4e-6 * 5), ("metric", 9000e3, 5e-6)]
)
def test_units_stated_nowhere_come_from_the_system_with_a_doubt(reading, system, load, deflection) -> None:
    found = reading(LEAST.format(load="Load", d="D1", l="9000", v="5"), system=system)
    assert found.frame["load"][0] == pytest.approx(load)
    assert found.frame["deflection_1"][0] == pytest.approx(deflection)
    assumed = [f for f in found.findings if f.rule == "unit assumed"]
    assert {f.column for f in assumed} == {"load", "deflection_1"}
    assert all(f.weight == "warning" for f in assumed)


def test_units_option_states_what_the_file_does_not(reading) -> None:
    found = reading(LEAST.format(load="Load", d="D1", l="40", v="127"), units={"load": "kN", "D1": "microns"})
    assert found.frame.loc[0, ["load", "deflection_1"]].tolist() == pytest.approx([40e3, 127e-6])
    assert "unit assumed" not in rules(found)


def test_a_unit_of_another_quantity_is_refused(reading) -> None:
    with pytest.raises(InputError, match="does not suit"):
        reading(LEAST.format(load="Load", d="D1 (mil)", l="40", v="5"), units={"load": "mil"})


def test_a_unit_that_nobody_knows_is_an_error(reading) -> None:
    found = reading(LEAST.format(load="Load (stone)", d="D1 (mil)", l="640", v="5"))
    assert [(f.weight, f.column) for f in found.findings if f.rule == "unit not understood"] == [
        ("error", "Load (stone)")
    ]


def test_a_row_of_units_below_the_headings(reading) -> None:
    found = reading("Station,Lane,Load,D1,Air temp\nft,-,kN,um,C\n1+00,NB1,40,127,21\n")
    assert len(found.frame) == 1
    assert found.frame.loc[0, ["load", "deflection_1", "air_temperature"]].tolist() == pytest.approx([40e3, 127e-6, 21])
    assert found.source_rows.tolist() == [3]


def test_a_column_of_units(reading) -> None:
    found = reading("Station,Lane,Load,Load unit,D1 (mils)\n1+00,NB1,9000,lbf,5\n2+00,NB1,40,kN,5\n")
    assert found.frame["load"].tolist() == pytest.approx([9000 * 4.4482216152605, 40e3])
    assert "mixed units" in rules(found)


def test_load_as_pressure_under_the_plate(reading) -> None:
    """Federal drop levels: 570 kPa is 40 kN and 1000 kPa is 71 kN (LTPP); exactly, pressure times the plate's area."""
    found = reading(
        "Station,Lane,Drop load (kPa),Plate radius (mm),D1 (um)\n1+00,NB1,570,150,127\n2+00,NB1,1000,150,220\n"
    )
    assert found.frame["load"].tolist() == pytest.approx([570e3 * np.pi * 0.15**2, 1000e3 * np.pi * 0.15**2])
    assert found.frame["load"].tolist() == pytest.approx([40e3, 71e3], rel=0.01)
    assert rules(found) == set()
    bare = reading("Station,Lane,Drop load (kPa),D1 (um)\n1+00,NB1,570,127\n")
    assert bare.frame["load"][0] == pytest.approx(570e3 * np.pi * 0.15**2)
    assert rules(bare) == {"plate radius assumed"}


def test_fahrenheit_and_celsius(reading) -> None:
    found = reading("Station,Lane,Load (kN),D1 (um),Air Temp (F),Surface temperature (°C)\n1+00,NB1,40,127,50,20\n")
    assert found.frame.loc[0, ["air_temperature", "surface_temperature"]].tolist() == pytest.approx([10, 20])


def test_sensors_named_by_inches_with_one_behind_the_plate() -> None:
    offsets, columns, sure = sensor_offsets(["D0", "D8", "D12", "D18", "D24", "D36", "D60", "D-12"])
    assert offsets == pytest.approx([0, 0.2032, 0.3048, 0.4572, 0.6096, 0.9144, 1.524, -0.3048])
    assert columns["D-12"] == "deflection_8"
    assert sure


def test_sensors_named_by_millimetres_reach_the_table(reading) -> None:
    found = reading("Station,Lane,Load (kN),d0 (um),d203 (um),d305 (um)\n1+00,NB1,40,127,120,110\n")
    assert found.frame.loc[0, ["offset_1", "offset_2", "offset_3"]].tolist() == pytest.approx([0, 0.203, 0.305])
    assert found.frame.loc[0, "deflection_3"] == pytest.approx(110e-6)


@pytest.mark.parametrize("names", [["D1", "D2", "D3"], ["D7"], ["Station"]])
def test_sensor_numbers_are_not_distances(names) -> None:
    assert sensor_offsets(names) == ((), {}, True)


@pytest.mark.parametrize(
    ("word", "meant"),
    [
        ("center", "mid-slab"),
        ("Interior", "mid-slab"),
        ("Mid Slab", "mid-slab"),
        ("J1", "mid-slab"),
        ("C1", "mid-slab"),
        ("J4", "joint approach"),
        ("j5", "joint leave"),
        ("J2", "corner"),
        ("J3", "edge"),
        ("Joint Approach", "joint approach"),
    ],
)
def test_position_words_and_federal_codes(reading, word, meant) -> None:
    """Codes: fed_deflection_test_positions (LTPP)."""
    found = reading(f"Station,Lane,Pos,Load (lbf),D1 (mils)\n1+00,NB1,{word},9000,5\n")
    assert found.frame["position"][0] == meant


def test_pavement_severity_and_yes_no(reading) -> None:
    layers = reading(
        "From,To,Pavement type,Slab thickness (in),Dowels\n0+00,9+00,jointed plain,10,TRUE\n9+00,20+00,CRC,9,0\n"
    )
    assert layers.frame["pavement"].tolist() == ["JPCP", "CRCP"]
    assert layers.frame["dowelled"].tolist() == ["yes", "no"]
    found = reading(
        "Station,Lane,Distress,Sev\n1+00,NB1,transverse cracking,L\n2+00,NB1,Corner Break,M\n3+00,NB1,punchouts,H\n"
    )
    assert found.frame["severity"].tolist() == ["low", "moderate", "high"]
    assert found.frame["kind"].tolist() == ["transverse crack", "corner break", "punchout"]


def test_per_cent_headings_and_bare_ratios(reading) -> None:
    assert reading("Year,AADT,Percent trucks\n2020,50000,12\n").frame["truck_share"][0] == pytest.approx(0.12)
    ratio = reading("Year,AADT,Trucks\n2020,50000,0.12\n")
    assert ratio.frame["truck_share"][0] == pytest.approx(0.12)
    assert "unit assumed" in rules(ratio)


def test_a_misspelt_heading_is_guessed_with_a_doubt(reading) -> None:
    found = reading("Statoin,Lane,Load (lbf),D1 (mils)\n1+00,NB1,9000,5\n")
    match = next(m for m in found.mapping if m.column == "station")
    assert match.how == "fuzzy"
    assert match.confidence < 0.9
    assert "heading guessed" in rules(found)


def test_given_and_remembered_mappings(reading) -> None:
    text = "Where,Lane,Push (lbf),D1 (mils)\n1+00,NB1,9000,5\n"
    found = reading(text, mapping={"Where": "station", "Push (lbf)": "load"})
    assert {m.how for m in found.mapping} == {"given", "exact", "synonym"}
    assert found.frame["load"][0] == pytest.approx(9000 * 4.4482216152605)
    again = reading(text, mapping=found.mapping)
    assert {m.how for m in again.mapping} == {"remembered"}
    assert np.array_equal(again.frame["load"], found.frame["load"])


@pytest.mark.parametrize("mapping", [{"Where": "staton"}, {"Elsewhere": "station"}])
def test_a_mapping_that_names_nothing_is_refused(reading, mapping) -> None:
    with pytest.raises(InputError, match="the mapping names"):
        reading("Where,Station,Lane,Load (lbf),D1 (mils)\n1,1+00,NB1,9000,5\n", mapping=mapping)


def test_no_table_fits_lists_the_closest(reading) -> None:
    with pytest.raises(InputError, match=r"fit no table.*road: has name; lacks begin, end"):
        reading("Name,Colour\nOld Road,red\n")


def test_what_lacks_its_lane_alone_is_asked_for_it(reading) -> None:
    with pytest.raises(InputError, match=r"(?s)fit the table deflections .* but for lane.*--lane"):
        reading("Station,Load (lbf),D1 (mils),D2 (mils)\n1+00,9000,5,4\n")


def test_two_tables_that_fit_alike_are_refused(reading) -> None:
    with pytest.raises(InputError, match="more than one table"):
        reading("year,remark\n2020,x\n")
    assert reading("year,remark\n2020,x\n", table="climate").table == "climate"


def test_unused_headings_are_told(reading) -> None:
    found = reading("Station,Lane,Load (lbf),D1 (mils),Operator\n1+00,NB1,9000,5,AB\n")
    assert found.unmapped == ("Operator",)
    assert [f.column for f in found.findings if f.rule == "column not used"] == ["Operator"]


@pytest.mark.parametrize(
    ("table", "heading", "column"),
    [
        ("layers", "Base (mm)", "base_thickness"),
        ("layers", "Tragschicht (mm)", "base_thickness"),
        ("distresses", "Stufe (mm)", "faulting"),
    ],
)
def test_a_wording_with_its_unit_keeps_the_unit(table: str, heading: str, column: str) -> None:
    """A name that holds its unit was read as one without: millimetres were taken for inches on a road in feet."""
    (match,) = fit([heading], FACTS[table], {}, fuzzy=False).matches
    assert (match.column, match.unit) == (column, "mm")


@pytest.mark.parametrize(
    ("heading", "told"),
    [
        ("Pressure (kPa)", {}),
        ("Stosskraft_x (kPa)", {"mapping": {"Stosskraft_x (kPa)": "load"}}),
        ("Druckstufe", {"mapping": {"Druckstufe": "load"}, "units": {"load": "kpa"}}),
    ],
)
def test_a_pressure_told_to_be_the_load_is_turned_into_a_force(reading, heading, told) -> None:
    """Exactly: pressure times the area of a plate of 150 mm."""
    found = reading(f"Station,Lane,{heading},Plate radius (mm),D0 (um),D300 (um)\n1+00,NB1,700,150,127,100\n", **told)
    assert found.frame["load"].tolist() == pytest.approx([700e3 * np.pi * 0.15**2])
    assert "load from plate pressure" in {f.rule for f in found.findings}
    assert "unit assumed" not in rules(found)


def test_a_sensor_off_the_load_is_never_offered_as_the_one_under_it(reading) -> None:
    with pytest.raises(InputError, match="none stands at 0") as refused:
        reading("Station,Lane,Load (kN),D203 (um),D457 (um),D914 (um)\n1+00,NB1,40,93,78,55\n")
    assert "D203 (um), D457 (um), D914 (um)" in str(refused.value)
    with pytest.raises(AnswerNeeded) as asked:
        reading("Station,Lane,Load (kN),Centre reading,Air (C),D914 (um)\n1+00,NB1,40,100,20,55\n")
    assert [o.answer for q in asked.value.questions for o in q.offers] == ["Centre reading"]
