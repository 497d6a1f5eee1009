"""A dropped file is corrected and answered finding by finding, and stays out of the project until nothing is open."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime
from html.parser import HTMLParser
from pathlib import Path

import pandas as pd
import pytest
from nicegui import ui

from slabwright.errors import InputError
from slabwright.intake.rules import RULES
from slabwright.project import Project, create
from slabwright.web.parts import dropped as files
from slabwright.web.parts.asked import choices_of, sentence_of
from slabwright.web.parts.dropped import Dropped
from slabwright.web.parts.field import Field
from slabwright.web.parts.intake_view import draw_file, findings_html, first_html, mapping_html, preview_rows
from slabwright.web.parts.remedies import HERE, remedy_here
from slabwright.workflow import load_files

from .test_live import on_a_page

TODAY = date(2026, 11, 25)
CRACKS = "station,lane,distress\n1+00,NB1,faulting\n" + "2+00,NB1,faulting\n" * 2 + "3+00,NB1,faulting\n" * 2
LANES = "lane,position,width\nNB1,1,12\nNB2,2,12\nNB2,2,12\nNB3,3,12\nNB3,3,12\n"
ODD = "Strip,Place,Breadth\nNB1,1,3.6\nNB2,2,3.6\n"
HOSTILE = "<script>alert(1)</script>"
Make = Callable[[str], Dropped]


@pytest.fixture
def drop(tmp_path: Path) -> Make:
    """A file read as the page reads it."""

    def make(content: str, name: str = "lanes.csv", **told: object) -> Dropped:
        path = tmp_path / name
        path.write_text(content)
        return files.read_again(Dropped(path, **told), None, TODAY)  # type: ignore[arg-type]

    return make


@pytest.fixture
def project(tmp_path: Path) -> Iterator[Project]:
    with create(tmp_path / "road.slab", user="an engineer", clock=lambda: datetime(2026, 11, 25, tzinfo=UTC)) as made:
        yield made


def places(dropped: Dropped, rule: str) -> list[tuple[int, int]]:
    return [place for place, name in files.warnings(dropped).items() if name == rule]


def test_a_file_waits_until_every_doubt_has_its_word(drop) -> None:
    found = drop(LANES)
    assert files.why_not(found) == "lanes.csv has 3 warnings that wait for your word."
    found = files.answered(found, places(found, "unit assumed"), "accepted")
    first, second = places(found, "duplicate row")
    found = files.answered(found, [first], "rejected")
    assert files.why_not(found) == "lanes.csv has 1 warning that wait for your word."
    assert files.why_not(files.answered(found, [second], "accepted")) == ""


def test_what_was_struck_singly_is_what_does_not_enter(drop, project: Project) -> None:
    found = drop(CRACKS, "cracks.csv")
    first, second = places(found, "duplicate row")
    found = files.answered(found, files.warnings(found), "accepted")
    found = files.answered(found, [second], "rejected")
    (left,) = files.settled(found)
    assert left.source_rows.tolist() == [2, 3, 4, 5]
    load_files(project, {found.path: found.readings}, accept=True, reject_findings={found.path: files.rejected(found)})
    assert project.origins("distresses")["row"].tolist() == [2, 3, 4, 5]
    answers = {(t.finding.row, t.answer) for t in project.findings() if t.finding.rule == "duplicate row"}
    assert answers == {(4, "accepted"), (6, "rejected")}
    assert first != second


def test_an_open_doubt_cannot_be_settled(drop) -> None:
    with pytest.raises(InputError, match="wait for the engineer"):
        files.settled(drop(LANES))


def test_a_word_on_what_is_no_doubt_is_passed_over(drop) -> None:
    found = drop(LANES)
    assert files.answered(found, [(0, 99), (7, 0)], "rejected").answers == {}


def test_striking_all_is_refused_in_a_sentence(drop) -> None:
    found = drop(LANES)
    rejected = files.answered(found, files.warnings(found), "rejected")
    assert "would leave no rows" in files.why_not(rejected)


def test_errors_stand_whatever_is_answered(drop) -> None:
    found = drop("lane,position,width (ft)\nNB1,one,12\n")
    assert files.why_not(found) == "lanes.csv has 1 error: correct the file, its mapping or its units."


def test_a_refused_file_is_corrected_heading_by_heading(drop, project: Project) -> None:
    found = drop(ODD, "odd.csv")
    assert "fit no table" in found.refusal
    assert found.headings == ("Strip", "Place", "Breadth")
    told = files.of_table(found, "lanes")
    for header, column in (("Strip", "lane"), ("Place", "position"), ("Breadth", "width")):
        told = files.matched(told, header, column)
    told = files.in_unit(told, "Breadth", "m")
    assert "read it again first" in files.why_not(told)
    again = files.read_again(told, project, TODAY)
    assert files.why_not(again) == ""
    assert again.readings[0].frame["width"].tolist() == [3.6, 3.6]


def test_giving_a_column_to_another_heading_takes_it_from_the_first(drop) -> None:
    found = drop("lane,position,width (ft),true width (ft)\nNB1,1,12,11\n")
    again = files.read_again(files.matched(found, "true width (ft)", "width"), None, TODAY)
    assert {m.header: m.column for m in again.readings[0].mapping} == {
        "lane": "lane",
        "position": "position",
        "width (ft)": None,
        "true width (ft)": "width",
    }
    assert again.readings[0].frame["width"][0] == pytest.approx(11 * 0.3048, rel=1e-14)


def test_correcting_one_heading_keeps_what_was_remembered_of_the_others(drop, project: Project) -> None:
    told = files.of_table(drop(ODD + "NB9,9,3.7\n", "first.csv"), "lanes")
    for header, column in (("Strip", "lane"), ("Place", "position"), ("Breadth", "width")):
        told = files.matched(told, header, column)
    first = files.read_again(files.in_unit(told, "Breadth", "m"), project, TODAY)
    load_files(project, {first.path: first.readings})
    second = files.read_again(drop(ODD, "second.csv"), project, TODAY)
    assert {m.how for m in second.readings[0].mapping} == {"remembered"}
    again = files.read_again(files.matched(second, "Place", "position"), project, TODAY)
    assert again.readings[0].frame.equals(second.readings[0].frame)


def test_a_unit_told_outranks_the_heading_and_can_be_taken_back(drop) -> None:
    found = drop("lane,position,width (ft)\nNB1,1,3.6\n")
    told = files.read_again(files.in_unit(found, "width (ft)", "m"), None, TODAY)
    assert told.readings[0].frame["width"][0] == 3.6
    assert files.in_unit(told, "width (ft)", " ").units == {}


def test_a_wrong_unit_refuses_in_a_sentence_and_keeps_the_file(drop) -> None:
    told = files.read_again(files.in_unit(drop(LANES), "width", "psi"), None, TODAY)
    assert "does not suit" in told.refusal
    assert files.why_not(told) == "lanes.csv could not be read."
    assert files.why_not(files.read_again(files.in_unit(told, "width", "ft"), None, TODAY)).endswith("your word.")


def test_bare_numbers_follow_the_system_told(drop) -> None:
    metric = files.read_again(files.in_system(drop(LANES.replace("12", "3.6")), "metric"), None, TODAY)
    assert metric.readings[0].frame["width"][0] == 3.6


def test_answers_are_asked_again_after_another_reading(drop) -> None:
    found = drop(LANES)
    found = files.answered(found, files.warnings(found), "accepted")
    assert files.read_again(files.in_system(found, "metric"), None, TODAY).answers == {}


def test_a_file_that_cannot_be_opened_says_so(drop) -> None:
    found = drop("PK\x03\x04 junk", "broken.xlsx")
    assert "damaged" in found.refusal
    assert found.headings == ()


def test_the_rows_of_a_summary_are_counted_once(drop) -> None:
    found = drop("lane,position,width (ft)\n" + "NB1,1,12\n" * 50)
    numbers = [place for _, place in places(found, "duplicate row")]
    assert len(numbers) < 49
    assert preview_rows(found.readings[0], numbers) == 49


class Tags(HTMLParser):
    """The tags of a piece of HTML, and the pressed buttons."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.pressed: list[str] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        about = dict(attrs)
        if about.get("aria-pressed") == "true":
            self.pressed.append(f"{about['data-place']} {about['data-word']}")


