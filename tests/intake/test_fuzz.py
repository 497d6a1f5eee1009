"""Whatever a file holds, intake answers with readings or with a sentence: nothing but SlabwrightError is raised.

Two thousand examples for each way in, as the project's own demand states; a few costly cases are explicit.
"""

from __future__ import annotations

import contextlib
import gzip
import io
import os
import zipfile

import numpy as np
import pytest
import xlsxwriter
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from slabwright.errors import InputError, SlabwrightError
from slabwright.intake import Reading, preview, read_bytes, resolve
from slabwright.intake.headings import fit
from slabwright.records.facts import FACTS
from slabwright.records.findings import Finding

# SLABWRIGHT_EXAMPLES=2000 for the long form; a workbook is read in a process of its own, so that each takes a tenth of a second.
EXAMPLES = int(os.environ.get("SLABWRIGHT_EXAMPLES", "800"))
MANY = settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=list(HealthCheck))
SOME = settings(MANY, max_examples=EXAMPLES // 4)

HEADINGS = st.sampled_from([
    "Station",
    "sta",
    "lane",
    "Lane ID",
    "position",
    "Drop No",
    "Load (lbf)",
    "load_kN",
    "Load [kip]",
    "Load",
    "Load (kPa)",
    "plate radius (mm)",
    "D1 (mils)",
    "D0",
    "D12",
    "D-12",
    "d305 (um)",
    "defl 2",
    "D3",
    "Test date",
    "Air temp (F)",
    "year",
    "AADT",
    "Percent trucks",
    "Distress",
    "Core No",
    "Compressive strength (psi)",
    "From",
    "To",
    "type",
    "thickness",
    "Load unit",
    "iri_left_m_per_km",
    "run",
    "visit_date",
    "",
    "x",
])
WHOLE = ["Station", "Lane", "Position", "Drop No", "Load (lbf)", "D1 (mils)", "D2 (mils)", "Test date"]
CELLS = st.one_of(
    st.sampled_from([
        "",
        "12+34.5",
        "1+234.5",
        "1234.5 ft",
        "0.234 km",
        "NB1",
        "mid-slab",
        "J4",
        "9000",
        "-9000",
        "9.1 kip",
        "40 kN",
        "nan",
        "inf",
        "-inf",
        "NaN",
        "=1+1",
        "@SUM(A1)",
        "+cmd|' /C calc'!A0",
        "5.9",
        "5,9",
        "1e999",
        "1e-300",
        "1e308",
        "2025-06-04",
        "13/13/2025",
        "31/02/2025",
        "99999999999999999999",
        "0x10",
        "TRUE",
        "yes",
        "mils",
        "lbf",
        "kPa",
        "micron",
        "a\nb",
        'say "hi"',
        "9000 lbf",
        "-",
        "n/a",
        "é",
        "\u202e",
        "٣",
        "1_000",
        "12+345.678.9",
        "+",
        "--5",
        "1,234.5",
        "1" * 400,
        "(" * 50,
        "9" * 100 + " mi",
    ]),
    st.floats(allow_nan=True, allow_infinity=True).map(str),
    st.text(max_size=12),
)
TABLES = st.lists(st.lists(CELLS, min_size=0, max_size=9), min_size=1, max_size=12)
OPTIONS = st.fixed_dictionaries({
    "table": st.sampled_from([None, None, "deflections", "cores", "loadings", "counts"]),
    "system": st.sampled_from([None, "us", "metric"]),
})


def survives(data: bytes, name: str, **options: object) -> None:
    """Readings that keep their promises, or a refusal in our own words: any other error fails the test."""
    readings: tuple[Reading, ...] = ()
    with contextlib.suppress(SlabwrightError):
        readings = read_bytes(data, name, position="not known", **options)  # type: ignore[arg-type]
    for reading in readings:
        keeps_its_promises(reading)


def keeps_its_promises(reading: Reading) -> None:
    assert len(reading.frame) == len(reading.source_rows)
    assert tuple(reading.frame.columns) == FACTS[reading.table].names
    assert len(reading.findings) == len(reading.suspicious)
    assert all(isinstance(f, Finding) and str(f) for f in reading.findings)
    assert not np.isinf(reading.frame.select_dtypes("number").to_numpy()).any()
    assert preview(reading).rows == len(reading.frame)
    refused = any(f.weight == "error" for f in reading.findings)
    if refused:
        with pytest.raises(InputError, match="stop this load"):
            resolve(reading, accept=True)
    else:
        assert len(resolve(reading, accept=True).frame) == len(reading.frame)
        warnings = tuple({f.rule for f in reading.findings if f.weight == "warning"})
        assert len(left := rejects(reading, warnings)) == 0 or left["rows"] + left["removed"] == len(reading.frame)


def rejects(reading: Reading, warnings: tuple[str, ...]) -> dict[str, int]:
    """Rows left and removed when every warning is rejected; nothing when that would leave no rows and is refused."""
    with contextlib.suppress(InputError):
        rejected = resolve(reading, reject=warnings)
        return {"rows": len(rejected.frame), "removed": sum(line.rows_removed for line in rejected.trace)}
    return {}


def as_csv(headings: list[str], rows: list[list[str]], delimiter: str, quote: bool) -> str:
    def cell(text: str) -> str:
        return '"' + text.replace('"', '""') + '"' if quote else text

    return "\n".join(delimiter.join(cell(c) for c in row) for row in [headings, *rows])


@MANY
@given(
    st.one_of(st.just(WHOLE), st.lists(HEADINGS, min_size=1, max_size=9)),
    TABLES,
    st.sampled_from(",;\t|"),
    st.booleans(),
    st.integers(0, 5000),
    st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "cp1252", "latin-1"]),
    st.binary(max_size=20),
    OPTIONS,
    st.booleans(),
)
def test_csv_never_breaks(headings, rows, delimiter, quote, cut, encoding, noise, options, packed) -> None:
    data = as_csv(headings, rows, delimiter, quote).encode(encoding, errors="replace")
    data = data[: max(1, len(data) - cut % 50)] + (noise if cut % 3 == 0 else b"")
    survives(gzip.compress(data) if packed else data, "day.csv", **options)


