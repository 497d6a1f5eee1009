"""A page hears of changes that others make, and is then drawn for its own reader."""

from __future__ import annotations

import asyncio
from contextvars import ContextVar, copy_context
from types import SimpleNamespace

import pytest

from slabwright.web import redraw

READER = ContextVar("READER", default="nobody")


def test_a_page_that_another_changed_is_drawn_for_its_own_reader(monkeypatch: pytest.MonkeyPatch) -> None:
    """A change over HTTP comes from a thread and a request that know nothing of the tab."""
    ears, seen = [], []
    client = SimpleNamespace(on_delete=lambda _: None)
    page = SimpleNamespace(context=SimpleNamespace(client=client), timer=lambda *_: None)
    monkeypatch.setattr(redraw, "ui", page)
    view = SimpleNamespace(
        head=1,
        project=SimpleNamespace(head=2),
        road="road",
        office=SimpleNamespace(listen=lambda _road, _number, hear: ears.append(hear)),
        refresh=lambda: seen.append(READER.get()),
    )

    async def scene() -> None:
        tab = copy_context()
        tab.run(READER.set, "Ben")
        tab.run(redraw.watch, view)
        READER.set("Ada")
        await asyncio.to_thread(ears[0])
        await asyncio.sleep(0)

    asyncio.run(scene())
    assert seen == ["Ben"]
