"""What is not sure is asked or shown, never guessed in silence; what was answered once is remembered."""

from __future__ import annotations

import pytest

from slabwright.errors import InputError
from slabwright.intake import AnswerNeeded, known_from, plain, read_bytes, resolve

from .conftest import rules

DROPS = "Station,Lane,Load (kN),D1 (um)\n{},A1,40,127\n{},A1,41,130\n"


def drops(first: str, second: str | None = None) -> str:
    return DROPS.format(first, second or first)


def remembered(*readings):
    """What a project remembers once these are loaded."""
    return known_from([
        (tuple(m.header for m in r.mapping), plain(r.table, r.mapping, r.words, r.shifts)) for r in readings
    ])


# A column that is not sure


def test_a_missing_column_is_asked_with_the_files_columns_and_samples() -> None:
    text = "Where?,Lane,Push (kN),D1 (um),Pos,Crew\n1+200,A1,40,127,j4,Ada\n1+300,A1,41,130,j4,Bo\n"
    with pytest.raises(AnswerNeeded) as asked:
        read_bytes(text.encode(), "day.csv")
    assert asked.value.exit_code == 3
    by_column = {q.about: q for q in asked.value.questions}
    assert set(by_column) == {"station", "load"}
    assert [o.answer for o in by_column["load"].offers] == [
        "Push (kN)"
    ]  # Crew holds no numbers, and stations are no load
    assert by_column["station"].offers[0].samples == ("1+200", "1+300")
    assert "--map 'Push (kN)=load'" in str(asked.value)
    assert "--map" not in asked.value.sentence
    (found,) = read_bytes(text.encode(), "day.csv", mapping={"Where?": "station", "Push (kN)": "load"})
    assert found.frame["load"].tolist() == [40e3, 41e3]


def test_the_table_is_asked_where_two_fit() -> None:
    with pytest.raises(AnswerNeeded, match="--table") as asked:
        read_bytes(b"year,remark\n2020,x\n", "a.csv")
    assert all(o.option == f"--table {o.answer}" for o in asked.value.questions[0].offers)


def test_a_sheet_left_out_though_it_nearly_fits_is_a_warning_not_a_note() -> None:
    from .test_files import book

    rows = [["Lane", "Position", "Width (m)"], ["A1", 1, 3.5]]
    nearly = [["Core No", "Spot", "Lane", "Core length (mm)"], ["C1", "1+200", "A1", 243]]
    (found,) = read_bytes(book(Lanes=rows, Cores=nearly), "day.xlsx")
    assert "sheet nearly a table" in rules(found)


def test_where_on_the_slab_the_tests_stood_is_asked_and_told_for_the_whole_file() -> None:
    text = "Station,Lane,Load (kN),D1 (um),Spot,Crew\n1+200,A1,40,127,j4,Ada\n1+300,A1,41,130,,Bo\n"
    with pytest.raises(AnswerNeeded, match="--position 'joint leave'") as asked:
        read_bytes(text.encode(), "day.csv")
    heading, whole = asked.value.questions
    assert [o.option for o in heading.offers] == ["--map Spot=position"]  # Crew holds no position
    assert [o.answer for o in whole.offers][-1] == "not known"
    assert read_bytes(text.encode(), "day.csv", mapping={"Spot": "position"})[0].frame["position"].tolist() == [
        "joint approach",
        "",
    ]
    for told, meant in (("mid slab", "mid-slab"), ("Not known", "")):
        (found,) = read_bytes(text.encode(), "day.csv", position=told)
        assert found.frame["position"].tolist() == [meant] * 2
    with pytest.raises(InputError, match="allowed mid-slab, joint approach"):
        read_bytes(text.encode(), "day.csv", position="somewhere")


# Headings


@pytest.mark.parametrize(
    ("heading", "column"),
    [
        ("km", "station"),
        ("Station / Abscisse", "station"),
        ("Fahrspur", "lane"),
        ("voie", "lane"),
        ("carril", "lane"),
        ("rijstrook", "lane"),
        ("kjørefelt", "lane"),
        ("pas ruchu", "lane"),
        ("jízdní pruh", "lane"),
        ("Épaisseur (mm)", "thickness"),
        ("concrete (mm)", "thickness"),
        ("Tloušťka [mm]", "thickness"),
        ("grubość (mm)", "thickness"),
        ("N° carotte", "core"),
        ("No", "core"),
        ("Druckfestigkeit (MPa)", "compressive_strength"),
    ],
)
def test_headings_of_cores_in_many_languages(reading, heading, column) -> None:
    columns = {"station": "Station (m)", "lane": "Lane", "core": "Core", "thickness": "Thickness (mm)"}
    columns[column] = heading
    cells = {"station": "1+200", "lane": "A1", "core": "C1", "thickness": "243", "compressive_strength": "41"}
    found = reading(
        ",".join(columns.values()) + "\n" + ",".join(cells[c] for c in columns) + "\n", table="cores", system="metric"
    )
    assert next(m.column for m in found.mapping if m.header == heading) == column


