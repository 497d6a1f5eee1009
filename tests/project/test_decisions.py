"""Alternatives and decisions."""

import pytest

from slabwright.calculation import Choice, Stations
from slabwright.errors import InputError, OutOfRange
from slabwright.project import create
from slabwright.project.schema import DECISION
from slabwright.records.decisions import Decisions, change, entries, from_plain, to_plain

from .helpers import ticking


def test_a_new_project_has_the_base_with_the_defaults(project):
    assert project.alternatives() == ("base",)
    assert project.decisions() == Decisions()


def test_every_default_is_written_out_so_that_a_later_default_changes_no_old_project(project):
    with project.store.reading() as connection:
        stored = {row.name for row in connection.execute(DECISION.select())}
    assert stored == set(to_plain(Decisions()))


def test_a_decision_is_kept_with_before_and_after(project, reopened):
    project.decide("base", {"design.thickness": 0.1016, "design.grout": "cement grout"}, "four inches on grout")
    project.close()
    with reopened() as again:
        decided = again.decisions()
        (change,) = again.history()
    assert (decided.design.thickness, decided.design.grout) == (0.1016, "cement grout")
    assert change.what == "four inches on grout"
    assert change.before == {"alternative": "base", "design.thickness": 0.0, "design.grout": "none"}
    assert change.after == {"alternative": "base", "design.thickness": 0.1016, "design.grout": "cement grout"}


def test_only_one_row_is_written_for_a_changed_value(project):
    project.decide("base", {"design.thickness": 0.1, "design.grout": "none"})
    with project.store.reading() as connection:
        rows = connection.execute(DECISION.select().where(DECISION.c.inserted == 1)).all()
    assert [(r.name, r.number, r.word) for r in rows] == [("design.thickness", 0.1, None)]


def test_all_decisions_can_be_changed_at_once(project):
    """Each number moves by a ten-thousandth towards a bound it is not at, each word to its last option."""
    new = {e.name: other_value(e) for e in entries(Decisions())}
    project.decide("base", new)
    assert to_plain(project.decisions()) == new
    project.undo()
    assert project.decisions() == Decisions()


def other_value(entry):
    about = entry.about
    if isinstance(about, Stations):
        return "10 m; 20 m"
    if isinstance(about, Choice):
        return about.options[-1] if about.options else ""
    if about.least is not None and entry.value < about.least:
        return about.least
    step = (about.high - about.low) / 10_000
    return entry.value + (step if entry.value < about.high else -step)


def test_deciding_what_holds_already_is_no_change(project):
    assert project.decide("base", {"design.thickness": 0.0}) == 0
    assert project.history() == ()


@pytest.mark.parametrize(
    ("name", "value", "error", "words"),
    [
        ("overlay.colour", 1.0, InputError, "no decision of this name"),
        ("design.thickness", 5.0, OutOfRange, "outside its bounds"),
        ("design.thickness", float("nan"), InputError, "is a number"),
        ("design.thickness", "thick", InputError, "is a number"),
        ("design.grout", "glue", InputError, "one of its choices; given 'glue'"),
        ("survey.section_boundaries", "1\0002", InputError, "is not a list of stations"),
    ],
)
def test_a_decision_that_cannot_be_is_refused(project, name, value, error, words):
    with pytest.raises(error, match=words):
        project.decide("base", {"design.round_to": 0.01, name: value})
    assert project.decisions() == Decisions()


def test_alternatives_start_as_another_and_go_their_own_way(project):
    project.decide("base", {"design.thickness": 0.1})
    project.add_alternative("thick")
    project.decide("thick", {"design.thickness": 0.15})
    project.add_alternative("thick and grouted", like="thick")
    project.decide("base", {"design.thickness": 0.05})
    assert project.alternatives() == ("base", "thick", "thick and grouted")
    found = [project.decisions(name).design.thickness for name in project.alternatives()]
    assert found == [0.05, 0.15, 0.15]


def test_removing_and_undoing_brings_the_decisions_back(project):
    project.add_alternative("thick")
    project.decide("thick", {"design.thickness": 0.15})
    project.remove_alternative("thick")
    with pytest.raises(InputError, match="no alternative of this name; given 'thick'; allowed base"):
        project.decisions("thick")
    project.undo()
    assert project.decisions("thick").design.thickness == 0.15


def test_the_base_stays(project):
    with pytest.raises(InputError, match="base alternative cannot be removed"):
        project.remove_alternative("base")


@pytest.mark.parametrize("name", ["<script>alert(1)</script>", "שלום", "a'b\"c", "x" * 60, "100 % thick", "é"])
def test_a_name_may_be_any_printable_text(project, name):
    project.add_alternative(name)
    assert project.alternatives() == ("base", name)
    project.decide(name, {"design.thickness": 0.1})
    assert project.decisions(name).design.thickness == 0.1


@pytest.mark.parametrize("name", ["", "   ", "x" * 61, "a\nb", "a\0b", "a\u202eb", "\ud800", "base", " base "])
def test_a_name_that_cannot_be_told_apart_is_refused(project, name):
    with pytest.raises(InputError, match=r"cannot be used|already"):
        project.add_alternative(name)
    assert project.alternatives() == ("base",)


def test_two_spellings_of_one_name_are_one_name(project):
    project.add_alternative("caf\u00e9")
    with pytest.raises(InputError, match="already"):
        project.add_alternative("cafe\u0301")


def test_whole_numbers_come_back_equal(project):
    assert from_plain(to_plain(project.decisions())) == Decisions()
    project.decide("base", {"traffic.base_year": 2030})
    assert project.decisions().traffic.base_year == 2030


@pytest.mark.parametrize("user", ["", "a\nb"])
def test_a_nameless_user_is_refused(path, user):
    with pytest.raises(InputError, match="user's name"):
        create(path, user=user, clock=ticking())
    assert not path.exists()


@pytest.mark.parametrize("word", ["=cmd()", "EUR 5", "@SUM", "<b>", "EUR;"])
def test_a_currency_is_letters_and_currency_signs(word):
    with pytest.raises(InputError, match="currency"):
        change(Decisions(), "economics.currency", word)


@pytest.mark.parametrize("word", ["EUR", "US$", "€", "Kč", "Swiss francs", "元", ""])
def test_a_currency_of_any_script_is_taken(word):
    assert change(Decisions(), "economics.currency", word).economics.currency == word
