"""A workbook made to exhaust the program is refused in a sentence, wherever its relations put the sheet."""

from __future__ import annotations

import io
import time
import zipfile

import pytest
import xlsxwriter

from slabwright.errors import InputError
from slabwright.intake import apart, container, read_bytes, workbook


def plain() -> bytes:
    stream = io.BytesIO()
    with xlsxwriter.Workbook(stream) as book:
        sheet = book.add_worksheet()
        sheet.write_row(0, 0, ["year", "daily_traffic"])
        sheet.write_row(1, 0, [2001, 1000])
    return stream.getvalue()


def changed(parts: dict[str, bytes], renamed: dict[str, str]) -> bytes:
    """The plain workbook with other contents, and parts under other names that its relations give."""
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(plain())) as old, zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as new:
        for entry in old.infolist():
            content = parts.get(entry.filename, old.read(entry))
            for before, after in renamed.items():
                content = content.replace(before.removeprefix("xl/").encode(), after.removeprefix("xl/").encode())
            new.writestr(renamed.get(entry.filename, entry.filename), content)
    return made.getvalue()


SHEET = "xl/worksheets/sheet1.xml"
WIDE = (
    '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'
    '<row r="1"><c r="A1"><v>1</v></c></row><row r="1048576"><c r="XFD1048576"><v>1</v></c></row>'
    "</sheetData></worksheet>"
)


def test_the_relations_of_this_test_lead_the_reader_to_the_sheet() -> None:
    (reading,) = read_bytes(changed({}, {SHEET: "xl/parts/other.bin"}), "a.xlsx", table="counts")
    assert reading.frame["daily_traffic"].tolist() == [1000.0]


@pytest.mark.parametrize("place", [SHEET, "xl/elsewhere/sheet1.xml", "xl/parts/other.bin"])
def test_a_sheet_that_spans_too_much_is_refused_wherever_it_lies(place: str) -> None:
    bomb = changed({SHEET: WIDE.encode()}, {SHEET: place} if place != SHEET else {})
    assert len(bomb) < 10_000
    with pytest.raises(InputError, match="spans too many cells"):
        read_bytes(bomb, "bomb.xlsx")


def test_what_no_look_from_outside_finds_ends_the_other_process_only(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(container, "_check_sheet", lambda *_: None)
    begun = time.perf_counter()
    with pytest.raises(InputError, match="more memory or time to read than is allowed"):
        read_bytes(changed({SHEET: WIDE.encode()}, {}), "bomb.xlsx")
    assert time.perf_counter() - begun < workbook.SECONDS


def test_a_reader_that_never_ends_is_ended(monkeypatch: pytest.MonkeyPatch, tmp_path) -> None:
    endless = tmp_path / "endless.py"
    endless.write_text("while True: pass")
    monkeypatch.setattr(apart, "__file__", str(endless))
    monkeypatch.setattr(workbook, "SECONDS", 0.2)
    with pytest.raises(InputError, match="more memory or time"):
        read_bytes(plain(), "a.xlsx")


def test_where_nothing_can_be_bounded_no_workbook_is_read(monkeypatch: pytest.MonkeyPatch, tmp_path) -> None:
    unlimited = tmp_path / "unlimited.py"
    unlimited.write_text(f"raise SystemExit({apart.UNLIMITED})")
    monkeypatch.setattr(apart, "__file__", str(unlimited))
    with pytest.raises(InputError, match="cannot bound"):
        read_bytes(plain(), "a.xlsx")


def test_the_longest_cell_is_the_same_on_both_sides() -> None:
    assert apart.LONGEST_CELL == container.LONGEST_CELL
