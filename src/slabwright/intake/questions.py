"""What intake asks when a file cannot be understood by itself: which column, table, unit or place, each with its answers.

A file that raises ``AnswerNeeded`` is not refused: every answer is an option of the command line, ready to copy, and a
choice on the page of the workspace.
"""

from __future__ import annotations

import difflib
import shlex
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from slabwright.errors import InputError, shorten
from slabwright.intake.cells import VALUE
from slabwright.intake.headings import ColumnMatch, Fit, of_another_quantity, off_centre, vocabulary
from slabwright.intake.stations import UNITS, station_cell
from slabwright.intake.words import NOT_KNOWN, compact, read_words
from slabwright.records.facts import FACTS
from slabwright.records.table import Column
from slabwright.units import System, format_station, to_si

__all__ = [
    "AnswerNeeded",
    "Asked",
    "Offer",
    "Question",
    "missing_columns",
    "several_tables",
    "station_unit",
    "which_heading",
]

Asked = Literal["column", "table", "unit", "place", "lane", "position"]
SAMPLES = 3
LIKELY = 0.6  # likeness of a heading to a known wording from which it is put first


@dataclass(frozen=True)
class Offer:
    """One possible answer: the words it is given in, what the file holds there, and the option that gives it."""

    answer: str
    samples: tuple[str, ...]
    option: str


@dataclass(frozen=True)
class Question:
    """What is asked, about which column (or heading, or table), and the answers, likeliest first."""

    kind: Asked
    about: str
    sentence: str
    offers: tuple[Offer, ...]
    table: str = ""


class AnswerNeeded(InputError):
    """The file can be read once these questions are answered; the exit code tells it from a refusal."""

    exit_code = 3

    def __init__(self, what: str, *, where: str, questions: Sequence[Question], table: str = "") -> None:
        super().__init__(what, where=where, remedy="Answer with the option that is right, once for this kind of file.")
        self.questions = tuple(questions)
        self.table = table

    def __str__(self) -> str:
        lines = [super().__str__()]
        for question in self.questions:
            lines.append(f"  {question.sentence}")
            wide = max((len(offer.option) for offer in question.offers), default=0)
            lines += [f"    {o.option.ljust(wide)}  {', '.join(o.samples)}".rstrip() for o in question.offers]
        return "\n".join(lines)

    @property
    def sentence(self) -> str:
        """The message without the options of the command line."""
        return super().__str__()


def missing_columns(
    fit: Fit, rows: Sequence[Sequence[str]], where: str, lanes: Sequence[str] = ()
) -> AnswerNeeded | None:
    """The question which heading holds each required column that was not found; None where nothing can hold one of them.

    ``rows`` are the first rows below the headings. A lane may be told for the whole file, one of ``lanes`` or another;
    so may the position of tests. Raises InputError for a file of deflections with no sensor at the load.
    """
    free = [m for m in fit.matches if m.column is None and m.header.strip() and m.how not in ("given", "remembered")]
    questions: list[Question] = []
    for name in [*fit.missing, *fit.unstated]:
        of_file = _of_whole_file(fit.schema.name, name, lanes)
        may = (
            free if name in fit.missing else [m for m in free if _plausible(fit.schema[name], _samples(rows, m.index))]
        )
        may = [m for m in may if not of_another_quantity(m.header, fit.schema[name])]
        if name == "deflection_1":
            may = _at_the_load(may, where)
        if not may and not of_file:
            return None
        questions += [*([which_heading(fit, name, may, rows)] if may else []), *of_file]
    lacks = ", ".join([*fit.missing, *fit.unstated])
    what = f"the headings fit the table {fit.schema.name} ({FACTS[fit.schema.name].title}) but for {lacks}"
    return AnswerNeeded(what, where=where, questions=questions, table=fit.schema.name)


def _at_the_load(may: Sequence[ColumnMatch], where: str) -> list[ColumnMatch]:
    """The headings that may hold the deflection under the load: none that names a sensor elsewhere."""
    kept = [m for m in may if not off_centre(m.header)]
    if may and not kept:
        raise InputError(
            "the sensors are named by their distance from the load, and none stands at 0",
            where=where,
            given=", ".join(m.header for m in may[:9]),
            remedy="Add the column of the sensor under the load, for example D0: no basin can be read without it.",
        )
    return kept


