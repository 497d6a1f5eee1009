"""Words and widths: exact conversions in sentences, literal text, tables that fit their paper."""

from types import SimpleNamespace

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slabwright.figures.shown import short_name
from slabwright.report.blocks import MARGIN, PAPER, rows_table
from slabwright.report.pages_construction import _bridges
from slabwright.report.text import listed, literal, plural


@given(st.text(max_size=1200))
def test_literal_text_is_one_bounded_line_of_breakable_words(text):
    made = literal(text, 100)
    assert len(made.replace("\u200b", "")) <= 100 + len(" … (cut)") + 2
    assert "\n" not in made
    assert all(c.isprintable() or c in "\u200b\u2068\u2069" for c in made)
    assert all(len(piece) <= 18 for word in made.split() for piece in word.split("\u200b"))


def test_literal_keeps_plain_words_and_isolates_the_other_direction():
    assert literal("Northbound  outer\tlane") == "Northbound outer lane"
    assert literal("שלום") == "\u2068שלום\u2069"
    assert literal("a" * 500).endswith("(cut)")


def test_drawing_shows_only_short_plain_names():
    assert short_name("NB1", "lane 1") == "NB1"
    for name in ("$x^2$", "a" * 30, "שלום", "<b>", "", "_x"):
        assert short_name(name, "lane 1") == "lane 1"


def test_words_for_lists_and_counts():
    assert listed(["a"]) == "a"
    assert listed(["a", "b", "c"]) == "a, b and c"
    assert plural(1, "section") == "1 section"
    assert plural(1200, "section") == "1,200 sections"


@given(st.lists(st.tuples(st.text(max_size=200), st.text(max_size=60), st.text(max_size=9)), min_size=1, max_size=8))
def test_table_fits_the_paper_whatever_its_words(rows):
    for system in ("us", "metric"):
        made = rows_table("", ["a", "b", "c"], [[literal(t) for t in row] for row in rows], system)
        assert sum(made.widths) <= PAPER[system][1] - 2 * MARGIN + 0.1
        assert min(made.widths) > 0


def test_many_columns_shrink_to_the_paper():
    made = rows_table("", ["endurance"] * 40, [["12,345,678"] * 40], "us")
    assert sum(made.widths) == pytest.approx(PAPER["us"][1] - 2 * MARGIN, abs=0.5)


@pytest.mark.parametrize(
    ("available", "passes", "said"),
    [
        (150, "yes", "the clearance suffices (of the 150 mm that it leaves, 100 mm remain)."),
        (50, "yes", "the clearance suffices (of the 50 mm that it leaves, 0 mm remain)."),
        (20, "no", "the clearance does not suffice (of the 20 mm that it leaves, 30 mm are lacking)."),
        (-10, "no", "the clearance does not suffice (60 mm are lacking)."),
        (float("nan"), "unknown", "grade raised by 50 mm, unknown."),
    ],
)
def test_what_remains_under_a_bridge_is_told_after_the_raise(available, passes, said):
    """A raise of 50 mm, by subtraction."""
    row = {"bridge": "High", "passes": passes, "remedy": "", "passes_road": "over the road", "grade_raise": 50.0}
    made = {"clearances": pd.DataFrame([{**row, "available": available}]), "structures": pd.DataFrame()}
    report = SimpleNamespace(table=lambda _, name: made[name], value=lambda number, _: f"{number:.0f} mm")
    _, items = _bridges(report)
    assert items.items[0][1].endswith(said)
