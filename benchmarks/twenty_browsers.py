"""Twenty people, each on their own copy of the demo road, changing thickness for a minute.

Run by hand: ``python benchmarks/twenty_browsers.py`` with real chromium pages, ``--protocol`` with tabs that speak what
the page speaks and draw nothing, ``--people N`` and ``--seconds S`` for other sizes. Prints the edits, the errors, the
50th and 95th percentile from the keystroke to the redrawn table, how long the server took of it, and the processor
seconds of the server and of the browsers apart: a machine that draws too slowly is told from a server that answers too
slowly. Bounded in windows and time, and speaks to loopback only.
"""

import argparse
import asyncio
import os
import random
import shutil
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from time import monotonic

import aiohttp
import numpy as np
from playwright.async_api import Browser, async_playwright
from tests.browser.conftest import CHROMIUM, FLAGS, Server

from benchmarks.tab import Tab
from benchmarks.test_workflow import clock
from slabwright.project import create
from slabwright.workflow import Computation, fill_with_example

LABEL = "Overlay thickness; 0 for the required one"
PATIENCE = 20.0
# A person inside the page, so that no driver outside takes part of the machine: types, confirms, waits for the new
# thickness to be painted, looks at it for 1 to 4 seconds. Told apart: the answer's arrival, and its painting.
PERSON = """async ([label, seconds, patience]) => {
  const found = { answered: [], drawn: [], errors: [] }, pause = (s) => new Promise((go) => setTimeout(go, 1000 * s));
  const named = [...document.querySelectorAll("label")].find((l) => l.textContent === label);
  const shown = () => document.querySelector("button[data-column=overlay]")?.textContent;
  let arrived = null, words = null;
  window.socket.onAny((name, news) => {
    if (name === "update" && JSON.stringify(news).includes(`>${words}</button>`)) arrived ??= performance.now(); });
  await pause(3 * Math.random());
  const until = performance.now() + 1000 * seconds;
  while (performance.now() < until) {
    words = (2 + 4 * Math.random()).toFixed(2); arrived = null;
    const begun = performance.now(), box = document.getElementById(named.htmlFor);
    box.focus(); box.value = `${words} in`; box.dispatchEvent(new Event("change", { bubbles: true }));
    await new Promise((done) => {
      const watch = new MutationObserver(() => { if (shown() === words) end(); });
      const end = () => { watch.disconnect(); clearTimeout(late); done(); }, late = setTimeout(end, 1000 * patience);
      watch.observe(document.body, { subtree: true, childList: true, characterData: true });
    });
    if (shown() !== words) { found.errors.push("no answer"); continue; }
    await new Promise((painted) => requestAnimationFrame(() => setTimeout(painted)));
    found.drawn.push((performance.now() - begun) / 1000); found.answered.push((arrived - begun) / 1000);
    await pause(1 + 3 * Math.random());
  }
  return found;
}"""


@dataclass
class Found:
    """What the people met. Seconds; ``answered`` is from the edit sent to the new table received."""

    drawn: list[float] = field(default_factory=list)
    answered: list[float] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)


def thickness(chance: random.Random) -> str:
    return f"{chance.uniform(2, 6):.2f}"


class Minute:
    """When all have come, the time begins for everyone at once, and the processor seconds are counted from there."""

    def __init__(self, people: int, seconds: float, server: int) -> None:
        self.seconds, self.server = seconds, server
        self.all_here = asyncio.Barrier(people)
        self.until = np.inf
        self.used = np.zeros(3)

    async def begin(self) -> None:
        if await self.all_here.wait() == 0:
            self.used = processor_seconds(self.server)
        self.until = monotonic() + self.seconds

    @property
    def goes_on(self) -> bool:
        return monotonic() < self.until

    def spent(self) -> np.ndarray:
        """Processor seconds since the beginning: of the server, of the browsers or tabs, of everything else here."""
        return processor_seconds(self.server) - self.used


async def in_browser(browser: Browser, address: str, minute: Minute, found: Found) -> None:
    """One person at a chromium page of their own."""
    page = await browser.new_page(viewport={"width": 1200, "height": 900})
    page.on("pageerror", lambda e: found.errors.append(str(e)))
    page.on("console", lambda m: found.errors.append(m.text) if m.type == "error" else None)
    await page.goto(address, timeout=60_000)
    table = page.locator("button[data-column=overlay]").first
    await table.wait_for(timeout=60_000)
    await page.wait_for_function("window.did_handshake === true", timeout=60_000)
    await minute.begin()
    met = await page.evaluate(PERSON, [LABEL, minute.seconds, PATIENCE])
    found.drawn += met["drawn"]
    found.answered += met["answered"]
    found.errors += met["errors"]


