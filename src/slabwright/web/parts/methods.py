"""What each method answers for each section, beside one another, with the decision which one is built on."""

from __future__ import annotations

from html import escape

from nicegui import ui

from slabwright import units
from slabwright.figures.methods import SectionMethods, decided_on, disagreeing, methods
from slabwright.records.remarks import worded
from slabwright.web.parts.html import element
from slabwright.web.parts.live import piece
from slabwright.web.view import View

__all__ = ["method_table"]

TITLE = "What each method answers"
COLUMNS = (
    ("condition", "thickness", "Required by condition"),
    ("remaining", "thickness", "Required by remaining life"),
    ("fatigue", "thickness", "Required by mechanistic analysis"),
    ("overlay", "thickness", "Overlay chosen"),
    ("aashto_years", "years", "Life by AASHTO 1993"),
    ("mechanistic_years", "years", "Life by mechanistic analysis"),
    ("curve_years", "years", "The same, by the curve's error"),
)


def method_table(view: View) -> None:
    """The table, the line on agreement and the reasons; nothing where no section has an overlay."""

    def draw(words: str) -> None:
        if words:
            with element("div", cls="panel"):
                region = ui.html(words, sanitize=False).classes("scroll")
            region.props.update({"tabindex": "0", "role": "region", "aria-label": TITLE})

    piece(view, lambda: _words(view), draw)


def _words(view: View) -> str:
    results = view.results()
    if "design" not in results:
        return ""
    found = methods(results, view.decisions)
    if not found:
        return ""
    head = "".join(f'<th scope="col">{escape(h)}</th>' for h in ("Section", *(h for *_, h in COLUMNS), "Agree"))
    body = "".join(_row(one, view.system) for one in found)
    table = f'<table class="data"><caption>{TITLE}</caption><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>'
    lines = [_agreement(found, "life" in results, view), *_reasons(found, view.system)]
    return "".join(f"<p>{escape(line)}</p>" for line in lines) + table


def _row(one: SectionMethods, system: units.System) -> str:
    cells = "".join(
        f'<td class="number">{escape(units.format_quantity(getattr(one, name), kind, system))}</td>'
        for name, kind, _ in COLUMNS
    )
    return f'<tr><th scope="row">{escape(one.section)}</th>{cells}<td>{escape(one.agree)}</td></tr>'


def _agreement(found: tuple[SectionMethods, ...], lived: bool, view: View) -> str:
    apart, factor = disagreeing(found), f"a factor of {view.decisions.basis.agreement:g} on life"
    decided = decided_on(view.decisions)
    if apart:
        return f"The methods do not agree, within {factor}, in {', '.join(apart)}. {decided}"
    if not lived:
        return f"The mechanistic analysis was not computed: these lives are those of AASHTO 1993 alone. {decided}"
    return f"The methods agree within {factor} in every section. {decided}"


def _reasons(found: tuple[SectionMethods, ...], system: units.System) -> list[str]:
    said: dict[str, list[str]] = {}
    for one in found:
        for why in one.why:
            said.setdefault(worded(why, system), []).append(one.section)
    return [f"{', '.join(names)}: {words}." for words, names in said.items()]
