"""An edited table gives back what was not touched, reads what was typed, and obeys the rules of intake."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from html.parser import HTMLParser
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slabwright.errors import Conflict
from slabwright.project import Project, create
from slabwright.records.facts import FACTS
from slabwright.records.table import table
from slabwright.web.parts import drafts
from slabwright.web.parts.edit_table import rows_html

LAYERS, LANES, BRIDGES = FACTS["layers"], FACTS["lanes"], FACTS["bridges"]
HOSTILE = '<img src=x onerror="alert(1)">"><b>\u202e=1+1'


def layers(*thicknesses: float) -> pd.DataFrame:
    rows = len(thicknesses)
    return table(
        LAYERS,
        {
            "begin": np.arange(rows) * 1000.0,
            "end": np.arange(1, rows + 1) * 1000.0,
            "pavement": ["JPCP"] * rows,
            "thickness": thicknesses,
        },
    )


def begun(frame: pd.DataFrame, schema=LAYERS, system="us") -> drafts.Draft:
    return drafts.begin(schema, frame, system, 0)


def bits(frame: pd.DataFrame) -> list[bytes]:
    return [frame[c.name].to_numpy(np.float64).tobytes() for c in LAYERS.columns if not c.is_text]


@given(st.lists(st.floats(0.08, 0.6), min_size=1, max_size=5), st.sampled_from(["us", "metric"]))
def test_untouched_cells_come_back_bit_for_bit(thicknesses, system) -> None:
    frame = layers(*thicknesses)
    draft = drafts.typed(begun(frame, system=system), 0, "base", "cement-treated")
    done = drafts.finished(draft)
    assert not done.problems
    assert bits(done.frame) == bits(frame)
    assert done.frame["base"].tolist() == ["cement-treated", *[""] * (len(thicknesses) - 1)]


def test_typing_a_cell_back_to_what_it_showed_is_no_change() -> None:
    frame = layers(0.2286 + 1e-9)
    draft = drafts.typed(begun(frame), 0, "thickness", "9.5")
    assert draft.touched
    back = drafts.typed(draft, 0, "thickness", "9.00")
    assert not back.touched
    assert drafts.finished(back).frame["thickness"][0] == 0.2286 + 1e-9


# Exact by definition: 9.5 in = 0.2413 m, 10 ft = 3.048 m, 12+34.5 = 1,234.5 ft, 1+234.5 = 1,234.5 m.
@pytest.mark.parametrize(
    ("system", "column", "text", "value"),
    [
        ("us", "thickness", "9.5", 0.2413),
        ("us", "thickness", "241.3 mm", 0.2413),
        ("metric", "thickness", "241.3", 0.2413),
        ("us", "begin", "12+34.5", 1234.5 * 0.3048),
        ("us", "begin", "1+234.5", 1234.5),
        ("us", "steel", "0.7", 0.007),
        ("us", "year_built", "1974", 1974.0),
        ("us", "joint_spacing", "10", 3.048),
    ],
)
def test_a_typed_text_is_read_in_the_units_shown(system, column, text, value) -> None:
    assert drafts.as_value(text, LAYERS[column], system) == pytest.approx(value, rel=1e-14)


@pytest.mark.parametrize(
    ("column", "text", "said"),
    [
        ("thickness", "", "slab thickness from the plans"),
        ("thickness", "thick", "not a number"),
        ("thickness", "40", "3.00 in to 24.00 in"),
        ("thickness", "9 psi", "unit"),
        ("year_built", "1974.5", "whole number"),
        ("pavement", "gravel", "JPCP, JRCP, CRCP"),
        ("end", "-1+00", "beyond the last"),
        ("base", "x" * 10_001, "10,000"),
    ],
)
def test_a_bad_cell_gives_one_sentence_with_its_row(column, text, said) -> None:
    draft = drafts.typed(begun(layers(0.2, 0.25)), 1, column, text)
    problems = [p for p in drafts.finished(draft).problems if p.column == column]
    assert [p.key for p in problems] == [1]
    assert said in problems[0].sentence
    assert problems[0].sentence.startswith("row 2, ")


def test_an_unreadable_required_cell_is_not_called_missing_too() -> None:
    draft = drafts.typed(begun(layers(0.2)), 0, "thickness", "thick")
    assert len(drafts.finished(draft).problems) == 1


def test_a_repeated_row_is_a_caution_and_may_be_saved() -> None:
    done = drafts.finished(drafts.with_rows(begun(layers(0.2)), layers(0.2)))
    assert not done.problems
    assert any("repeats an earlier one" in c for c in done.cautions)


def test_rows_added_and_removed_keep_the_others() -> None:
    frame = layers(0.2, 0.25, 0.3)
    draft = drafts.blank(drafts.without(begun(frame), 1))
    assert draft.order == (0, 2, 3)
    for column, text in (("begin", "0+00"), ("end", "1+00"), ("pavement", "CRCP"), ("thickness", "8")):
        draft = drafts.typed(draft, 3, column, text)
    done = drafts.finished(draft)
    assert not done.problems
    assert done.frame["thickness"].tolist() == [0.2, 0.3, pytest.approx(0.2032)]
    assert done.frame["pavement"].tolist() == ["JPCP", "JPCP", "CRCP"]


def test_an_empty_added_row_must_be_filled_in() -> None:
    problems = drafts.finished(drafts.blank(begun(layers(0.2)))).problems
    assert {p.column for p in problems} == {"begin", "end", "pavement", "thickness"}


def test_removing_a_row_forgets_what_was_typed_in_it() -> None:
    draft = drafts.without(drafts.typed(begun(layers(0.2, 0.3)), 0, "thickness", "thick"), 0)
    assert not drafts.finished(draft).problems


@pytest.mark.parametrize("delimiter", ["\t", ",", ";"])
@pytest.mark.parametrize("headed", [True, False])
def test_rows_are_pasted_with_or_without_headings(delimiter, headed) -> None:
    rows = [["NB1", "with stationing", "1", "12"], ["NB2", "with stationing", "2", "11.5"]]
    head = [["Lane", "Direction", "Position", "Width (ft)"]] if headed else []
    found = drafts.pasted("\n".join(delimiter.join(r) for r in head + rows) + "\n", LANES, "us")
    assert found.problems == ()
    assert found.frame["lane"].tolist() == ["NB1", "NB2"]
    assert found.frame["width"].tolist() == pytest.approx([12 * 0.3048, 11.5 * 0.3048], rel=1e-14)


def test_bare_pasted_numbers_are_in_the_units_shown() -> None:
    assert drafts.pasted("NB1\twith stationing\t1\t3.6", LANES, "metric").frame["width"].tolist() == [3.6]


@pytest.mark.parametrize("name", ["road", "lanes", "bridges", "ramps", "layers", "distresses", "counts"])
@pytest.mark.parametrize("system", ["us", "metric"])
def test_what_a_table_shows_can_be_pasted_back(name, system) -> None:
    schema = FACTS[name]
    middles = {c.name: (c.low + c.high) / 2 for c in schema.columns if c.unit_kind and c.low is not None}
    middles |= {"begin": 100.0, "end": 200.0, "station": 150.0}
    data = {
        c.name: [c.choices[0] if c.choices else "word"]
        if c.is_text
        else [float(round(middles[c.name])) if c.kind == "integer" else middles[c.name]]
        for c in schema.columns
    }
    draft = drafts.begin(schema, table(schema, data), system, 0)
    line = "\t".join(drafts.shown(draft, 0, c.name) for c in schema.columns)
    found = drafts.pasted(line, schema, system)
    assert found.problems == ()
    again = drafts.begin(schema, found.frame, system, 0)
    assert [drafts.shown(again, 0, c.name) for c in schema.columns] == line.split("\t")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "nothing was pasted"),
        ("NB1\twith stationing\t1\t400", "row 1, lane width: lane width must lie within"),
        ("NB1\twith stationing\tone\t12", "row 1, place counted from the median"),
        ("\t".join("abcdefgh"), "more cells than the table has columns"),
        ("NB1\tsideways", "needs place counted"),
    ],
)
def test_a_bad_paste_adds_nothing_and_says_why(text, said) -> None:
    found = drafts.pasted(text, LANES, "us")
    assert len(found.frame) == 0
    assert said in " ".join(found.problems)


class Inputs(HTMLParser):
    """Tags met, and the attributes of every input."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.inputs: list[dict[str, str | None]] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        if tag in ("input", "select"):
            self.inputs.append(dict(attrs))


