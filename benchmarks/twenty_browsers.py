"""Twenty browser windows, each on its own copy of the demo road, changing thickness for a minute.

Run by hand: ``python benchmarks/twenty_browsers.py``. Prints the number of edits, the errors, and the 50th and 95th
percentile from the keystroke to the redrawn table. Bounded in windows and time, and speaks to loopback only.
"""

import asyncio
import random
import shutil
import sys
import tempfile
from datetime import date
from pathlib import Path
from time import monotonic

import numpy as np
from playwright.async_api import Browser, async_playwright
from tests.browser.conftest import CHROMIUM, FLAGS, Server

from benchmarks.test_workflow import clock
from slabwright.project import create
from slabwright.workflow import Computation, fill_with_example

WINDOWS, SECONDS = 20, 60
LABEL = "Overlay thickness; 0 takes the required one"


async def person(browser: Browser, address: str, number: int, took: list[float], errors: list[str]) -> None:
    page = await browser.new_page(viewport={"width": 1200, "height": 900})
    page.on("pageerror", lambda e: errors.append(str(e)))
    await page.goto(f"{address}/road/demo{number}/overlay", timeout=60_000)
    await page.locator("button[data-column=overlay]").first.wait_for(timeout=60_000)
    until, chance = monotonic() + SECONDS, random.Random(number)
    while monotonic() < until:
        words = f"{chance.uniform(2, 6):.2f}"
        begun = monotonic()
        field = page.get_by_label(LABEL)
        await field.fill(f"{words} in")
        await field.press("Enter")
        shown = page.locator("button[data-column=overlay]").first.filter(has_text=words)
        try:
            await shown.wait_for(timeout=20_000)
            took.append(monotonic() - begun)
        except Exception as problem:
            errors.append(f"window {number}: {type(problem).__name__}")
        await asyncio.sleep(chance.uniform(1, 4))  # a person looks at the answer


async def main() -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        with create(folder / "demo0.slab", user="load", clock=clock) as project:
            fill_with_example(project, folder / "files", today=date(2026, 11, 25))
            Computation(project).run()
        for number in range(1, WINDOWS):
            shutil.copy(folder / "demo0.slab", folder / f"demo{number}.slab")
        server = Server(folder).start()
        took: list[float] = []
        errors: list[str] = []
        try:
            async with async_playwright() as playwright:
                browser = await playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
                await asyncio.gather(*(person(browser, server.address, n, took, errors) for n in range(WINDOWS)))
                await browser.close()
        finally:
            server.stop()
    half, most = np.percentile(took, [50, 95])
    sys.stdout.write(
        f"{len(took)} edits, {len(errors)} errors {errors[:3]}; half within {half:.2f} s, 95 % within {most:.2f} s\n"
    )


if __name__ == "__main__":
    asyncio.run(main())
