"""What a dropped file asks before it can be read, and what its words mean: choices with what the file holds."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from slabwright.intake import Question, Reading, Word
from slabwright.records.facts import FACTS
from slabwright.web.parts import dropped as files
from slabwright.web.parts.dropped import Dropped
from slabwright.web.parts.field import entry, pick
from slabwright.web.parts.html import element, text

__all__ = ["choices_of", "draw_posts", "draw_questions", "draw_words"]

Change = Callable[[Dropped], Any]
NOT_ANSWERED = "choose"
HOW = {
    "guessed": "proposed by its likeness",
    "other": "no kind that is known: kept as other",
    "kept": "kept as other: no method uses it",
    "unknown": "not understood",
    "given": "your word",
    "remembered": "as told before",
}
SENTENCES = {
    "column": "Which column of the file holds the {meaning}?",
    "table": "Which table does the file hold?",
    "unit": "In which unit are the stations under {about}?",
    "place": "Which weather station is that of the road?",
    "lane": "Or the one lane in which all rows of the file lie",
    "position": "The one place of the slab at which all tests of the file stood",
}


def draw_questions(dropped: Dropped, change: Change) -> None:
    """Each question with its answers, the file's first values beside each."""
    for question in dropped.questions:
        if question.kind == "lane":
            _lane(dropped, question, change)
            continue
        shown = choices_of(question)
        said = files.answer_to(dropped, question)
        chosen = next((words for words, answer in shown.items() if answer == said), NOT_ANSWERED)
        pick(
            sentence_of(dropped, question),
            [NOT_ANSWERED, *shown],
            chosen,
            partial(_answered, dropped, question, shown, change),
        )


def _lane(dropped: Dropped, question: Question, change: Change) -> None:
    """A field, for the lane may be one that the project does not hold yet."""
    held = ", ".join(offer.answer for offer in question.offers)
    entry(
        sentence_of(dropped, question),
        dropped.lane,
        lambda words: change(files.said(dropped, question, words)),
        hint=f"lanes of the project: {held}" if held else "a lane's name, as NB1",
    )


def draw_posts(dropped: Dropped, change: Change) -> None:
    """Where the file counts from posts: the station of one of each kind, which the project then remembers."""
    if not dropped.posts and not any(reading.shifts for reading in dropped.readings):
        return
    told = "; ".join(f"{post}={station}" for post, station in dropped.posts.items())
    entry(
        "The station of a milepost or reference post",
        told,
        lambda words: change(files.at_post(dropped, words)),
        hint="as MP 2=105+60; remembered for the next file",
    )


def _answered(dropped: Dropped, question: Question, shown: dict[str, str], change: Change, words: str) -> None:
    change(files.said(dropped, question, shown.get(words, "")))


def choices_of(question: Question) -> dict[str, str]:
    """The answers by the words they are shown in: the answer and the first values that the file holds there."""
    return {f"{o.answer} ({', '.join(o.samples)})" if o.samples else o.answer: o.answer for o in question.offers}


def sentence_of(dropped: Dropped, question: Question) -> str:
    """The question in the words of the page."""
    table = next((FACTS[name] for name in FACTS if name == (dropped.table or question.table)), None)
    known = table is not None and question.about in table.names
    meaning = table[question.about].meaning if table is not None and known else question.about
    return SENTENCES[question.kind].format(meaning=meaning, about=question.about)


def draw_words(dropped: Dropped, reading: Reading, change: Change) -> None:
    """The words that had to be understood, each with the choices of its column."""
    words = [w for w in reading.words if FACTS[w.table][w.column].choices]
    if not words:
        return
    text("h3", "Words and what they mean")
    for word in words:
        with element("div", cls="line").style("align-items: end"):
            _word(dropped, word, change)


def _word(dropped: Dropped, word: Word, change: Change) -> None:
    choices = list(FACTS[word.table][word.column].choices)
    chosen = dropped.words.get(word.written, word.meant) or NOT_ANSWERED
    pick(
        f"{word.written} ({word.column})",
        [*([] if chosen in choices else [chosen]), *choices],
        chosen,
        lambda meant: change(files.meaning(dropped, word.written, meant)) if meant in choices else None,
        hint=HOW[word.how],
    )
