"""Facts come back from the file as they went in, whatever they hold."""

import hashlib
import time

import numpy as np
import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from slabwright.errors import InputError
from slabwright.project import Batch, LoadedFile
from slabwright.records.facts import FACTS
from slabwright.records.table import table

from .helpers import counts, file, load_counts

TEXTS = [
    "",
    " ",
    "plain",
    "<b onmouseover=alert(1)>&amp;</b>",
    "'; DROP TABLE change; --",
    "שלום דרך",
    "طريق ١٢",
    "橋 № 7 🛣️",
    "e\u0301 and é",
    "line\nbreak\ttab",
    "x" * 10_000,
    "nan",
    "NULL",
    "=1+1",
    "1e5",
    "\ufeffmark",
]
NUMBERS = [np.nan, 0.0, -0.0, 5e-324, 1.7976931348623157e308, np.inf, -np.inf, 0.1, 1 / 3, -12.5, 2.0**53 + 2, 4.0]


def nasty(name: str, rows: int = 31) -> pd.DataFrame:
    """A table whose columns run through awkward values, each column from another place."""
    data = {}
    for shift, column in enumerate(FACTS[name].columns):
        values = TEXTS if column.is_text else NUMBERS
        data[column.name] = [values[(row + shift) % len(values)] for row in range(rows)]
    return table(FACTS[name], data)


@pytest.mark.parametrize("name", FACTS)
def test_every_table_round_trips(project, reopened, name):
    frame = nasty(name)
    project.load([(name, frame, np.arange(len(frame)))], file=file("a.csv"))
    project.close()
    with reopened() as again:
        pd.testing.assert_frame_equal(getattr(again.facts(), name), frame, check_exact=True)


def test_an_empty_project_has_every_table_empty_and_typed(project):
    facts = project.facts()
    for name, schema in FACTS.items():
        pd.testing.assert_frame_equal(getattr(facts, name), table(schema, {}))


text = st.text(st.characters(codec="utf-8", exclude_characters="\0"), max_size=20)
number = st.floats(width=64)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(rows=st.lists(st.tuples(number, text, text, number), max_size=6))
def test_any_text_and_number_round_trips(project, rows):
    keys = ("station", "lane", "kind", "length")
    frame = table(FACTS["distresses"], {key: [row[i] for row in rows] for i, key in enumerate(keys)})
    project.replace_table("distresses", frame)
    pd.testing.assert_frame_equal(project.facts().distresses, frame, check_exact=True)


def test_rows_keep_the_order_of_loading_and_know_their_origin(project):
    load_counts(project, "first.csv", 2030, 2010)
    load_counts(project, "second.csv", 2020)
    assert project.facts().counts["year"].tolist() == [2030, 2010, 2020]
    origins = project.origins("counts")
    assert origins["file"].tolist() == ["first.csv", "first.csv", "second.csv"]
    assert origins["row"].tolist() == [2, 3, 2]


def test_an_edited_table_keeps_the_origin_of_untouched_rows(project):
    load_counts(project, "first.csv", 2001, 2002, 2002, 2003)
    project.replace_table("counts", counts(2001, 2002, 1999, 2002, 2003, 2003))
    assert project.facts().counts["year"].tolist() == [2001, 2002, 1999, 2002, 2003, 2003]
    origins = project.origins("counts")
    assert origins["file"].tolist() == ["first.csv", "first.csv", "", "first.csv", "first.csv", ""]
    assert origins["row"].fillna(-1).tolist() == [2, 3, -1, 4, 5, -1]
    project.undo()
    assert project.facts().counts["year"].tolist() == [2001, 2002, 2002, 2003]


@pytest.mark.parametrize("years", [(), (2001,), (2001, 2002, 2003), (2003, 2002), (2001, 2002)])
def test_a_table_can_be_cut_lengthened_and_turned(project, years):
    load_counts(project, "first.csv", 2001, 2002)
    project.replace_table("counts", counts(*years))
    assert project.facts().counts["year"].tolist() == list(years)


def test_replacing_a_table_by_itself_is_no_change(project):
    head = load_counts(project, "first.csv", 2001)
    assert project.replace_table("counts", counts(2001)) == head
    assert len(project.history()) == 1


def test_a_wrong_table_or_column_is_refused_and_leaves_nothing(project):
    with pytest.raises(InputError, match="no table of facts of this name; given 'rails'"):
        project.load([("rails", counts(2001), [1])], file=file("a.csv"))
    with pytest.raises(InputError, match="no column of this name; given 'colour'"):
        project.replace_table("counts", pd.DataFrame({"colour": ["red"]}))
    assert project.history() == ()


@pytest.mark.parametrize("bad", ["a\0b", "half \ud83d of a pair"])
def test_text_that_is_no_text_is_refused_with_its_place(project, bad):
    frame = table(FACTS["lanes"], {"lane": ["1", bad], "position": [1, 2], "width": [3.6, 3.6]})
    with pytest.raises(InputError, match="table lanes, column lane, row 2 of the table") as refusal:
        project.load([("lanes", frame, [1, 2])], file=file("a.csv"))
    assert "Remove these characters" in str(refusal.value)
    assert project.facts().lanes.empty


def test_a_large_survey_loads_and_reads_within_an_engineers_patience(project):
    """100,000 drops; 30 s is far above the second or two that it takes, so that only a wrong algorithm fails.

    The time of this process alone is counted: other programs on the machine are no part of what is proved.
    """
    rows, generator = 100_000, np.random.default_rng(7)
    data = {c.name: np.full(rows, "1") if c.is_text else generator.random(rows) for c in FACTS["deflections"].columns}
    frame = table(FACTS["deflections"], data)
    begun = time.process_time()
    project.load([Batch("deflections", frame, np.arange(rows))], file=file("a.csv"))
    read = project.facts().deflections
    assert time.process_time() - begun < 30
    pd.testing.assert_frame_equal(read, frame, check_exact=True)


def test_the_same_bytes_are_refused_by_their_digest(project):
    digest = hashlib.sha256(b"station,lane").hexdigest()
    project.load([("counts", counts(2001), [2])], file=LoadedFile("a.csv", digest, 12))
    assert project.sources()[0].sha256 == digest
