"""Undo, redo, what changed since, and edits based on a state that is gone."""

from datetime import datetime, timedelta

import pytest

from slabwright.errors import Conflict, InputError
from slabwright.project import create
from slabwright.project.schema import TEMPORAL

from .helpers import BEGIN, load_counts


def thickness(project) -> float:
    return project.decisions().design.thickness


def decide(project, value: float, **more) -> int:
    return project.decide("base", {"design.thickness": value}, **more)


def test_nothing_to_undo_or_redo_is_said(project):
    with pytest.raises(InputError, match="nothing to undo"):
        project.undo()
    with pytest.raises(InputError, match="nothing to do again"):
        project.redo()


def test_undo_and_redo_walk_the_history_across_sessions(project, reopened):
    for value in (0.05, 0.1, 0.15):
        decide(project, value)
    assert project.undo().undone
    assert thickness(project) == 0.1
    project.close()
    with reopened() as again:
        assert again.undo().after["design.thickness"] == 0.1
        assert thickness(again) == 0.05
        assert [c.undone for c in again.history() if not c.is_step] == [False, True, True]
        again.redo()
        again.redo()
        assert thickness(again) == 0.15
        assert not any(c.undone for c in again.history())
        steps = [(c.undoes, c.redoes, c.user) for c in again.history() if c.is_step]
        assert steps == [(3, None, "Ada"), (2, None, "Ben"), (None, 2, "Ben"), (None, 3, "Ben")]


def test_a_change_after_an_undo_takes_the_place_of_what_was_undone(project, reopened):
    decide(project, 0.05)
    load_counts(project, "a.csv", 2001)
    decide(project, 0.1)
    with reopened("Ben") as other:
        other.undo()
        other.undo()
    assert decide(project, 0.12) == 6
    history = project.history()
    assert [c.id for c in history] == [1, 2, 3, 4, 5, 6]
    assert [(c.undone, c.replaced) for c in history[:3]] == [(False, None), (True, 6), (True, 6)]
    assert [(c.user, c.undoes, c.what) for c in history[3:5]] == [
        ("Ben", 3, "undo no. 3: decide design.thickness (base)"),
        ("Ben", 2, "undo no. 2: load a.csv"),
    ]
    assert (history[1].after["rows"], history[2].after["design.thickness"]) == ({"counts": 1}, 0.1)
    with pytest.raises(InputError, match="nothing to do again"):
        project.redo()
    with project.store.reading() as connection:
        for table in TEMPORAL:
            assert not connection.execute(table.select().where(table.c.inserted.in_([2, 3]))).all()
            assert not connection.execute(table.select().where(table.c.closed.in_([2, 3]))).all()
    assert project.undo().id == 6
    assert (project.head, thickness(project)) == (1, 0.05)
    assert project.redo().id == 6


def test_history_says_who_and_when(project, reopened):
    decide(project, 0.05)
    with reopened("Ben <b>") as other:
        decide(other, 0.1)
    assert [c.user for c in project.history()] == ["Ada", "Ben <b>"]
    first, second = (c.time for c in project.history())
    assert BEGIN < first < second < BEGIN + timedelta(minutes=1)


def test_an_edit_of_a_state_that_is_gone_is_refused_naming_what_changed_and_who(project, reopened):
    seen = project.head
    with reopened() as other:
        decide(other, 0.1)
    with pytest.raises(Conflict, match=r"no\. 1 'decide design\.thickness \(base\)' by Ben on .* was made") as refusal:
        decide(project, 0.05, expected=seen)
    assert "make the change again" in str(refusal.value)
    assert thickness(project) == 0.1
    decide(project, 0.05, expected=project.head)
    assert thickness(project) == 0.05


def test_an_undone_state_is_another_state(project):
    seen = decide(project, 0.1)
    project.undo()
    with pytest.raises(Conflict, match=r"no\. 1 .* was undone by Ada"):
        decide(project, 0.05, expected=seen)


def test_a_state_that_was_undone_and_replaced_is_not_taken_for_its_successor(project):
    seen = decide(project, 0.1)
    project.undo()
    decide(project, 0.12)
    with pytest.raises(Conflict, match=r"no\. 1 .* was undone by Ada; no\. 3 .* was made"):
        decide(project, 0.05, expected=seen)
    assert thickness(project) == 0.12


WRITERS = {
    "load": lambda p, e: load_counts(p, "b.csv", 2002, expected=e),
    "remove_source": lambda p, e: p.remove_source("a.csv", expected=e),
    "replace_table": lambda p, e: p.replace_table("counts", p.facts().counts.head(0), expected=e),
    "decide": lambda p, e: decide(p, 0.1, expected=e),
    "add_alternative": lambda p, e: p.add_alternative("b", expected=e),
    "remove_alternative": lambda p, e: p.remove_alternative("a", expected=e),
    "undo": lambda p, e: p.undo(expected=e),
    "redo": lambda p, e: p.redo(expected=e),
}


@pytest.mark.parametrize("name", WRITERS)
def test_every_writer_checks_the_head_it_was_based_on(project, name):
    load_counts(project, "a.csv", 2001)
    project.add_alternative("a")
    decide(project, 0.05)
    project.undo()
    before, seen = project.history(), project.head
    with pytest.raises(Conflict):
        WRITERS[name](project, seen - 1)
    assert project.history() == before
    WRITERS[name](project, seen)
    assert project.head != seen


def test_what_changed_since_the_report(project):
    assert project.changes_since_report() is None
    decide(project, 0.05)
    decide(project, 0.1)
    project.mark_report("out/report.pdf", "base", project.head)
    since = project.changes_since_report()
    assert (since.path, since.user, since.made, since.undone, since.taken_back) == ("out/report.pdf", "Ada", (), (), ())
    project.undo()
    assert [c.id for c in project.changes_since_report().undone] == [2]
    decide(project, 0.12)
    since = project.changes_since_report()
    assert [c.id for c in since.made] == [4]
    assert since.undone == ()
    assert [text[:5] for text in since.taken_back] == ["no. 2"]
    project.mark_report("out/second.pdf", "base", project.head)
    assert project.changes_since_report().made == ()


def test_a_report_of_a_state_that_others_have_moved_on_from_is_told_from_that_state(project):
    """Read at no. 2, then no. 2 is undone and no. 4 made, and only then is the report marked."""
    decide(project, 0.05)
    decide(project, 0.1)
    seen = project.head
    project.undo()
    decide(project, 0.12)
    project.mark_report("late.pdf", "base", seen)
    since = project.changes_since_report()
    assert ([c.id for c in since.made], since.undone, since.alternative) == ([4], (), "base")
    assert [text[:5] for text in since.taken_back] == ["no. 2"]


def test_an_undo_and_a_redo_leave_the_head_and_not_the_mark(project):
    decide(project, 0.05)
    head, mark = project.head, project.mark()
    project.undo()
    project.redo()
    assert project.head == head
    assert project.mark() != mark


def test_times_are_kept_in_universal_time(path):
    with pytest.raises(ValueError, match="zone"):
        create(path, user="Ada", clock=lambda: datetime(2026, 1, 1))
    assert not path.exists()
