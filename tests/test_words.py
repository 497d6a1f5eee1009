"""One word for one thing: what the glossary retires stands in no label, message, help text, docstring or page."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
SOURCE = ROOT / "src" / "slabwright"
# Where old words are the subject: what files of earlier versions hold.
APART = ("records/decisions/past.py", "project/migrations/")
# A retired word in a sense of its own that the trade or a library gives it, by the file that may use it.
ALLOWED = {
    "handbook": ("sources.py",),  # titles of handbooks
    "border": ("web/", "report/"),  # of boxes in style sheets
    "strike": (),
}


def retired() -> list[str]:
    """The words of the last column of the glossary."""
    rows = re.findall(r"^\|(.+)\|$", (ROOT / "docs/reference/glossary.md").read_text(), flags=re.MULTILINE)[2:]
    return [word.strip() for row in rows for word in row.split("|")[-1].split(",") if word.strip()]


def pattern(word: str) -> re.Pattern[str]:
    return re.compile(rf"(?<![\w`.]){re.escape(word)}(s|ed|ing)?(?![\w`])", re.IGNORECASE)


def texts() -> Iterator[tuple[str, str]]:
    """(file, text) of every string of the program, docstrings with them, and of every page of documentation."""
    for path in SOURCE.rglob("*.py"):
        name = str(path.relative_to(SOURCE))
        if not name.startswith(APART):
            for node in ast.walk(ast.parse(path.read_text("utf-8"))):
                if isinstance(node, ast.Constant) and isinstance(node.value, str) and " " in node.value:
                    yield name, node.value
    made = ("calculations", "commands", "decisions", "facts", "results", "sources", "validation")  # from the program
    for path in [ROOT / "README.md", ROOT / "CONTRIBUTING.md", *(ROOT / "docs").rglob("*.md")]:
        if path.stem not in ("glossary", *made):
            yield path.name, path.read_text("utf-8")


TEXTS = list(texts())


@pytest.mark.parametrize("word", retired())
def test_a_retired_word_is_not_used(word: str) -> None:
    found = pattern(word)
    used = [
        f"{file}: {text[max(0, m.start() - 40) : m.end() + 40]!r}"
        for file, text in TEXTS
        for m in [found.search(text)]
        if m and not file.startswith(ALLOWED.get(word, ()) or ("none",))
    ]
    assert not used, "\n".join(used[:20])


def test_the_list_is_read() -> None:
    assert {"handbook", "field method", "border", "doubt", "nought"} <= set(retired())
    assert len(TEXTS) > 2000
