"""Field files: drop them in, settle what is questioned, load; and what the project holds already."""

from __future__ import annotations

from collections.abc import Callable
from html import escape
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from nicegui import app, events, run, ui

from slabwright.errors import InputError, SlabwrightError
from slabwright.records.facts import FACTS
from slabwright.web.answers import Answer
from slabwright.web.pages import Page
from slabwright.web.parts import dropped as files
from slabwright.web.parts.dropped import Dropped
from slabwright.web.parts.html import act, element, text
from slabwright.web.parts.intake_view import draw_file
from slabwright.web.parts.layout import answered
from slabwright.web.parts.live import piece
from slabwright.web.project_folder import now
from slabwright.web.view import View
from slabwright.workflow import Loaded, load_whole

__all__ = ["PAGE"]

KINDS = (".csv", ".txt", ".xlsx", ".epw", ".gz")
LARGEST = 100 * 1024 * 1024
LONGEST_NAME = 100


async def draw(view: View) -> None:
    if "desk" not in view.state:
        view.state["desk"] = _Desk(view)
    desk: _Desk = view.state["desk"]
    answered(view, lambda: _answer(view))
    _upload(desk)
    piece(view, lambda: tuple(desk.said), _said)
    desk.cards()
    piece(
        view,
        lambda: tuple((s.name, s.sha256, s.rows, f"{s.time}", s.user) for s in view.project.sources()),
        lambda _: _held(view),
    )


def _answer(view: View) -> Answer:
    """How many files the project holds, and how more are added."""
    held = len(view.project.sources())
    have = (
        f"The project holds {held} field file{'' if held == 1 else 's'}. " if held else "No field file is loaded yet. "
    )
    return Answer(
        f"{have}Drop files here: they are read and shown, and nothing changes in the project before you load them."
    )


def _said(sentences: tuple[str, ...]) -> None:
    for sentence in sentences:
        text("p", sentence, "good").props["role"] = "status"


