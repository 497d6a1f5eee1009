"""Names and remarks that hold HTML, formulas, right-to-left text or 10,000 characters are shown as they are."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from slabwright.project import open_project
from slabwright.web.pages import pages
from tests.browser.conftest import Server, Watched
from tests.conftest import clock

SCRIPT = "<img src=x onerror=\"document.title='taken'\"><script>document.title='taken'</script>"
NAMES = {"NB1": SCRIPT, "NB2": "=1+1", "NB3": "\u202eenal\u202c שלום", "SB1": "L" * 10_000}


@pytest.fixture
def hostile(own: Server) -> Server:
    """The demo road with hostile names of lanes, bridges and alternatives, and hostile remarks."""
    with open_project(own.folder / "demo.slab", user=SCRIPT, clock=clock) as project:
        facts = project.facts()
        for name in ("lanes", "deflections", "cores", "distresses", "ramps"):
            frame = getattr(facts, name)
            project.replace_table(name, frame.assign(lane=frame["lane"].replace(NAMES)))
        project.replace_table("bridges", facts.bridges.assign(name=[SCRIPT, "B" * 10_000]))
        notes = project.facts().distresses
        project.replace_table("distresses", notes.assign(note=SCRIPT))
        project.add_alternative("<b>=1+1</b>")
    return own


@pytest.mark.parametrize("slug", [p.slug for p in pages()])
def test_hostile_names_are_only_words(hostile: Server, window: Callable[..., Watched], slug: str) -> None:
    seen = window(width=1440)
    page = seen.page
    page.goto(f"{hostile.address}/road/demo/{slug}")
    page.locator("h1").first.wait_for()
    page.wait_for_timeout(4000)
    assert "taken" not in page.title()
    assert page.locator("img[src=x]").count() == 0
    assert page.evaluate("document.documentElement.scrollWidth") <= 1441
    seen.clean()


def test_a_path_outside_the_folder_is_never_opened(own: Server, window: Callable[..., Watched], tmp_path: Path) -> None:
    page = window().page
    for name in ("..%2f..%2fetc%2fpasswd", "%2e%2e", "a%00b", "x" * 300):
        reply = page.goto(f"{own.address}/road/{name}/overlay")
        assert reply is None or reply.status < 500
        assert "root:" not in page.content()
    page.goto(f"{own.address}/roads")
    for name in ("../outside", "a/b", ".hidden", "x" * 100):
        page.get_by_label("Name of a new road").fill(name)
        page.get_by_label("Name of a new road").press("Tab")
        page.get_by_role("button", name="Begin").click()
        page.get_by_text("cannot be the name of a road").first.wait_for()
    assert not (own.folder.parent / "outside.slab").exists()


def test_an_upload_over_100_mb_is_refused_politely(own: Server, window: Callable[..., Watched], tmp_path: Path) -> None:
    large = tmp_path / "large.csv"
    with large.open("wb") as file:
        file.truncate(101 * 1024 * 1024)
    page = window().page
    page.goto(f"{own.address}/road/demo/files")
    page.locator("#field-files").set_input_files(str(large))
    page.get_by_text("100 MB").first.wait_for(timeout=30_000)