def test_hostile_headings_values_and_texts_stay_words(drop) -> None:
    found = drop(f"lane,position,width (ft),{HOSTILE}\n{HOSTILE},one,12,x\n")
    (reading,) = found.readings
    shown = mapping_html(reading.mapping, "lanes", found) + findings_html(reading.findings)
    assert "script" not in Tags(shown + first_html(pd.DataFrame({HOSTILE: [HOSTILE]}))).tags


def test_the_word_said_is_the_button_pressed(drop) -> None:
    (reading,) = drop(LANES).readings
    html = findings_html(reading.findings[:2], {0: "rejected", 1: ""}, key="k")
    assert Tags(html).pressed == ["0 rejected"]


def test_what_the_page_says_otherwise_is_still_what_intake_says() -> None:
    """Each wording that the page replaces is one that intake has now; and none that is shown speaks of options."""
    closest = "Name the table, correct the headings, or give the mapping of headings to columns."
    said = {rule.remedy for rule in RULES.values()} | {closest}
    assert set(HERE) <= said
    shown = " ".join(remedy_here(remedy) for remedy in said)
    assert not [word for word in ("option", "mapping", "--") if word in shown]


def test_a_refused_file_is_told_in_the_words_of_the_page(drop: Make) -> None:
    found = drop("a,b\n1,2\n", "odd.csv")
    assert "Choose its table above, or choose columns for its headings below, and read it again." in found.refusal


