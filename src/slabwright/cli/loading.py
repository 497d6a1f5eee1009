"""Commands that bring files in and take them out, and how their findings are printed."""

from __future__ import annotations

import shlex
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from slabwright.cli.files import Place, now, opened
from slabwright.cli.output import (
    JSON_VERSION,
    as_json,
    cell,
    heading,
    print_json,
    print_narrow,
    say,
    system,
)
from slabwright.cli.progress import stoppable, watched
from slabwright.errors import Conflict, InputError, SlabwrightError

if TYPE_CHECKING:
    from slabwright.intake import Reading
    from slabwright.project import Project
    from slabwright.units import System
    from slabwright.workflow import Loaded

__all__ = ["Said", "load", "tell", "unload"]

PREVIEW_ROWS = 5
MOST_UNUSED = 6
Refused = dict[Path, SlabwrightError]


@dataclass(frozen=True)
class Said:
    """What the command says of the files: columns, words, posts, the weather station, the table, lane and position of all rows."""

    columns: list[str]
    words: list[str]
    posts: list[str]
    place: str
    table: str | None
    lane: str = ""
    position: str = ""


class NotLoaded(InputError):
    """Files of several that were refused or that wait for an answer; a question alone has the exit code of a question."""

    def __init__(self, what: str, exit_code: int) -> None:
        super().__init__(what)
        self.exit_code = exit_code

    def __str__(self) -> str:
        return self.what


def load(
    road: Place,
    paths: list[Path],
    told: Said,
    preview: bool,
    accept: bool,
    reject: list[str],
    replace: bool,
    in_place_of: str | None,
    all_findings: bool,
    json: bool,
    units: str,
) -> None:
    from slabwright.workflow import already_loaded, load_whole, read_each

    columns, column_units = _mapping(told.columns)
    shown = system(units)
    done: list[Loaded] = []
    with opened(road) as project, stoppable(done), watched() as watch:
        replaced = _replaced(project, paths, replace, in_place_of)
        again = {} if preview or replaced else already_loaded(project, paths)
        every, paths = paths, [path for path in paths if path not in again]
        if not paths:
            _refuse_answers(again, told)
        found, refused = read_each(
            project,
            paths,
            table=told.table,
            mapping=columns or None,
            column_units=column_units or None,
            system=shown,
            today=now().date(),
            words=_pairs(told.words, "a word is given as WORD=MEANING"),
            posts=_pairs(told.posts, "a post is given as POST=STATION, for example 'MP 2=105+60'"),
            place=told.place,
            lane=told.lane,
            position=told.position,
            replaced=tuple(replaced.values()),
            begin=watch.begin,
        )
        loaded: tuple[Loaded, ...] = ()
        if not preview:
            replacing = {path: name for path, name in replaced.items() if path in found}
            loaded, left = load_whole(
                project,
                found,
                accept=accept,
                reject=reject,
                replacing=replacing,
                tell=done.append,
                written=watch.written,
            )
            refused |= left
    if json:
        print_json(_plain(every, found, refused, again, loaded, shown, preview))
    else:
        for path, readings in found.items():
            for reading in readings if not isinstance(refused.get(path), Conflict) else ():
                _show_reading(reading, shown, whole=preview, every=all_findings)
        for each in loaded:
            tell(each)
        for path, how in again.items():
            say(f"{path.name}: {how}; left as it is; --replace loads it anew.")
        if preview:
            say("Preview only: nothing was changed.")
    _refuse(paths, refused)


def _refuse_answers(again: dict[Path, str], told: Said) -> None:
    """Raise InputError where something is told of files that are all loaded already, so that it would change nothing."""
    answers = (told.columns, told.words, told.posts, told.place, told.table, told.lane, told.position)
    if again and any(answers):
        path, how = next(iter(again.items()))
        raise InputError(
            f"this file was {how}, without what is told of it now",
            where=path.name,
            remedy="Add --replace to load it anew with these answers, in one change; or leave it out.",
        )


def unload(road: Place, names: list[str]) -> None:
    """Take files out by the names they were loaded under (or by paths whose last part is the name); all or none."""
    with opened(road) as project:
        held = [s.name for s in project.sources()]
        for name in (wanted := [n if n in held else Path(n).name for n in names]):
            if name not in held:
                raise InputError(
                    "the project holds no file of this name",
                    given=name,
                    allowed=", ".join(dict.fromkeys(held)) or "none",
                )
            held.remove(name)
        for name in wanted:
            rows = next(s.rows for s in reversed(project.sources()) if s.name == name)
            project.remove_source(name)
            say(f"Took out {name} with its {rows} rows. slabwright undo brings it back.")