async def in_protocol(session: aiohttp.ClientSession, address: str, number: int, minute: Minute, found: Found) -> None:
    """One person whose tab draws nothing."""
    chance = random.Random(number)
    async with Tab(session, address) as tab:
        await minute.begin()
        await asyncio.sleep(chance.uniform(0, 3))
        while minute.goes_on:
            words, begun = thickness(chance), monotonic()
            await tab.change(LABEL, f"{words} in")
            try:
                await tab.until(
                    lambda shown, w=words: any('data-column="overlay"' in s and f">{w}</button>" in s for s in shown),
                    PATIENCE,
                )
            except TimeoutError:
                found.errors.append(f"tab {number}: no answer")
                continue
            found.answered.append(monotonic() - begun)
            await asyncio.sleep(chance.uniform(1, 4))
        found.errors += tab.errors


def processor_seconds(server: int) -> np.ndarray:
    """Processor seconds used so far by the server, by the rest of this benchmark, and by the whole machine beside them."""
    parents, used = {}, {}
    for place in Path("/proc").iterdir():
        if place.name.isdigit():
            for line in _lines(place / "stat"):
                parts = line.rpartition(")")[2].split()
                parents[int(place.name)], used[int(place.name)] = int(parts[1]), int(parts[11]) + int(parts[12])
    family = {os.getpid()}
    while more := {pid for pid, parent in parents.items() if parent in family} - family:
        family |= more
    user, nice, system, *_ = next(iter(_lines(Path("/proc/stat")))).split()[1:]
    served, ours = used.get(server, 0), sum(used.get(pid, 0) for pid in family)
    whole = int(user) + int(nice) + int(system)
    return np.array([served, ours - served, whole - ours]) / os.sysconf("SC_CLK_TCK")


def _lines(path: Path) -> Iterator[str]:
    try:
        yield from path.read_text().splitlines()
    except OSError:
        return  # the process ended meanwhile


def filled(folder: Path, people: int) -> None:
    """A folder with the computed demo road, once for each person."""
    with create(folder / "demo0.slab", user="load", clock=clock) as project:
        fill_with_example(project, folder / "files", today=date(2026, 11, 25))
        Computation(project).run()
    for number in range(1, people):
        shutil.copy(folder / "demo0.slab", folder / f"demo{number}.slab")


async def measured(server: Server, people: int, seconds: float, *, protocol: bool) -> tuple[Found, np.ndarray]:
    """What they met, and the processor seconds of the minute (see ``Minute.spent``)."""
    assert server.process is not None
    found, minute = Found(), Minute(people, seconds, server.process.pid)
    addresses = [f"{server.address}/road/demo{n}/overlay" for n in range(people)]
    if protocol:
        async with aiohttp.ClientSession(connector=aiohttp.TCPConnector(limit=0)) as session:
            await asyncio.gather(*(in_protocol(session, a, n, minute, found) for n, a in enumerate(addresses)))
            return found, minute.spent()
    async with async_playwright() as playwright:
        browser = await playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        await asyncio.gather(*(in_browser(browser, a, minute, found) for a in addresses))
        spent = minute.spent()
        await browser.close()
    return found, spent


def told(name: str, seconds: list[float]) -> str:
    half, most = np.percentile(seconds, [50, 95]) if seconds else (np.nan, np.nan)
    return f"{name}: half within {half:.2f} s, 95 % within {most:.2f} s"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0] if __doc__ else "")
    parser.add_argument("--people", type=int, default=20)
    parser.add_argument("--seconds", type=float, default=60)
    parser.add_argument("--protocol", action="store_true")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        filled(Path(name), given.people)
        server = Server(Path(name)).start()
        try:
            found, spent = asyncio.run(measured(server, given.people, given.seconds, protocol=given.protocol))
        finally:
            server.stop()
    lines = [
        f"{given.people} {'protocol tabs' if given.protocol else 'chromium pages'}, {os.cpu_count()} cores: "
        f"{len(found.answered)} edits, {len(found.errors)} errors {sorted(set(found.errors))[:3]}",
        told("edit sent to table received", found.answered),
        *([] if given.protocol else [told("keystroke to table drawn", found.drawn)]),
        "processor seconds: server {:.1f}, {} {:.1f}, other programs on this machine {:.1f}".format(
            spent[0], "tabs" if given.protocol else "browsers", *spent[1:]
        ),
    ]
    sys.stdout.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
