"""Words and widths: exact conversions in sentences, literal text, tables that fit their paper."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slabwright.figures.shown import short_name
from slabwright.report.blocks import MARGIN, PAPER, rows_table
from slabwright.report.text import listed, literal, plural, restated

# 1 in = 25.4 mm, 1 lb = 0.45359237 kg and g = 9.80665 m/s2 exactly; the rest is arithmetic.
METRIC = [
    ("1.00 in too high: mill", "25.4 mm too high: mill"),
    ("at least 200.0 psi", "at least 1.38 MPa"),  # 200 * 6894.757 Pa
    ("Specifications of 100 to 250 psi", "Specifications of 0.689 to 1.72 MPa"),
    ("deflection at zero load 4.2 mil", "deflection at zero load 107 µm"),
    ("94 pci", "25.5 MPa/m"),  # 94 * 6894.757 / 0.0254 Pa/m
    ("3,902,179 psi", "26,900 MPa"),
    (">= 2.00 in", "≥ 50.8 mm"),
    ("station 100+00.0, lane 1", "station 3+048.0, lane 1"),  # 10,000 ft
    ("0.00 in", "0 mm"),
]
UNTOUCHED = [
    "mean 36-in basin area",
    "FHWA T 5040.36",
    "8,863,261",
    "41.5 %",
    "30 to 50 %",
    "W1 in 3 lanes",
    "5 inches",
    "2 months",
]


@pytest.mark.parametrize(("text", "expected"), METRIC)
def test_sentence_restated_in_metric(text, expected):
    assert restated(text, "metric") == expected


def test_sentence_restated_in_us_customary():
    """17.7 / 25.4 = 0.6969."""
    assert restated("high longitudinal crack, 17.7 mm open", "us") == "high longitudinal crack, 0.697 in open"
    assert restated("the overlay is 2.00 in", "us") == "the overlay is 2.00 in"


@pytest.mark.parametrize("text", UNTOUCHED)
def test_other_words_and_numbers_stay(text):
    assert restated(text, "metric") == text
    assert restated(text, "us") == text


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