def _replaced(project: Project, paths: list[Path], replace: bool, in_place_of: str | None) -> dict[Path, str]:
    """The held file that each given file takes the place of."""
    from slabwright.workflow import replaced_file

    if in_place_of is not None:
        if len(paths) != 1:
            raise InputError("one file takes the place of one", given=f"{len(paths)} files", allowed="one file")
        return {paths[0]: replaced_file(project, in_place_of)}
    return {path: replaced_file(project, path.name) for path in paths} if replace else {}


def _refuse(paths: list[Path], left: Refused) -> None:
    """Raise what was refused in one sentence and what is asked below it; the files that were whole are in by now."""
    from slabwright.intake import AnswerNeeded

    if len(left) == 1 and len(paths) == 1:
        raise next(iter(left.values()))
    asked = [str(problem) for problem in left.values() if isinstance(problem, AnswerNeeded)]
    refused = [str(problem) for problem in left.values() if not isinstance(problem, AnswerNeeded)]
    lines = []
    if refused:
        reasons = " ".join(f"({i}) {problem}" for i, problem in enumerate(refused, start=1))
        lines.append(f"{len(refused)} of {len(paths)} files cannot be loaded: {reasons}")
    if asked:
        lines.append(f"{len(asked)} of {len(paths)} files {'waits' if len(asked) == 1 else 'wait'} for an answer:")
    if lines:
        raise NotLoaded("\n".join([*lines, *asked]), InputError.exit_code if refused else AnswerNeeded.exit_code)


def _mapping(words: list[str]) -> tuple[dict[str, str | None], dict[str, str]]:
    """``HEADER=COLUMN``, ``HEADER=COLUMN:UNIT``, or ``HEADER=`` to leave a heading out."""
    columns: dict[str, str | None] = {}
    found: dict[str, str] = {}
    for word in words:
        header, equals, rest = word.rpartition("=")
        if not equals:
            raise InputError("a mapping is given as HEADER=COLUMN or HEADER=COLUMN:UNIT", given=word)
        column, _, unit = rest.partition(":")
        columns[header] = column.strip() or None
        if unit:
            found[header] = unit.strip()
    return columns, found


def _pairs(words: list[str], wanted: str) -> dict[str, str]:
    found: dict[str, str] = {}
    for word in words:
        name, equals, meaning = (part.strip() for part in word.rpartition("="))
        if not equals or not name or not meaning:
            raise InputError(wanted, given=word)
        found[name] = meaning
    return found


def tell(loaded: Loaded) -> None:
    """One sentence on a file that is now in the project."""
    rows = ", ".join(f"{n} rows of {table}" for table, n in loaded.rows.items())
    warnings = (
        f" ({loaded.accepted} findings accepted, {loaded.rejected} rejected)"
        if loaded.accepted or loaded.rejected
        else ""
    )
    say(f"Loaded {loaded.file}{f' in place of {loaded.replaces}' if loaded.replaces else ''}: {rows}{warnings}.")


def _show_reading(reading: Reading, shown: System, *, whole: bool, every: bool) -> None:
    """The findings of a table; with ``whole`` how it was understood too, with ``every`` each finding on its line."""
    from slabwright.intake import grouped

    if whole:
        _show_understood(reading, shown)
    elif reading.unmapped:
        _show_unused(reading)
    _show_words(reading)
    groups = [
        g
        for g in grouped(reading.findings, reading.suspicious, reading.source_rows.tolist())
        if whole or every or g.weight != "note"
    ]
    if groups:
        counts = {w: sum(g.count for g in groups if g.weight == w) for w in ("error", "warning", "note")}
        told = ", ".join(f"{n} {w}{'' if n == 1 else 's'}" for w, n in counts.items() if n)
        cut = not every and any(len(g.places) > 1 for g in groups)
        say(f"{reading.place}: {told}{'; --all shows each' if cut else ''}.")
    for group in groups:
        if every:
            for place in group.places:
                say(f"  {group.weight} [{group.rule}] {reading.findings[place]}")
        else:
            say(f"  {group}")


