"""What a large file takes of memory while it is read, and what its table keeps of it, by the row."""

from __future__ import annotations

import tracemalloc
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from slabwright import intake
from slabwright.intake import read_bytes, reading
from slabwright.records.facts import FACTS
from slabwright.records.table import table

ROWS = 10_000
SENSORS = range(1, 8)
HEADS = ",".join(["station,lane,drop,load,plate_radius", *(f"deflection_{i}" for i in SENSORS), "date"])


def drops(rows: int) -> bytes:
    """A file of deflection tests in which each station is a wording of its own."""
    said = (
        f"{100 + i * 0.5:.2f} m,1,{i % 3 + 1},41.{i % 90 + 10} kN,150 mm,{900 - i % 50}.4,800.3,700.6,600.7,500.9,400.8,300.0,2026-04-01"
        for i in range(rows)
    )
    return "\n".join([HEADS, *said]).encode()


def read(rows: int):
    return read_bytes(drops(rows), "drops.csv", system="metric", position="mid-slab")


def test_a_large_file_takes_little_more_than_its_table() -> None:
    """Kept: 11 columns of numbers and 3 of words at 8 bytes a cell, two shared ones for what is absent, the row of the file
    and the rows of one finding make 144 bytes a row; two fifths more are left for what does not grow with the rows. At the
    peak the text (83), its words (65 for each station), the columns as they were read (112) and, while they are joined, the
    numbers once more (88) come to it."""
    read(10)  # what is made once and kept
    tracemalloc.start()
    found = read(ROWS)
    kept, peak = (size / ROWS for size in tracemalloc.get_traced_memory())
    tracemalloc.stop()
    assert len(found[0].frame) == ROWS
    assert kept < 1.4 * 144
    assert peak < 144 + 83 + 65 + 112 + 88


def test_the_text_is_gone_when_the_table_is_checked(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """The table as above, and 83 bytes a row less than with the text beside it."""
    plain, held = reading.check_deflections, []

    def check(*given: Any) -> None:
        held.append(tracemalloc.get_traced_memory()[0] / ROWS)
        plain(*given)

    monkeypatch.setattr(reading, "check_deflections", check)
    path = tmp_path / "drops.csv"
    for rows in (10, ROWS):
        path.write_bytes(drops(rows))
        tracemalloc.start()
        intake.read(path, system="metric", position="mid-slab")
        tracemalloc.stop()
    assert held[-1] < 1.4 * 144 + 83 / 2


def test_a_word_told_for_all_rows_is_held_once() -> None:
    (found,) = read(100)
    assert len({id(word) for word in found.frame["position"]}) == 1


def test_absent_columns_of_a_table_taken_over_are_one_and_given_ones_are_not_copied() -> None:
    given = {"station": np.arange(5.0), "lane": np.array(["1"] * 5, dtype=object)}
    schema = FACTS["deflections"]
    owned, plain = table(schema, dict(given), own=True), table(schema, dict(given))
    assert owned.equals(plain)
    for name in given:
        assert np.shares_memory(owned[name].to_numpy(), given[name])
        assert not np.shares_memory(plain[name].to_numpy(), given[name])
    first, second = (owned[f"offset_{i}"].to_numpy() for i in (1, 2))
    assert np.shares_memory(first, second)
    changed = owned.assign(offset_1=1.0)
    assert changed["offset_2"].isna().all()
    assert owned["offset_1"].isna().all()
