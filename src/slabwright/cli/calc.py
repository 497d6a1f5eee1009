"""``slabwright calc``: list, describe and evaluate calculations."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from slabwright.cli.output import print_json, print_rows, say, system
from slabwright.errors import InputError

if TYPE_CHECKING:
    from slabwright.catalogue import Listed

__all__ = ["calc"]


def calc(words: list[str], json: bool, units: str) -> None:
    from slabwright import catalogue

    shown = system(units)
    if words[0] == "list":
        if len(words) > 1:
            raise InputError("list takes no further words", given=words[1])
        if json:
            print_json([catalogue.describe(c, shown) for c in catalogue.calculations().values()])
        else:
            _print_list(list(catalogue.listed().values()))
    elif words[0] == "show":
        if len(words) != 2:
            raise InputError("show takes the name of one calculation", given=" ".join(words))
        entry = catalogue.describe(catalogue.find(words[1]), shown)
        print_json(entry) if json else _print_entry(entry)
    else:
        result = catalogue.evaluate(words[0], dict(map(_assignment, words[1:])), shown)
        print_json(result) if json else say(result["working"])


def _assignment(word: str) -> tuple[str, str]:
    name, equals, value = word.partition("=")
    if not equals:
        raise InputError("an input is given as NAME=VALUE", given=word, allowed='for example thickness="9 in"')
    return name.strip(), value.strip()


def _print_list(entries: list[Listed]) -> None:
    rows = [[e.room, e.name, e.title, e.tag] for e in entries]
    print_rows(f"{len(entries)} calculations", ["Room", "Name", "Title", "Tag"], rows)


def _print_entry(entry: dict[str, Any]) -> None:
    say(f"{entry['title']} ({entry['name']})\n{entry['equation']}\n")
    rows = [
        [i["name"], i["unit"] or ", ".join(i.get("choices", ())), _bounds(i), _text(i["default"]), i["meaning"]]
        for i in entry["inputs"]
    ]
    print_rows("Inputs", ["Name", "Unit", "From to", "Default", "Meaning"], rows)
    print_rows("Outputs", ["Name", "Unit", "Meaning"], [[o["name"], o["unit"], o["meaning"]] for o in entry["outputs"]])
    say(f"Source: {entry['source']} [{entry['tag']}]")
    for check in entry["checks"]:
        say(f"Check {check['id']}: {check['title']} ({check['kind']}, {check['tag']})")


def _bounds(entry: dict[str, Any]) -> str:
    return "" if entry["low"] is None else f"{_text(entry['low'])} to {_text(entry['high'])}"


def _text(value: Any) -> str:
    return "" if value is None else f"{value:.6g}" if isinstance(value, float) else str(value)
