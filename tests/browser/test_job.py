"""The whole job as a person does it, and what goes wrong while they do."""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Page, expect

from slabwright.demo.field_files import write
from slabwright.project import open_project
from tests.browser.conftest import SECONDS, Server, Watched, shot
from tests.conftest import CONFIRMED_PRICES, clock

THICKNESS = "Overlay thickness; 0 for the required one"


def opened(page: Page, server: Server, slug: str = "design") -> Page:
    """The page of the demo road, once it talks to the server."""
    page.goto(f"{server.address}/road/demo/{slug}")
    page.wait_for_function("window.did_handshake === true", timeout=SECONDS * 1000)
    return page


def set_thickness(page: Page, words: str) -> None:
    field = page.get_by_label(THICKNESS, exact=True)
    field.fill(words)
    field.press("Enter")


def overlays(page: Page) -> list[str]:
    return page.locator("button[data-column=overlay]").all_inner_texts()


def test_change_undo_redo(own: Server, window: Callable[..., Watched]) -> None:
    seen = window()
    page = seen.page
    opened(page, own, "design")
    page.locator("button[data-column=overlay]").first.wait_for()
    before = overlays(page)
    set_thickness(page, "5 in")
    expect(page.locator("button[data-column=overlay]").first).to_have_text("5.00")
    page.locator("h1").click()
    page.keyboard.press("Control+z")
    expect(page.locator("button[data-column=overlay]").first).to_have_text(before[0])
    page.get_by_role("button", name="Redo").click()
    expect(page.locator("button[data-column=overlay]").first).to_have_text("5.00")
    seen.clean()


def test_prices_typed_and_pasted_change_the_cost(own: Server, window: Callable[..., Watched]) -> None:
    """What is typed is per yd³ and what is pasted per sawcut; the answer and the fields follow, and undo brings both back."""
    seen = window()
    page = opened(seen.page, own, "economics")
    page.get_by_text("No sum is told: the unit prices are placeholders").first.wait_for()
    with open_project(own.folder / "demo.slab", user="Ada", clock=clock) as project:
        project.decide("base", CONFIRMED_PRICES)
    told = page.locator("[data-part=answer] p").filter(has_text="In all, the items of the bid come to")
    told.wait_for()
    before, field = told.inner_text(), page.get_by_label("Overlay concrete in place")
    field.fill("300")
    field.press("Enter")
    expect(field).to_have_value("300 per yd³")
    expect(told).not_to_have_text(before)
    typed = told.inner_text()
    page.locator("summary", has_text="Paste from a spreadsheet").click()
    page.get_by_label("Two columns: the price and its value").fill("repair.saw_cost\t500")
    page.get_by_role("button", name="Take these prices").click()
    expect(page.get_by_label("Cost of one transverse sawcut across a lane")).to_have_value("500")
    expect(told).not_to_have_text(typed)
    for words in (typed, before):
        page.get_by_role("button", name="Undo").click()
        expect(told).to_have_text(words)
    expect(field).to_have_value("237.01 per yd³")
    seen.clean()


def test_a_value_out_of_bounds_is_a_sentence_and_changes_nothing(own: Server, window: Callable[..., Watched]) -> None:
    page = window().page
    opened(page, own, "design")
    page.locator("button[data-column=overlay]").first.wait_for()
    before = overlays(page)
    set_thickness(page, "50 in")
    page.get_by_text("is outside its bounds").wait_for()
    assert overlays(page) == before


def test_two_tabs_see_the_same_and_a_stale_edit_is_refused(own: Server, window: Callable[..., Watched]) -> None:
    one, two = window().page, window().page
    for page in (one, two):
        opened(page, own, "design")
        page.locator("button[data-column=overlay]").first.wait_for()
    set_thickness(one, "5 in")
    expect(two.locator("button[data-column=overlay]").first).to_have_text("5.00", timeout=10_000)
    # Both edit at the same moment: one of them is refused with who and what, and nothing is lost.
    one.get_by_label(THICKNESS, exact=True).fill("4 in")
    two.get_by_label(THICKNESS, exact=True).fill("3 in")
    one.get_by_label(THICKNESS, exact=True).press("Enter")
    two.get_by_label(THICKNESS, exact=True).press("Enter")
    for page in (one, two):
        expect(page.locator("button[data-column=overlay]").first).not_to_have_text("5.00", timeout=10_000)
    time.sleep(1.5)
    assert overlays(one) == overlays(two)


