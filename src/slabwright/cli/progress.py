"""How far a load has come, on a terminal; and what Ctrl-C leaves behind, in a sentence."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from slabwright.errors import SlabwrightError

if TYPE_CHECKING:
    from rich.progress import Progress, TaskID

    from slabwright.workflow import Loaded

__all__ = ["Stopped", "Watch", "stoppable", "watched"]


class Stopped(SlabwrightError):
    """The person at the keyboard stopped the command."""

    exit_code = 130  # as a shell tells of a program that ended by the interrupt key


class Watch:
    """One line on the terminal: the file that is read, or how many rows of it are written."""

    def __init__(self, bar: Progress, line: TaskID) -> None:
        self._bar, self._line = bar, line

    def begin(self, path: Path) -> None:
        self._bar.update(self._line, description=f"reading {path.name}", total=None)

    def written(self, name: str, rows: int, whole: int) -> None:
        self._bar.update(self._line, description=f"writing {name}, {rows} of {whole} rows", completed=rows, total=whole)


@contextmanager
def watched() -> Iterator[Watch]:
    """A line on the error output for as long as the block lasts; nothing where that is no terminal."""
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (TextColumn("{task.description}", markup=False), BarColumn(), TimeElapsedColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True, disable=not sys.stderr.isatty()) as bar:
        yield Watch(bar, bar.add_task("", total=None))


@contextmanager
def stoppable(done: Sequence[Loaded]) -> Iterator[None]:
    """Turn Ctrl-C into a sentence that names the files ``done``, which are in the project."""
    try:
        yield
    except KeyboardInterrupt:
        names = ", ".join(each.file for each in done)
        told = f"{names} loaded whole, nothing of the other files" if done else "nothing was loaded"
        raise Stopped(f"stopped: {told}") from None