def _show_unused(reading: Reading) -> None:
    """The headings that were not used, each with its option to copy, and the columns that are still free."""
    from slabwright.records.facts import FACTS

    names = ", ".join(reading.unmapped)
    say(f"  {reading.place}: not used: {names}. Name a column by --map HEADER=COLUMN to have it read.")
    held = {m.column for m in reading.mapping}
    free = [c.name for c in FACTS[reading.table].columns if c.name not in held]
    options = " ".join(f"--map {shlex.quote(f'{heading}=COLUMN')}" for heading in reading.unmapped[:MOST_UNUSED])
    say(f"    {options}")
    say(f"    (COLUMN is one of: {', '.join(free)})")


def _show_words(reading: Reading) -> None:
    """The words that wait for the engineer, each with the option that confirms or corrects its meaning."""
    from slabwright.records.facts import FACTS

    asked = [w for w in reading.words if w.how in ("guessed", "other", "unknown")]
    if asked:
        say(f"  {reading.place}: words to confirm, or to give another meaning:")
    for word in asked:
        meant = word.meant or "MEANING"
        say(f"    --word {shlex.quote(f'{word.written}={meant}')}")
    for column in dict.fromkeys(w.column for w in asked):
        choices = FACTS[reading.table][column].choices
        say(f"    ({column} is one of: {', '.join(choices)})")


def _show_understood(reading: Reading, shown: System) -> None:
    """The mapping, and the first rows with numbers rounded as results are, turned on their side where they are wide."""
    from slabwright.intake import preview
    from slabwright.records.facts import FACTS

    view, schema = preview(reading, shown), FACTS[reading.table]
    say(f"{view.title}: {view.rows} rows")
    matches = [[m.header, m.column or "not used", m.unit or "", m.how, f"{m.confidence:.0%}"] for m in view.mapping]
    print_narrow("Headings", ["In the file", "Column", "Unit", "Matched by", "Sure"], matches)
    head = reading.frame.head(PREVIEW_ROWS)
    columns = [c for c in schema.columns if (reading.frame[c.name].replace("", None).notna()).any()]
    rows = [
        [
            str(reading.source_rows[i]),
            *("" if _empty(v) else cell(v, c, shown) for c, v in zip(columns, row, strict=True)),
        ]
        for i, row in enumerate(head[[c.name for c in columns]].itertuples(index=False))
    ]
    print_narrow("First rows", ["row", *(heading(c, shown, short=True) for c in columns)], rows)


def _empty(value: Any) -> bool:
    return value == "" or value != value


def _plain(
    paths: list[Path],
    found: dict[Path, tuple[Reading, ...]],
    refused: Refused,
    again: dict[Path, str],
    loaded: tuple[Loaded, ...],
    shown: System,
    preview: bool,
) -> dict[str, Any]:
    """What ``load --json`` prints."""
    made = {each.file: each for each in loaded}
    return {
        "version": JSON_VERSION,
        "units": shown,
        "files": [
            {
                "file": path.name,
                "loaded": path.name in made and path not in refused,
                "already_loaded": path in again,
                "in_place_of": made[path.name].replaces if path.name in made else "",
                "refusal": str(refused[path]) if path in refused else "",
                "questions": _plain_questions(refused.get(path)),
                "tables": [_plain_reading(r, shown, preview) for r in found.get(path, ())],
            }
            for path in dict.fromkeys(paths)
        ],
    }


def _plain_questions(problem: SlabwrightError | None) -> list[dict[str, Any]]:
    from slabwright.intake import AnswerNeeded

    return [
        {
            "kind": q.kind,
            "about": q.about,
            "question": q.sentence,
            "answers": [{"answer": o.answer, "samples": list(o.samples), "option": o.option} for o in q.offers],
        }
        for q in (problem.questions if isinstance(problem, AnswerNeeded) else ())
    ]


def _plain_reading(reading: Reading, shown: System, preview: bool) -> dict[str, Any]:
    from dataclasses import asdict

    from slabwright.records.facts import FACTS

    first = {"first": as_json(FACTS[reading.table], reading.frame.head(PREVIEW_ROWS), shown)} if preview else {}
    return {
        "table": reading.table,
        "rows": len(reading.frame),
        "mapping": [{"header": m.header, "column": m.column, "unit": m.unit, "how": m.how} for m in reading.mapping],
        "findings": [
            {**{k: v for k, v in asdict(f).items() if k != "file"}, "rows": reading.source_rows[c.rows].tolist()}
            for f, c in zip(reading.findings, reading.suspicious, strict=True)
        ],
        **first,
    }
