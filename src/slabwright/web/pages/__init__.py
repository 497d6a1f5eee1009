"""One file for each page. A module that defines ``PAGE`` is found by itself: adding a page is adding a file.

A stage without a file of its own has the page that ``parts.stage.standard_page`` makes from its declaration.
"""

from __future__ import annotations

import pkgutil
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from functools import cache, partial
from importlib import import_module
from typing import TYPE_CHECKING

from slabwright.records.stage import Stage
from slabwright.stages import stage_named, stages

if TYPE_CHECKING:
    from slabwright.web.view import View

__all__ = ["Page", "page_named", "pages", "stage_page"]

FIRST_STAGE, LAST_STAGE = 100, 900  # orders between these belong to the stages


@dataclass(frozen=True)
class Page:
    """A page of a road: its place in the address and the navigation, and what draws its content."""

    slug: str
    title: str
    order: int
    draw: Callable[[View], Awaitable[None]]
    needs: str = ""  # the stage whose result must be there before the page is drawn
    live: bool = False  # made of pieces that follow every change by themselves; any other page is drawn anew each time
    by_section: bool = False  # speaks of one section, which is chosen under its heading


def stage_page(name: str, draw: Callable[[View], Awaitable[None]]) -> Page:
    """The page of a stage, in the stage's place and under its title; a long stage is begun on it, not before it."""
    stage = stage_named(name)
    last_short = next((s.name for s in reversed(stages()) if not s.long and s.name in (name, *stage.after)), "")
    place = FIRST_STAGE + stages().index(stage)
    return Page(stage.name, stage.title, place, draw, needs=last_short, live=True, by_section=True)


def pages() -> tuple[Page, ...]:
    """All pages in the order of the job."""
    return _pages(stages())


@cache
def _pages(declared: tuple[Stage, ...]) -> tuple[Page, ...]:
    modules = [import_module(f"{__name__}.{module.name}") for module in pkgutil.iter_modules(__path__)]
    own = [m.PAGE for m in modules if hasattr(m, "PAGE")]
    drawn = {page.slug for page in own}
    others = [_standard(stage) for stage in declared if stage.name not in drawn]
    return tuple(sorted((*own, *others), key=lambda page: page.order))


def _standard(stage: Stage) -> Page:
    from slabwright.web.parts.stage import standard_page

    return stage_page(stage.name, partial(standard_page, stage=stage))


def page_named(slug: str) -> Page | None:
    """The page at an address, or None."""
    return next((p for p in pages() if p.slug == slug), None)
