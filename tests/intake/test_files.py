"""Dialects, encodings, workbooks and the exchange format: one table, however it is written down."""

from __future__ import annotations

import gzip
import io

import numpy as np
import pytest
import xlsxwriter

from slabwright.errors import InputError
from slabwright.intake import read
from slabwright.intake import read_bytes as read_anything

from .conftest import rules

TEXT = "Station,Lane,Load (lbf),D1 (mils),Date\n1+00,NB1,9000.5,5.25,2025-06-04\n2+00,NB1,9100.5,5.5,2025-06-04\n"


def read_bytes(data: bytes, name: str, **options: object):
    """As intake reads; tests without a position are not asked where they stood."""
    return read_anything(data, name, position="not known", **options)


def same(found) -> bool:
    """The table of TEXT; by hand: 1 lbf is 4.4482216152605 N, 1 mil is 25.4 um, 100 ft are 30.48 m."""
    frame = found.frame
    return (
        frame["station"].tolist() == pytest.approx([30.48, 60.96])
        and frame["load"].tolist() == pytest.approx([40036.219, 40481.041], abs=1e-3)
        and frame["deflection_1"].tolist() == pytest.approx([133.35e-6, 139.7e-6])
        and frame["date"].tolist() == ["2025-06-04"] * 2
    )


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
@pytest.mark.parametrize("ends", ["\n", "\r\n", "\r"])
def test_delimiters_and_line_ends(delimiter, ends) -> None:
    assert same(read_bytes(TEXT.replace(",", delimiter).replace("\n", ends).encode(), "day.csv")[0])


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le"])
def test_encodings(encoding) -> None:
    data = ("\ufeff" if encoding == "utf-16-le" else "") + TEXT.replace("NB1", "Nörd")
    found = read_bytes(data.encode(encoding), "day.csv")[0]
    assert same(found)
    assert found.frame["lane"][0] == "Nörd"


def test_windows_text_is_read_and_announced() -> None:
    found = read_bytes(TEXT.replace("NB1", "Nörd").encode("cp1252"), "day.csv")[0]
    assert found.frame["lane"][0] == "Nörd"
    assert [f.rule for f in found.findings][:1] == ["encoding guessed"]


def test_packed_text() -> None:
    assert same(read_bytes(gzip.compress(TEXT.encode()), "day.csv.gz")[0])


def test_a_packed_text_cut_short_is_refused() -> None:
    with pytest.raises(InputError, match="cut short"):
        read_bytes(gzip.compress(TEXT.encode())[:-12], "day.csv.gz")


def test_decimal_commas() -> None:
    found = read_bytes(
        TEXT.replace(",", ";").replace(".", ",").replace("2025-06-04", "04-Jun-2025").encode(), "day.csv"
    )[0]
    assert same(found)
    assert "decimal comma" in {f.rule for f in found.findings}


def test_titles_comments_and_empty_lines_keep_the_rows_numbers() -> None:
    found = read_bytes(("Deflections of June\n# by hand\n\n" + TEXT.replace("\n2+00", "\n\n2+00")).encode(), "day.csv")[
        0
    ]
    assert same(found)
    assert found.source_rows.tolist() == [5, 7]


def test_a_quoted_cell_over_two_lines_is_one_row() -> None:
    found = read_bytes(TEXT.replace("NB1", '"NB\n1, left"').encode(), "day.csv")[0]
    assert found.frame["lane"][0] == "NB\n1, left"
    assert found.source_rows.tolist() == [2, 3]


@pytest.mark.parametrize("rows", ["C1,9\n2+00,NB1,C2\n", "C1,9,\n2+00,NB1,C2\n", '"C1\n",9\n\n2+00,NB1,C2\n'])
def test_rows_without_their_last_cells_are_blank_there(rows) -> None:
    found = read_bytes(f"Station,Lane,Core,Length (in),Note,Date\n1+00,NB1,{rows}".encode(), "cores.csv")[0]
    assert found.frame["core"].tolist() == ["C1", "C2"]
    assert found.frame["thickness"].tolist() == pytest.approx([0.2286, np.nan], nan_ok=True)
    assert found.source_rows[1] == (4 if rows.startswith('"') else 3)
    assert rules(found) == set()
    lacking = read_bytes(b"Station,Lane,Core,Length (in)\n1+00,NB1\n", "cores.csv")[0]
    assert [(f.rule, f.row) for f in lacking.findings if f.weight == "error"] == [("missing required", 2)]


