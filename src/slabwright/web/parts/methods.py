"""What each method answers for each section, beside one another, with the decision which one is built on."""

from __future__ import annotations

from html import escape

from nicegui import ui

from slabwright import units
from slabwright.figures.methods import CLASS, SHORT, SectionMethods, decided_on, disagreeing, methods
from slabwright.web.parts.html import element, text
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
    """The line on agreement, the table, then the reasons; nothing where no section has an overlay."""

    def draw(shown: tuple[str, str, tuple[str, ...]]) -> None:
        head, table, reasons = shown
        if not table:
            return
        with element("div", cls="panel"):
            text("p", head)
            region = ui.html(table, sanitize=False).classes("scroll")
            for reason in reasons:
                text("p", reason)
        region.props.update({"tabindex": "0", "role": "region", "aria-label": TITLE})

    piece(view, lambda: _words(view), draw)


def _words(view: View) -> tuple[str, str, tuple[str, ...]]:
    results = view.results()
    found = methods(results, view.decisions) if "design" in results else ()
    if not found:
        return "", "", ()
    head = "".join(f'<th scope="col">{escape(h)}</th>' for h in ("Section", *(h for *_, h in COLUMNS), "Agree"))
    body = "".join(_row(one, view.system) for one in found)
    table = f'<table class="data"><caption>{TITLE}</caption><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>'
    return _agreement(found, "life" in results, view), table, tuple(_reasons(found))


def _row(one: SectionMethods, system: units.System) -> str:
    cells = "".join(
        f'<td class="number">{escape(units.format_quantity(getattr(one, name), kind, system))}</td>'
        for name, kind, _ in COLUMNS
    )
    return f'<tr><th scope="row">{escape(one.section)}</th>{cells}<td>{escape(one.agree)}</td></tr>'


def _agreement(found: tuple[SectionMethods, ...], lived: bool, view: View) -> str:
    apart, decided = disagreeing(found), decided_on(found, view.decisions)
    step = units.format_quantity(CLASS, "thickness", view.system)
    factor = f"a factor of {view.decisions.basis.agreement:g} on life and {step} of overlay"
    alone = "" if lived else "The mechanistic analysis was not computed: these lives are those of AASHTO 1993 alone. "
    if apart:
        return f"{alone}The methods do not agree, within {factor}, in {', '.join(apart)}. {decided}"
    return f"{alone}{decided}" if alone else f"The methods agree within {factor}. {decided}"


def _reasons(found: tuple[SectionMethods, ...]) -> list[str]:
    """Why, each reason once; the numbers stand in the table."""
    said: dict[str, list[str]] = {}
    for one in found:
        for why in one.why:
            said.setdefault(SHORT[why.template], []).append(one.section)
    return [f"{', '.join(names)}: {words}." for words, names in said.items()]
