"""An edited table shows in the history by its cells: which row and column, from what to what."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest

from slabwright.project import create
from slabwright.project.cells import CELLS_KEPT, changed_cells
from slabwright.records.changes import in_words
from slabwright.records.facts import FACTS
from slabwright.records.table import table
from slabwright.web.pages.history import _history_html, _values
from tests.conftest import clock

LAYERS = FACTS["layers"]


def layers(*thicknesses: float) -> pd.DataFrame:
    rows = len(thicknesses)
    starts = np.cumsum([0.0, *thicknesses[:-1]]) * 1000  # so that no two rows are alike
    return table(LAYERS, {"begin": starts, "end": starts + 100, "pavement": ["JPCP"] * rows, "thickness": thicknesses})


def test_changed_cells_are_named_with_before_and_after() -> None:
    old = layers(0.2, 0.25, 0.3)
    new = old.assign(thickness=[0.2, 0.26, np.nan], base=["", "", "sand"])
    told = changed_cells(old, new)
    assert told == {
        "cells": [[2, "thickness", 0.25, 0.26], [3, "thickness", 0.3, None], [3, "base", "", "sand"]],
        "changed": 3,
    }
    words = in_words({"table": "layers", "rows": 3, **told}, {}, "metric")
    assert "row 2, slab thickness from the plans [mm]: 250 → 260" in words
    assert "row 3, slab thickness from the plans [mm]: 300 → –" in words
    assert "empty → sand" in words


def test_rows_that_came_or_went_are_told_as_rows() -> None:
    old = layers(0.2, 0.25, 0.3, 0.35)
    assert changed_cells(old, old.drop(index=1)) == {"removed": [2, 2]}
    assert changed_cells(old.iloc[:2], old) == {"added": [3, 4]}
    assert changed_cells(old.iloc[:0], old) == {"added": [1, 4]}
    assert changed_cells(old, old) == {"cells": [], "changed": 0}
    assert "rows 3 to 4 added" in in_words({"table": "layers", "rows": 4, **changed_cells(old.iloc[:2], old)}, {}, "us")


@pytest.mark.parametrize("rows", [1, CELLS_KEPT, CELLS_KEPT + 5])
def test_only_the_first_cells_are_kept_and_all_are_counted(rows: int) -> None:
    old = layers(*np.linspace(0.2, 0.3, rows))
    told = changed_cells(old, old.assign(thickness=old["thickness"] + 0.01))
    assert (len(told["cells"]), told["changed"]) == (min(rows, CELLS_KEPT), rows)
    words = in_words({"table": "layers", "rows": rows, **told}, {}, "us")
    assert ("and 5 more cells" in words) is (rows > CELLS_KEPT)


def test_what_was_undone_and_who_undid_it_stay_on_the_page(tmp_path) -> None:
    with create(tmp_path / "a.slab", user="Ada", clock=clock) as project:
        project.decide("base", {"design.thickness": 0.1})
        project.user = "Ben"
        project.undo()
        project.decide("base", {"design.thickness": 0.12})
        page = _history_html(project.history(), {}, "metric")
    assert "undone, replaced by no. 3" in page
    assert (
        '<td data-label="Who">Ben</td><td data-label="What">undo no. 1: decide “overlay thickness” (base)</td>' in page
    )
    assert '<td data-label="Before"></td><td data-label="After"></td>' in page
    assert "“overlay thickness” 0.1<" in page


def test_a_decision_changed_since_the_report_is_told_with_both_values(tmp_path) -> None:
    """25.4 mm to the inch, by definition."""
    with create(tmp_path / "a.slab", user="Ada", clock=clock) as project:
        project.decide("base", {"design.thickness": 0.1016})
        project.add_alternative("thin")
        view = SimpleNamespace(decisions=project.decisions(), system="us")
        first, second = project.history()
    assert _values(view, first) == ": design.thickness 0.00 in → design.thickness 4.00 in"
    assert _values(view, second) == ""