@pytest.mark.parametrize(
    ("begin", "end", "year"),
    [
        ("km from", "km to", "opened"),
        ("from km", "to km", "built"),
        ("von km", "bis km", "Verkehrsfreigabe"),
        ("du km", "au km", "mise en service"),
        ("desde km", "hasta km", "año"),
        ("dal km", "al km", "anno"),
        ("km inicial", "km final", "ano de construção"),
        ("van km", "tot km", "bouwjaar"),
        ("fra km", "til km", "bygget"),
        ("od km", "do km", "rok"),
    ],
)
def test_stretches_in_many_languages(reading, begin, end, year) -> None:
    found = reading(f"{begin};{end};pavement;concrete (mm);{year}\n1.5;2.25;JPCP;240;1998\n", system="metric")
    assert found.table == "layers"
    assert found.frame[["begin", "end", "year_built"]].to_numpy().tolist() == [[1500.0, 2250.0, 1998.0]]
    assert rules(found) == set()


@pytest.mark.parametrize("title", [("von km;bis km;Bauweise", ";;"), (";;", "von km;bis km;Bauweise")])
def test_a_title_over_two_headings_is_joined_to_them(reading, title) -> None:
    text = f"{title[0]};Dicke;\n{title[1]};Beton (mm);Tragschicht (mm)\n1,5;2,25;unbewehrt;240;150\n"
    found = reading(text, system="metric")
    assert [m.header for m in found.mapping][3:] == ["Dicke Beton (mm)", "Dicke Tragschicht (mm)"]
    assert found.frame[["thickness", "base_thickness"]].to_numpy().tolist() == [[0.24, 0.15]]


@pytest.mark.parametrize(
    ("table", "heading", "column"),
    [
        ("distresses", "Betonschäden", "kind"),
        ("distresses", "Dégradations du béton", "kind"),
        ("distresses", "danni del calcestruzzo", "kind"),
        ("distresses", "poruchy betonu", "kind"),
        ("bridges", "trägt/über", "passes"),
        ("bridges", "sobre/bajo", "passes"),
        ("bridges", "draagt/over", "passes"),
        ("road", "Name der Straße", "name"),
        ("road", "nom de la route", "name"),
        ("road", "nazwa drogi", "name"),
        ("layers", "Tragschicht (mm)", "base_thickness"),
    ],
)
def test_headings_of_other_tables_in_many_languages(table, heading, column) -> None:
    from slabwright.intake.headings import fit
    from slabwright.records.facts import FACTS

    assert fit([heading], FACTS[table], {}, fuzzy=False).matches[0].column == column


@pytest.mark.parametrize(
    ("column", "word", "meant"),
    [
        ("direction", "in Stationierungsrichtung", "with stationing"),
        ("direction", "gegen Stationierung", "against stationing"),
        ("direction", "gegen Stationierungsrichtung", "against stationing"),
        ("direction", "sens décroissant", "against stationing"),
        ("direction", "ve směru staničení", "with stationing"),
        ("passes", "trägt", "under the road"),
        ("passes", "über", "over the road"),
        ("passes", "paso superior", "over the road"),
        ("passes", "draagt", "under the road"),
    ],
)
def test_words_in_many_languages(column, word, meant) -> None:
    from slabwright.intake.words import meanings
    from slabwright.records.facts import FACTS

    of = FACTS["lanes" if column == "direction" else "bridges"][column]
    assert meanings(of, [word], {}) == [(meant, "known")]


@pytest.mark.parametrize("word", ["Fuge", "joint", "giunto", "voeg", "spára"])
def test_a_joint_without_its_side_is_proposed_and_waits(reading, word) -> None:
    found = reading(f"Station,Lane,Load (kN),D1 (um),Pos\n1+200,A1,40,127,{word}\n1+300,A1,41,130,mid\n")
    assert found.frame["position"].tolist() == ["joint approach", "mid-slab"]
    assert "word guessed" in rules(found)


