"""A page's pieces are drawn again only where they differ, and a chart is told only what differs."""

from __future__ import annotations

import asyncio
from types import SimpleNamespace
from typing import Any

import numpy as np
import pandas as pd
import pytest
from nicegui import ui
from nicegui.testing.user_simulation import user_simulation

from slabwright.figures.record import Axis, Figure
from slabwright.web.parts.chart import amendment
from slabwright.web.parts.live import folded, piece, same
from slabwright.web.parts.pictures import picture

FRAME = pd.DataFrame({"a": [1.0, np.nan], "b": ["x", "y"]})


@pytest.mark.parametrize(
    ("one", "other", "alike"),
    [
        (FRAME, FRAME.copy(), True),
        (FRAME, FRAME.assign(b=["x", "z"]), False),
        (("a", FRAME), ("a", FRAME.copy()), True),
        (("a",), ("a", "b"), False),
        ("1", 1, False),
        (1, True, False),
        (None, None, True),
        (object(), object(), False),
    ],
)
def test_contents_are_told_apart(one: object, other: object, alike: bool) -> None:
    assert same(one, other) is alike


def on_a_page(act: Any) -> None:
    async def run() -> None:
        async with user_simulation() as user:

            @ui.page("/")
            def page() -> None:
                act(user)

            await user.open("/")

    asyncio.run(run())


def test_only_what_differs_is_drawn_again() -> None:
    now = {"outer": 1, "inner": 1, "mended": "a"}
    drawn: list[str] = []

    def act(_: Any) -> None:
        view: Any = SimpleNamespace(pieces=[])

        def inner(_: object) -> None:
            drawn.append("inner")

        def outer(_: object) -> None:
            drawn.append("outer")
            piece(view, lambda: now["inner"], inner)

        def mended(content: object) -> Any:
            drawn.append(f"drawn {content}")
            return lambda other: drawn.append(f"mended {other}")

        def refresh() -> list[str]:
            drawn.clear()
            for shown in view.pieces:
                shown.refresh()
            return drawn.copy()

        piece(view, lambda: now["outer"], outer)
        piece(view, lambda: now["mended"], mended)
        assert drawn == ["outer", "inner", "drawn a"]
        assert refresh() == []
        now["inner"] = 2
        assert refresh() == ["inner"]
        now["mended"] = "b"
        assert refresh() == ["mended b"]
        now["outer"] = 2
        assert refresh() == ["outer", "inner"]
        now["inner"] = 3
        assert refresh() == ["inner"]  # the piece of the first drawing is forgotten

    on_a_page(act)
    assert drawn == ["inner"]


def test_what_is_folded_away_is_not_drawn() -> None:
    drawn: list[int] = []

    def act(_: Any) -> None:
        view: Any = SimpleNamespace(pieces=[])
        folded(view, "More", lambda: drawn.append(1))
        assert drawn == []
        (inside,) = view.pieces
        inside.refresh()

    on_a_page(act)
    assert drawn == []


def amended(old: dict[str, Any], change: dict[str, Any]) -> dict[str, Any]:
    """What the browser makes of a change, as chart.js does it."""
    if not change:
        return old
    data = [change["data"].get(i, old["data"][i] if i < len(old["data"]) else None) for i in range(change["count"])]
    layout = {k: v for k, v in {**old["layout"], **change["layout"]}.items() if v is not None}
    return {"data": data, "layout": layout, "config": change["config"]}


def test_an_amendment_makes_the_new_figure_of_the_old_one() -> None:
    plain: dict[str, Any] = {
        "data": [{"y": [1]}, {"y": [2]}, {"y": [3]}],
        "layout": {"a": 1, "b": {"c": 2}},
        "config": {"d": 1},
    }
    others = (
        plain,
        {**plain, "data": [{"y": [1]}, {"y": [9]}, {"y": [3]}]},
        {**plain, "data": [{"y": [1]}]},
        {**plain, "data": [*plain["data"], {"y": [4]}]},
        {**plain, "layout": {"b": {"c": 3}, "e": 4}},
    )
    for other in others:
        assert amended(plain, amendment(plain, other)) == other
    assert amendment(plain, plain) == {}
    assert list(amendment(plain, others[1])["data"]) == [1]


def test_a_picture_is_made_once_for_each_showing() -> None:
    made: list[int] = []

    def describe() -> Figure:
        made.append(1)
        return Figure("t", Axis("x", "length"), Axis("y", "length"), ())

    def act(_: Any) -> None:
        view: Any = SimpleNamespace(pieces=[], system="us", dark=False)
        picture(view, describe, "lives", pd.DataFrame)
        assert len(made) == 1
        for shown in view.pieces:
            shown.refresh()
        assert len(made) == 2

    on_a_page(act)
    assert made
