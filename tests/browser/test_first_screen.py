"""What every page of a road shows before anybody scrolls, and the one section that all of them speak of."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from slabwright.web.pages import pages
from tests.browser.conftest import SECONDS, Server, Watched

SLUGS = [page.slug for page in pages() if page.by_section]
DESK, PHONE = (1440, 900), (390, 844)


def settled(page: Page, server: Server, slug: str) -> Page:
    """The page once it is drawn and the strip has told its width."""
    page.goto(f"{server.address}/road/demo/{slug}")
    page.locator("[data-part=answer] p").first.wait_for(timeout=SECONDS * 1000)
    page.locator(".strip-chart").first.wait_for(state="attached", timeout=SECONDS * 1000)
    page.wait_for_timeout(600)  # the strip tells its width and is drawn for it
    return page


def ends(page: Page, part: str) -> tuple[float, float]:
    """Top and bottom of a part of the page [px]."""
    box = page.locator(f"[data-part={part}]").first.bounding_box()
    assert box is not None, f"{part} is not on the page"
    return box["y"], box["y"] + box["height"]


def test_there_are_pages_to_measure() -> None:
    assert {"summary", "survey", "evaluation", "repair", "design", "bond", "life", "economics"} <= set(SLUGS)


@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
def test_the_answer_stands_in_the_first_screen(
    computed: Server, window: Callable[..., Watched], size: tuple[int, int]
) -> None:
    """At 1440 x 900 with the top of the main picture, at 390 x 844 with the choice of the section; nothing sticks out sideways."""
    width, height = size
    seen = window(width=width, height=height)
    for slug in SLUGS:
        page = settled(seen.page, computed, slug)
        assert ends(page, "answer")[1] <= height, slug
        assert (ends(page, "picture")[0] if size == DESK else ends(page, "section")[1]) <= height, slug
        assert page.evaluate("document.documentElement.scrollWidth") <= width + 1, slug
    if size == DESK:  # a box with a scroll bar of its own would keep the heading of a table from sticking to the page
        box = page.locator(".scroll:not(.wide)").first
        assert box.evaluate("e => getComputedStyle(e).overflowY") == "visible"
        for slug in ("road", "files", "history", "report"):
            page.goto(f"{computed.address}/road/demo/{slug}")
            page.locator("[data-part=answer] p").first.wait_for(timeout=SECONDS * 1000)
            assert ends(page, "answer")[1] <= height, slug
            page.keyboard.press("Tab")
            expect(page.locator("a.skip")).to_be_focused()
    seen.clean()


def test_one_section_is_chosen_for_all_pages(computed: Server, window: Callable[..., Watched]) -> None:
    """In the list or by the keyboard on the strip; the address holds it, back leads back, the next page keeps it."""
    seen = window()
    page = settled(seen.page, computed, "design")
    answer, section = page.locator("[data-part=answer]"), page.locator("[data-part=section] select")
    expect(answer).to_contain_text("Section W1")
    section.select_option("A3")
    expect(answer).to_contain_text("Section A3")
    page.wait_for_url("**section=A3")
    page.locator(".strip-chart").focus()
    page.keyboard.press("PageUp")
    expect(answer).to_contain_text("Section A2")
    page.wait_for_url("**section=A2")  # pushed apart from the redrawing
    page.go_back()
    expect(answer).to_contain_text("Section A3")
    expect(section).to_have_value("A3")
    page.get_by_role("link", name="Evaluation", exact=True).click()
    expect(page.locator("h1")).to_have_text("Evaluation")
    expect(page.locator("[data-part=section] select")).to_have_value("A3")
    seen.clean()