SENSORS = "Station (m),Lane,Pos,Load (kN),{}\n1200,A1,mid,40,127,120,110,100\n1300,A1,mid,40,127,120,110,100\n"


@pytest.mark.parametrize(
    ("headings", "metres"),
    [
        ("0,200,300,1500", [0, 0.2, 0.3, 1.5]),
        ("0,8,12,60", [0, 0.2032, 0.3048, 1.524]),
        ("0,20,30,150", [0, 0.2, 0.3, 1.5]),
    ],
)
def test_bare_numbers_in_rising_order_are_sensors_and_wait_once(reading, headings, metres) -> None:
    text = SENSORS.format(headings)
    found = reading(text, units={"deflection_1": "um"})
    assert found.frame[[f"offset_{i}" for i in range(1, 5)]].iloc[0].tolist() == pytest.approx(metres)
    assert found.frame[[f"deflection_{i}" for i in range(1, 5)]].iloc[0].tolist() == pytest.approx([
        127e-6,
        120e-6,
        110e-6,
        100e-6,
    ])
    assert rules(found) == {"sensor distances assumed"}
    assert rules(reading(text, known=remembered(found))) == set()


def test_bare_numbers_that_do_not_rise_or_are_few_are_asked_and_one_answer_takes_the_rest(reading) -> None:
    three = SENSORS.format("0,200,300,Remark")
    for text in (three, SENSORS.format("0,300,200,450")):
        with pytest.raises(AnswerNeeded, match="0=deflection_1"):
            reading(text)
    found = reading(three, mapping={"0": "deflection_1"}, units={"deflection_1": "um"})
    assert found.frame[["offset_1", "offset_2", "offset_3"]].iloc[0].tolist() == [0, 0.2, 0.3]
    assert found.frame["deflection_3"].tolist() == pytest.approx([110e-6] * 2)
    other = reading(SENSORS.format("0,200,300,450"), mapping={"200": "deflection_1"}, units={"deflection_1": "um"})
    assert other.frame["deflection_1"].tolist() == pytest.approx([120e-6] * 2)
    assert other.frame["offset_1"].isna().all()


def test_a_second_heading_for_a_column_is_told_with_the_one_that_was_read(reading) -> None:
    found = reading("Station,Lane,Load (kN),Force (kN),D1 (um)\n1+200,A1,40,41,127\n")
    (told,) = [f for f in found.findings if f.rule == "column not used"]
    assert (told.column, found.frame["load"].tolist()) == ("Force (kN)", [40e3])
    assert "fits load as the heading 'Load (kN)' does" in told.message


def test_the_centre_sensor_twice_waits_for_a_word(reading) -> None:
    found = reading("Station,Lane,Load (kN),D0 (um),D0 (um)\n1+200,A1,40,5,6\n")
    assert "heading twice" in rules(found)


def test_units_in_a_second_row_below_words_and_dates(reading) -> None:
    found = reading("km,lane,core,date,length\nkm+m,-,name,dd.mm.yyyy,mm\n1+200,A1,C1,4.6.2025,243\n", table="cores")
    assert found.frame["thickness"].tolist() == [0.243]
    assert rules(found) <= {"date order assumed"}


def test_a_word_that_is_also_a_unit_is_no_row_of_units(reading) -> None:
    """``m`` is the severity moderate here, and the row a distress."""
    found = reading("km,lane,defect,severity,note\n1.2,A1,punchout,m,\n1.3,A1,punchout,m,\n", system="metric")
    assert found.frame["severity"].tolist() == ["moderate"] * 2


def test_sums_and_repeated_headings_are_left_out_and_told(reading) -> None:
    head = "Station,Lane,Load (kN),D1 (um)\n"
    found = reading(head + "1+200,A1,40,127\n" + head + "1+300,A1,41,130\nMean,,40.5,128\n")
    assert len(found.frame) == 2
    assert {(f.rule, f.row) for f in found.findings if f.weight == "note"} >= {
        ("row of sums", 5),
        ("headings repeated", 3),
    }


def test_a_lane_called_total_is_data(reading) -> None:
    assert len(reading("Lane,Position,Width (m)\nTotal,1,3.5\nA2,2,3.5\n").frame) == 2


# Stations


