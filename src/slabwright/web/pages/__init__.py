"""One file for each page. A module that defines ``PAGE`` is found by itself: adding a page is adding a file."""

from __future__ import annotations

import pkgutil
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from slabwright.web.view import View

__all__ = ["Page", "page_named", "pages"]


@dataclass(frozen=True)
class Page:
    """A page of a road: its place in the address and the navigation, and what draws its content."""

    slug: str
    title: str
    order: int
    draw: Callable[[View], Awaitable[None]]
    needs: str = ""  # the stage whose result must be there before the page is drawn
    live: bool = False  # made of pieces that follow every change by themselves; any other page is drawn anew each time


@cache
def pages() -> tuple[Page, ...]:
    """All pages in the order of the job."""
    found = [import_module(f"{__name__}.{module.name}") for module in pkgutil.iter_modules(__path__)]
    return tuple(sorted((m.PAGE for m in found if hasattr(m, "PAGE")), key=lambda p: p.order))


def page_named(slug: str) -> Page | None:
    """The page at an address, or None."""
    return next((p for p in pages() if p.slug == slug), None)
