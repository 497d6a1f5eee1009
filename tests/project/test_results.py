"""Results come back without loss, only for their own inputs, and do not grow without end."""

import numpy as np
import pandas as pd
import pytest

from slabwright.errors import StoreError
from slabwright.project import results
from slabwright.project.schema import RESULT
from slabwright.records.remarks import remark
from slabwright.records.results import StageResult

TABLES = {
    "mixed": pd.DataFrame({
        "number": [0.1, np.nan, -0.0, np.inf, 5e-324],
        "word": pd.Series(["a", "", "שלום", None, "<b>"], dtype=object),
        "any": pd.Series([1, 2.5, True, "x", None], dtype=object),
        "yes": [True, False, True, False, True],
        "whole": [1, 2, 3, 2**53 + 1, -5],
        "text": pd.Series(["a", "b", None, "", "é"], dtype="str"),
    }),
    "empty": pd.DataFrame({"number": pd.Series([], dtype=float), "word": pd.Series([], dtype=object)}),
    "columnless": pd.DataFrame(index=pd.RangeIndex(3)),
}
RESULT_OF_ALL = StageResult(
    "survey",
    TABLES,
    (remark("{n} to {what}", "S1", n=("width", 0.0177), what=("text", "{50 %}")), remark("noch eine «Notiz»")),
)


def test_a_result_comes_back_without_loss(project, reopened):
    project.save_result("survey", "f1", RESULT_OF_ALL)
    project.close()
    with reopened() as again:
        found = again.result("survey", "f1")
    assert (found.stage, found.notes) == ("survey", RESULT_OF_ALL.notes)
    assert list(found.tables) == list(TABLES)
    for name, frame in TABLES.items():
        pd.testing.assert_frame_equal(found.tables[name], frame, check_exact=True, check_column_type=False)
    assert np.signbit(found.tables["mixed"]["number"][2])
    assert [type(v) for v in found.tables["mixed"]["any"]] == [int, float, bool, str, type(None)]


def test_numpy_scalars_among_objects_become_plain_numbers(project):
    frame = pd.DataFrame({"any": pd.Series([np.float64(0.1), np.int64(3), np.bool_(True)], dtype=object)})
    project.save_result("survey", "f1", StageResult("survey", {"t": frame}))
    assert project.result("survey", "f1").tables["t"]["any"].tolist() == [0.1, 3, True]


def test_a_result_is_found_only_for_its_stage_and_inputs(project):
    project.save_result("survey", "f1", RESULT_OF_ALL)
    assert project.result("survey", "f2") is None
    assert project.result("repair", "f1") is None
    assert project.result_keys() == (("survey", "f1"),)


def test_results_are_outside_the_history(project):
    project.decide("base", {"design.thickness": 0.1})
    project.save_result("survey", "f1", RESULT_OF_ALL)
    project.undo()
    assert project.result("survey", "f1") is not None
    assert [c.undoes for c in project.history()] == [None, 1]


def test_saving_twice_keeps_one(project):
    project.save_result("survey", "f1", RESULT_OF_ALL)
    project.save_result("survey", "f1", RESULT_OF_ALL)
    assert project.result_keys() == (("survey", "f1"),)


def test_the_newest_of_each_stage_are_kept(project, monkeypatch):
    monkeypatch.setattr(results, "KEPT_RESULTS", 3)
    project.save_result("repair", "old", StageResult("repair", {}))
    for number in range(5):
        project.save_result("survey", f"f{number}", StageResult("survey", {}))
    assert project.result_keys() == (("repair", "old"), ("survey", "f2"), ("survey", "f3"), ("survey", "f4"))


def test_large_results_are_bounded_by_bytes_but_the_newest_is_always_kept(project, monkeypatch):
    size = len(results.packed(RESULT_OF_ALL))
    monkeypatch.setattr(results, "KEPT_BYTES", 2 * size)
    for number in range(4):
        project.save_result("survey", f"f{number}", RESULT_OF_ALL)
    assert project.result_keys() == (("survey", "f2"), ("survey", "f3"))
    monkeypatch.setattr(results, "KEPT_BYTES", 1)
    project.save_result("survey", "f9", RESULT_OF_ALL)
    assert project.result_keys() == (("survey", "f9"),)


@pytest.mark.parametrize(
    "frame",
    [
        pd.DataFrame({"a": [1.0]}, index=[5]),
        pd.DataFrame({"a": pd.to_datetime(["2026-01-01"])}),
        pd.DataFrame({"a": pd.Series([object()], dtype=object)}),
        pd.DataFrame({3: [1.0]}),
    ],
    ids=["index", "dtype", "object", "heading"],
)
def test_what_would_not_come_back_is_refused(project, frame):
    with pytest.raises(ValueError, match="result table"):
        project.save_result("survey", "f1", StageResult("survey", {"t": frame}))
    assert project.result_keys() == ()


@pytest.mark.parametrize("content", [b"", b"rubbish", results.packed(RESULT_OF_ALL)[:-9]])
def test_a_damaged_result_is_said_to_be_damaged(project, content):
    with project.store.writing() as connection:
        values = {"stage": "survey", "fingerprint": "f1", "time": "", "content": content}
        connection.execute(RESULT.insert().values(values))
    with pytest.raises(StoreError, match="damaged"):
        project.result("survey", "f1")
