"""The alternatives of a road side by side: one row a section, one column an alternative."""

from __future__ import annotations

from html import escape

from nicegui import ui

from slabwright import units
from slabwright.web.parts.html import element
from slabwright.web.parts.live import piece
from slabwright.web.view import View
from slabwright.workflow import Computation, summary_rows

__all__ = ["alternatives"]


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
    head = "".join(f'<th scope="col">{escape(n[:80])}</th>' for n in ("Section", *names))
    sections = list(dict.fromkeys(s for rows in found.values() for s in rows))
    body = "".join(
        f'<tr><th scope="row">{escape(s)}</th>'
        + "".join(f"<td>{escape(_words(found[n].get(s), view.system))}</td>" for n in names)
        + "</tr>"
        for s in sections
    )
    return f'<table class="data"><caption>Alternatives side by side</caption><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>'


def _number(row: dict[str, object], name: str) -> float:
    return float(row[name])  # type: ignore[arg-type]


def _words(row: dict[str, object] | None, system: units.System) -> str:
    if row is None:
        return ""
    if not _number(row, "overlay") > 0:
        return f"{row['verdict']}{_cost(row, system)}"
    kinds = {"overlay": "thickness", "years": "years", "reduction": "share"}
    shown = {name: units.format_quantity(_number(row, name), kind, system) for name, kind in kinds.items()}
    return f"{shown['overlay']}, {shown['years']}, deflection falls {shown['reduction']}{_cost(row, system)}"


def _cost(row: dict[str, object], system: units.System) -> str:
    """Nothing while the prices are not confirmed."""
    cost = _number(row, "cost")
    return f", cost {units.format_quantity(cost, 'money', system)}" if cost > 0 else ""
