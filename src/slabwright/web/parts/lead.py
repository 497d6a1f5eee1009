"""What stands on a page of a road that lacks facts: what to give first, each with a sample to download."""

from __future__ import annotations

from nicegui import ui

from slabwright.records.facts import FACTS
from slabwright.stages import plan, stages
from slabwright.web.parts.html import element, text
from slabwright.web.parts.samples import SAMPLES, sample_press
from slabwright.web.view import View

__all__ = ["lead"]


def lead(view: View) -> None:
    """What to give first: the tables without which there is no answer, then those that sharpen it, each with a sample."""
    last_short = next(stage.name for stage in reversed(stages()) if not stage.long)
    counts = {name: len(getattr(view.computation.facts, name)) for name in FACTS}
    needed = list(dict.fromkeys(name for stage in plan(last_short) for name in stage.needed))
    missing = [name for name in needed if not counts[name]]
    with element("section", cls="answer", data_part="answer", aria_label="The answer"):
        head = (
            "There is no answer for this road yet."
            if any(counts.values())
            else "This road is empty: there is no answer for it yet."
        )
        titles = ", ".join(FACTS[name].title.lower() for name in missing)
        text("p", f"{head} Still needed: {titles}.").props["role"] = "status"
        with element("div", cls="line"):
            ui.link("Load field files", view.address("files")).classes("act main")
            ui.link("Enter tables by hand", view.address("road")).classes("act")
    with element("div", cls="below"):
        _lists("Needed", needed, counts)
        better = dict.fromkeys(n for stage in stages() for n in stage.facts if n in SAMPLES and n not in needed)
        _lists("Makes the answer better: what was not examined stays an assumption", list(better), counts)


def _lists(title: str, names: list[str], counts: dict[str, int]) -> None:
    with element("div"):
        text("h2", title)
        with element("ol" if title == "Needed" else "ul", cls="asked"):
            for name in names:
                with element("li"):
                    schema = FACTS[name]
                    text("strong", schema.title)
                    held = f"{counts[name]:,} rows are here" if counts[name] else "missing"
                    text("span", f" ({held}): each row is {schema.row}. ", "" if counts[name] else "quiet")
                    if name in SAMPLES:
                        sample_press(name, schema.title)