CORES = "Station;Lane;Core\n3+490;A1;C1\nPK 3+600;A1;C2\n{};A1;C3\n3+800;A1;C4\n"


@pytest.mark.parametrize("written", ["PK 3700", "3700"])
@pytest.mark.parametrize("system", ["us", "metric"])
def test_a_whole_number_beside_stations_with_three_digits_is_metres(reading, written, system) -> None:
    found = reading(CORES.format(written), system=system)
    assert found.frame["station"].tolist() == [3490.0, 3600.0, 3700.0, 3800.0]
    assert rules(found) == {"station taken as metres"}
    (told,) = [f for f in found.findings if f.weight == "warning"]
    assert (told.row, told.value) == (4, written)


def test_a_whole_number_beside_stations_in_feet_is_none_of_metres(reading) -> None:
    found = reading(CORES.format("3700").replace("+490", "+49").replace("+600", "+60").replace("+800", "+80"))
    assert "station taken as metres" not in rules(found)


@pytest.mark.parametrize(("system", "far"), [("us", "62 mi"), ("metric", "100 km")])
def test_a_station_farther_than_a_road_is_long_is_named_by_its_row(reading, system, far) -> None:
    found = reading(CORES.format("PK 490"), system=system)
    (told,) = [f for f in found.findings if f.rule == "station far from the others"]
    assert (told.row, told.weight) == (4, "warning")
    assert f"more than {far}" in told.message
    assert "station far from the others" not in rules(reading(CORES.format("PK 90")))


@pytest.mark.parametrize(
    ("written", "metres"),
    [
        ("3+490", 3490.0),
        ("km 3+490", 3490.0),
        ("KM3+490", 3490.0),
        ("PK 3+490", 3490.0),
        ("P.K. 3+490.5", 3490.5),
        ('"km 3+490,5"', 3490.5),
        ('"3+490,5"', 3490.5),
        ("km 3.490", 3490.0),
        ("PK 3.49", 3490.0),
        ("3490 m", 3490.0),
    ],
)
def test_stations_as_they_are_written(reading, written, metres) -> None:
    found = reading(drops(written))
    assert found.frame["station"][0] == pytest.approx(metres, abs=1e-9)
    assert rules(found) <= {"duplicate row"}


@pytest.mark.parametrize("written", ["km 3+49", "PK 3+4", "km 3490"])
def test_a_station_that_can_be_read_two_ways_is_an_error(reading, written) -> None:
    assert "station read two ways" in rules(reading(drops(written)))


def test_a_number_with_three_decimals_is_kilometres_or_not_and_is_asked(reading) -> None:
    with pytest.raises(AnswerNeeded, match="unit of the stations") as asked:
        reading(drops("3.490", "3.540"), system="metric")
    offers = {o.answer: o for o in asked.value.questions[0].offers}
    assert "3+490.0" in offers["km"].samples[0]
    assert "0+003.5" in offers["m"].samples[0]
    assert offers["km"].option == "--map Station=station:km"
    found = reading(drops("3.490", "3.540"), mapping={"Station": "station"}, units={"Station": "km"})
    assert found.frame["station"].to_numpy() == pytest.approx([3490.0, 3540.0])


def test_thousands_of_kilometres_are_asked(reading) -> None:
    with pytest.raises(AnswerNeeded, match="3490 can be read"):
        reading(drops("3490", "3540").replace("Station", "km"))


def test_a_bare_number_is_asked_by_a_warning_that_names_the_unit(reading) -> None:
    found = reading(drops("3490", "3540"), system="metric")
    assert found.frame["station"].tolist() == [3490.0, 3540.0]
    assert any("m was assumed" in f.message for f in found.findings if f.rule == "unit assumed")


def test_mileposts_take_a_declared_reference_or_wait(reading) -> None:
    """1 mile is 1,609.344 m by definition; milepost 2 at 105+60 ft lies at its own distance from the zero."""
    waits = reading(drops("MP 2.1"))
    assert waits.frame["station"][0] == pytest.approx(2.1 * 1609.344)
    assert "reference of posts assumed" in rules(waits)
    told = reading(drops("MP 2.1"), posts={"MP 2": "110+60"})
    assert told.frame["station"][0] == pytest.approx(11060 * 0.3048 + 0.1 * 1609.344)
    assert "reference of posts assumed" not in rules(told)
    again = reading(drops("MP 2.1"), known=remembered(told))
    assert again.frame["station"][0] == pytest.approx(told.frame["station"][0])
    assert "reference of posts assumed" not in rules(again)