def test_a_column_is_chosen_from_those_of_the_file_with_samples(drop: Make, project: Project) -> None:
    found = drop(
        "km,Strip,Position,Load (kN),D1 (um),Crew\n1.2,A1,corner,40,127,Ada\n1.3,A2,corner,41,130,Bo\n", "fwd.csv"
    )
    question, whole = found.questions
    assert whole.kind == "lane"  # the other way to answer
    assert files.why_not(found) == "fwd.csv waits for 1 answer."
    assert "--map" not in found.refusal
    assert list(choices_of(question)) == ["Strip (A1, A2)", "Crew (Ada, Bo)"]
    assert sentence_of(found, question) == "Which column of the file holds the lane?"
    assert files.said(found, question, "nobody").mapping == {}
    told = files.said(found, question, "Strip")
    assert files.answer_to(told, question) == "Strip"
    again = files.read_again(told, project, TODAY)
    assert files.why_not(again) == ""
    assert again.readings[0].frame["lane"].tolist() == ["A1", "A2"]
    load_files(project, {again.path: again.readings})
    second = files.read_again(
        drop("km,Strip,Position,Load (kN),D1 (um),Crew\n2.2,A1,corner,40,127,Ada\n", "next.csv"), project, TODAY
    )
    assert files.why_not(second) == ""


def test_the_place_of_all_tests_is_answered_on_the_page(drop: Make) -> None:
    found = drop("km,Lane,Load (kN),D1 (um)\n1.2,A1,40,127\n", "fwd.csv")
    (question,) = found.questions
    assert sentence_of(found, question) == "The one place of the slab at which all tests of the file stood"
    told = files.said(found, question, "joint leave")
    assert files.answer_to(told, question) == "joint leave"
    again = files.read_again(told, None, TODAY)
    assert again.readings[0].frame["position"].tolist() == ["joint leave"]


def test_units_tables_and_weather_stations_are_answered_on_the_page(drop: Make) -> None:
    found = drop("Station,Lane,Position,Load (kN),D1 (um)\n3.490,A1,corner,40,127\n", "fwd.csv")
    (question,) = found.questions
    assert sentence_of(found, question) == "In which unit are the stations under Station?"
    again = files.read_again(files.said(found, question, "km"), None, TODAY)
    assert again.readings[0].frame["station"].tolist() == pytest.approx([3490.0])
    found = drop("year,remark\n2020,x\n", "year.csv")
    (question,) = found.questions
    again = files.read_again(files.said(found, question, "climate"), None, TODAY)
    assert again.readings[0].table == "climate"
    found = drop("Station,Date,Hour,Temp (C)\nAAA,2025-01-01,1,1\nBBB,2025-01-01,1,2\n", "airport.csv")
    (question,) = found.questions
    assert list(choices_of(question)) == ["AAA (1 rows)", "BBB (1 rows)"]
    again = files.read_again(files.said(found, question, "BBB"), None, TODAY)
    assert again.readings[0].frame["air_temperature"].tolist() == [2.0]


