"""The list of sections stands on a page as soon as the road is divided, also where the page had to compute that first."""

from __future__ import annotations

import asyncio
import shutil
from pathlib import Path

from nicegui.testing import User, user_simulation

from slabwright.web.frame import draw_page
from slabwright.web.pages import Page
from slabwright.web.parts.field import Field
from slabwright.web.project_folder import ProjectFolder
from slabwright.web.view import View


async def nothing(view: View) -> None:
    """A page without content of its own."""


def test_sections_computed_for_the_page_can_be_chosen(demo_file: Path, tmp_path: Path) -> None:
    shutil.copy(demo_file, tmp_path / "demo.slab")
    view = View(ProjectFolder(tmp_path, "tester"), "demo", "base")
    view.project.decide("base", {"survey.standard_load": 41000.0})
    view.look_again()
    assert view.sections() == ()  # nothing is computed for this load

    async def page() -> None:
        await draw_page(view, Page("probe", "Probe", 0, nothing, needs="survey", live=True, by_section=True))

    async def read(user: User) -> list[str]:
        for _ in range(100):
            if view.states()["survey"] == "current":
                break
            await asyncio.sleep(0.1)
        await asyncio.sleep(0.2)  # what is drawn after the computation
        lists = [made for made in user.find(kind=Field).elements if made.props["label"] == "Section"]
        return [str(name) for made in lists for name in made.props["options"]]

    async def run() -> list[str]:
        async with user_simulation(page) as user:
            await user.open("/")
            return await read(user)

    assert asyncio.run(run()) == list(view.sections()) != []


def test_a_section_that_the_road_has_not_is_told_and_leaves_the_address(demo_file: Path, tmp_path: Path) -> None:
    shutil.copy(demo_file, tmp_path / "demo.slab")
    view = View(ProjectFolder(tmp_path, "tester"), "demo", "base")
    view.state["section"] = "ZZZ"

    async def page() -> None:
        await draw_page(view, Page("probe", "Probe", 0, nothing, needs="survey", live=True, by_section=True))

    async def run() -> None:
        async with user_simulation(page) as user:
            await user.open("/")
            await user.should_see(f"This road has no section ZZZ as it is divided now; the page shows {view.section}.")
            assert view.address("design") == "/road/demo/design"
            with user:
                view.choose(view.sections()[-1])
            await user.should_not_see("This road has no section")

    asyncio.run(run())