@pytest.mark.parametrize(("heading", "cell"), [("Milepost", "2.1"), ("MP (mi)", "2.1"), ("PR", "3+490")])
def test_a_heading_may_say_that_stations_count_from_posts(reading, heading, cell) -> None:
    found = reading(drops(cell).replace("Station", heading))
    assert "reference of posts assumed" in rules(found)
    post, station, metres = ("PR 3", "3+020", 3510.0) if heading == "PR" else ("MP 2", "0+000", 160.9344)
    told = reading(drops(cell).replace("Station", heading), posts={post: station})
    assert told.frame["station"][0] == pytest.approx(metres)
    assert "reference of posts assumed" not in rules(told)


def test_reference_posts_stand_where_they_were_put(reading) -> None:
    assert "reference of posts assumed" in rules(reading(drops("PR 3+1020")))
    told = reading(drops("PR 3+490"), posts={"PR 3": "3+020"})
    assert told.frame["station"][0] == pytest.approx(3510.0)
    with pytest.raises(InputError, match="not a post"):
        reading(drops("PR 3+490"), posts={"3": "3+020"})


@pytest.mark.parametrize("written", ["12+00 = 15+00", "3+490=3+510", "12+00 AH", "12+00 BK", "3+490 bk = 3+510 ah"])
def test_station_equations_are_refused_by_name(reading, written) -> None:
    found = reading(drops(written))
    errors = [f for f in found.findings if f.rule == "station equation"]
    assert errors
    assert "station equation" in errors[0].message
    assert "back less ahead" in errors[0].remedy
    with pytest.raises(InputError, match="station equation"):
        resolve(found, accept=True)


# Words


@pytest.mark.parametrize(
    ("written", "meant", "sure"),
    [
        ("LTC", "longitudinal crack", False),
        ("TVC", "transverse crack", False),
        ("transv. crack", "transverse crack", True),
        ("transvers crack", "transverse crack", False),
        ("long. crk", "longitudinal crack", False),
        ("trv. crk", "transverse crack", False),
        ("Querriss", "transverse crack", True),
        ("fissure longitudinale", "longitudinal crack", True),
        ("popouts", "other", True),
        ("punch outs", "punchout", True),
        ("gremlin", "other", False),
    ],
)
def test_words_are_proposed_and_wait_unless_they_are_known(reading, written, meant, sure) -> None:
    found = reading(f"Station (m),Lane,Distress\n1+200,A1,{written}\n")
    assert found.frame["kind"].tolist() == [meant]
    assert (rules(found) == set()) == sure
    assert found.frame["written"].tolist() == [written if meant == "other" else ""]


def test_popouts_are_never_taken_for_punchouts(reading) -> None:
    """They differ in two letters; one is a pit in the surface, the other the loss of the slab."""
    assert reading("Station (m),Lane,Distress\n1+200,A1,popout\n").frame["kind"].tolist() == ["other"]


def test_a_word_told_once_is_remembered_and_outranked_by_another(reading) -> None:
    text = "Station (m),Lane,Distress\n1+200,A1,LTC\n1+300,A1,gremlin\n"
    told = reading(text, words={"LTC": "transverse crack", "gremlin": "patch"})
    assert told.frame["kind"].tolist() == ["transverse crack", "patch"]
    assert rules(told) == set()
    other = text.replace("Lane,Distress", "Note,Lane,Distress").replace(",A1", ",,A1")
    again = reading(other, known=remembered(told))
    assert again.frame["kind"].tolist() == ["transverse crack", "patch"]
    assert rules(again) == set()
    now = reading(other, known=remembered(told), words={"gremlin": "scaling"})
    assert now.frame["kind"].tolist() == ["transverse crack", "scaling"]


def test_a_lane_may_be_renamed_by_a_word(reading) -> None:
    found = reading("Station (m),Lane,Distress\n1+200,nb3,patch\n1+300,NB3,patch\n", words={"nb3": "NB3"})
    assert found.frame["lane"].tolist() == ["NB3", "NB3"]


def test_rejecting_a_proposed_word_removes_its_rows(reading) -> None:
    found = reading("Station (m),Lane,Distress\n1+200,A1,LTC\n1+300,A1,patch\n")
    assert resolve(found, reject=["word guessed"]).frame["kind"].tolist() == ["patch"]


