"""Bond and life in a real browser: computed results at both widths, and long work that is begun, watched and stopped."""

from __future__ import annotations

import shutil
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from slabwright.project import open_project
from tests.browser.conftest import Server, Watched, shot
from tests.conftest import clock

# A workspace whose bond stage takes as long as the test wishes: until a file of that name stands beside the road.
HELD = """
import sys, time
from pathlib import Path
sys.path.insert(0, {root!r})
from slabwright.bond import run as bond_run
from tests.mechanistic_results import bond_result

def run(given):
    for step in range(2400):
        if (Path({folder!r}) / "go").exists():
            break
        given.context.tell("bond", 0.25 + step / 1e5)
        time.sleep(0.05)
    return bond_result({{"A1": 0.0762, "A2": 0.1016}})

bond_run.run = run
from slabwright.cli import main
main()
"""
ROOT = Path(__file__).parent.parent.parent


@pytest.fixture
def held(demo_file: Path, tmp_path: Path) -> Iterator[Server]:
    shutil.copy(demo_file, tmp_path / "demo.slab")
    server = Server(tmp_path, program=HELD.format(root=str(ROOT), folder=str(tmp_path))).start()
    yield server
    server.stop()


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("width", [1440, 390])
@pytest.mark.parametrize("name", ["bond", "life"])
def test_a_computed_page(computed: Server, window: Callable[..., Watched], name: str, width: int, dark: bool) -> None:
    seen = window(width=width)
    page = seen.page
    page.goto(f"{computed.address}/road/demo/{name}")
    if dark:
        page.get_by_role("button", name="Dark", exact=True).click()
        page.locator("body.body--dark").wait_for()
    page.locator(".chart").first.wait_for()
    for chart in page.locator(".chart").all():
        chart.scroll_into_view_if_needed()
        chart.locator(".main-svg").first.wait_for()
    assert page.evaluate("document.documentElement.scrollWidth") <= width + 1, "the page scrolls sideways"
    shot(page, f"{name}-computed-{width}-{'dark' if dark else 'light'}")
    report = Axe().run(page)
    assert report.violations_count == 0, report.generate_report()
    seen.clean()


def test_the_map_has_its_numbers_and_another_cause_another_map(
    computed: Server, window: Callable[..., Watched]
) -> None:
    """2 MPa in the corner is 290.1 psi; the wheels have a tenth of that."""
    page = window().page
    page.goto(f"{computed.address}/road/demo/bond")
    worst = page.locator("ol li")
    expect(worst.first).to_have_text(
        "0.0 ft from the joint, 0.0 ft from the free edge: 0.71 of the shear strength (290.1 psi), by night"
    )
    expect(worst).to_have_count(5)
    page.get_by_label("Shown on the map").select_option("wheels")
    expect(worst.first).to_have_text("0.0 ft from the joint, 0.0 ft from the free edge: 29.0 psi")
    panel = page.locator(".map")
    panel.get_by_role("button", name="Numbers of").click()
    expect(panel.locator("table.data tbody tr").first).to_contain_text("29.0")
    expect(panel.get_by_text("Rows 1 to 40 of 1681")).to_be_visible()


def test_a_number_of_the_plate_model_opens(computed: Server, window: Callable[..., Watched]) -> None:
    page = window().page
    page.goto(f"{computed.address}/road/demo/life")
    page.locator("button[data-column=found]").first.click()
    drawer = page.locator(".drawer")
    expect(drawer).to_contain_text("two plates on a dense liquid")
    expect(drawer).to_contain_text("weather")
    report = Axe().run(page)
    assert report.violations_count == 0, report.generate_report()


def begun(page: Page, server: Server) -> Page:
    page.goto(f"{server.address}/road/demo/bond")
    page.get_by_role("button", name="Begin", exact=True).click()
    page.get_by_role("progressbar").wait_for()
    return page


def test_long_work_is_begun_seen_by_another_tab_stopped_and_begun_again(
    held: Server, window: Callable[..., Watched]
) -> None:
    one, two = window(), window(width=390)
    begun(one.page, held)
    expect(one.page.get_by_text("25% done")).to_be_visible()
    report = Axe().run(one.page)
    assert report.violations_count == 0, report.generate_report()
    two.page.goto(f"{held.address}/road/demo/bond")
    expect(two.page.get_by_role("progressbar")).to_have_attribute("aria-valuenow", "25")
    expect(two.page.get_by_role("button", name="Begin", exact=True)).to_have_count(0)
    two.page.get_by_role("button", name="Stop", exact=True).click()
    for page in (one.page, two.page):
        expect(page.get_by_text("Stopped. Nothing half done was kept.")).to_be_visible()
        expect(page.get_by_role("heading", name="Bond strength")).to_have_count(0)
    begun(one.page, held)
    (held.folder / "go").touch()
    for page in (one.page, two.page):
        expect(page.get_by_role("heading", name="Bond strength against demand")).to_be_visible()
    one.clean()
    two.clean()


def test_after_a_decision_no_old_result_is_shown(held: Server, window: Callable[..., Watched]) -> None:
    page = window().page
    (held.folder / "go").touch()
    page.goto(f"{held.address}/road/demo/bond")
    page.get_by_role("button", name="Begin", exact=True).click()
    verdicts = page.get_by_role("heading", name="Bond strength against demand")
    expect(verdicts).to_be_visible()
    (held.folder / "go").unlink()
    page.get_by_text("More decisions").click()
    field = page.get_by_label("Length over which bond stress is averaged (a pull-off core)", exact=True)
    field.fill("3 in")
    field.press("Enter")
    expect(page.get_by_role("button", name="Begin", exact=True)).to_be_visible()
    expect(verdicts).to_have_count(0)
    page.get_by_role("button", name="Begin", exact=True).click()
    page.get_by_role("progressbar").wait_for()
    page.get_by_role("button", name="Undo", exact=True).click()
    expect(verdicts).to_be_visible()  # the result of before, current again, and the other work still told
    expect(page.get_by_text("for other decisions than those shown here")).to_be_visible()
    page.get_by_role("button", name="Stop", exact=True).click()
    expect(page.get_by_role("progressbar")).to_have_count(0)


def test_life_without_weather_says_what_to_load(own: Server, window: Callable[..., Watched]) -> None:
    with open_project(own.folder / "demo.slab", user="tester", clock=clock) as project:
        project.replace_table("weather", project.facts().weather.iloc[:0], "no weather")
    page = window().page
    page.goto(f"{own.address}/road/demo/life")
    expect(page.get_by_role("status").filter(has_text="weather")).to_be_visible()
    page.get_by_role("link", name="Load a weather file").click()
    page.wait_for_url("**/files")


def test_a_workspace_ends_while_long_work_is_under_way(held: Server, window: Callable[..., Watched]) -> None:
    begun(window().page, held)
    before = time.monotonic()
    held.stop()
    assert time.monotonic() - before < 20
