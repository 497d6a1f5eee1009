"""Edits that the workspace has not acknowledged, kept by the browser's tab and offered again: see ``unsent.js``."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from nicegui import Client, core, ui

from slabwright.web.access.signed import SIGNED

__all__ = ["PATIENCE", "acknowledge_events", "keep_unsent", "script", "settled"]

PATIENCE = 30.0  # seconds that a tab may be away before what it shows is let go
SCRIPT = (Path(__file__).parent / "unsent.js").read_text("utf-8")


def acknowledge_events() -> None:
    """Let each event of a page be answered when it has been dealt with: true, or false where nobody was there for it."""
    core.sio.on("event", _dealt_with)


def _dealt_with(_: str, message: dict[str, Any]) -> bool:
    client = Client.instances.get(message["client_id"])
    if client is None or not client.has_socket_connection:
        return False
    client.handle_event(message)
    return True


def keep_unsent() -> None:
    """Have this page keep what is typed until it is acknowledged, for the person who is signed in and nobody else."""
    ui.add_head_html(f"<script>{script(SIGNED.get().name)}</script>")


def script(person: str) -> str:
    """What a page of that person runs; a name is no end of the script."""
    known = json.dumps(person).replace("<", "\\u003c")
    return f"window.slabwrightPatience = {json.dumps(PATIENCE)}; window.slabwrightPerson = {known};\n{SCRIPT}"


def settled(table: str) -> None:
    """Tell the page that a table of this title has nothing unsaved any more."""
    ui.run_javascript(f"window.slabwrightSettled?.({json.dumps(table)})")