@MANY
@given(
    st.binary(max_size=300),
    st.sampled_from([b"", b"PK\x03\x04", b"\x1f\x8b", b"\xff\xfe", b"[Units]\n", b"Station,Lane,Load,D1\n"]),
    OPTIONS,
)
def test_bytes_never_break(noise, start, options) -> None:
    survives(start + noise, "noise.bin", **options)


GOOD_CELLS = st.one_of(
    st.floats(allow_nan=False, allow_infinity=False), st.booleans(), CELLS.filter(lambda c: len(c) < 200), st.none()
)


def as_workbook(headings: list[str], rows: list[list[object]]) -> bytes:
    buffer = io.BytesIO()
    with xlsxwriter.Workbook(buffer, {"in_memory": True}) as book:
        sheet = book.add_worksheet()
        for column, heading in enumerate(headings):
            sheet.write_string(0, column, heading)
        for at, row in enumerate(rows, start=1):
            for column, value in enumerate(row):
                if isinstance(value, str):
                    (sheet.write_formula if value.startswith("=") else sheet.write_string)(at, column, value)
                elif value is not None:
                    sheet.write(at, column, value)
    return buffer.getvalue()


@SOME
@given(
    st.one_of(st.just(WHOLE), st.lists(HEADINGS, min_size=1, max_size=9)),
    st.lists(st.lists(GOOD_CELLS, max_size=9), min_size=1, max_size=6),
    st.sampled_from(["whole", "whole", "cut", "flipped"]),
    st.integers(0, 10**6),
    OPTIONS,
)
def test_workbooks_never_break(headings, rows, harm, place, options) -> None:
    data = as_workbook(headings, rows)
    at = place % len(data)
    damaged = {"whole": data, "cut": data[: at + 1], "flipped": data[:at] + bytes([data[at] ^ 0x55]) + data[at + 1 :]}[
        harm
    ]
    survives(damaged, "day.xlsx", **options)


KEYS = st.sampled_from([
    "LoadUnits",
    "DeflectionUnits",
    "TestLocationUnits",
    "SensorLocationUnits",
    "TemperatureUnits",
    "LoadPlateRadius",
    "LoadPlateRadiusUnits",
    "DeflectionSensorXAxisDistances",
    "NumberOfDrops",
    "TestLocation",
    "TestLane",
    "DropData1",
    "DropData2",
    "DropData",
    "DropData9999",
    "TestDate",
    "TestTemperatures",
    "DelimiterSymbol",
    "DecimalSymbol",
    "AirTemperature",
    "Whatever",
    "",
])
VALUES = st.one_of(
    st.sampled_from([
        "kN",
        "lbf",
        "micron",
        "mil",
        "millimeter",
        "inch",
        "foot,foot",
        ";",
        ",",
        "",
        "40.1,250,200,150,100,80,60,40",
        "9000, 5.9",
        "0,300,600",
        "12+34",
        "NB1",
        "1,2,3,4,5,6,7,8,9,10,11,12,13",
        "nan,inf",
        "=1",
        "2025-06-04",
        "21.5,30",
    ]),
    st.text(max_size=20),
    st.lists(st.floats().map(str), max_size=12).map(",".join),
)
LINES = st.one_of(
    st.tuples(KEYS, VALUES).map(" = ".join),
    st.sampled_from(["[Units]", "[Test Location 1]", "[Drops]", "", "; note", "[", "]["]),
    st.text(max_size=30),
)


@MANY
@given(st.lists(LINES, max_size=25), st.booleans(), st.integers(0, 60), OPTIONS)
def test_exchange_files_never_break(lines, complete, cut, options) -> None:
    start = "[Units]\nLoadUnits = kN\nDeflectionUnits = micron\n" + (
        "[Test Location 1]\nTestLocation = 12+50\nTestLane = NB1\nDropData1 = 40,250\n" if complete else ""
    )
    data = (start + "\n".join(lines)).encode()
    survives(data[: max(1, len(data) - cut)], "tests.pdx", **options)


