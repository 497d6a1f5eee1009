"""Errors are never overruled; warnings are accepted or rejected by name, and the trace says which."""

from __future__ import annotations

import numpy as np
import pytest

from slabwright.errors import InputError
from slabwright.intake import grouped, preview, resolve

from .conftest import drops


def stuck(basin: np.ndarray) -> np.ndarray:
    basin[9:24, 3] = 1.2
    return basin


def test_a_clean_reading_needs_no_word(reading) -> None:
    found = resolve(reading(drops()))
    assert len(found.frame) == 36
    assert found.trace == ()


def test_errors_always_refuse_and_list_the_first_of_each_kind_with_its_count(reading) -> None:
    """Twenty equal errors do not hide the one that is another."""
    rows = "".join(f"{i}+00,NB1,-9000,5\n" for i in range(24)) + "30+00,NB1,9000,-5\n"
    found = reading("Station,Lane,Load (lbf),D1 (mils)\n" + rows)
    with pytest.raises(
        InputError,
        match=r"25 errors stop this load: \(1\) .*row 2, column load.*same in 23 more rows \(3, 4, 5, …\)\."
        r" \(2\) day.csv, row 26, column deflection_1.*must lie within",
    ):
        resolve(found, accept=True)


def test_groups_hold_every_finding_once_errors_first(reading) -> None:
    rows = "".join(f"{i}+00,NB1,-9000,5\n" for i in range(24)) + "30+00,NB1,9000,-5\n30+00,NB1,9000,-5\n"
    found = reading("Station,Lane,Load (lbf),D1 (mils),Crew\n" + rows.replace("\n", ",A\n"))
    groups = grouped(found.findings, found.suspicious, found.source_rows.tolist())
    assert sorted(p for g in groups for p in g.places) == list(range(len(found.findings)))
    assert [g.weight for g in groups] == sorted((g.weight for g in groups), key=["error", "warning", "note"].index)
    negative = next(g for g in groups if g.rule == "negative load")
    assert (negative.count, negative.rows) == (24, (2, 3, 4, 5, 6, 7))


def test_an_open_doubt_waits(reading) -> None:
    with pytest.raises(InputError, match=r"1 kinds of warning wait.*faulty sensor"):
        resolve(reading(drops(basins=stuck)))


def test_striking_cells_that_may_be_missing_empties_them(reading) -> None:
    found = resolve(reading(drops(basins=stuck)), reject=("faulty sensor",))
    assert len(found.frame) == 36
    assert np.flatnonzero(found.frame["deflection_4"].isna()).tolist() == list(range(9, 24))
    assert [(t.rule, t.action, t.rows, t.cells_emptied, t.rows_removed) for t in found.trace] == [
        ("faulty sensor", "rejected", 15, 15, 0)
    ]


def test_striking_whole_rows_removes_them_with_their_numbers(reading) -> None:
    text = drops()
    found = resolve(reading(text + text.splitlines()[4] + "\n"), reject=("duplicate row",))
    assert len(found.frame) == 36
    assert found.source_rows.tolist() == list(range(2, 38))
    assert [(t.rule, t.action, t.rows_removed) for t in found.trace] == [("duplicate row", "rejected", 1)]


def test_striking_a_required_cell_removes_its_row(reading) -> None:
    found = reading("Station,Lane,Load (lbf),D1 (mils)\n1+00,NB1,9000,5\n2+00,NB1,40 kN,5\n")
    assert resolve(found, reject=("mixed units",)).source_rows.tolist() == [2]


def test_one_struck_and_the_others_accepted(reading) -> None:
    text = drops(basins=stuck)
    found = resolve(reading(text + text.splitlines()[2] + "\n"), accept=True, reject=("duplicate row",))
    assert {(t.rule, t.action) for t in found.trace} == {("duplicate row", "rejected"), ("faulty sensor", "accepted")}
    assert found.frame["deflection_4"].notna().all()


def test_striking_everything_is_refused(reading) -> None:
    with pytest.raises(InputError, match="leave no rows"):
        resolve(reading("Station,Lane,Load,D1\n1+00,NB1,9000,5\n"), reject=("unit assumed",))


@pytest.mark.parametrize("reject", [("no such rule",), ("out of bounds",), "duplicate row"])
def test_only_doubts_can_be_struck(reading, reject) -> None:
    with pytest.raises(InputError):
        resolve(reading(drops()), reject=reject)


def test_the_reading_is_not_changed(reading) -> None:
    found = reading(drops(basins=stuck))
    before = found.frame.copy()
    resolve(found, reject=("faulty sensor",))
    assert found.frame.equals(before)


def test_preview_shows_customary_units(reading) -> None:
    shown = preview(reading(drops(basins=stuck)))
    assert shown.title == "Deflection tests from day.csv"
    assert shown.first["station"][0] == "0+50.0"
    assert shown.first["load (lbf)"][0] == pytest.approx(6000)
    assert shown.first["deflection_1 (mil)"][1] == pytest.approx(5, rel=0.01)
    assert shown.counts == {"error": 0, "warning": 1, "note": 0}
    assert shown.warnings == {"faulty sensor": 15}


def twice(text: str) -> str:
    """Two rows repeated, which makes two findings of one rule."""
    lines = text.splitlines()
    return "\n".join([*lines, lines[4], lines[7]]) + "\n"


def numbers(found, rule: str) -> list[int]:
    return [i for i, f in enumerate(found.findings) if f.rule == rule]


def test_one_finding_of_two_is_struck_and_the_other_accepted(reading) -> None:
    found = reading(twice(drops()))
    first, second = numbers(found, "duplicate row")
    left = resolve(found, accept=True, reject_findings={second})
    assert left.source_rows.tolist() == list(range(2, 39))
    assert [(t.rule, t.action, t.rows, t.rows_removed) for t in left.trace] == [
        ("duplicate row", "rejected", 1, 1),
        ("duplicate row", "accepted", 1, 0),
    ]
    assert 39 not in left.source_rows
    assert 38 not in resolve(found, accept=True, reject_findings={first}).source_rows


def test_a_struck_finding_empties_its_cells_only(reading) -> None:
    found = reading(twice(drops(basins=stuck)))
    left = resolve(found, accept=True, reject_findings=numbers(found, "faulty sensor"))
    assert len(left.frame) == 38
    assert left.frame["deflection_4"].isna().sum() == 15


def test_a_finding_left_open_beside_a_struck_one_waits(reading) -> None:
    found = reading(twice(drops()))
    with pytest.raises(InputError, match=r"1 kinds of warning wait.*duplicate row"):
        resolve(found, reject_findings=numbers(found, "duplicate row")[:1])


def test_striking_each_finding_is_striking_their_rule(reading) -> None:
    found = reading(twice(drops(basins=stuck)))
    every = numbers(found, "duplicate row")
    singly = resolve(found, accept=True, reject_findings=every)
    together = resolve(found, accept=True, reject=("duplicate row",))
    assert singly.frame.equals(together.frame)
    assert singly.trace == together.trace


@pytest.mark.parametrize("number", [-1, 99])
def test_only_a_doubt_of_the_reading_can_be_struck_by_number(reading, number) -> None:
    with pytest.raises(InputError, match="no warning of this number"):
        resolve(reading(drops()), reject_findings={number})
