"""Weather files as they are published, and as they arrive when something happened to them.

Expected numbers are read from the files with the csv module and plain arithmetic.
"""

from __future__ import annotations

import csv
import gzip
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from slabwright.errors import InputError
from slabwright.intake import AnswerNeeded, Known, Reading, read, read_bytes, resolve

from .conftest import DATA, rules
from .test_fuzz import survives

HOT, COLD, HUMID = (DATA / f for f in ("hot_dry_722745.epw.gz", "cold_dry_724695.epw.gz", "humid_723170_tmy3.csv.gz"))


def lines_of(path: Path) -> list[str]:
    return gzip.decompress(path.read_bytes()).decode().splitlines()


@pytest.fixture(scope="module")
def lines() -> list[str]:
    return lines_of(COLD)


def told(lines: list[str], name: str = "year.epw") -> Reading:
    (found,) = read_bytes(("\n".join(lines) + "\n").encode(), name)
    return found


def with_cell(lines: list[str], row: int, cell: int, value: str) -> list[str]:
    """The file with one cell changed; rows counted from 1, cells from 0."""
    cells = lines[row - 1].split(",")
    cells[cell] = value
    return [*lines[: row - 1], ",".join(cells), *lines[row:]]


@pytest.mark.parametrize("path", [HOT, COLD], ids=["hot", "cold"])
def test_epw_is_read_as_it_is(path: Path) -> None:
    (found,) = read(path)
    raw = np.array([[float(c) for i, c in enumerate(row) if i != 5] for row in csv.reader(lines_of(path)[8:])])
    names = [
        "month",
        "day",
        "hour",
        "air_temperature",
        "wind_speed",
        "global_radiation",
        "direct_radiation",
        "diffuse_radiation",
        "sky_radiation",
    ]
    # Places of the fields in the format's list, one less after the flags are left out.
    places = [1, 2, 3, 5, 20, 12, 13, 14, 11]
    assert found.table == "weather"
    np.testing.assert_array_equal(found.frame[names].to_numpy(), raw[:, places])
    np.testing.assert_allclose(found.frame["relative_humidity"], raw[:, 7] / 100, rtol=1e-12)
    np.testing.assert_allclose(found.frame["sky_cover"], raw[:, 21] / 10, rtol=1e-12)
    assert found.source_rows.tolist() == list(range(9, 8769))
    assert rules(found) == set()
    assert len(resolve(found).frame) == 8760


def test_tmy3_is_read_as_it_is() -> None:
    (found,) = read(HUMID)
    raw = list(csv.DictReader(lines_of(HUMID)[1:]))
    assert found.table == "weather"
    assert found.frame["hour"].tolist() == list(range(1, 25)) * 365
    assert found.frame["month"].tolist() == [float(r["Date (MM/DD/YYYY)"][:2]) for r in raw]
    for ours, theirs, factor in [
        ("air_temperature", "Dry-bulb (C)", 1),
        ("relative_humidity", "RHum (%)", 0.01),
        ("wind_speed", "Wspd (m/s)", 1),
        ("global_radiation", "GHI (W/m^2)", 1),
        ("direct_radiation", "DNI (W/m^2)", 1),
        ("diffuse_radiation", "DHI (W/m^2)", 1),
        ("sky_cover", "TotCld (tenths)", 0.1),
    ]:
        np.testing.assert_allclose(found.frame[ours], [float(r[theirs]) * factor for r in raw], rtol=1e-12)
    assert found.source_rows[0] == 3
    assert rules(found) == set()


def test_months_of_several_years_and_the_station_are_told(lines) -> None:
    notes = {f.rule: f.message for f in told(lines).findings}
    years = {line.split(",")[0] for line in lines[8:]}
    assert f"from {len(years)} years, {min(years)} to {max(years)}" in notes["months of several years"]
    assert "39.72, -104.75, 1726 m" in notes["weather station"]


def test_a_name_is_not_needed_and_plain_text_does(lines) -> None:
    assert told(lines, "weather.txt").table == "weather"