class _Desk:
    """The files that lie on this tab's page, in a folder that goes when the tab goes."""

    def __init__(self, view: View) -> None:
        self.view = view
        self.folder: TemporaryDirectory[str] | None = None
        ui.context.client.on_delete(self.clear)
        OPEN.add(self)
        self.lying: dict[int, Dropped] = {}
        self.said: list[str] = []
        self.count = 0
        self.turn = 0

    def clear(self) -> None:
        """Take away what was dropped, with the tab."""
        OPEN.discard(self)
        if self.folder is not None:
            self.folder.cleanup()

    @ui.refreshable_method
    def cards(self) -> None:
        """Every file on the page, and the one button that loads them."""
        for number, dropped in self.lying.items():
            self._card(number, dropped)
        if self.lying:
            self._load_row()

    def _card(self, number: int, dropped: Dropped) -> None:
        draw_file(
            dropped,
            self.view.system,
            lambda d: self._change(number, d),
            lambda: self._again(number),
            lambda: self._leave(number),
        )

    def _load_row(self) -> None:
        reasons = [why for d in self.lying.values() if (why := files.why_not(d))]
        count, whole = len(self.lying), len(self.lying) - len(reasons)
        of = f" of {count}" if reasons and whole else ""
        button = act(f"Load {whole or count}{of} file{'' if count == 1 else 's'}", self._load, main=True)
        if not whole:
            button.props.update({"disabled": True, "aria-describedby": "why-not"})
        with element("div", id="why-not", role="status"):
            for reason in reasons:
                text("p", reason, "mend")
            if not reasons:
                text("p", "Every warning is settled. Loading is one change for each file, and can be undone.", "quiet")
            elif whole:
                text("p", "The other files are whole and can be loaded; these stay here.", "quiet")

    def _change(self, number: int, dropped: Dropped) -> None:
        self.lying = dict(sorted((self.lying | {number: dropped}).items()))
        self.cards.refresh()

    async def _leave(self, number: int) -> None:
        left = self.lying.pop(number)
        left.path.unlink(missing_ok=True)
        await self._compare()

    async def _again(self, number: int) -> None:
        self.lying[number] = await self._read(self.lying[number])
        await self._compare()

    async def _read(self, dropped: Dropped) -> Dropped:
        found = await run.io_bound(files.read_again, dropped, self.view.project, now().date())
        return found or dropped  # nothing comes back when the server is stopping

    async def _compare(self) -> None:
        """What the files on the page contradict in one another and in the project, told anew; the last asked is shown."""
        self.turn += 1
        turn, asked = self.turn, dict(sorted(self.lying.items()))
        found = await run.io_bound(files.beside, asked, self.view.project)
        if found is None or turn != self.turn:
            return
        self.lying = {
            number: files.renewed(d, found[number]) if number in found and d.alone is asked[number].alone else d
            for number, d in sorted(self.lying.items())
        }
        self.cards.refresh()

    async def take(self, event: events.UploadEventArguments) -> None:
        """Keep an uploaded file in the tab's folder and read it."""
        try:
            path = self._place(event.file.name, event.file.size())
        except SlabwrightError as refusal:
            ui.notify(str(refusal), type="negative", multi_line=True, timeout=0, close_button="Close")
            return
        number = self.count  # other files may come in while this one is saved and read
        await event.file.save(path)
        self.lying[number] = await self._read(Dropped(path, self.view.system))
        await self._compare()

    def _place(self, name: str, size: int) -> Path:
        plain = (
            ""
            .join(c if c.isprintable() and c not in "/\\" else "_" for c in name)
            .encode()[-LONGEST_NAME:]
            .decode("utf-8", "ignore")
            .lstrip(".")
            or "file"
        )
        if not plain.lower().endswith(KINDS):
            raise InputError("files of this kind are not read", given=name, allowed=", ".join(KINDS))
        if size > LARGEST:
            raise InputError("the file is too large", where=plain, allowed=f"up to {LARGEST // 2**20} MB")
        if self.folder is None:
            self.folder = TemporaryDirectory(prefix="slabwright-", ignore_cleanup_errors=True)
        self.count += 1
        folder = Path(self.folder.name) / str(self.count)
        folder.mkdir(parents=True)
        return folder / plain

    async def _load(self) -> None:
        """Load every file that is whole, off the event loop; the others stay on the page."""
        ready = {number: d for number, d in self.lying.items() if not files.why_not(d)}
        if not ready:
            return
        outcome = await run.io_bound(_outcome, lambda: _loaded(self.view, list(ready.values())))
        if outcome is None:  # the server is stopping
            return

        def done() -> None:
            loaded, refused = outcome()
            self.said = [_sentence(each) for each in loaded]
            for number, dropped in ready.items():
                if dropped.path not in refused:
                    self.lying.pop(number).path.unlink(missing_ok=True)
            for problem in dict.fromkeys(map(str, refused.values())):
                ui.notify(problem, type="negative", multi_line=True, timeout=0, close_button="Close")

        self.view.attempt(done)
        await self._compare()


OPEN: set[_Desk] = set()


def _clear_all() -> None:
    """A server that stops takes the dropped files of its open tabs with it."""
    for desk in list(OPEN):
        desk.clear()


app.on_shutdown(_clear_all)


def _loaded(view: View, lying: list[Dropped]) -> tuple[tuple[Loaded, ...], dict[Path, SlabwrightError]]:
    return load_whole(
        view.project,
        {d.path: d.readings for d in lying},
        accept=True,
        reject_findings={d.path: files.rejected(d) for d in lying},
        replacing={d.path: d.in_place_of for d in lying if d.in_place_of},
        expected=view.head,
    )


def _outcome(work: Callable[[], Any]) -> Callable[[], Any]:
    """Do the work now and hand back what gives its result or raises its refusal where it can be said."""
    try:
        made = work()
    except SlabwrightError as refusal:
        kept = refusal

        def refuse() -> Any:
            raise kept

        return refuse
    return lambda: made


