"""The sign-in page: one plain HTML form that works without script, in light and dark."""

from __future__ import annotations

import html
import re

from slabwright.web.access.signed import LONGEST_USER

__all__ = ["CONTENT_POLICY", "local_path", "page"]

CONTENT_POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
LOCAL_PATH = re.compile(r"/(?![/\\])[\x21-\x5b\x5d-\x7e]{0,1000}\Z")  # no second slash, no backslash, no blank

PAGE = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="referrer" content="same-origin">
<title>Sign in – Slabwright</title>
<style>
:root {{ color-scheme: light dark; --ink: #1b2126; --paper: #ffffff; --line: #6b7680; --accent: #1f5f8b;
  --bad: #a3243b; }}
@media (prefers-color-scheme: dark) {{ :root {{ --ink: #e8edf1; --paper: #14191d; --line: #8a96a0;
  --accent: #8ec7ee; --bad: #ff9aa8; }} }}
body {{ margin: 0; background: var(--paper); color: var(--ink); font: 1.0625rem/1.5 system-ui, sans-serif; }}
main {{ max-width: 24rem; margin: 12vh auto 0; padding: 0 1.25rem; }}
label {{ display: block; margin: 1.25rem 0 .35rem; }}
input {{ box-sizing: border-box; width: 100%; padding: .65rem; font: inherit; color: inherit;
  background: var(--paper); border: 1px solid var(--line); border-radius: .25rem; }}
button {{ margin-top: 1rem; padding: .65rem 1.25rem; font: inherit; color: var(--paper); background: var(--accent);
  border: 0; border-radius: .25rem; cursor: pointer; }}
:focus-visible {{ outline: 3px solid var(--accent); outline-offset: 2px; }}
[role=alert] {{ color: var(--bad); }} .hint {{ margin: .25rem 0 0; font-size: .875rem; }}
</style>
</head>
<body>
<main>
<h1>Sign in to Slabwright</h1>
<p>This workspace is open to those who know a password for it.</p>
{refusal}<form method="post" action="/sign-in">
<label for="name">Your name</label>
<input id="name" name="name" type="text" autocomplete="name" required maxlength="{longest}" value="{name}"
  aria-describedby="name-hint">
<p class="hint" id="name-hint">Your changes are signed with it in the history.</p>
<label for="password">Password</label>
<input id="password" name="password" type="password" autocomplete="current-password" required maxlength="1000"
 {described}>
<input name="next" type="hidden" value="{next}">
<button type="submit">Sign in</button>
</form>
</main>
</body>
</html>
"""


def page(next_path: str, refusal: str = "", name: str = "") -> str:
    """The form; after signing in it leads to ``next_path``, and ``refusal`` says why the last attempt failed."""
    said = f'<p role="alert" id="refusal">{html.escape(refusal)}</p>\n' if refusal else ""
    described = ' aria-invalid="true" aria-describedby="refusal"' if refusal else ""
    return PAGE.format(
        refusal=said,
        described=described,
        longest=LONGEST_USER,
        name=html.escape(name[:LONGEST_USER], quote=True),
        next=html.escape(local_path(next_path), quote=True),
    )


def local_path(path: str) -> str:
    """The path if it leads to this server and nowhere else, else the start page."""
    return path if LOCAL_PATH.match(path) else "/"
