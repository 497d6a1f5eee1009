"""What the program imports is declared, and each dependency has its line in the documentation."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from importlib.metadata import packages_distributions
from pathlib import Path

ROOT = Path(__file__).parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
DECLARED = {re.split(r"[><=\[ ]", word)[0].lower() for word in PROJECT["dependencies"]}
OPTIONAL = {re.split(r"[><=\[ ]", w)[0].lower() for words in PROJECT["optional-dependencies"].values() for w in words}
BEHIND = {"pyogrio"}  # geopandas writes GeoPackages by it, and it is named so that its version is ours to say


def imported() -> set[str]:
    """The names at the head of every import of the package."""
    found: set[str] = set()
    for path in (ROOT / "src").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Import):
                found |= {alias.name.split(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module:
                found.add(node.module.split(".")[0])
    return found - set(sys.stdlib_module_names) - {"slabwright"}


def test_what_is_imported_is_declared() -> None:
    packages = packages_distributions()
    needed = {packages[name][0].lower() for name in imported()}
    assert (needed - OPTIONAL) | BEHIND == DECLARED


def test_every_dependency_has_its_line() -> None:
    said = (ROOT / "docs" / "explanation" / "dependencies.md").read_text().lower()
    missing = [name for name in sorted(DECLARED | OPTIONAL) if name not in said]
    assert not missing
