"""The working drawer says of which section its number is, and follows what is decided and chosen while it is open."""

from __future__ import annotations

import pandas as pd
from nicegui import ui

from slabwright.web.parts.drawer import found_row, number_at, open_working
from slabwright.web.view import View
from tests.web.test_live import on_a_page

THICK = 0.0762


def said(view: View) -> str:
    inside = view.state["working"].inside
    return "\n".join(e.content for e in inside.descendants() if isinstance(e, ui.html))


def row_of(view: View, section: str) -> int:
    names = view.results()["design"].tables["thicknesses"]["section"]
    return int(names.index[names == section][0])


def test_the_drawer_follows_the_decision_and_the_section(view: View) -> None:
    """76 mm are decided and not computed yet, then computed; a section without an overlay has no life but a row."""

    def act(_: object) -> None:
        built = view.results()["design"].tables["thicknesses"].query("overlay > 0")["section"]
        one, other = built.iloc[0], built.iloc[1]
        view.state["section"] = one
        open_working(view, "design", "thicknesses", row_of(view, other), "overlay")
        assert f"Section {other}" in said(view)
        assert "76 mm" not in said(view)
        view.project.decide("base", {"design.thickness": THICK})
        view.look_again()
        view.aside()
        assert "not computed for the road as it is now" in said(view)
        view.computation.run()
        view.aside()
        assert "76 mm" in said(view)
        assert f"Section {other}" in said(view)
        assert "design.thickness" not in said(view)
        view.state["section"] = one = built.iloc[2]
        view.aside()
        assert f"Section {one}" in said(view)
        assert f"Section {other}" not in said(view)
        view.state["working"].close()
        view.state["section"] = other
        view.aside()
        assert f"Section {one}" in said(view)  # closed: it follows nothing

    on_a_page(act)


def test_a_number_is_found_again_by_what_tells_its_row_apart() -> None:
    before = pd.DataFrame({"section": ["A", "A", "B"], "lane": ["1", "2", "1"], "years": [4.0, 5.0, 6.0]})
    number = number_at(before, "life", "any", 1, "years")
    assert number.known_by == (("section", "A"), ("lane", "2"))
    assert found_row(before.iloc[[2, 1, 0]].reset_index(drop=True), number) == 1
    assert found_row(before, number.of("B")) is None
    assert found_row(before, number_at(before, "life", "any", 0, "years").of("B")) == 2
