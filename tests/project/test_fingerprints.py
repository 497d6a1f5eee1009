"""Equal inputs have one fingerprint; whatever differs has another."""

import hashlib
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slabwright.project import fingerprint
from slabwright.records.decisions import Decisions, from_plain, to_plain
from slabwright.records.facts import FACTS
from slabwright.records.table import table


@dataclass(frozen=True)
class Pair:
    left: object
    right: object


@dataclass(frozen=True)
class Couple:
    left: object
    right: object


def test_it_is_the_digest_of_the_stated_bytes():
    """By hand: one text is written as its tag, its length in bytes and itself, inside a sequence of one."""
    assert fingerprint("é") == hashlib.sha256(b"sequence1;text2:\xc3\xa9").hexdigest()
    assert fingerprint() == hashlib.sha256(b"sequence0;").hexdigest()


ODD_NAN = np.frombuffer(np.uint64(0xFFF8000000000123).tobytes(), dtype=np.float64)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (0.0, -0.0),
        (1, 1.0),
        (float("nan"), ODD_NAN[0]),
        ((1, "a"), [1, "a"]),
        (np.float64(2), 2),
        ({"a": 1, "b": 2}, {"b": 2, "a": 1}),
        (pd.DataFrame({"a": [0.0, np.nan]}), pd.DataFrame({"a": [-0.0, ODD_NAN[0]]}, index=[7, 8])),
        (np.array([1.0, 2.0]), np.array([1.0, 2.0], dtype=">f8")),
        (Decisions(), from_plain({k: float(v) if isinstance(v, int) else v for k, v in to_plain(Decisions()).items()})),
    ],
)
def test_equal_inputs_agree(one, other):
    assert fingerprint(one) == fingerprint(other)


FRAME = pd.DataFrame({"a": [1.0, 2.0], "b": ["x", "yz"]})
DIFFERENT = [
    None,
    "",
    "None",
    0,
    1,
    True,
    False,
    "1",
    "0",
    (),
    ((),),
    ("a", "b"),
    ("ab",),
    ("b", "a"),
    ("a", ("b",)),
    {"a": "b"},
    b"a",
    "a",
    float("nan"),
    float("inf"),
    2**53,
    2**53 + 1,
    1e-300,
    0.1,
    np.nextafter(0.1, 1),
    Pair(1, 2),
    Pair(2, 1),
    Couple(1, 2),
    Decisions(),
    replace(Decisions(), design=replace(Decisions().design, thickness=0.1)),
    FRAME,
    FRAME.iloc[::-1],
    FRAME[["b", "a"]],
    FRAME.rename(columns={"a": "c"}),
    FRAME.head(1),
    FRAME.head(0),
    FRAME.assign(b=["xy", "z"]),
    FRAME.assign(a=[1.0, 3.0]),
    FRAME.assign(b=["x", None]),
    np.array([1.0, 2.0]),
    np.array([[1.0, 2.0]]),
    np.array(["x", "yz"]),
]


def test_different_inputs_differ():
    found = [fingerprint(part) for part in DIFFERENT]
    assert len(set(found)) == len(found)


def test_parts_are_not_run_together():
    assert len({fingerprint("a", "b"), fingerprint("ab"), fingerprint("", "ab"), fingerprint(("a", "b"))}) == 4


@given(st.lists(st.text(max_size=4), max_size=4), st.lists(st.text(max_size=4), max_size=4))
def test_text_columns_agree_only_when_equal(one, other):
    frames = [pd.DataFrame({"t": pd.Series(values, dtype=object)}) for values in (one, other)]
    assert (fingerprint(frames[0]) == fingerprint(frames[1])) == (one == other)


@pytest.mark.parametrize(
    "part", [object(), Path("x"), {1, 2}, pd.DataFrame({"a": pd.to_datetime(["2026-01-01"])}), Pair]
)
def test_what_has_no_canonical_bytes_is_refused(part):
    with pytest.raises(TypeError, match="no fingerprint"):
        fingerprint(part)


def test_facts_keep_their_fingerprint_through_the_file(project):
    rows = 50
    for name, schema in FACTS.items():
        data = {c.name: [f"t{i}" for i in range(rows)] if c.is_text else np.arange(rows) / 3 for c in schema.columns}
        frame = table(schema, data)
        project.replace_table(name, frame)
        assert fingerprint(getattr(project.facts(), name)) == fingerprint(frame)
    assert fingerprint(project.decisions()) == fingerprint(Decisions())
