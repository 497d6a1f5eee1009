"""What a reader does on a page: stop work, read, mark, zoom and open the road strip, sign, and send what is too large."""

from __future__ import annotations

import asyncio
import shutil
import socket
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from slabwright.design import run as design_run
from slabwright.project import open_project
from tests.browser.conftest import SECONDS, Server, Watched
from tests.browser.test_job import THICKNESS, opened, overlays, set_thickness, shot
from tests.conftest import clock

STRIP = ".strip-chart .main-svg"
CHOOSE_ANOTHER = (
    "s => { s.selectedIndex += 1; s.dispatchEvent(new Event('change', { bubbles: true })); }"  # without a scroll
)


def drawn(page: Page) -> None:
    page.locator(f"{STRIP} .trace").first.wait_for(timeout=SECONDS * 1000)
    page.wait_for_timeout(700)  # the strip has learned its width and is drawn for it


def shown(page: Page) -> str:
    return page.locator(".strip-said").inner_text()


def test_hovering_over_the_strip_gives_the_record(workspace: Server, window: Callable[..., Watched]) -> None:
    page = opened(window().page, workspace, "design")
    drawn(page)
    points = page.locator(f"{STRIP} .scatterlayer .points path")
    points.nth(points.count() // 2).hover(force=True)
    words = page.locator(f"{STRIP} .hoverlayer").first
    expect(words).to_contain_text("+")  # a station is written in every hover text


def test_a_chart_that_changed_its_width_out_of_sight_fits_when_it_is_seen_again(
    workspace: Server, window: Callable[..., Watched]
) -> None:
    page = opened(window().page, workspace, "design")
    page.locator(".pictures .chart .main-svg").first.wait_for(timeout=SECONDS * 1000)

    def narrowed_out_of_sight(width: int, meanwhile: Callable[[], object]) -> None:
        page.evaluate("window.scrollTo(0, document.body.scrollHeight)")
        page.wait_for_timeout(300)
        meanwhile()
        page.add_style_tag(content=f".pictures {{ width: {width}px }}")
        page.wait_for_timeout(300)
        page.evaluate("window.scrollTo(0, 0)")
        page.wait_for_function(
            """() => { const box = document.querySelector(".pictures .chart");
            return Math.abs(box.querySelector(".main-svg").getBoundingClientRect().width - box.clientWidth) < 3; }""",
            timeout=5000,
        )

    narrowed_out_of_sight(300, lambda: None)
    choice = page.locator("[data-part=section] select")
    narrowed_out_of_sight(400, lambda: choice.evaluate(CHOOSE_ANOTHER))  # it is drawn anew, and its width is another


def test_marking_a_stretch_filters_the_tables_of_the_page(workspace: Server, window: Callable[..., Watched]) -> None:
    page = opened(window().page, workspace, "design")
    drawn(page)
    before = len(overlays(page))
    page.locator(".strip").get_by_text("marks a stretch").click()
    page.wait_for_timeout(700)
    box = page.locator(f"{STRIP} .nsewdrag").first.bounding_box()
    assert box is not None
    middle = box["y"] + box["height"] / 2
    page.mouse.move(box["x"] + 5, middle)
    page.mouse.down()
    page.mouse.move(box["x"] + box["width"] / 12, middle, steps=8)
    page.mouse.up()
    page.get_by_text("Tables of places show the stretch marked on the strip").wait_for()
    assert "Marked:" in shown(page)
    assert 0 < len(overlays(page)) < before
    page.get_by_role("button", name="Show all stations").click()
    expect(page.locator("button[data-column=overlay]")).to_have_count(before)
    assert "Marked:" not in shown(page)


def test_dragging_and_the_keyboard_zoom_the_strip(workspace: Server, window: Callable[..., Watched]) -> None:
    page = opened(window().page, workspace, "design")
    drawn(page)
    whole = shown(page)
    box = page.locator(f"{STRIP} .nsewdrag").first.bounding_box()
    assert box is not None
    middle = box["y"] + box["height"] / 2
    page.mouse.move(box["x"] + box["width"] / 4, middle)
    page.mouse.down()
    page.mouse.move(box["x"] + box["width"] / 2, middle, steps=8)
    page.mouse.up()
    expect(page.locator(".strip-said")).not_to_have_text(whole)
    page.locator(".strip-chart").focus()
    page.keyboard.press("Home")
    expect(page.locator(".strip-said")).to_have_text(whole)
    page.keyboard.press("+")
    expect(page.locator(".strip-said")).not_to_have_text(whole)


def test_a_click_on_the_strip_opens_the_record(workspace: Server, window: Callable[..., Watched]) -> None:
    page = opened(window().page, workspace, "design")
    drawn(page)
    points = page.locator(f"{STRIP} .scatterlayer .points path")
    points.nth(points.count() // 2).click(force=True)
    drawer = page.locator(".drawer")
    drawer.wait_for()
    assert drawer.locator("dt").count() > 1


@pytest.fixture
def held(demo_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[str, threading.Event]]:
    """A server in this process whose overlay stage waits for the event: (address, event)."""
    import uvicorn

    from slabwright.web.project_folder import ProjectFolder
    from slabwright.web.server import build

    shutil.copy(demo_file, tmp_path / "demo.slab")
    go_on = threading.Event()
    run: Any = design_run.run

    def waiting(given: Any) -> Any:
        assert go_on.wait(SECONDS)
        return run(given)

    monkeypatch.setattr(design_run, "run", waiting)
    with open_project(tmp_path / "demo.slab", user="tester", clock=clock) as project:
        project.decide("base", {"survey.standard_load": 41000.0})  # every stage is stale
    office = ProjectFolder(tmp_path, "tester")
    server = uvicorn.Server(uvicorn.Config(build(office), log_level="warning", lifespan="on"))
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        listening.listen()  # a page that comes before the server is up waits for it
        thread = threading.Thread(target=lambda: asyncio.run(server.serve([listening])))
        thread.start()
        yield f"http://127.0.0.1:{listening.getsockname()[1]}", go_on
        go_on.set()
        server.should_exit = True
        thread.join(SECONDS)
    office.close()


def test_a_stopped_run_shows_no_results_and_can_be_taken_up(
    held: tuple[str, threading.Event], window: Callable[..., Watched]
) -> None:
    address, go_on = held
    page = window().page
    page.goto(f"{address}/road/demo/report")
    page.get_by_text("Computing design").wait_for(timeout=SECONDS * 1000)  # the earlier stages are done
    page.get_by_role("button", name="Stop").click()
    page.get_by_text("Stopping when this stage is done").wait_for()
    go_on.set()
    page.get_by_text("Stopped. Results that were not finished are not shown.").wait_for(timeout=SECONDS * 1000)
    assert page.get_by_text("Download the report").count() == 0
    page.get_by_role("button", name="Compute again").click()
    page.get_by_text("Download the report").wait_for(timeout=SECONDS * 1000)


def test_two_people_sign_with_their_own_names(own: Server, window: Callable[..., Watched]) -> None:
    for name, words in (("Ida Stern", "5 in"), ("Zoë", "4 in")):
        page = opened(window().page, own, "design")
        page.get_by_text("Signed as").click()
        page.get_by_label("Your name in the history").fill(name)
        page.get_by_label("Your name in the history").press("Enter")
        page.get_by_text(f"Signed as {name}").wait_for()
        set_thickness(page, words)
        expect(page.locator("button[data-column=overlay]").first).to_have_text(f"{words[0]}.00")
    page.get_by_role("link", name="History", exact=True).click()
    page.get_by_role("cell", name="Ida Stern").first.wait_for()
    page.get_by_role("cell", name="Zoë").first.wait_for()


def test_typing_is_kept_while_another_tab_changes_the_same_field(own: Server, window: Callable[..., Watched]) -> None:
    one, two = opened(window().page, own), opened(window().page, own)
    two.get_by_label(THICKNESS, exact=True).fill("3 in")
    set_thickness(one, "5 in")
    two.get_by_text("Changed elsewhere to 5.00 in; what you typed is not sent yet.").wait_for()
    assert two.get_by_label(THICKNESS, exact=True).input_value() == "3 in"
    two.get_by_label(THICKNESS, exact=True).press("Enter")
    expect(one.locator("button[data-column=overlay]").first).to_have_text("3.00")
    expect(two.get_by_text("Changed elsewhere")).to_have_count(0)
    box = two.get_by_label(THICKNESS, exact=True)
    box.fill("1,003 in")  # thousands are parted by a comma, as the server writes them: not one inch
    box.press("ArrowDown")
    expect(box).to_have_value("8.00 in")  # the upper end
    box.fill("4 cm")  # not the unit of the slider: typed, not stepped
    box.press("ArrowUp")
    expect(box).to_have_value("4 cm")
    box.fill("99 in")
    box.press("Enter")
    two.locator(".q-notification").first.wait_for()
    expect(box).to_have_value("3.00 in")  # what was refused does not stay
    box.fill("3 1/2 in")
    box.press("Enter")
    expect(one.locator("button[data-column=overlay]").first).to_have_text("3.50")
    expect(two.locator(".q-notification")).to_have_count(0)
    box.fill("0 in")
    box.press("Enter")
    slide = two.get_by_label(f"{THICKNESS}, slider")
    expect(slide).to_have_js_property("value", "0")
    slide.press("ArrowRight")
    expect(box).to_have_value("1.00 in")  # over what is not allowed between 0 and 1 in, and back
    slide.press("ArrowLeft")
    expect(box).to_have_value("0.00 in")


def test_a_switch_of_units_keeps_an_unsaved_table(own: Server, window: Callable[..., Watched]) -> None:
    page = opened(window().page, own, "road")
    page.goto(f"{own.address}/road/demo/road?table=layers")
    page.wait_for_function("window.did_handshake === true")
    cell = page.locator("[data-column=thickness]").first
    cell.fill("9.123456789")
    page.get_by_text("Not saved yet.").or_(page.locator("h1")).first.wait_for()
    page.wait_for_timeout(400)
    page.get_by_role("button", name="Show metric units").click()
    page.get_by_role("button", name="Show US customary units").wait_for()
    expect(page.locator("[data-column=thickness]").first).to_have_value("9.123456789 in")
    page.get_by_role("button", name="Save the table").click()
    page.get_by_text("saved.").first.wait_for()
    with open_project(own.folder / "demo.slab", user="reader", clock=clock) as project:
        saved = project.facts().layers["thickness"].iloc[0]
    assert saved == pytest.approx(9.123456789 * 0.0254, rel=1e-14)  # an inch is 0.0254 m by definition


def test_uploads_outlive_a_change_by_another_tab(own: Server, window: Callable[..., Watched], tmp_path: Path) -> None:
    """While files are still being sent, another tab's decision must not take the field away from under them."""
    files = []
    for number in range(6):
        files.append(tmp_path / f"lanes{number}.csv")
        files[-1].write_text("lane,position,width\n" + "".join(f"L{number}x{i},{i + 1},12 ft\n" for i in range(200)))
    one, two = opened(window().page, own, "files"), opened(window().page, own, "design")
    waiting = threading.Event()
    sent = []

    def slowly(route: Any) -> None:
        sent.append(route.request.url)
        if len(sent) == 2:  # the other tab decides while four files still wait for their turn
            set_thickness(two, "5 in")
            expect(two.locator("button[data-column=overlay]").first).to_have_text("5.00")
            one.wait_for_timeout(1500)
            waiting.set()
        route.continue_()

    one.route("**/_nicegui/client/**/upload/**", slowly)
    one.locator("#field-files").set_input_files([str(f) for f in files])
    one.get_by_role("button", name="Load 6 files").wait_for(timeout=SECONDS * 1000)
    assert waiting.is_set()


def test_a_body_too_large_is_answered_with_the_sentence_and_no_network_error(
    own: Server, browser: Browser, tmp_path: Path
) -> None:
    large = tmp_path / "large.csv"
    with large.open("wb") as file:
        file.truncate(110 * 1024 * 1024)
    page = opened(browser.new_page(), own, "files")  # unwatched: the watch would carry the whole body along
    page.evaluate("document.body.append(Object.assign(document.createElement('input'), { type: 'file', id: 'raw' }))")
    page.locator("#raw").set_input_files(str(large))
    found = page.evaluate(
        """async () => { const body = document.getElementById("raw").files[0];
        const answer = await fetch("/api/roads/demo/files", { method: "POST", body });
        return [answer.status, await answer.text()]; }"""
    )
    assert found[0] == 413
    assert "The request is larger than this workspace takes" in found[1]
    page.close()


def test_a_refused_upload_says_the_servers_sentence(
    own: Server, window: Callable[..., Watched], tmp_path: Path
) -> None:
    """What slips past the check in the browser is told in the server's words when it is refused."""
    page = opened(window().page, own, "files")
    said = "The request is larger than this workspace takes (101 MB)."
    page.route("**/upload/**", lambda route: route.fulfill(status=413, body=said))
    small = tmp_path / "small.csv"
    small.write_text("lane\nNB1\n")
    page.locator("#field-files").set_input_files(str(small))
    page.get_by_text(said).wait_for()


def test_a_question_takes_an_answer_whose_words_hold_two_blanks(
    own: Server, window: Callable[..., Watched], tmp_path: Path
) -> None:
    """A browser gives the value of an option without one of the blanks, unless the value is said."""
    page = opened(window().page, own, "files")
    survey = tmp_path / "survey.csv"
    survey.write_text(
        "Station,Lane,Was da  ist,Severity\n101+10,NB1,transverse crack,high\n102+10,NB1,corner break,low\n"
    )
    page.locator("#field-files").set_input_files(str(survey))
    asked = page.get_by_label("Which column of the file holds the kind of distress?")
    asked.wait_for(timeout=SECONDS * 1000)
    words = asked.locator("option").all_text_contents()
    asked.select_option(index=next(n for n, each in enumerate(words) if "Was da" in each))
    page.get_by_text("Corrected: read it again").wait_for()
    assert "Was da" in asked.input_value()


def test_findings_filter_and_a_whole_file_loads_beside_one_that_is_not(
    own: Server, window: Callable[..., Watched], tmp_path: Path
) -> None:
    """The demo holds counts: a corrected file takes their place while another file with errors stays on the page."""
    seen = window()
    page = opened(seen.page, own, "files")
    day, counts = tmp_path / "day.csv", tmp_path / "counts.csv"
    rows = "".join(f"{101 + i}+00,NB1,corner,9000,5,75\n" * 2 for i in range(12))
    day.write_text(
        "Station,Lane,Position,Load (lbf),D1 (mils),Surface temp (F)\n" + rows + "120+00,nb1,edge,9000,5,900\n"
    )
    counts.write_text("Year,AADT,Trucks (%)\n2024,150000,5\n")
    page.locator("#field-files").set_input_files([str(day), str(counts)])
    filtering = page.get_by_role("searchbox", name="Show only findings of 'day.csv'")
    filtering.wait_for(timeout=SECONDS * 1000)
    told = page.locator("section[aria-label=\"'day.csv'\"] .findings table.told tbody tr:visible")
    every = told.count()
    assert every > 12
    filtering.fill("must lie")
    expect(told).to_have_count(1)
    filtering.fill("")
    expect(told).to_have_count(every)
    assert "given already in traffic_counts.csv" in page.locator("section[aria-label=\"'counts.csv'\"]").inner_text()
    card = page.locator("section[aria-label=\"'counts.csv'\"]")
    card.get_by_label("In place of").select_option("traffic_counts.csv")
    card.get_by_text("Corrected: read it again").wait_for()  # the card is drawn anew after the choice
    card.get_by_role("button", name="Read counts.csv again").click()
    page.get_by_role("button", name="Load 1 of 2 files").click()
    page.get_by_text("Loaded counts.csv in place of traffic_counts.csv").wait_for(timeout=SECONDS * 1000)
    expect(page.locator("section[aria-label=\"'day.csv'\"]")).to_be_visible()
    with open_project(own.folder / "demo.slab", user="tester", clock=clock) as project:
        assert project.facts().counts["daily_traffic"].tolist() == [150000]
    shot(page, "findings")
    seen.clean()
