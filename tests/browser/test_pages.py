"""Every page at desktop and phone width, light and dark: it draws, reaches nothing outside, and axe finds nothing."""

from __future__ import annotations

from collections.abc import Callable
from urllib.error import HTTPError
from urllib.request import urlopen

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import BrowserContext, expect

from slabwright.web.pages import pages
from tests.browser.conftest import SECONDS, Server, Watched, shot
from tests.browser.test_job import opened

ADDRESSES = {
    "roads": "/roads",
    "calculations": "/calculations",
    "calculation": "/calculations/saw_depth?thickness=3+in",
    "missing": "/road/demo/no-such-page",
    **{p.slug: f"/road/demo/{p.slug}" for p in pages()},
}
NOT_FOUND = "Failed to load resource: the server responded with a status of 404 (Not Found)"
HEADINGS = {p.slug: p.title for p in pages()}


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("width", [1440, 390])
@pytest.mark.parametrize("name", ADDRESSES)
def test_page(
    workspace: Server,
    window: Callable[..., Watched],
    looks: Callable[[int, bool], BrowserContext],
    name: str,
    width: int,
    dark: bool,
) -> None:
    seen = window(context=looks(width, dark))
    page = seen.page
    page.goto(workspace.address + ADDRESSES[name])
    page.locator("h1").first.wait_for()
    page.wait_for_load_state("networkidle")
    page.wait_for_timeout(700)  # the strip has told its width and is drawn for it
    if name in HEADINGS:
        assert page.locator("h1").inner_text() == HEADINGS[name]
    assert page.evaluate("document.documentElement.scrollWidth") <= width + 1, "the page scrolls sideways"
    assert ("body--dark" in (page.locator("body").get_attribute("class") or "")) is dark
    shot(page, f"{name}-{width}-{'dark' if dark else 'light'}")
    report = Axe().run(page)
    assert report.violations_count == 0, report.generate_report()
    if name == "missing":
        seen.errors.remove(NOT_FOUND)  # the browser itself says so
    seen.clean()
    page.close()


def test_pages_say_that_an_engineer_governs(workspace: Server, window: Callable[..., Watched]) -> None:
    page = window().page
    for address in ADDRESSES.values():
        page.goto(workspace.address + address)
        page.get_by_text("licensed engineer").first.wait_for()


def test_every_word_of_an_answer_can_be_read_on_a_phone_and_on_paper(
    workspace: Server, window: Callable[..., Watched]
) -> None:
    """What stands against an answer is a caution: no line of it is cut off, and paper cannot open a fold."""
    page = window(width=390).page
    cut = "[...document.querySelectorAll('.answer li')].filter((e) => e.scrollHeight > e.clientHeight + 2).length"
    unread = "[...document.querySelectorAll('.answer li')].filter((e) => !e.checkVisibility({ contentVisibilityAuto: true })).length"
    for slug in ("summary", "evaluation"):
        page.emulate_media(media="screen")
        opened(page, workspace, slug)
        page.locator(".answer details li").first.wait_for(state="attached")
        assert page.evaluate(cut) == 0, slug
        assert page.evaluate(unread) > 0, slug  # behind the fold
        page.emulate_media(media="print")
        assert page.evaluate(unread) == 0, slug


@pytest.mark.parametrize("place", ["road/demo/nowhere", "road/nowhere/design", "calculations/nowhere"])
def test_what_is_not_there_is_not_found(workspace: Server, place: str) -> None:
    with pytest.raises(HTTPError) as refused:
        urlopen(f"{workspace.address}/{place}")
    assert refused.value.code == 404
    assert "This cannot be shown" in refused.value.read().decode()


def test_a_number_opens_to_its_equation_and_what_it_feeds(workspace: Server, window: Callable[..., Watched]) -> None:
    page = window().page
    page.goto(f"{workspace.address}/road/demo/evaluation")
    page.locator("button[data-column=remaining_life]").first.click()
    drawer = page.locator(".drawer")
    drawer.wait_for()
    words = drawer.inner_text()
    for part in (
        "RL = 100 (1 - Np / N1.5)",
        "AASHTO Guide for Design of Pavement Structures, 1993",
        "from memory",
        "design",
    ):
        assert part in words
    report = Axe().run(page)
    assert report.violations_count == 0, report.generate_report()
    page.locator("[data-part=section] select").select_option("W5")
    expect(drawer).to_contain_text("Section W5")
    expect(drawer).to_be_visible()


def test_units_switch_and_back_without_losing_a_digit(workspace: Server, window: Callable[..., Watched]) -> None:
    page = window().page
    page.goto(f"{workspace.address}/road/demo/design")
    before = page.locator("table.data").first.inner_text()
    page.get_by_role("button", name="Show metric units").click()
    page.get_by_role("button", name="Show US customary units").wait_for()
    assert "[mm]" in page.locator("table.data").first.inner_text()
    page.get_by_role("button", name="Show US customary units").click()
    page.get_by_role("button", name="Show metric units").wait_for()
    assert page.locator("table.data").first.inner_text() == before


def test_a_calculation_is_done_with_the_keyboard_and_its_address_can_be_shared(
    workspace: Server, window: Callable[..., Watched]
) -> None:
    """Harrington & Fick, as quoted in a joint-sawing lesson: a 3-in overlay is sawn 3.5 in deep across."""
    page = window(width=390).page
    page.goto(f"{workspace.address}/calculations/saw_depth")
    page.get_by_label("overlay thickness (thickness)").focus()
    page.keyboard.type("76.2 mm")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.get_by_text("transverse = 3.5 in").wait_for()
    other = window().page
    other.goto(page.url)
    other.get_by_text("transverse = 3.5 in").wait_for()


def test_a_printed_page_has_all_its_figures_and_whole_tables(workspace: Server, window: Callable[..., Watched]) -> None:
    """Figures below the fold were empty boxes on paper, and what a table had beyond its box was cut off."""
    found = window(height=500)
    page = opened(found.page, workspace, "design")
    page.locator(".strip-chart .main-svg .trace").first.wait_for(timeout=SECONDS * 1000)  # the library has come
    page.wait_for_timeout(1000)
    undrawn = "[...document.querySelectorAll('.chart')].filter((e) => !e.querySelector('.main-svg')).length"
    assert page.evaluate(undrawn) > 0  # not come to yet
    page.evaluate("window.dispatchEvent(new Event('beforeprint'))")
    assert page.evaluate(undrawn) == 0  # at once: the paper is laid out when the event has passed
    wide = "Math.max(...[...document.querySelectorAll('.chart .main-svg')].map((e) => e.getBoundingClientRect().width))"
    page.wait_for_timeout(300)
    assert page.evaluate(wide) <= 700
    page.emulate_media(media="print")
    cut = "[...document.querySelectorAll('.scroll')].filter((e) => getComputedStyle(e).overflowY !== 'visible').length"
    assert page.evaluate(cut) == 0
    page.emulate_media(media="screen")
    page.evaluate("window.dispatchEvent(new Event('afterprint'))")
    page.wait_for_timeout(300)
    assert page.evaluate(wide) > 700
    found.clean()