def _of_whole_file(table: str, name: str, lanes: Sequence[str]) -> list[Question]:
    """The question that one value for all rows answers, for a column that may be told so."""
    if name == "position" and table == "deflections":
        return [_whole_position(table)]
    return [_whole_lane(lanes, table)] if name == "lane" and table != "lanes" else []


def _whole_position(table: str) -> Question:
    """The question where on the slab all tests of the file stood."""
    answers = (*FACTS[table]["position"].choices, NOT_KNOWN)
    offers = tuple(Offer(answer, (), f"--position {shlex.quote(answer)}") for answer in answers)
    sentence = "Did all tests of the file stand at one place of the slab? Then name it by --position:"
    return Question("position", "position", sentence, offers, table)


def _whole_lane(lanes: Sequence[str], table: str) -> Question:
    """The question in which one lane all rows lie."""
    offers = tuple(Offer(lane, (), f"--lane {shlex.quote(lane)}") for lane in lanes)
    return Question("lane", "lane", "Or is the whole file of one lane? Then name it by --lane:", offers, table)


def which_heading(fit: Fit, name: str, free: Sequence[ColumnMatch], rows: Sequence[Sequence[str]]) -> Question:
    """The question which of the ``free`` headings holds a column, the likeliest first."""
    column = fit.schema[name]
    ranked = sorted(
        ((_plausible(column, _samples(rows, m.index)), _likeness(fit, name, m.header), m) for m in free),
        key=lambda found: (-found[0], -found[1]),
    )
    fitting = [found for found in ranked if found[0]] or ranked
    offers = tuple(
        Offer(m.header, _samples(rows, m.index), f"--map {shlex.quote(f'{m.header}={name}')}") for _, _, m in fitting
    )
    sentence = f"Which column of the file holds the {column.meaning} ({name})? The file's columns, with first values:"
    return Question("column", name, sentence, offers, fit.schema.name)


def several_tables(fits: Sequence[Fit], where: str) -> AnswerNeeded:
    """The question which of several tables a sheet is."""
    offers = tuple(
        Offer(f.schema.name, (f.schema.title, f"as {', '.join(sorted(f.columns))}"), f"--table {f.schema.name}")
        for f in fits
    )
    question = Question("table", "table", "Which table does the file hold?", offers)
    return AnswerNeeded("the headings fit more than one table", where=where, questions=[question])


def station_unit(header: str, column: str, written: str, where: str, system: System) -> AnswerNeeded:
    """The question in which unit the bare stations of a heading are, from one of them as written."""
    value = float(written.replace(",", "."))
    offers = []
    for unit in UNITS:
        said = f"{written} is station {format_station(to_si(value, unit, 'length'), system)}"
        offers.append(Offer(unit, (said,), f"--map {shlex.quote(f'{header}={column}:{unit}')}"))
    sentence = f"In which unit are the stations under {header!r}? {written} can be read in several."
    question = Question("unit", header, sentence, tuple(offers))
    return AnswerNeeded("the unit of the stations is not sure", where=where, questions=[question])


def _samples(rows: Sequence[Sequence[str]], index: int) -> tuple[str, ...]:
    found = (row[index].strip() for row in rows if index < len(row))
    return tuple(shorten(cell, 24).strip("'") for cell in dict.fromkeys(c for c in found if c))[:SAMPLES]


def _plausible(column: Column, samples: Sequence[str]) -> int:
    """How well the first values could stand in the column, 0 for not: numbers for a number, a known word for a choice."""
    if column.kind == "choice":
        return any(read_words(column, list(samples))[1])
    if column.unit_kind is None:
        return 1
    if column.kind == "station" and any(station_cell(s) for s in samples):
        return 2
    return any(VALUE.match(s.replace(",", ".")) for s in samples)


def _likeness(fit: Fit, name: str, header: str) -> float:
    key = compact(header)
    known = [word for word, (column, _, _) in vocabulary(fit.schema.name).items() if column == name]
    return max((difflib.SequenceMatcher(None, key, word).ratio() for word in known), default=0.0)