def test_hostile_words_stay_words() -> None:
    draft = begun(table(BRIDGES, {"name": [HOSTILE], "begin": [0.0], "end": [10.0], "passes": [HOSTILE]}), BRIDGES)
    found = Inputs(rows_html(draft, draft.order, 1))
    assert found.tags.isdisjoint({"img", "b", "script"})
    assert found.inputs[0]["value"] == HOSTILE
    assert all(i["aria-label"] for i in found.inputs)


@pytest.fixture
def project(tmp_path: Path) -> Iterator[Project]:
    with create(tmp_path / "road.slab", user="an engineer", clock=lambda: datetime(2026, 11, 25, tzinfo=UTC)) as made:
        made.replace_table("layers", layers(0.2))
        yield made


def drafted(project: Project) -> drafts.Draft:
    draft = drafts.begin(LAYERS, project.facts().layers, "us", project.head)
    return drafts.typed(draft, 0, "thickness", "10")


def test_saving_is_one_change_in_the_history(project: Project) -> None:
    draft = drafted(project)
    drafts.save(project, draft, drafts.finished(draft).frame)
    assert project.facts().layers["thickness"].tolist() == [pytest.approx(0.254)]
    assert project.history()[-1].what == "edit Existing pavement"


def test_a_table_changed_meanwhile_is_not_overwritten(project: Project) -> None:
    draft = drafted(project)
    project.replace_table("layers", layers(0.3))
    with pytest.raises(Conflict, match="by an engineer"):
        drafts.save(project, draft, drafts.finished(draft).frame)
    assert project.facts().layers["thickness"].tolist() == [0.3]