def _sentence(loaded: Loaded) -> str:
    rows = ", ".join(f"{count:,} rows of {FACTS[table].title}" for table, count in loaded.rows.items())
    place = f" in place of {loaded.replaces}" if loaded.replaces else ""
    return f"Loaded {loaded.file}{place}: {rows}; {loaded.accepted} warnings accepted, {loaded.rejected} rejected."


def _upload(desk: _Desk) -> None:
    """A plain file field that is also the place to drop files; the uploader behind it is never seen."""
    sender = ui.upload(
        multiple=True,
        auto_upload=True,
        max_file_size=LARGEST,
        on_upload=desk.take,
        on_rejected=lambda: ui.notify(
            f"A file was refused: {', '.join(KINDS)} of up to {LARGEST // 2**20} MB are read.", type="negative"
        ),
    )
    sender.on("failed", lambda e: _failed(str(e.args or "")), js_handler=FAILED)
    sender.props(f'accept="{",".join(KINDS)}"').style("display: none")
    hand_over = f"getElement({sender.id}).$refs.qRef.addFiles"
    with element("div", cls="panel drop") as place:
        text("label", "Choose field files, or drop them here").props["for"] = "field-files"
        field = ui.element("input").classes("plain-input")
        field.props.update({"id": "field-files", "type": "file", "multiple": True, "accept": ",".join(KINDS)})
        field.props["aria-describedby"] = "field-files-hint"
        hint = f"{', '.join(KINDS)} of up to {LARGEST // 2**20} MB each; one table in each sheet, with its headings"
        text("span", hint, "hint").props["id"] = "field-files-hint"
    field.on("change", js_handler=f"(e) => {{ {hand_over}([...e.target.files]); e.target.value = ''; }}")
    place.on("dragover", js_handler="(e) => e.preventDefault()")
    place.on("drop", js_handler=f"(e) => {{ e.preventDefault(); {hand_over}([...e.dataTransfer.files]); }}")


# The answer of the server in its own words; a connection that was cut has none.
FAILED = "(found) => emit(String(found?.xhr?.responseText ?? '').slice(0, 500))"


def _failed(answer: str) -> None:
    lost = "The connection was lost while the file was sent; choose it again."
    ui.notify(answer or lost, type="negative", multi_line=True, timeout=0, close_button="Close")


def _held(view: View) -> None:
    """The files whose rows the project holds."""
    text("h2", "In the project")
    held = view.project.sources()
    if not held:
        text("p", "No file has been loaded yet.", "quiet")
        return
    heads = "".join(f'<th scope="col">{h}</th>' for h in ("File", "Rows", "SHA-256", "When (UTC)", "Who", "Take out"))
    rows = "".join(
        f'<tr><td>{escape(s.name)}</td><td class="n">{s.rows:,}</td><td><code title="{s.sha256}">{s.sha256[:16]}…</code></td>'
        f"<td>{s.time:%Y-%m-%d %H:%M}</td><td>{escape(s.user)}</td>"
        f'<td><button type="button" data-take="{i}" aria-label="Take out {escape(s.name, quote=True)}">Take out</button></td></tr>'
        for i, s in enumerate(held)
    )
    html = f'<table class="data"><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table>'
    region = ui.html(html, sanitize=False).classes("scroll")
    region.props.update({"tabindex": "0", "role": "region", "aria-label": "Files in the project"})

    def take_out(number: int) -> None:
        source = held[number]
        if view.attempt(lambda: view.project.remove_source(source.name, sha256=source.sha256, expected=view.head)):
            ui.notify(f"{source.name} was taken out with its rows. Undo brings it back.")

    js = "(e) => { const b = e.target.closest('button[data-take]'); if (b) emit(+b.dataset.take); }"
    region.on("click", lambda e: take_out(int(e.args)), js_handler=js)


PAGE = Page("files", "Field files", 20, draw, live=True)