def test_a_giant_cell_among_short_rows_is_refused_in_a_sentence() -> None:
    with pytest.raises(InputError, match=r"field larger than field limit.*Shorten its longest cell"):
        read_bytes(f"Station,Lane,Core,Note,Date\n1+00,NB1,C1,{'x' * 200_000}\n".encode(), "cores.csv")


def test_a_quote_never_closed_is_refused() -> None:
    with pytest.raises(InputError, match="cannot be read"):
        read_bytes(TEXT.replace("NB1", '"NB1', 1).encode(), "day.csv")


def test_leading_zeros_of_names_stay() -> None:
    found = read_bytes(TEXT.replace("NB1", "007").encode(), "day.csv")[0]
    assert found.frame["lane"].tolist() == ["007", "007"]


def test_a_truncated_last_row_is_named() -> None:
    found = read_bytes((TEXT + "3+00,NB1,90").encode(), "day.csv")[0]
    assert ("missing required", 4, "deflection_1") in {(f.rule, f.row, f.column) for f in found.findings}


def test_too_many_columns_and_missing_files_are_refused(tmp_path) -> None:
    with pytest.raises(InputError, match="too many columns"):
        read_bytes(("Station" + "," * 600 + "\n1+00\n").encode(), "wide.csv")
    with pytest.raises(InputError, match="no such file"):
        read(tmp_path / "absent.csv")
    with pytest.raises(InputError, match="no such file"):
        read(tmp_path)


def test_too_many_rows_are_refused() -> None:
    with pytest.raises(InputError, match="too many rows"):
        read_bytes(b"Station,Lane\n" + b"1,2\n" * 2_000_100, "long.csv")


def test_the_fingerprint_is_of_the_file_as_given(tmp_path) -> None:
    """SHA-256 of the three bytes "abc", FIPS 180-2 appendix B.1, shows the digest; here of a whole file."""
    path = tmp_path / "day.csv"
    path.write_bytes(TEXT.encode())
    found = read(path, position="not known")[0]
    assert (found.file, found.size, len(found.sha256)) == ("day.csv", len(TEXT), 64)
    assert found.sha256 != read_bytes(gzip.compress(TEXT.encode()), "day.csv")[0].sha256


def book(**sheets: list[list[object]]) -> bytes:
    buffer = io.BytesIO()
    with xlsxwriter.Workbook(buffer, {"in_memory": True}) as made:
        day = made.add_format({"num_format": "yyyy-mm-dd"})
        for name, rows in sheets.items():
            sheet = made.add_worksheet(name)
            for at, row in enumerate(rows):
                for column, value in enumerate(row):
                    sheet.write(at, column, value, *([day] if hasattr(value, "year") else []))
    return buffer.getvalue()


def test_a_workbook_of_several_sheets() -> None:
    import datetime

    day = datetime.datetime(2025, 6, 4)
    head = TEXT.splitlines()[0].split(",")
    found = read_bytes(
        book(
            Drops=[["Title"], [], head, ["1+00", "NB1", 9000.5, 5.25, day], ["2+00", "NB1", 9100.5, 5.5, day]],
            Cores=[["Core No", "Sta", "Lane", "Core length (in)"], [7, "1+00", "NB1", 9.5]],
            Notes=[["nothing here"]],
        ),
        "all.xlsx",
    )
    assert [r.table for r in found] == ["deflections", "cores"]
    assert same(found[0])
    assert found[0].source_rows.tolist() == [4, 5]
    assert found[1].frame.loc[0, ["core", "thickness"]].tolist() == ["7", pytest.approx(0.2413)]
    assert "sheet without a table" in {f.rule for f in found[0].findings}


def two_sheets(**units: str):
    return read_bytes(
        book(
            Cores=[["Core No", "Sta", "Lane", "Core length"], [7, "1+00", "NB1", 240]],
            Lanes=[["Lane", "Position", "Width"], ["NB1", 1, 3.6]],
        ),
        "two.xlsx",
        units=units,
    )


def test_units_told_for_a_workbook_reach_the_sheet_that_has_the_column() -> None:
    cores, lanes = two_sheets(thickness="mm", Width="m")
    assert cores.frame["thickness"].tolist() == [pytest.approx(0.24)]
    assert lanes.frame["width"].tolist() == [3.6]


