"""The page of a workspace with accounts: the audit list, and the way out of every session at once."""

from __future__ import annotations

from html import escape

from nicegui import ui

from slabwright.web.access.audit import Audit
from slabwright.web.access.signed import SIGNED
from slabwright.web.frame import shell
from slabwright.web.parts.html import text

__all__ = ["draw_people"]

SHOWN = 200
OUT = '<form method="post" action="/sign-out"><button type="submit" class="act" name="everywhere" value="yes">Sign out everywhere</button></form>'


def draw_people(audit: Audit | None) -> None:
    """The newest lines of the audit list, for those who may change; newest first."""
    with shell("People"):
        ui.link("Roads", "/roads")
        text("h1", "People")
        signed = SIGNED.get()
        if audit is None or not signed.has_account:
            text("p", "This workspace has no accounts.")
            return
        text("p", f"Signed in as {signed.name}.")
        ui.html(OUT, sanitize=False)
        if not signed.may_change:
            text("p", "The audit list is shown to those who may change.", "quiet")
            return
        events, earlier = audit.newest(SHOWN)
        if earlier:
            text("p", f"The newest {SHOWN} lines. `slabwright audit` shows more; all are in {audit.path.name}.")
        rows = "".join(
            "<tr>"
            + "".join(
                f"<td>{escape(word)}</td>"
                for word in (e.time[:19].replace("T", " "), e.who, e.what, e.address, e.detail)
            )
            + "</tr>"
            for e in reversed(events)
        )
        head = "".join(f'<th scope="col">{word}</th>' for word in ("Time (UTC)", "Who", "What", "From", "Of what"))
        ui.html(
            f'<div class="scroll"><table class="data told"><caption>Audit list</caption><thead><tr>{head}</tr></thead>'
            f"<tbody>{rows}</tbody></table></div>",
            sanitize=False,
        )
