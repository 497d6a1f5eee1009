"""Remarks: the same sentence in each system, and back from the text that tables and project files hold."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slabwright.project.results import packed, unpacked
from slabwright.records.display import cell
from slabwright.records.remarks import Remark, by_number, decoded, encoded, reads, remark, together, worded
from slabwright.records.results import StageResult
from slabwright.records.table import Column, Schema, table

OPEN = remark("high longitudinal crack, {opening} open", opening=("width", 0.0177))
SCHEMA = Schema("cracks", "Cracks", "a crack", (Column("reason", "remark", "reason"),))


def test_a_sentence_in_both_systems() -> None:
    """17.7 / 25.4 = 0.69685; 27 degC = 27 * 1.8 + 32 = 80.6 degF; 304.8 m = 1000 ft, which is station 10+00."""
    assert worded(OPEN, "us") == "high longitudinal crack, 0.697 in open"
    assert worded(OPEN, "metric") == "high longitudinal crack, 17.70 mm open"
    warm = remark(
        "above {limit} at {place} in {lane}",
        "W1",
        limit=("temperature", 27.0),
        place=("station", 304.8),
        lane=("text", "{L} 5 %"),
    )
    assert worded(warm, "us") == "Section W1: above 80.6 °F at 10+00.0 in {L} 5 %"
    assert worded(warm, "metric") == "Section W1: above 27.0 °C at 0+304.8 in {L} 5 %"


def test_the_text_of_a_cell_can_be_read_by_a_person() -> None:
    assert encoded(OPEN) == "high longitudinal crack, {opening:width:0.0177} open"
    assert encoded(remark("no steel")) == "no steel"


VALUES = st.one_of(
    st.tuples(st.just("text"), st.text()),
    st.tuples(st.sampled_from(["station", "width", "share"]), st.floats(allow_nan=False)),
)


@given(st.lists(VALUES, max_size=4), st.text(alphabet="ab {}:%é", max_size=12), st.text(max_size=5))
def test_a_remark_comes_back_from_its_text(values: list[tuple[str, float | str]], words: str, section: str) -> None:
    words = words.replace("{", "{{").replace("}", "}}")
    template = words.join(["", *(f"{{p{i}}}" for i in range(len(values))), ""])
    said = Remark(template, tuple((f"p{i}", *value) for i, value in enumerate(values)), section)
    assert decoded(encoded(said), section) == said
    kept = unpacked(packed(StageResult("survey", {"cracks": table(SCHEMA, {"reason": [said]})}, (said,))))
    assert kept.notes == (said,)
    assert decoded(kept.tables["cracks"]["reason"].iloc[0], section) == said


def test_a_missing_value_is_a_dash() -> None:
    assert reads(encoded(remark("{d} deep", d=("width", math.nan))), "us") == "– deep"


@pytest.mark.parametrize(
    "words", ["{", "}", "{}", "{a}", "{a:b:c}", "{a:width:x}", "{{a:width:1}}", "{a.b:width:1}", "50 % {"]
)
def test_words_with_braces_of_others_stay_words(words: str) -> None:
    """A name or note of a user may hold anything."""
    assert reads(words, "us").replace("{{", "{").replace("}}", "}") == words.replace("{{", "{").replace("}}", "}")


def test_texts_joined_keep_their_own_values() -> None:
    """1 in and 2 in under the same name."""
    joined = ", ".join(encoded(remark("{d} deep", d=("width", d))) for d in (0.0254, 0.0508, 0.0254))
    assert reads(joined, "us") == "1.000 in deep, 2.000 in deep, 1.000 in deep"


def test_a_table_takes_remarks_and_words_and_shows_both() -> None:
    frame = table(SCHEMA, {"reason": [OPEN, "no crack", None]})
    shown = [cell(v, SCHEMA["reason"], "metric") for v in frame["reason"]]
    assert shown == ["high longitudinal crack, 17.70 mm open", "no crack", ""]


@pytest.mark.parametrize(
    ("template", "values"),
    [("{a}", {}), ("a", {"a": ("width", 1.0)}), ("{a}", {"a": ("furlong", 1.0)}), ("{a} {b}", {"a": ("text", "x")})],
)
def test_a_place_needs_its_value_and_a_known_kind(template: str, values: dict[str, tuple[str, float | str]]) -> None:
    with pytest.raises(ValueError, match="remark"):
        remark(template, **values)


def test_remarks_of_several_sections_in_the_same_words_are_one() -> None:
    said = [remark("{n} of samples lie beyond.", s, n=("share", v)) for s, v in (("A1", 0.002), ("A2", 0.003))]
    apart = [remark("{n} lanes", n=("count", 2)), remark("{n} lanes", n=("count", 2))]  # of no section
    kinds = [remark("this is {kind}", s, kind=("text", k)) for s, k in (("B1", "one"), ("B2", "two"), ("B3", "one"))]
    words = [worded(r, "us") for r in together([said[0], apart[0], said[1], apart[1], *kinds])]
    assert words == [
        "Sections A1, A2: 0.2 % to 0.3 % of samples lie beyond.",
        "2 lanes",
        "2 lanes",
        "Sections B1, B3: this is one",
        "Section B2: this is two",
    ]


def test_one_is_not_told_as_many() -> None:
    said = [by_number(n, "{n} core is", "{n} cores are") for n in (0, 1, 2)]
    assert [worded(remark(s, n=("count", n)), "us") for n, s in enumerate(said)] == [
        "0 cores are",
        "1 core is",
        "2 cores are",
    ]


@pytest.mark.parametrize(
    ("count", "told"), [(1, "Section S1: it is."), (12, "Sections S1, S2, "), (13, "13 sections: it is.")]
)
def test_more_than_a_line_of_sections_is_counted(count: int, told: str) -> None:
    alike = [remark("it is.", f"S{i}") for i in range(1, count + 1)]
    assert [worded(one, "us")[: len(told)] for one in together(alike)] == [told]
