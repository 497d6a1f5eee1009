"""A real server and a real browser: Debian's chromium, with every way out of the machine closed and watched."""

from __future__ import annotations

import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Route, sync_playwright

from slabwright.project import open_project
from tests.conftest import clock
from tests.mechanistic_results import save_field_results

SHOTS = Path(__file__).parent.parent.parent / ".shots"
CHROMIUM = shutil.which("chromium") or "/usr/bin/chromium"
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--no-first-run",
]
SECONDS = 60  # a slow machine starts the server slowly


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@dataclass
class Server:
    """A workspace process over a folder; it can be stopped and started again on the same port."""

    folder: Path
    port: int = field(default_factory=free_port)
    program: str = "from slabwright.cli import main; main()"
    process: subprocess.Popen[bytes] | None = None

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> Server:
        words = [
            sys.executable,
            "-c",
            self.program,
            "serve",
            str(self.folder),
            "--port",
            str(self.port),
        ]
        self.process = subprocess.Popen(words, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        until = time.monotonic() + SECONDS
        while time.monotonic() < until:
            try:
                urllib.request.urlopen(f"{self.address}/openapi.json", timeout=1).close()
                return self
            except OSError:
                time.sleep(0.1)
        self.process.kill()
        raise TimeoutError("the workspace did not start")

    def stop(self) -> None:
        if self.process is not None:
            self.process.terminate()
            self.process.wait(timeout=20)
            self.process = None


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        launched = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield launched
        launched.close()


@pytest.fixture(scope="session")
def workspace(demo_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """A server that tests only read from: the computed demo road."""
    folder = tmp_path_factory.mktemp("workspace")
    shutil.copy(demo_file, folder / "demo.slab")
    server = Server(folder).start()
    yield server
    server.stop()


@pytest.fixture(scope="session")
def computed(demo_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """A workspace over the demo road with results of the long stages."""
    folder = tmp_path_factory.mktemp("field")
    shutil.copy(demo_file, folder / "demo.slab")
    with open_project(folder / "demo.slab", user="tester", clock=clock) as project:
        save_field_results(project)
    server = Server(folder).start()
    yield server
    server.stop()


@pytest.fixture
def own(demo_file: Path, tmp_path: Path) -> Iterator[Server]:
    """A server of the test's own, with a copy of the demo road that it may change."""
    shutil.copy(demo_file, tmp_path / "demo.slab")
    server = Server(tmp_path).start()
    yield server
    server.stop()


@dataclass
class Watched:
    """A browser window with what it tried to reach and what it complained of."""

    page: Page
    outside: list[str]
    errors: list[str]

    def clean(self) -> None:
        assert self.outside == []
        assert self.errors == []


@pytest.fixture
def window(browser: Browser) -> Iterator[Callable[..., Watched]]:
    """Opens windows: ``window(width=1440, dark=False)``."""
    contexts: list[BrowserContext] = []

    def opened(width: int = 1440, height: int = 1000, context: BrowserContext | None = None) -> Watched:
        if context is None:
            context = browser.new_context(viewport={"width": width, "height": height}, accept_downloads=True)
            contexts.append(context)
        page = context.new_page()
        found = Watched(page, [], [])

        def only_loopback(route: Route) -> None:
            if urlsplit(route.request.url).hostname not in ("127.0.0.1", None):
                found.outside.append(route.request.url)
                route.abort()
            else:
                route.continue_()

        page.route("**/*", only_loopback)
        page.on("console", lambda m: found.errors.append(m.text) if m.type == "error" else None)
        page.on("pageerror", lambda e: found.errors.append(str(e)))
        return found

    yield opened
    for context in contexts:
        context.close()


@pytest.fixture(scope="session")
def looks(browser: Browser, workspace: Server) -> Iterator[Callable[[int, bool], BrowserContext]]:
    """Browser contexts by width and darkness, each switched once and then shared."""
    made: dict[tuple[int, bool], BrowserContext] = {}

    def look(width: int, dark: bool) -> BrowserContext:
        if (width, dark) not in made:
            made[width, dark] = browser.new_context(viewport={"width": width, "height": 1000})
            if dark:
                page = made[width, dark].new_page()
                page.goto(f"{workspace.address}/road/demo/report")
                page.get_by_role("button", name="Dark", exact=True).click()
                page.get_by_role("button", name="Light", exact=True).wait_for()
                page.close()
        return made[width, dark]

    yield look
    for context in made.values():
        context.close()


def shot(page: Page, name: str) -> None:
    """A picture to look at, kept as an artefact under an ignored folder."""
    SHOTS.mkdir(exist_ok=True)
    page.screenshot(path=SHOTS / f"{name}.png", full_page=True)