def test_a_change_of_another_table_does_not_stand_in_the_way(project: Project) -> None:
    draft = drafted(project)
    project.replace_table("lanes", table(LANES, {"lane": ["NB1"], "position": [1.0], "width": [3.6]}))
    drafts.save(project, draft, drafts.finished(draft).frame)
    assert project.facts().layers["thickness"].tolist() == [pytest.approx(0.254)]


@pytest.mark.parametrize(
    ("column", "typed", "kept", "metres"),
    [
        ("thickness", "9.123456789", "9.123456789 in", 9.123456789 * 0.0254),  # 1 in = 0.0254 m by definition
        ("thickness", "230 mm", "230 mm", 0.230),
        ("begin", "12+34.567", "12+34.567", 1234.567 * 0.3048),
        ("begin", "1234.567", "1234.567 ft", 1234.567 * 0.3048),
    ],
)
def test_a_switch_of_units_loses_no_digit_of_what_was_typed(column: str, typed: str, kept: str, metres: float) -> None:
    draft = drafts.typed(begun(layers(0.2286, 0.2)), 0, column, typed)
    switched = drafts.in_system(draft, "metric")
    assert drafts.shown(switched, 0, column) == kept
    assert drafts.shown(switched, 1, "thickness") == "200"  # what nobody touched is shown in the new units
    again = drafts.in_system(switched, "us")
    for one in (draft, switched, again):
        # A few roundings of double precision lie between a text with its unit and the number of metres.
        assert drafts.finished(one).frame[column][0] == pytest.approx(metres, rel=1e-14)


def test_what_cannot_be_read_stays_refused_after_a_switch_of_units() -> None:
    draft = drafts.typed(begun(layers(0.2286)), 0, "thickness", "thick")
    switched = drafts.in_system(draft, "metric")
    assert drafts.shown(switched, 0, "thickness") == "thick"
    assert [p.column for p in drafts.finished(switched).problems] == ["thickness"]