def test_a_word_is_given_another_meaning_on_the_page_and_kept_with_the_project(drop: Make, project: Project) -> None:
    text = "km,lane,defect\n1.2,A1,LTC\n"
    found = drop(text, "survey.csv")
    assert [(w.written, w.meant, w.how) for w in found.readings[0].words] == [("LTC", "longitudinal crack", "guessed")]
    again = files.read_again(files.meaning(found, "LTC", "transverse crack"), project, TODAY)
    assert files.why_not(again) == ""
    load_files(project, {again.path: again.readings})
    second = files.read_again(drop(text.replace("1.2", "1.9").replace("km", "KM"), "second.csv"), project, TODAY)
    assert second.readings[0].frame["kind"].tolist() == ["transverse crack"]
    assert files.why_not(second) == ""
    project.undo()
    undone = files.read_again(drop(text, "third.csv"), project, TODAY)
    assert undone.readings[0].frame["kind"].tolist() == ["longitudinal crack"]
    assert files.why_not(undone) != ""


def test_the_page_draws_questions_and_words_and_takes_the_answer(drop: Make) -> None:
    asked = drop("km,Strip,Load (kN),D1 (um)\n1.2,A1,40,127\n", "fwd.csv")
    worded = drop("km,lane,defect\n1.2,A1,LTC\n", "survey.csv")
    told: list[Dropped] = []

    def act(_: object) -> None:
        for found in (asked, worded):
            draw_file(found, "us", told.append, lambda: None, lambda: None)
        fields = {str(e._props["label"]): e for e in ui.context.client.elements.values() if isinstance(e, Field)}
        for label, answer in (
            ("Which column of the file holds the lane?", "Strip (A1)"),
            ("LTC (kind)", "transverse crack"),
            ("LTC (kind)", "no choice of this column"),
        ):
            for listener in fields[label]._event_listeners.values():
                fields[label]._handle_event({"listener_id": listener.id, "args": answer})

    on_a_page(act)
    assert [dict(t.mapping) | dict(t.words) for t in told] == [{"Strip": "lane"}, {"LTC": "transverse crack"}]


def test_files_on_the_page_are_held_against_each_other(drop, project: Project) -> None:
    """In any order, anew when one leaves; what was answered stays answered."""
    counts, more = "year,daily traffic\n2024,41000\n", "year,daily traffic\n2024,900000\n"
    first, second = drop(counts, "a.csv"), drop(more, "b.csv")

    def beside(**lying: Dropped) -> dict[str, Dropped]:
        found = files.beside(dict(enumerate(lying.values())), project)
        return {name: files.renewed(d, found[i]) for i, (name, d) in enumerate(lying.items())}

    both = beside(one=first, two=second)
    assert files.why_not(both["one"]) == ""
    assert "1 error" in files.why_not(both["two"])
    assert "a.csv, row 2" in str(both["two"].readings[0].findings[-1])
    assert files.why_not(beside(two=both["two"])["two"]) == ""
    cracks = drop(CRACKS.replace("3+00,NB1", "3+00,nb1"), "cracks.csv")
    told = files.answered(cracks, files.warnings(cracks), "accepted")
    assert files.why_not(told) == ""
    asked = beside(cracks=told, lanes=drop("lane,position,width (ft)\nNB2,1,12\n", "l.csv"))["cracks"]
    assert set(asked.answers.values()) == {"accepted"}
    assert places(asked, "lane not declared")  # of one file against one nobody knows which is wrong
    assert "wait for your word" in files.why_not(asked)


def test_a_file_takes_the_place_of_one_that_is_held(drop, project: Project, tmp_path: Path) -> None:
    first = drop("year,daily traffic\n2024,41000\n", "a.csv")
    load_files(project, {first.path: first.readings})
    path = tmp_path / "corrected.csv"
    path.write_text("year,daily traffic\n2024,42000\n")
    found = files.read_again(Dropped(path), project, TODAY)
    assert found.held == ("a.csv",)
    assert "1 error" in files.why_not(found)
    found = files.read_again(files.in_place(found, "a.csv"), project, TODAY)
    assert files.why_not(found) == ""
    load_files(project, {path: found.readings}, replacing={path: found.in_place_of})
    assert [s.name for s in project.sources()] == ["corrected.csv"]
    assert project.facts().counts["daily_traffic"].tolist() == [42000]
    assert files.in_place(found, "no such file").in_place_of == ""
