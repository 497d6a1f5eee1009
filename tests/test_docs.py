"""Docs cannot drift: every command, decision and table is documented, and every page is reachable."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import pytest
import typer.main

from slabwright.cli.app import app

ROOT = Path(__file__).parent.parent
DOCS = ROOT / "docs"
sys.path.insert(0, str(DOCS))
import generate  # noqa: E402


def registered() -> set[str]:
    return set(typer.main.get_command(app).commands)  # type: ignore[attr-defined]


def test_every_command_is_on_the_page_of_commands() -> None:
    assert set(re.findall(r"^## (\w+)$", generate.commands(), flags=re.MULTILINE)) == registered()


@pytest.mark.parametrize("page", ["calculations", "sources", "facts", "results", "decisions", "commands", "validation"])
def test_generated_pages_are_whole(page: str) -> None:
    text: str = getattr(generate, "schemas" if page in ("facts", "results") else page)(
        *(
            ("Facts", "", generate.FACTS.values())
            if page == "facts"
            else ("Results", "", generate.outcomes().values())
            if page == "results"
            else ()
        )
    )
    assert text.startswith("# ")
    assert "nan" not in re.findall(r"[a-z]+", text)
    assert len(text.splitlines()) > 20


def test_validation_shows_every_value_and_none_fails() -> None:
    lead = generate.validation().splitlines()[2]
    values, passed = re.match(r"(\d+) values of \d+ checks, (\d+) within", lead).groups()  # type: ignore[union-attr]
    assert values == passed


def test_commands_in_the_docs_exist() -> None:
    for page in [ROOT / "README.md", *DOCS.rglob("*.md")]:
        for command in re.findall(r"(?:^|/)slabwright ([a-z]+)", page.read_text(), flags=re.MULTILINE):
            assert command in registered(), f"{page.name}: slabwright {command}"


def test_the_lock_names_no_index_and_is_hashed() -> None:
    for name in ("requirements.lock", "requirements-dev.lock"):
        text = (ROOT / name).read_text()
        assert "://" not in text
        assert "--index" not in text
        pins = re.findall(r"^[A-Za-z0-9_.\[\]-]+==", text, flags=re.MULTILINE)
        assert len(pins) > 40
        for block in re.split(r"\n(?=[a-z])", text):
            if "==" in block.split("\n")[0]:
                assert "--hash=sha256:" in block
