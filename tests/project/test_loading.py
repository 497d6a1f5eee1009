"""Loaded files: refused twice, taken out whole, their mappings remembered and their warnings traced."""

from datetime import timedelta

import pytest

from slabwright.errors import Conflict, InputError
from slabwright.project import AnsweredFinding, LoadedFile
from slabwright.records.findings import Finding

from .helpers import BEGIN, counts, file, load_counts

WARNING = Finding("warning", "rising basin", "a.csv", 7, "d3", "<12>", "the basin rises outward", "Look at the sensor.")


def test_a_file_is_listed_with_who_and_when(project):
    load_counts(project, "a.csv", 2001, 2002)
    (source,) = project.sources()
    assert (source.name, source.size, source.rows, source.user) == ("a.csv", 100, 2, "Ada")
    assert source.time == project.history()[0].time
    assert BEGIN <= source.time <= BEGIN + timedelta(minutes=1)


def test_the_same_bytes_are_refused_under_any_name(project):
    load_counts(project, "a.csv", 2001)
    again = LoadedFile("copy.csv", file("a.csv").sha256, 100)
    with pytest.raises(
        Conflict, match=r"already loaded under the name a\.csv by Ada on 2026-11-25 08:00 UTC \(change 1\)"
    ):
        project.load([("counts", counts(2001), [2])], file=again)
    assert len(project.facts().counts) == 1
    project.undo()
    project.load([("counts", counts(2001), [2])], file=again)
    assert [s.name for s in project.sources()] == ["copy.csv"]


def test_a_file_with_several_tables_is_one_change(project):
    lanes = project.facts().lanes.reindex(range(2)).assign(lane="1", direction="", position=1.0, width=3.6)
    change = project.load([("counts", counts(2001), [2]), ("lanes", lanes, [5, 6])], file=file("book.xlsx"))
    (entry,) = project.history()
    assert entry.id == change
    assert entry.after == {"file": "book.xlsx", "rows": {"counts": 1, "lanes": 2}, "findings": 0}
    project.undo()
    assert project.facts().counts.empty
    assert project.facts().lanes.empty
    assert project.sources() == ()


def test_a_file_can_be_taken_out_and_put_back(project):
    load_counts(
        project, "a.csv", 2001, mapping={("Yr",): {"Yr": "year"}}, findings=[AnsweredFinding(WARNING, "accepted")]
    )
    load_counts(project, "b.csv", 2002)
    project.remove_source("a.csv")
    assert project.facts().counts["year"].tolist() == [2002]
    assert [s.name for s in project.sources()] == ["b.csv"]
    assert project.findings() == ()
    assert project.mappings() == ((("Yr",), {"Yr": "year"}),)
    project.undo()
    assert project.facts().counts["year"].tolist() == [2001, 2002]
    assert len(project.findings()) == 1


def test_taking_out_an_unknown_file_names_those_there_are(project):
    load_counts(project, "a.csv", 2001)
    with pytest.raises(InputError, match=r"no file of this name; given 'z\.csv'; allowed a\.csv"):
        project.remove_source("z.csv")


def test_mappings_are_kept_in_the_order_of_loading_and_go_with_their_change(project, reopened):
    first = {"Sta": ["station", "ft"], "Löad\n(lb)": ["load", "lbf"], "Note": None}
    second = {**first, "Sta": ["station", "m"]}
    load_counts(project, "a.csv", 2001, mapping={tuple(first): first, ("Yr",): {"Yr": "year"}})
    load_counts(project, "b.csv", 2002, mapping={tuple(second): second})
    project.close()
    with reopened() as again:
        assert again.mappings() == ((tuple(first), first), (("Yr",), {"Yr": "year"}), (tuple(second), second))
        assert again.sources()[0].mapping == {tuple(first): first, ("Yr",): {"Yr": "year"}}
        again.undo()
        assert again.mappings() == ((tuple(first), first), (("Yr",), {"Yr": "year"}))


def test_findings_keep_what_was_answered_by_whom_and_when(project):
    whole = Finding("warning", "duplicate", "a.csv", None, "", "", "the file repeats another")
    answers = [AnsweredFinding(WARNING, "accepted"), AnsweredFinding(whole, "rejected")]
    change = load_counts(project, "a.csv", 2001, findings=answers)
    found = project.findings()
    assert [(f.finding, f.answer) for f in found] == [(WARNING, "accepted"), (whole, "rejected")]
    assert {(f.change, f.user, f.time) for f in found} == {(change, "Ada", project.history()[0].time)}
    project.undo()
    assert project.findings() == ()
    project.redo()
    assert project.findings() == found


def test_a_failure_in_the_middle_of_a_load_leaves_nothing(project):
    rows = [2, 3, 4]  # one more than the table has
    with pytest.raises(ValueError, match="2 rows of counts have 3 files and 3 numbers"):
        project.load([("counts", counts(2001), [2]), ("counts", counts(2002, 2003), rows)], file=file("a.csv"))
    assert project.facts().counts.empty
    assert project.sources() == ()
    assert project.history() == ()
    load_counts(project, "a.csv", 2001)
    assert project.head == 1


def test_a_file_name_with_a_newline_is_refused(project):
    with pytest.raises(InputError, match="file's name cannot be used"):
        load_counts(project, "a\n.csv", 2001)


def test_of_two_files_of_one_name_the_one_with_the_digest_is_taken_out(project):
    load_counts(project, "a.csv", 2001)
    older, newer = file("a.csv"), LoadedFile("a.csv", "f" * 64, 100)
    project.load([("counts", counts(2002), [2])], file=newer)
    project.remove_source("a.csv", sha256=older.sha256)
    assert [s.sha256 for s in project.sources()] == [newer.sha256]
    assert project.facts().counts["year"].tolist() == [2002]


def test_a_long_file_is_written_piece_by_piece_and_stopped_whole(project):
    told: list[int] = []

    def stop(count: int) -> None:
        told.append(count)
        if len(told) == 2:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        load_counts(project, "long.csv", *range(45_000), tell=stop)
    assert project.facts().counts.empty
    assert project.history() == ()
    told.clear()
    load_counts(project, "long.csv", *range(45_000), tell=told.append)
    assert told == [20_000, 20_000, 5_000]  # a piece as Python objects is held at a time, not the file
    assert project.facts().counts["year"].tolist() == list(range(45_000))
