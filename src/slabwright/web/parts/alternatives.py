"""The alternatives of a road side by side: one row a section, one column an alternative."""

from __future__ import annotations

from collections.abc import Mapping
from html import escape

from nicegui import ui

from slabwright import units
from slabwright.economics.run import three_figures
from slabwright.records.display import life_words
from slabwright.web.parts.html import element
from slabwright.web.parts.live import piece
from slabwright.web.view import View
from slabwright.workflow import Computation, summary_rows

__all__ = ["alternatives"]

Row = dict[str, object]
Found = Mapping[str, Mapping[str, Row]]  # rows by section, by alternative
# Of each section and alternative: the heading of a number and its kind.
SHOWN = {
    "overlay": ("chosen", "thickness"),
    "years": ("life, AASHTO 1993", "years"),
    "reduction": ("deflection falls", "share"),
    "cost": ("cost", "money"),
}


def alternatives(view: View) -> None:
    """All alternatives that can be computed; nothing while there is but one."""

    def draw(table: str) -> None:
        if table:
            with element("div", cls="panel"):
                region = ui.html(table, sanitize=False).classes("scroll")
            region.props.update({"tabindex": "0", "role": "region", "aria-label": "Alternatives side by side"})

    piece(view, lambda: _comparison(view), draw)


def _comparison(view: View) -> str:
    """The alternatives as an escaped table, "" while there is but one."""
    names = view.project.alternatives()
    if len(names) < 2:
        return ""
    found = {}
    for name in names:
        computation: Computation = view.office.computation(view.road, name)
        found[name] = {r["section"]: r for r in summary_rows(computation.run())}
    return _html(found, view.system)


def _html(found: Found, system: units.System) -> str:
    """Rows of sections, four columns an alternative, and what the costs come to; escaped."""
    first = "".join(f'<th scope="colgroup" colspan="{len(SHOWN)}">{escape(n[:80])}</th>' for n in found)
    heads = "".join(f'<th scope="col" class="n">{escape(_heading(h, k, system))}</th>' for h, k in SHOWN.values())
    sections = list(dict.fromkeys(s for rows in found.values() for s in rows))
    body = "".join(
        f'<tr><th scope="row">{escape(s)}</th>'
        + "".join(_cells(rows.get(s), system) for rows in found.values())
        + "</tr>"
        for s in sections
    )
    return (
        '<table class="data"><caption>Alternatives side by side</caption><thead>'
        f'<tr><th scope="col" rowspan="2">Section</th>{first}</tr><tr>{heads * len(found)}</tr></thead>'
        f"<tbody>{body}{_sums(found, system)}</tbody></table>"
    )


def _heading(words: str, kind: str, system: units.System) -> str:
    unit = units.label(units.unit_of(kind, system)) if kind != "money" else ""
    return f"{words} [{unit}]" if unit else words


def _cells(row: Row | None, system: units.System) -> str:
    """The numbers of a section; where it has no overlay its verdict, and what its repairs cost."""
    if row is None:
        return f'<td colspan="{len(SHOWN)}"></td>'
    if not _number(row, "overlay") > 0:
        cost = escape(_said(_number(row, "cost"), "money", system))
        return f'<td colspan="{len(SHOWN) - 1}">{escape(str(row["verdict"]))}</td><td class="n">{cost}</td>'
    return "".join(f'<td class="n">{escape(_said(_number(row, n), k, system))}</td>' for n, (_, k) in SHOWN.items())


def _said(value: float, kind: str, system: units.System) -> str:
    if kind == "years":
        return life_words(value, system, unit=False)
    shown = three_figures(value) if kind == "money" and value > 0 else value
    return units.format_quantity(shown, kind, system, unit=False) if kind != "money" or value > 0 else "–"


def _sums(found: Found, system: units.System) -> str:
    """What the costs of the sections come to; nothing while the prices are not confirmed."""
    sums = [sum(c for row in rows.values() if (c := _number(row, "cost")) > 0) for rows in found.values()]
    if not any(sums):
        return ""
    cells = "".join(f'<td colspan="{len(SHOWN) - 1}"></td><td class="n">{_said(s, "money", system)}</td>' for s in sums)
    return f'<tr class="here"><th scope="row">all</th>{cells}</tr>'


def _number(row: Row, name: str) -> float:
    return float(row[name])  # type: ignore[arg-type]