# Marks between digits, where a silent guess would be wrong a thousandfold


@pytest.mark.parametrize("delimiter", [",", ";"])
def test_a_count_with_a_dot_between_thousands_is_told(reading, delimiter) -> None:
    found = reading("Year,AADT\n2021,45.000\n2022,1.046.250\n".replace(",", delimiter).replace("1.046", "46"))
    assert found.frame["daily_traffic"].tolist()[0] == 45000.0
    assert "mark of thousands" in rules(found)


def test_a_dot_between_thousands_beside_decimal_commas(reading) -> None:
    found = reading("Station;Lane;Load (N);D1 (um)\n1+200;A1;40.000;127,5\n1+300;A1;41.500;130,5\n")
    assert found.frame["load"].tolist() == [40e3, 41.5e3]
    assert "mark of thousands" in rules(found)


def test_marks_of_thousands_do_not_make_decimal_commas(reading) -> None:
    found = reading("Station;Lane;Load (lbf);D1 (mils)\n12+00;A1;9,000;5.125\n13+00;A1;9,100;5.250\n")
    assert found.frame["load"].to_numpy() == pytest.approx([9000 * 4.4482216152605, 9100 * 4.4482216152605])
    assert found.frame["deflection_1"].to_numpy() == pytest.approx([5.125 * 25.4e-6, 5.25 * 25.4e-6])


# Sensors


@pytest.mark.parametrize(
    ("distances", "unit", "metres", "sure"),
    [
        ((0, 200, 300, 450, 600, 900, 1200, 1500), "", 1e-3, True),
        ((0, 300, 600, 900), "", 1e-3, True),
        ((0, 210, 317, 455, 610, 888, 1213), "", 1e-3, True),
        ((0, 8, 12, 18, 24, 36, 60), "", 0.0254, True),
        ((0, 20, 30, 45, 60, 90, 120, 150), "", 1e-2, False),
        ((0, 20, 30, 45, 60), "", 1e-2, False),
        ((0, 20, 30, 45, 60, 90, 120, 150), "cm", 1e-2, True),
    ],
)
def test_sensors_at_any_distances(reading, distances, unit, metres, sure) -> None:
    head = ",".join(f"D{d}{unit} (um)" for d in distances)
    cells = ",".join(f"{130 - 60 * i / len(distances):.1f}" for i in range(len(distances)))
    found = reading(f"Station,Lane,Load (kN),{head}\n1+200,A1,40,{cells}\n")
    held = [found.frame[f"offset_{i}"][0] for i in range(1, len(distances) + 1)]
    assert held == pytest.approx([d * metres for d in distances])
    assert ("sensor distances assumed" in rules(found)) != sure


def test_of_more_than_nine_sensors_the_farthest_are_left_out_and_named(reading) -> None:
    distances = (0, 200, 300, 450, 600, 900, 1200, 1500, 1800, 2100, 2400)
    head = ",".join(f"D{d} (um)" for d in distances)
    found = reading(f"Station,Lane,Load (kN),{head}\n1+200,A1,40,{','.join(['100'] * 11)}\n")
    assert found.frame["offset_9"][0] == pytest.approx(1.8)
    assert found.unmapped == ("D2100 (um)", "D2400 (um)")


def test_many_drops_without_a_centre_are_a_wrong_column_and_an_error(reading) -> None:
    lines = [f"{1000 + i} m,A1,40,{'' if i % 5 == 0 else 127}" for i in range(20)]
    found = reading("Station,Lane,Load (kN),D1 (um)\n" + "\n".join(lines) + "\n")
    assert "missing required" in rules(found)
    assert "drop set aside" not in rules(found)


def test_a_lost_drop_is_left_out_whether_it_is_accepted_or_rejected(reading) -> None:
    lines = [f"{1000 + i} m,A1,40,{'' if i == 7 else 127 + i}" for i in range(20)]
    found = reading("Station,Lane,Load (kN),D1 (um)\n" + "\n".join(lines) + "\n")
    assert rules(found) == {"drop set aside"}
    for settled in (resolve(found, accept=True), resolve(found, reject=["drop set aside"])):
        assert len(settled.frame) == 19
        assert 9 not in settled.source_rows
    assert resolve(found, accept=True).trace[0].rows_removed == 1


# The memory of a source