@pytest.mark.parametrize(
    ("cell", "code", "column"),
    [
        (8, "999", "relative_humidity"),
        (21, "999", "wind_speed"),
        (13, "9999", "global_radiation"),
        (6, "99.9", "air_temperature"),
        (6, "999", "air_temperature"),
    ],
)
def test_codes_of_missing_values_wait_as_doubts(lines, cell, code, column) -> None:
    found = told(with_cell(with_cell(lines, 500, cell, code), 900, cell, code))
    (warning,) = [f for f in found.findings if f.weight == "warning"]
    assert (warning.rule, warning.row, warning.column) == ("missing weather value", 500, column)
    assert "2 hours" in warning.message
    assert np.flatnonzero(found.frame[column].isna()).tolist() == [500 - 9, 900 - 9]
    assert len(resolve(found, accept=True).frame) == 8760


def test_a_tmy3_code_is_missing_too() -> None:
    lines = lines_of(HUMID)
    place = lines[1].split(",").index("Wspd (m/s)")
    found = told(with_cell(lines, 44, place, "-9900"), "year.csv")
    assert np.flatnonzero(found.frame["wind_speed"].isna()).tolist() == [41]


def test_midnight_as_nought_ends_the_day_before() -> None:
    lines = lines_of(HUMID)
    moved = [f"01/02/1988,00:00,{line[17:]}" if line.startswith("01/01/1988,24:00") else line for line in lines]
    assert moved != lines
    found = told(moved, "year.csv").frame
    assert found.loc[23, ["month", "day", "hour"]].tolist() == [1, 1, 24]


@pytest.mark.parametrize(
    ("row", "cell", "value", "rule", "said"),
    [
        (100, 6, "71.2", "impossible temperature", "air temperature"),
        (100, 21, "447", "out of bounds", "wind speed"),  # 1,000 mph in m/s
        (100, 13, "2000", "out of bounds", "sun and sky"),
        (100, 13, "-5", "out of bounds", "sun and sky"),
        (100, 8, "140", "out of bounds", "relative humidity"),
        (100, 6, "warm", "unreadable number", "not a number"),
        (100, 21, "=1+1", "formula", "formula"),
    ],
)
def test_impossible_values_are_errors_with_row_and_column(lines, row, cell, value, rule, said) -> None:
    found = told(with_cell(lines, row, cell, value))
    (error,) = [f for f in found.findings if f.weight == "error"]
    assert (error.rule, error.row) == (rule, row)
    assert said in error.message
    assert error.value
    with pytest.raises(InputError, match=rf"year\.epw.*row {row}"):
        resolve(found, accept=True)


def test_odd_but_possible_values_are_doubts(lines) -> None:
    storm = told(with_cell(lines, 4000, 21, "50"))
    bright = told(with_cell(lines, 10, 15, "400"))  # light of the sky at two at night
    assert rules(storm) == {"storm"}
    assert rules(bright) == {"diffuse exceeds global"}


def test_a_year_with_holes_names_the_first(lines) -> None:
    found = told([*lines[:1500], *lines[1530:]])
    (error,) = [f for f in found.findings if f.weight == "error"]
    # Row 1501 is hour 1,493 of the year; 62 days end with hour 1,488, so it is hour 5 of 4 March.
    assert "8,730 of the 8,760 hours" in error.message
    assert "4 March, hour 5" in error.message
    assert error.rule == "not a whole year"


def test_a_leap_year_is_whole_with_8784_hours(lines) -> None:
    end = next(i for i, line in enumerate(lines[8:], start=8) if line.split(",")[1] == "3")
    extra = [
        ",".join(["2000", "2", "29", str(h + 1), *line.split(",")[4:]]) for h, line in enumerate(lines[end - 24 : end])
    ]
    whole = told([*lines[:end], *extra, *lines[end:]])
    assert len(whole.frame) == 8784
    assert rules(whole) == set()


def test_hours_twice_and_out_of_order(lines) -> None:
    twice = told([*lines[:100], lines[99], *lines[100:]])
    swapped = told([*lines[:100], lines[101], lines[100], *lines[102:]])
    assert ("hour given twice", 101) in [(f.rule, f.row) for f in twice.findings]
    assert ("hour out of order", 102) in [(f.rule, f.row) for f in swapped.findings]


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (lambda rows: rows[:4], "cut short: it has no hours"),
        (lambda rows: rows[:8], "head and no hours"),
        (lambda rows: [*rows[:3000], rows[3000][:40]], r"row 3001.*cut short or damaged.*6 cells.*35 cells"),
        (lambda rows: ["LOCATION,Somewhere", *rows[1:]], ", row 1.*place of the weather station"),
        (lambda rows: ["nonsense", *rows], ", row 1.*not an EPW weather file"),
        (lambda rows: with_cell(rows, 77, 1, "13"), r"row 77.*does not begin with a date"),
        (lambda rows: with_cell(rows, 77, 3, "25"), r"row 77.*does not begin with a date"),
        (lambda rows: with_cell(rows, 77, 0, "two thousand"), r"row 77.*does not begin with a date"),
        (lambda rows: [*rows[:200], "\x07 \u2603 ,,,", *rows[200:]], r"row 201.*does not begin with a date"),
        (lambda rows: with_cell(rows, 77, 5, '"'), r"row 77.*damaged"),
        (lambda rows: [*rows, *rows[8:]], "more than a year of hours.*17,520 rows"),
    ],
)
def test_truncated_and_nonsense_files_are_refused_in_a_sentence(lines, change, sentence) -> None:
    with pytest.raises(InputError, match=rf"year\.epw.*{sentence}"):
        told(change(lines))


