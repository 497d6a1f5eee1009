"""The server goes away while somebody types: the page says what was not saved, keeps it, and offers it again."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Route, expect

from slabwright.project import open_project
from slabwright.web.parts import unsent
from tests.browser.conftest import Server, Watched
from tests.browser.test_job import THICKNESS, opened
from tests.conftest import clock

IMPATIENT = "import slabwright.web.parts.unsent as u; u.PATIENCE = 0.5; from slabwright.cli import main; main()"


@pytest.fixture
def impatient(demo_file: Path, tmp_path: Path) -> Iterator[Server]:
    """A server whose tabs wait half a second for it and no longer."""
    shutil.copy(demo_file, tmp_path / "demo.slab")
    server = Server(tmp_path, program=IMPATIENT).start()
    yield server
    server.stop()


def test_what_was_typed_while_the_server_was_away_is_kept_and_sent_again(
    impatient: Server, window: Callable[..., Watched]
) -> None:
    page = opened(window().page, impatient, "design")
    told = page.get_by_role("alert").filter(has_text="not saved")
    field = page.get_by_label(THICKNESS, exact=True)
    field.fill("4 in")
    field.press("Enter")
    expect(page.locator("button[data-column=overlay]").first).to_have_text("4.00")
    assert page.evaluate("sessionStorage.getItem('slabwright-unsent')") == "[]"
    impatient.stop()
    field.fill("3 in")
    field.press("Tab")
    expect(told).to_contain_text(f"{THICKNESS}: 3 in")
    expect(told).to_contain_text("has not answered for 0.5 seconds")
    with open_project(impatient.folder / "demo.slab", user="Ben", clock=clock) as project:
        assert project.decisions().design.thickness == pytest.approx(4 * 0.0254)  # 25.4 mm to the inch, by definition
        project.decide("base", {"design.thickness": 0.127})
    impatient.start()
    expect(told).to_contain_text("(now 5.00 in)", timeout=20_000)
    page.get_by_role("button", name=f"Send again {THICKNESS}").click()
    expect(page.locator("button[data-column=overlay]").first).to_have_text("3.00")
    expect(told).to_have_count(0)
    with open_project(impatient.folder / "demo.slab", user="Ben", clock=clock) as project:
        assert project.decisions().design.thickness == pytest.approx(3 * 0.0254)


def test_cells_typed_but_not_saved_outlive_the_server(impatient: Server, window: Callable[..., Watched]) -> None:
    page = opened(window().page, impatient, "road?table=counts")
    cell = page.locator("[data-column=daily_traffic]").first
    cell.fill("54321")
    impatient.stop()
    page.locator("[data-column=truck_share]").first.fill("12")
    impatient.start()
    told = page.get_by_role("alert").filter(has_text="not saved before")
    expect(told.get_by_role("listitem")).to_have_count(2, timeout=20_000)
    assert cell.input_value() != "54321"
    told.get_by_role("button", name="Send again").first.click()
    expect(cell).to_have_value("54321")
    page.get_by_role("button", name="Leave out").click()
    expect(told).to_have_count(0)
    page.get_by_role("button", name="Save the table Traffic counts").click()
    page.get_by_text("saved.").wait_for()
    assert page.evaluate("sessionStorage.getItem('slabwright-unsent')") == "[]"
    with open_project(impatient.folder / "demo.slab", user="Ben", clock=clock) as project:
        assert project.facts().counts["daily_traffic"].iloc[0] == 54321


def test_what_one_person_typed_is_not_offered_to_the_next_in_the_tab(window: Callable[..., Watched]) -> None:
    """Ada's session ends without a sign-out, then Ben signs in and out; a plain form stands for the page of the workspace."""
    page, person = window().page, ["Ada </script>"]

    def show(route: Route) -> None:
        form = '<div class="field" id="c1"><label>Load</label><input id="field-1"></div>'
        leave = '<form method="get" action="/sign-out"><button>Sign out</button></form>'
        head = f'<meta charset="utf-8"><script>{unsent.script(person[0])}</script>'
        route.fulfill(body=f"<!doctype html>{head}<body>{form}{leave}", content_type="text/html")

    def kept() -> list[str]:
        return page.evaluate("JSON.parse(sessionStorage.getItem('slabwright-unsent') || '[]').map((e) => e.text)")

    def typed(words: str) -> None:
        page.locator("#field-1").fill(words)
        page.locator("#field-1").press("Tab")

    page.route("**/*", show)
    page.goto("http://127.0.0.1/road")
    typed("9 kip")
    assert kept() == ["9 kip"]
    page.reload()
    expect(page.get_by_role("alert")).to_contain_text("9 kip")  # Ada again
    person[0] = "Ben"
    page.reload()
    assert (kept(), page.get_by_role("alert").count()) == ([], 0)
    typed("12 kip")
    assert kept() == ["12 kip"]
    page.get_by_role("button", name="Sign out").click()
    page.wait_for_url("**/sign-out**")
    assert kept() == []


def test_a_tab_whose_session_has_ended_says_so_and_leads_to_the_sign_in(window: Callable[..., Watched]) -> None:
    """A plain form stands for the page, an object for its socket, and what a guarded address answers is given by hand."""
    page = window().page

    def show(route: Route) -> None:
        form = '<div class="field" id="c1"><label>Load</label><input id="field-1"></div>'
        fetch = "window.kind = 'opaqueredirect'; window.fetch = async (_, how) => (window.asked = how, { type: window.kind });"
        calls = "const calls = {}; const on = (name, act) => (calls[name] = act);"
        socket = "window.socket = { on, emit: () => {}, io: { on } };"
        head = f'<meta charset="utf-8"><script>{unsent.script("Ada")}; {fetch} {calls} {socket}</script>'
        body = f'<body><div id="popup">Trying to reconnect</div>{form}'
        route.fulfill(body=f"<!doctype html>{head}{body}", content_type="text/html")

    page.route("**/*", show)
    page.goto("http://127.0.0.1/road/a/design?section=A1")
    told = page.get_by_role("alert").filter(has_text="session has ended")
    page.locator("#field-1").fill("9 kip")
    page.locator("#field-1").press("Tab")
    page.evaluate("calls.disconnect(); calls.connect_error()")
    expect(told).to_contain_text("What was typed here and not saved is kept")
    expect(page.locator("#popup")).to_be_hidden()
    link = page.get_by_role("link", name="Sign in again")
    assert link.get_attribute("href") == "/sign-in?next=%2Froad%2Fa%2Fdesign%3Fsection%3DA1"
    assert page.evaluate("[asked.redirect, asked.headers.accept]") == ["manual", "text/html"]
    page.evaluate("window.kind = 'basic'; calls.connect_error()")  # signed in again in another tab
    expect(told).to_have_count(0)
    expect(page.locator("#popup")).to_be_visible()
