"""A workspace just started, and the first page that anybody asks of it, in a browser that has nothing in its cache.

Run by hand: ``python benchmarks/cold_page.py``. Prints, in seconds from the beginning of the navigation, when the first
result table and the road strip can be seen, for each of some fresh servers and browsers; and how long a server took to
open its port. A number reported, no test: it belongs to the machine it was taken on.
"""

import sys
import tempfile
from pathlib import Path
from time import monotonic

import numpy as np
from playwright.sync_api import sync_playwright
from tests.browser.conftest import CHROMIUM, FLAGS, Server

from benchmarks.twenty_browsers import filled

TIMES = 5
SEEN = """() => new Promise((found) => {
  const seen = {}, look = () => {
    if (!seen.table && document.querySelector("button[data-column=overlay]")) seen.table = performance.now();
    if (!seen.strip && document.querySelector(".strip-chart .main-svg .trace")) seen.strip = performance.now();
    if (seen.table && seen.strip) found(seen); else requestAnimationFrame(look); };
  look(); })"""


def main() -> None:
    table, strip, port = [], [], []
    with tempfile.TemporaryDirectory() as name, sync_playwright() as playwright:
        filled(Path(name), 1)
        for _ in range(TIMES):
            begun = monotonic()
            server = Server(Path(name)).start()
            port.append(monotonic() - begun)
            browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
            page = browser.new_page(viewport={"width": 1440, "height": 1000})
            page.goto(f"{server.address}/road/demo0/overlay", wait_until="commit")
            found = page.evaluate(SEEN)
            table.append(found["table"] / 1000)
            strip.append(found["strip"] / 1000)
            browser.close()
            server.stop()
    for words, seconds in (("port open", port), ("first result table", table), ("road strip", strip)):
        sys.stdout.write(
            f"{words}: {np.median(seconds):.2f} s in the middle, {min(seconds):.2f} to {max(seconds):.2f} s\n"
        )


if __name__ == "__main__":
    main()