def test_units_told_for_a_column_of_no_sheet_are_refused() -> None:
    with pytest.raises(InputError, match="does not suit the column"):
        two_sheets(breadth="m")


def test_a_workbook_gives_the_stored_value_of_a_formula_and_a_text_formula_is_an_error() -> None:
    buffer = io.BytesIO()
    with xlsxwriter.Workbook(buffer) as made:
        sheet = made.add_worksheet()
        sheet.write_row(0, 0, ["Station", "Lane", "Load (lbf)", "D1 (mils)"])
        sheet.write_row(1, 0, ["1+00", "NB1"])
        sheet.write_formula(1, 2, "=4500*2", value=9000)
        sheet.write_string(1, 3, "=1+1")
    found = read_bytes(buffer.getvalue(), "book.xlsx")[0]
    assert found.frame["load"][0] == pytest.approx(9000 * 4.4482216152605)
    assert rules(found) == {"formula"}


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (bytes.fromhex("d0cf11e0a1b11ae1") + b"x" * 512, "password"),
        (b"PK\x03\x04" + b"x" * 100, "damaged"),
        (b"PK\x05\x06" + b"\0" * 18, "not an .xlsx"),
        (b"\x00\x01\x02\x03" * 50, "not a text file"),
        (b"", "empty"),
    ],
)
def test_what_is_no_table_is_refused(data, says) -> None:
    with pytest.raises(InputError, match=says):
        read_bytes(data, "thing.xlsx")


EXCHANGE = """\
[Pavement Deflection Data Exchange File]
DelimiterSymbol = ,
DecimalSymbol = .
[Units]
LoadUnits = kN
DeflectionUnits = um
SensorLocationUnits = mm
LoadPlateRadiusUnits = mm
TestLocationUnits = ft,ft
TemperatureUnits = C
[Device Configuration]
LoadPlateRadius = 150
DeflectionSensorXAxisDistances = 0,300,600
[Test Location 1]
TestLocation = 1250,6
TestLane = NB1
TestType = J1
TestTemperatures = 21.5,30
NumberOfDrops = 2
DropData1 = 40.1,127,100,80
DropData2 = 53.4,169.5,133,106
[Test Location 2]
TestLocation = 1300,6
TestLane = NB1
TestType = J4
DropData1 = 40.2,180,150,90
Surprise = 12
"""


def test_the_exchange_format() -> None:
    (found,) = read_bytes(EXCHANGE.encode(), "tests.pdx")
    frame = found.frame
    assert found.table == "deflections"
    assert found.source_rows.tolist() == [20, 21, 26]
    assert frame["station"].tolist() == pytest.approx([381.0, 381.0, 396.24])
    assert frame["load"].tolist() == pytest.approx([40100, 53400, 40200])
    assert frame["deflection_3"].tolist() == pytest.approx([80e-6, 106e-6, 90e-6])
    assert frame.loc[0, ["plate_radius", "offset_2", "offset_3"]].tolist() == pytest.approx([0.15, 0.3, 0.6])
    assert frame["position"].tolist() == ["mid-slab", "mid-slab", "joint approach"]
    assert frame["drop"].tolist() == [1, 2, 1]
    assert frame.loc[0, ["air_temperature", "surface_temperature"]].tolist() == pytest.approx([21.5, 30])
    assert any("surprise" in f.message for f in found.findings)
    assert rules(found) == set()


def test_the_exchange_format_with_decimal_commas() -> None:
    text = EXCHANGE.replace(",", ";").replace("DelimiterSymbol = ;", "DelimiterSymbol = semicolon").replace(".", ",")
    (found,) = read_bytes(text.encode(), "tests.pdx")
    assert found.frame["load"].tolist() == pytest.approx([40100, 53400, 40200])


def test_an_exchange_file_without_units_is_a_doubt() -> None:
    text = "\n".join(line for line in EXCHANGE.splitlines() if "Units" not in line or "[" in line)
    assert "unit assumed" in rules(read_bytes(text.encode(), "tests.pdx")[0])


def test_an_exchange_file_without_drops_is_refused() -> None:
    with pytest.raises(InputError, match="no drops"):
        read_bytes("\n".join(line for line in EXCHANGE.splitlines() if "DropData" not in line).encode(), "tests.pdx")
