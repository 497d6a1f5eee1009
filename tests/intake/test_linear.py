"""Every reader takes time in proportion to the length of its file: three sizes, each four times the one before.

What is four times as long may take up to nine times as long (a reader that grows with the square takes sixteen), so that a
busy machine fails no test; each time is the best of three.
"""

from __future__ import annotations

import io
import itertools
import resource
import time
from collections.abc import Callable
from functools import partial

import pytest
import xlsxwriter

from slabwright.errors import InputError
from slabwright.intake import read_bytes
from slabwright.intake.container import open_bytes
from slabwright.intake.exchange import exchange_sheet
from slabwright.intake.weather import weather_sheet

from .test_weather import HOT, lines_of

SIZES = (1, 4, 16)
MOST = 9.0
FAST = 0.004  # seconds: what is done sooner is not judged


def best(read: Callable[[], object]) -> float:
    took = []
    for _ in range(3):
        begun = worked()
        read()
        took.append(worked() - begun)
    return min(took)


def worked() -> float:
    """Seconds of the processor by this process and those it has waited for: other work on the machine takes none of them."""
    children = resource.getrusage(resource.RUSAGE_CHILDREN)
    return time.process_time() + children.ru_utime + children.ru_stime


def judge(make: Callable[[int], Callable[[], object]], length: int) -> None:
    """``make(n)`` gives a reading of a file of n rows."""
    times = [best(make(length * size)) for size in SIZES]
    assert all(later < MOST * max(before, FAST) for before, later in itertools.pairwise(times)), times


def exchange_file(drops: int, strange: int) -> bytes:
    head = ["[Test Location]", "TestLocation = 100", "DeflectionUnits = mm", "LoadUnits = kN"]
    lines = [f"DropData1 = 40, {0.1 + n / 1e6:.6f}, 0.09, 0.08" for n in range(drops)]
    return "\n".join([*head, *lines, *(f"Strange{n}word = {n}" for n in range(strange))]).encode()


def test_brackets_in_a_heading_cost_no_more_than_letters() -> None:
    """Each bracket once had the rest of the heading searched for its other half: seconds for 30 kB."""
    letters, brackets = (best(partial(_refused, sign * 30_000)) for sign in (b"a", b"["))
    assert brackets < 50 * max(letters, FAST)


def _refused(content: bytes) -> None:
    with pytest.raises(InputError):
        read_bytes(content, "deep.json")


def test_lines_of_an_exchange_file_that_nobody_knows() -> None:
    judge(lambda n: lambda: exchange_sheet(open_bytes(exchange_file(1, n), "a.ddx")), 2000)


def test_drops_of_an_exchange_file() -> None:
    judge(lambda n: lambda: exchange_sheet(open_bytes(exchange_file(n, 0), "a.ddx")), 1000)


def test_long_lines_of_an_exchange_file() -> None:
    long = "x" * 10_001 + "\n"
    judge(lambda n: lambda: exchange_sheet(open_bytes(exchange_file(1, 0) + b"\n" + long.encode() * n, "a.ddx")), 20)


def counts_file(rows: int, cell: str) -> bytes:
    return ("year,daily_traffic\n" + "".join(f"{1900 + n % 100},{cell}{n}\n" for n in range(rows))).encode()


@pytest.mark.parametrize("cell", ["", "about "])
def test_rows_of_a_delimited_file(cell: str) -> None:
    judge(lambda n: lambda: read_bytes(counts_file(n, cell), "counts.csv", table="counts"), 1000)


def test_quoted_cells_and_empty_lines_of_a_delimited_file() -> None:
    rows = b'"2001","1000"\n\n'
    judge(lambda n: lambda: read_bytes(b"year,daily_traffic\n" + rows * n, "counts.csv", table="counts"), 1000)


def test_rows_of_a_workbook_with_long_cells() -> None:
    def make(rows: int) -> Callable[[], object]:
        stream = io.BytesIO()
        with xlsxwriter.Workbook(stream) as book:
            sheet = book.add_worksheet()
            sheet.write_row(0, 0, ["year", "daily_traffic", "remarks"])
            for n in range(rows):
                sheet.write_row(n + 1, 0, [2001 + n % 20, 1000 + n, "x" * 10_001 if n % 2 else "short"])
        return lambda: read_bytes(stream.getvalue(), "counts.xlsx", table="counts")

    judge(make, 300)


def test_hours_of_a_weather_file() -> None:
    lines = lines_of(HOT)
    head, hours = lines[:8], lines[8:]

    def make(rows: int) -> Callable[[], object]:
        content = open_bytes("\n".join([*head, *hours[:rows]]).encode(), "a.epw")
        return lambda: weather_sheet(content)

    judge(make, 500)
