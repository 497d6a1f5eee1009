"""Commands on decisions, alternatives and history."""

from __future__ import annotations

from typing import TYPE_CHECKING

from slabwright.cli.files import Place, opened
from slabwright.cli.output import JSON_VERSION, print_json, print_rows, say, system
from slabwright.errors import InputError
from slabwright.records.changes import in_words
from slabwright.records.decisions import Decisions, change, entries, to_plain
from slabwright.records.decisions.past import check_once, present_name

if TYPE_CHECKING:
    from slabwright.project import Change

__all__ = ["alternative", "decide", "history", "step"]


def decide(road: Place, assignments: list[str], name: str, json: bool, units: str) -> None:
    from slabwright.workflow import Computation

    shown = system(units)
    with opened(road) as project:
        before = project.decisions(name)
        decided = before
        check_once(word.partition("=")[0].strip() for word in assignments)
        for word in assignments:
            key, equals, value = word.partition("=")
            if not equals:
                raise InputError(
                    "a decision is given as NAME=VALUE", given=word, allowed='for example design.thickness="4 in"'
                )
            decided = change(decided, key.strip(), value.strip(), shown)
        if assignments:
            old, new = to_plain(before), to_plain(decided)
            changed = {k: v for k, v in new.items() if v != old[k]}
            if changed:
                Computation(project, name).check_decided(changed)
                project.decide(name, changed, f"decide {', '.join(changed)} ({name})")
    if json:
        print_json({
            "version": JSON_VERSION,
            "alternative": name,
            "decisions": {e.name: e.text(shown) for e in entries(decided)},
        })
    elif assignments:
        texts = {e.name: e.text(shown) for e in entries(decided)}
        for word in assignments:
            given = word.partition("=")[0].strip()
            key = present_name(given)
            say(f"{key} = {texts[key]}" + (f" (once called {given})" if key != given else ""))
    else:
        rows = [[e.name, e.text(shown), e.about.meaning] for e in entries(decided)]
        print_rows(f"Decisions of {name}", ["Name", "Value", "Meaning"], rows)


def alternative(road: Place, name: str | None, like: str, remove: bool) -> None:
    with opened(road) as project:
        if name is not None and remove:
            project.remove_alternative(name)
        elif name is not None:
            project.add_alternative(name, like=like)
        for known in project.alternatives():
            say(known)


def history(road: Place, json: bool, units: str) -> None:
    shown, known = system(units), {e.name: e for e in entries(Decisions())}
    with opened(road) as project:
        changes = project.history()
    if json:
        print_json({
            "version": JSON_VERSION,
            "changes": [
                {
                    "id": c.id,
                    "time": c.time.isoformat(),
                    "user": c.user,
                    "what": c.what,
                    "before": dict(c.before),
                    "after": dict(c.after),
                    "undone": c.undone,
                    "undoes": c.undoes,
                    "redoes": c.redoes,
                    "replaced": c.replaced,
                }
                for c in changes
            ],
        })
        return
    rows = [
        [
            str(c.id),
            c.time.strftime("%Y-%m-%d %H:%M:%S"),
            c.user,
            c.what,
            *(in_words(side, known, shown) for side in (c.before, c.after)),
            _state(c),
        ]
        for c in changes
    ]
    print_rows("History", ["No.", "When (UTC)", "Who", "What", "Before", "After", ""], rows)


def _state(entry: Change) -> str:
    if entry.replaced is not None:
        return f"undone, replaced by no. {entry.replaced}"
    return "undone" if entry.undone else ""


def step(road: Place, which: str) -> None:
    with opened(road) as project:
        done = project.undo() if which == "undo" else project.redo()
    say(f"{'Undone' if which == 'undo' else 'Done again'}: {done.what}")