def test_back_and_forward(workspace: Server, window: Callable[..., Watched]) -> None:
    page = window().page
    opened(page, workspace, "survey")
    page.get_by_role("link", name="Overlay design", exact=True).click()
    expect(page.locator("h1")).to_have_text("Overlay design")
    page.go_back()
    expect(page.locator("h1")).to_have_text("Survey")
    page.go_forward()
    expect(page.locator("h1")).to_have_text("Overlay design")


def test_the_server_restarts_in_the_middle_of_an_edit(own: Server, window: Callable[..., Watched]) -> None:
    page = window().page
    opened(page, own, "design")
    set_thickness(page, "5 in")
    expect(page.locator("button[data-column=overlay]").first).to_have_text("5.00")
    own.stop()
    page.get_by_label(THICKNESS, exact=True).fill("3 in")
    own.start()
    opened(page, own, "design")
    expect(page.locator("button[data-column=overlay]").first).to_have_text("5.00", timeout=20_000)


def test_the_project_file_is_removed_under_the_server(own: Server, window: Callable[..., Watched]) -> None:
    page = window().page
    opened(page, own, "design")
    page.locator("button[data-column=overlay]").first.wait_for()
    (own.folder / "demo.slab").rename(own.folder / "moved.kept")
    page.get_by_text("there is no project file of this name").first.wait_for(timeout=10_000)
    page.goto(f"{own.address}/road/demo/design")
    page.get_by_text("there is no project file of this name").first.wait_for()


def test_the_whole_job_from_an_empty_project(own: Server, window: Callable[..., Watched], tmp_path: Path) -> None:
    files = write(tmp_path / "field")
    seen = window()
    page = seen.page
    page.goto(f"{own.address}/roads")
    page.get_by_label("Name of a new road").fill("Lantern")
    page.get_by_label("Name of a new road").press("Tab")
    page.get_by_role("button", name="Begin").click()
    expect(page.locator("h1")).to_have_text("Field files")
    page.locator("#field-files").set_input_files([str(f) for f in files])
    page.get_by_role("button", name=f"Load {len(files) - 2} of {len(files)} files").wait_for(timeout=SECONDS * 1000)
    load = page.get_by_role("button", name=f"Load {len(files)} files")
    questioned = (
        page.get_by_role("group").filter(has_text=re.compile(r"\d open")).get_by_role("button", name="Accept all:")
    )
    assert questioned.count() == 3
    for _ in range(9):
        if questioned.count():
            questioned.first.click()
            page.wait_for_timeout(500)  # the cards are drawn anew after each answer
    expect(load).to_be_enabled(timeout=20_000)
    load.click()
    page.get_by_role("button", name="Take out deflections_northbound.csv").wait_for(timeout=SECONDS * 1000)
    shot(page, "job-files")
    page.get_by_role("link", name="Overlay design", exact=True).click()
    page.locator("button[data-column=overlay]").first.wait_for(timeout=60_000)
    needed = overlays(page)
    set_thickness(page, "4 in")
    expect(page.locator("button[data-column=overlay]").first).to_have_text("4.00")
    page.get_by_role("button", name="Undo").click()
    expect(page.locator("button[data-column=overlay]").first).to_have_text(needed[0])
    page.get_by_role("link", name="Report", exact=True).click()
    with page.expect_download(timeout=60_000) as download:
        page.get_by_role("link", name="Download the report (PDF)").click()
    assert Path(download.value.path()).read_bytes().startswith(b"%PDF")
    seen.clean()


def test_the_report_is_previewed_in_the_page(workspace: Server, window: Callable[..., Watched]) -> None:
    seen = window()
    page = opened(seen.page, workspace, "report")
    with page.expect_response(lambda r: "report.pdf" in r.url, timeout=SECONDS * 1000) as answer:
        page.get_by_role("button", name="Preview here").click()
    assert answer.value.status == 200
    page.wait_for_timeout(1000)
    seen.clean()
