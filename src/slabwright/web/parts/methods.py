"""What each method answers for each section, beside one another, with the decision which one is built on."""

from __future__ import annotations

from html import escape

from nicegui import ui

from slabwright import units
from slabwright.figures.methods import COLUMNS, SectionMethods, agreement, methods, reasons
from slabwright.records.display import life_words
from slabwright.records.words import sections_named
from slabwright.web.parts.html import element, text
from slabwright.web.parts.live import piece
from slabwright.web.parts.meant import meant
from slabwright.web.view import View

__all__ = ["method_table"]

TITLE = "What each method answers"
HEADINGS = (
    "Required by condition",
    "Required by remaining life",
    "Required by mechanistic analysis",
    "Overlay chosen",
    "Life by AASHTO 1993",
    "Life by mechanistic analysis",
    "The same, by the curve's error",
)


def method_table(view: View) -> None:
    """The line on agreement, the table, then the reasons; nothing where no section has an overlay."""

    def draw(shown: tuple[str, str, tuple[str, ...]]) -> None:
        head, table, reasons = shown
        if not table:
            return
        with element("div", cls="panel"):
            text("p", meant(head))
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
    titles = "".join(
        f'<th scope="col"{" class=n" if h in HEADINGS else ""}>{escape(h)}</th>'
        for h in ("Section", *HEADINGS, "Agree")
    )
    body = "".join(_row(one, view.system) for one in found)
    table = (
        f'<table class="data"><caption>{TITLE}</caption><thead><tr>{titles}</tr></thead><tbody>{body}</tbody></table>'
    )
    head = agreement(found, view.decisions, "life" in results, view.system)
    return head, table, tuple(f"{sections_named(names)}: {words}." for words, names in reasons(found).items())


def _row(one: SectionMethods, system: units.System) -> str:
    cells = "".join(
        f'<td class="n">{escape(_said(getattr(one, name), kind, system))}</td>' for name, kind in COLUMNS.items()
    )
    return f'<tr><th scope="row">{escape(one.section)}</th>{cells}<td>{escape(one.agree)}</td></tr>'


def _said(value: float, kind: str, system: units.System) -> str:
    return life_words(value, system) if kind == "years" else units.format_quantity(value, kind, system)
