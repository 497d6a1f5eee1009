"""A result of the bond or the life that no longer holds is told from one that was never computed."""

from __future__ import annotations

from nicegui import ui

from slabwright.web.answers import Seen, road_answer
from slabwright.web.pages.bond import ABOUT
from slabwright.web.pages.summary import _next, _stages
from slabwright.web.parts.layout import stage_answer
from slabwright.web.parts.long_stage import long_stage
from slabwright.web.view import View
from tests.mechanistic_results import save_field_results
from tests.web.test_live import on_a_page


def test_only_what_was_computed_before_is_said_to_be_outdated(view: View) -> None:
    assert view.before_now() == {}  # never computed
    save_field_results(view.project)
    view.look_again()
    assert view.before_now() == {}  # current
    view.project.decide("base", {"bond.least_factor": 3.0})
    view.look_again()
    when = view.project.last_computed("bond")
    assert when is not None
    said = view.outdated("bond")
    assert f"Computed on {when:%Y-%m-%d %H:%M} UTC" in said
    assert view.before_now() == {"bond": said}  # no life depends on what the bond must bear


def test_summary_and_page_say_that_an_earlier_result_no_longer_holds(view: View) -> None:
    words: list[str] = []

    def act(_: object) -> None:
        with ui.element("div") as box:
            for draw in (_next, _stages):
                draw(view)
            long_stage(view, ABOUT, lambda: None)
        words.append("\n".join(e.content for e in box.descendants() if isinstance(e, ui.html)))

    on_a_page(act)
    assert "Computed on" not in words[0]
    save_field_results(view.project)
    view.project.decide("base", {"bond.least_factor": 3.0})
    view.look_again()
    on_a_page(act)
    assert words[1].count("Computed on") == 2  # in the row of the stage, and on its own page
    assert "is not computed for the road as it is now" in words[1]
    assert "Computed on" in stage_answer(view, "bond").against[0]
    seen = Seen(view.results(), view.decisions, "us", before=view.before_now())
    assert "computed on" in road_answer(seen).against[0]