def test_a_file_cut_in_its_gzip_is_refused() -> None:
    with pytest.raises(InputError, match="cut short"):
        read_bytes(HOT.read_bytes()[:100_000], "year.epw.gz")


def test_a_plain_table_of_hours_is_recognised_by_its_headings() -> None:
    rows = ["Month,Day,Hour ending,Air temp (F),RH (%),Wind (mph),GHI (W/m2)"]
    days = np.cumsum([0, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
    for hour in range(8760):
        month = int(np.searchsorted(days, hour // 24, side="right"))
        rows.append(f"{month},{hour // 24 - days[month - 1] + 1},{hour % 24 + 1},68,50,10,{200 * (hour % 24 > 11)}")
    found = told(rows, "station.csv")
    assert found.table == "weather"
    # 68 °F is 20 °C; 10 mph is 4.4704 m/s, exact by definition.
    assert found.frame.loc[5, ["air_temperature", "relative_humidity", "wind_speed"]].tolist() == pytest.approx([
        20,
        0.5,
        4.4704,
    ])
    assert rules(found) == set()
    assert "sky not given" in {f.rule for f in found.findings}


def test_a_survey_whose_first_heading_is_location_is_no_weather() -> None:
    found = told(["LOCATION,Lane,Load (lbf),D1 (mils),Pos", "1+00,NB1,9000,5,edge", "2+00,NB1,9000,5,edge"], "day.csv")
    assert found.table == "deflections"


CELL = st.one_of(
    st.sampled_from(["", "nan", "inf", "-inf", "1e999", "99999", "-9900", '"', "a,b", "é", "=1", "0", "24", "13"]),
    st.text(max_size=6),
    st.floats().map(str),
)


@settings(max_examples=300, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_whatever_happened_to_a_file_there_is_a_reading_or_a_sentence(data: st.DataObject) -> None:
    source, head = data.draw(st.sampled_from([(COLD, 8), (HUMID, 2)]))
    rows = lines_of(source)[: head + 30]
    for _ in range(data.draw(st.integers(1, 4))):
        row = data.draw(st.integers(0, len(rows) - 1))
        cells = rows[row].split(",")
        cells[data.draw(st.integers(0, len(cells) - 1))] = data.draw(CELL)
        rows[row] = ",".join(cells)
    survives("\n".join(rows).encode("utf-8", "replace"), data.draw(st.sampled_from(["y.epw", "y.csv"])))


# Airports and loggers: a date and a time, several stations, short gaps


def airport(
    *, absent: set[int] = frozenset(), stations: tuple[str, ...] = (), first: int = 0, head: str = "", stamp: str = ""
) -> bytes:
    """A year of hours as an airport lists them; ``absent`` are places in the year that are not in the file.

    The temperature is the place in the year over a thousand, so that each hour can be told; ``first`` is the day's first.
    """
    start = np.datetime64("2025-01-01T00:00")
    lines = [head or ("Station," if stations else "") + "Date,Hour,Temp (C),RH (%),Wind (m/s),GHI (W/m2)"]
    for place in range(8760):
        if place in absent:
            continue
        day = str(start + np.timedelta64(place, "h"))[:10]
        when = stamp.format(day=day, hour=place % 24 + first) if stamp else f"{day},{place % 24 + first}"
        lines += [f"{s + ',' if s else ''}{when},{place / 1000:.3f},50,3.1,200" for s in stations or ("",)]
    return ("\n".join(lines) + "\n").encode()


@pytest.mark.parametrize("first", [0, 1])
def test_hours_from_0_or_from_1_give_the_same_year(first) -> None:
    (found,) = read_bytes(airport(first=first), "airport.csv")
    assert found.table == "weather"
    assert len(found.frame) == 8760
    np.testing.assert_allclose(found.frame["air_temperature"], np.arange(8760) / 1000)
    assert found.frame.loc[[0, 23, 8759], ["month", "day", "hour"]].to_numpy().tolist() == [
        [1, 1, 1],
        [1, 1, 24],
        [12, 31, 24],
    ]
    assert rules(found) == set()
    said = next(f.message for f in found.findings if f.rule == "hours as told")
    assert ("0 to 23" in said) == (first == 0)


@pytest.mark.parametrize(
    ("head", "stamp"),
    [
        ("valid,Temp (C),RH (%),Wind (m/s),GHI (W/m2)", "{day} {hour:02}:53"),
        ("Timestamp;Temperatur (°C);RF (%);Wind (m/s);Globalstrahlung (W/m2)", "{day}T{hour:02}:00:00"),
    ],
)
def test_a_date_and_time_in_one_column(head, stamp) -> None:
    data = airport(head=head.replace(";", ","), stamp=stamp)
    (found,) = read_bytes(data.replace(b",", b";") if ";" in head else data, "airport.csv")
    np.testing.assert_allclose(found.frame["air_temperature"], np.arange(8760) / 1000)
    assert rules(found) == set()


def test_a_plain_table_of_hours_from_0_to_23(tmp_path) -> None:
    rows = ["month,day,hour,Temp (C),RH (%),Wind (m/s),GHI (W/m2)"]
    start = np.datetime64("2025-01-01T00:00")
    for place in range(8760):
        _, month, day = str(start + np.timedelta64(place, "h"))[:10].split("-")
        rows.append(f"{int(month)},{int(day)},{place % 24},20,50,3,{place % 7}")
    (found,) = read_bytes("\n".join(rows).encode(), "logger.csv")
    assert found.frame["hour"].tolist() == list(range(1, 25)) * 365
    assert "hours as told" in {f.rule for f in found.findings}


def test_several_stations_are_asked_and_the_one_told_is_read() -> None:
    data = airport(stations=("AAA", "BBB"))
    with pytest.raises(AnswerNeeded, match="--weather-station AAA") as asked:
        read_bytes(data, "airports.csv")
    assert [(o.answer, o.samples) for o in asked.value.questions[0].offers] == [
        ("AAA", ("8,760 rows",)),
        ("BBB", ("8,760 rows",)),
    ]
    (found,) = read_bytes(data, "airports.csv", place="BBB")
    assert len(found.frame) == 8760
    assert found.source_rows.tolist()[:3] == [3, 5, 7]
    with pytest.raises(InputError, match="no weather station of this name"):
        read_bytes(data, "airports.csv", place="CCC")
    (remembered,) = read_bytes(data, "next.csv", known=Known(place="BBB"))
    assert remembered.weather_station == "BBB"
    assert remembered.source_rows.tolist()[:3] == [3, 5, 7]
    assert "weather station" in {f.rule for f in remembered.findings}
    with pytest.raises(AnswerNeeded):
        read_bytes(data, "next.csv", known=Known(place="CCC"))


def gaps(*lengths: int) -> set[int]:
    """Places of gaps of these lengths, spread over the year."""
    return {200 + 150 * i + hour for i, length in enumerate(lengths) for hour in range(length)}


def test_a_year_of_8703_hours_is_bridged_with_a_trace() -> None:
    absent = gaps(*([6] * 9), 3)  # 57 hours
    (found,) = read_bytes(airport(absent=absent), "airport.csv")
    assert (len(found.frame), len(absent)) == (8760, 57)
    assert rules(found) == {"hours bridged"}
    warning = next(f for f in found.findings if f.rule == "hours bridged")
    assert "57 hours in 10 gaps" in warning.message
    assert "longest of 6 hours" in warning.message
    assert set(np.flatnonzero(found.frame["air_temperature"].isna())) == absent
    assert found.frame.loc[200, ["month", "day", "hour"]].tolist() == [1, 9, 9]  # hour 201 of the year
    settled = resolve(found, accept=True)
    assert len(settled.frame) == 8760
    assert settled.trace[0].rows == 57
    with pytest.raises(InputError, match="holes in the year"):
        resolve(found, reject=["hours bridged"])


def test_a_longer_gap_is_refused_by_its_length() -> None:
    (found,) = read_bytes(airport(absent=gaps(2, 7)), "airport.csv")
    (error,) = [f for f in found.findings if f.weight == "error"]
    assert error.rule == "not a whole year"
    assert "7 hours, of which up to 6 are bridged" in error.message


def test_values_that_are_missing_too_long_are_refused(lines) -> None:
    for length, refused in ((6, False), (7, True)):
        changed = lines
        for row in range(500, 500 + length):
            changed = with_cell(changed, row, 6, "99.9")
        assert ("gap too long" in rules(told(changed))) == refused


def test_two_years_in_one_table_are_refused() -> None:
    data = airport().decode()
    again = "\n".join(line.replace("2025-", "2024-") for line in data.splitlines()[1:] if "-02-29" not in line)
    with pytest.raises(InputError, match="more than a year of hours"):
        read_bytes((data + again + "\n").encode(), "airport.csv")


def test_of_readings_within_an_hour_the_last_is_kept() -> None:
    data = airport(stamp="{day} {hour:02}:50", head="valid,Temp (C),RH (%),Wind (m/s),GHI (W/m2)")
    extra = data.replace(b"2025-03-04 05:50,", b"2025-03-04 05:20,99.0,50,3.1,200\n2025-03-04 05:50,")
    (found,) = read_bytes(extra, "airport.csv")
    np.testing.assert_allclose(found.frame["air_temperature"], np.arange(8760) / 1000)
    assert "several readings in an hour" in {f.rule for f in found.findings}


def test_a_deflection_file_with_dates_and_air_temperatures_is_no_weather() -> None:
    text = "Date,Hour,Station,Lane,Pos,Load (kN),D1 (um),Air temp (C)\n2025-06-04,13,1+200,A1,corner,40,127,18\n"
    (found,) = read_bytes(text.encode(), "day.csv")
    assert found.table == "deflections"


def test_a_row_without_an_hour_is_refused_by_its_row() -> None:
    data = airport().replace(b"2025-03-04,5,", b"2025-03-04,noon,")
    with pytest.raises(InputError, match=r"row 1495.*no date and hour"):
        read_bytes(data, "airport.csv")


CODED = "station,valid,{},dwpc,relh,sknt"


def coded(name: str, temperature: float = 10.0) -> bytes:
    """A year of hours under the codes of a weather service: one temperature, 50 % and 10 knots."""
    start = np.datetime64("2025-01-01T00:00")
    times = (str(start + np.timedelta64(h, "h")).replace("T", " ") for h in range(8760))
    rows = (f"EDXX,{time},{temperature},1.5,50,10" for time in times)
    return "\n".join([CODED.format(name), *rows]).encode()


@pytest.mark.parametrize(("name", "temperature"), [("tmpc", 10.0), ("tmpf", 50.0), ("TT_TU", 10.0), ("T", 10.0)])
def test_the_codes_of_weather_services_say_their_unit(name, temperature) -> None:
    """10 degC is 50 degF; 10 knots are 18.52 km/h by the definition of the nautical mile."""
    mapping, units = ({"T": "air_temperature"}, {"air_temperature": "C"}) if name == "T" else (None, None)
    (found,) = read_bytes(coded(name, temperature), "hours.csv", mapping=mapping, units=units)
    assert found.table == "weather"
    np.testing.assert_allclose(found.frame["air_temperature"], 10.0)
    np.testing.assert_allclose(found.frame["relative_humidity"], 0.5)
    np.testing.assert_allclose(found.frame["wind_speed"], 18.52 / 3.6)
    assert "unit assumed" not in rules(found)


@pytest.mark.parametrize("table", [None, "weather"])
def test_an_unknown_heading_of_the_air_temperature_is_asked_for_and_the_answer_is_used(table) -> None:
    with pytest.raises(AnswerNeeded, match="air temperature") as asked:
        read_bytes(coded("lufttemp 2m"), "hours.csv", table=table)
    (question,) = asked.value.questions
    assert question.about == "air_temperature"
    assert {o.answer for o in question.offers} == {"lufttemp 2m", "dwpc"}
    (found,) = read_bytes(
        coded("lufttemp 2m"),
        "hours.csv",
        table=table,
        mapping={"lufttemp 2m": "air_temperature"},
        units={"air_temperature": "C"},
    )
    np.testing.assert_allclose(found.frame["air_temperature"], 10.0)