@MANY
@given(
    st.lists(
        st.one_of(
            HEADINGS,
            st.text(max_size=40),
            st.from_regex(r"[a-z_]{1,20}[ _(\[]{1,3}[a-zµ°/^%0-9]{1,12}[)\]]?", fullmatch=True),
        ),
        max_size=12,
    ),
    st.sampled_from(sorted(FACTS)),
    st.booleans(),
)
def test_headings_never_break(headings, table, fuzzy) -> None:
    found = fit(headings, FACTS[table], {}, fuzzy=fuzzy)
    taken = [m.column for m in found.matches if m.column and not m.is_unit]
    assert len(found.matches) == len(headings)
    assert len(taken) == len(set(taken))
    assert set(taken) <= set(FACTS[table].names)
    assert all(0 <= m.confidence <= 1 for m in found.matches)


def test_a_renamed_archive_is_refused() -> None:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        archive.writestr("notes.txt", "Station,Lane,Load,D1")
    with pytest.raises(InputError, match="archive, not an"):
        read_bytes(buffer.getvalue(), "survey.xlsx")


@pytest.fixture(scope="module")
def bomb() -> bytes:
    """A workbook whose sheet unpacks to 300 MB from 300 kB."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/workbook.xml", "<workbook/>")
        with archive.open("xl/worksheets/sheet1.xml", "w") as stream:
            for _ in range(300):
                stream.write(b" " * 2**20)
    return buffer.getvalue()


def test_a_bomb_is_refused_before_it_is_unpacked(bomb: bytes) -> None:
    with pytest.raises(InputError, match="far more than it holds"):
        read_bytes(bomb, "bomb.xlsx")


def test_a_bomb_that_lies_about_its_size_is_refused(bomb: bytes) -> None:
    size = (300 * 2**20).to_bytes(4, "little")
    with pytest.raises(InputError, match="damaged"):
        read_bytes(bomb.replace(size, (1000).to_bytes(4, "little")), "bomb.xlsx")


def test_a_packed_text_that_swells_past_the_limit_is_refused() -> None:
    piece = gzip.compress(b"0," * 2**19)  # members of a gzip file follow one another
    with pytest.raises(InputError, match="unpacks to more than"):
        read_bytes(piece * 201, "zeros.csv.gz")


def test_a_stray_cell_far_away_is_refused_before_the_sheet_is_made() -> None:
    buffer = io.BytesIO()
    with xlsxwriter.Workbook(buffer) as book:
        sheet = book.add_worksheet()
        sheet.write_row(0, 0, ["Station", "Lane", "Load (lbf)", "D1 (mil)"])
        sheet.write(1_000_000, 400, 1)
    with pytest.raises(InputError, match="spans too many cells"):
        read_bytes(buffer.getvalue(), "stray.xlsx")


@pytest.mark.parametrize("quoted", [False, True])
def test_a_cell_of_ten_million_characters_is_named_by_row_and_column(quoted: bool) -> None:
    giant = "x" * 10_000_000
    cell = f'"{giant}"' if quoted else giant
    data = f"Station,Lane,Load (lbf),D1 (mils),Remark\n1+00,NB1,9000,5.9,ok\n2+00,NB1,9000,5.9,{cell}\n".encode()
    findings = [f for f in read_bytes(data, "giant.csv", position="corner")[0].findings if f.rule == "cell too long"]
    assert [(f.row, f.column, f.weight) for f in findings] == [(3, "Remark", "error")]


def test_a_giant_cell_in_the_first_row_is_refused_plainly() -> None:
    survives(b"x" * 10_000_000 + b",Lane\n1,2\n", "giant.csv")


def test_a_giant_cell_of_a_workbook_is_named() -> None:
    sheet = ["Station", "Lane", "Load (lbf)", "D1 (mil)", "Note"]
    plain = as_workbook(sheet, [["1+00", "NB1", 9000.0, 5.9, "MARK"]])
    buffer = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(plain)) as old, zipfile.ZipFile(buffer, "w", zipfile.ZIP_STORED) as new:
        for entry in old.infolist():
            new.writestr(entry.filename, old.read(entry).replace(b"MARK", b"x" * 10_000_000))
    findings = [
        f
        for f in read_bytes(buffer.getvalue(), "giant.xlsx", position="corner")[0].findings
        if f.rule == "cell too long"
    ]
    assert [(f.row, f.weight) for f in findings] == [(2, "error")]


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b" \n\n",
        b"\xff\xfe",
        b"\x1f\x8b",
        gzip.compress(b"", mtime=0),
        b"\x00" * 100,
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"x" * 600,
    ],
)
def test_files_with_nothing_to_read_are_refused(data: bytes) -> None:
    with pytest.raises(InputError):
        read_bytes(data, "nothing.csv")