def test_the_second_file_of_the_same_shape_asks_nothing(reading) -> None:
    first = "Where,Strip,Push,Sag\n3.490,A1,40,127\n"
    told = {"Where": "station", "Strip": "lane", "Push": "load", "Sag": "deflection_1"}
    units = {"Where": "km", "Push": "kN", "Sag": "um"}
    known = remembered(reading(first, table="deflections", mapping=told, units=units))
    second = reading("Sag,Where,Strip,Push\n130,3.540,A1,41\n", known=known, system="us")
    assert second.table == "deflections"
    assert second.frame.loc[0, ["station", "load", "deflection_1"]].tolist() == pytest.approx([3540.0, 41e3, 130e-6])
    assert rules(second) == set()


def test_a_row_of_units_in_the_second_file_outranks_what_was_remembered(reading) -> None:
    head = "Station,Lane,Load,D1\n"
    known = remembered(reading(head + "m,-,kN,um\n1200,A1,40,127\n"))
    second = reading(head + "ft,-,lbf,mil\n4000,A1,9000,5\n", known=known)
    assert second.frame["station"][0] == pytest.approx(4000 * 0.3048)
    assert second.frame["deflection_1"][0] == pytest.approx(127e-6)


def test_no_unit_is_remembered_where_the_cells_named_theirs(reading) -> None:
    known = remembered(reading(drops("3+490"), system="metric"))
    with pytest.raises(AnswerNeeded, match="unit of the stations"):
        reading(drops("3.490"), known=known)


def test_a_heading_not_recognised_is_not_remembered_as_left_out(reading) -> None:
    first = reading("km,lane,core,Crew\n1.2,A1,C1,Ada\n", table="cores", system="metric")
    known = remembered(first)
    assert "Crew" not in {m.header for m in known.layouts[0].matches}
    again = reading("km,lane,core,Crew\n1.2,A1,C1,Ada\n", known=known, mapping={"Crew": "note"})
    assert again.frame["note"].tolist() == ["Ada"]
    assert again.frame["station"].tolist() == [1200.0]


def test_what_earlier_versions_kept_is_still_understood(reading) -> None:
    import dataclasses

    first = reading("Where,Lane,Load (kN),D1 (um)\n1+200,A1,40,127\n", mapping={"Where": "station"})
    old = [(tuple(m.header for m in first.mapping), [dataclasses.asdict(m) for m in first.mapping])]
    assert reading("Where,Lane,Load (kN),D1 (um)\n1+300,A1,40,127\n", known=known_from(old)).table == "deflections"


COUNTS_WITH_NOTE = "Year,AADT,Trucks (%)\n2023,40000,12\n2024,41000,12\nCounted by hand at two posts\nas of March\n"


def test_notes_beneath_a_table_are_told_and_are_no_rows(reading) -> None:
    found = reading(COUNTS_WITH_NOTE)
    assert found.frame["year"].tolist() == [2023.0, 2024.0]
    (note,) = [f for f in found.findings if f.rule == "lines below the table"]
    assert (note.row, note.weight) == (4, "note")
    found = reading(COUNTS_WITH_NOTE + "2025,42000,12\n")  # within the table it is a row, and a wrong one
    assert len(found.frame) == 5
    assert any(f.weight == "error" for f in found.findings)


def test_a_heading_over_two_columns_waits_for_the_engineer(reading) -> None:
    found = reading("Station,Lane,Lane,Load (lbf),D1 (mils)\n101+00,NB1,NB2,9000,5\n102+00,NB1,NB2,9000,5\n")
    (finding,) = [f for f in found.findings if f.rule == "heading twice"]
    assert finding.weight == "warning"
    assert "the heading 'Lane' stands over two columns" in finding.message
    with pytest.raises(InputError, match="wait for the engineer"):
        resolve(found)


@pytest.mark.parametrize("shares", [("9", "9.5%", "0.10"), ("0.08", "0.095", "0.10")])
def test_a_share_of_trucks_that_may_be_a_fraction_waits_for_the_engineer(reading, shares) -> None:
    """0.10 under percent is a tenth of a percent, and a hundredth of the axles."""
    rows = "".join(f"{2021 + i},40000,{share}\n" for i, share in enumerate(shares))
    found = reading("Year,AADT,Percent trucks (%)\n" + rows)
    told = [f for f in found.findings if f.rule == "few trucks"]
    assert [f.row for f in told] == [i + 2 for i, share in enumerate(shares) if share.startswith("0")]
    assert {f.weight for f in told} == {"warning"}
