"""Many tabs of one road for minutes, the server killed again and again: no acknowledged edit is lost, none is made twice.

Run by ``make soak``, outside the tests. Each tab types a reason that nobody else types. An edit counts as acknowledged when its
tab has struck it out of what is unsent and shows no refusal; then the history of the file must hold it once, now and at the end.
"""

from __future__ import annotations

import argparse
import itertools
import signal
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from pathlib import Path

from playwright.sync_api import Error, Page, sync_playwright

from slabwright.project import create, open_project
from slabwright.workflow import Computation, fill_with_example
from tests.browser.conftest import CHROMIUM, FLAGS, Server

FIELD = "Why that method"
UNSENT = "sessionStorage.getItem('slabwright-unsent')"
TALLY = ("typed", "acknowledged", "refused", "unanswered", "kills")
PATIENCE = 20.0  # seconds for a tab to answer, a restart among them


def now() -> datetime:
    return datetime.now(UTC)


@dataclass
class Tally:
    """What was typed and what became of it."""

    counts: Counter[str] = field(default_factory=Counter)
    kept: set[str] = field(default_factory=set)

    def told(self) -> str:
        return ", ".join(f"{self.counts[name]} {name}" for name in TALLY)


def history(path: Path) -> Counter[str]:
    """How often each reason stands in the history of the file."""
    with open_project(path, user="watcher", clock=now) as project:
        return Counter(
            str(change.after["basis.reason"]) for change in project.history() if "basis.reason" in change.after
        )


def kill(server: Server) -> None:
    """End the server as a failure of the machine would, and begin it again."""
    assert server.process is not None
    server.process.send_signal(signal.SIGKILL)
    server.process.wait()
    server.process = None
    server.start()


def typed(page: Page, words: str) -> str:
    """Type a reason; "acknowledged", "refused" by a sentence, or "unanswered" in the time."""
    try:
        page.evaluate("document.querySelectorAll('.q-notification button').forEach((b) => b.click())")
        box = page.get_by_label(FIELD, exact=True)
        box.fill(words, timeout=PATIENCE * 1000)
        box.press("Enter")
        until = time.monotonic() + PATIENCE
        while time.monotonic() < until:
            if page.evaluate(UNSENT) == "[]":
                page.wait_for_timeout(150)  # a refusal comes with the answer
                return (
                    "refused"
                    if page.locator(".q-notification", has_text="The page now shows").count()
                    else "acknowledged"
                )
            page.wait_for_timeout(50)
    except Error:  # the page is loaded anew after a kill
        pass
    return "unanswered"


def soak(tabs: Iterator[Page], server: Server, path: Path, seconds: float, every: float) -> Tally:
    """Type in one tab after the other for a time, killing the server now and then."""
    tally, begun, numbers = Tally(), time.monotonic(), itertools.count(1)
    killed = begun
    while time.monotonic() - begun < seconds:
        words = f"edit {next(numbers)}"
        outcome = typed(next(tabs), words)
        tally.counts.update(["typed", outcome])
        found = history(path)
        if outcome == "acknowledged":
            assert found[words] == 1, f"{words} was acknowledged and is {found[words]} times in the history"
            tally.kept.add(words)
        if time.monotonic() - killed > every:
            kill(server)
            tally.counts["kills"] += 1
            killed = time.monotonic()
    return tally


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    for name, usual in (("--seconds", 120.0), ("--tabs", 20), ("--every", 20.0)):
        asked.add_argument(name, type=type(usual), default=usual)
    given = asked.parse_args()
    folder = Path(tempfile.mkdtemp(prefix="slabwright-soak-"))
    path = folder / "demo.slab"
    with create(path, user="soak", clock=now) as project:
        fill_with_example(project, folder / "files", today=date.today())
        Computation(project).run()
    server = Server(folder).start()
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        pages = [browser.new_page() for _ in range(given.tabs)]
        for page in pages:
            page.goto(f"{server.address}/road/demo/design")
            page.get_by_label(FIELD, exact=True).wait_for()
        tally = soak(itertools.cycle(pages), server, path, given.seconds, given.every)
        browser.close()
    server.stop()
    found = history(path)
    lost = sorted(words for words in tally.kept if found[words] != 1)
    twice = sorted(words for words, times in found.items() if times > 1)
    print(f"{given.tabs} tabs for {given.seconds:g} s: {tally.told()}; lost {len(lost)}, twice {len(twice)}.")
    if lost or twice or not tally.kept or not tally.counts["kills"]:
        raise SystemExit(f"lost: {lost}; twice: {twice}")


if __name__ == "__main__":
    main()
