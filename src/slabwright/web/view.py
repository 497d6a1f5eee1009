"""What one browser tab sees of one road, and the only ways in which it changes anything."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import quote, urlencode

from nicegui import app, ui

from slabwright import units
from slabwright.errors import Conflict, SlabwrightError
from slabwright.project import Change, Project
from slabwright.records.decisions import Decisions, change, to_plain
from slabwright.records.results import StageResult
from slabwright.stages import plan
from slabwright.web.access.signed import SIGNED
from slabwright.web.parts.meant import meant
from slabwright.web.project_folder import ProjectFolder
from slabwright.workflow import Computation

__all__ = ["Before", "View"]

OUTDATED = (
    "Computed on {when} UTC for other inputs or by an earlier method; that result does not hold for the road as it is now."
    " Compute again."
)
LONGEST_WHY = 300  # letters of the reason that goes into the history


@dataclass(frozen=True, eq=False)
class Before:
    """What stood before the last change of a decision on this tab: its value in SI or its word, and the results then."""

    name: str
    value: Any
    results: dict[str, StageResult]


@dataclass(eq=False)
class _Seen:
    """The road as a drawing first met it, so that a hundred pieces do not ask the file a hundred times."""

    computation: Computation
    states: dict[str, str]
    results: dict[str, StageResult]
    built: tuple[str, ...] = field(init=False)

    def __post_init__(self) -> None:
        design = self.results.get("design")
        frame = None if design is None else design.tables["thicknesses"]
        self.built = () if frame is None else tuple(map(str, frame.loc[frame["overlay"] > 0, "section"]))


class View:
    """One tab: its road, alternative and units.

    What it shows is the road at one head, whatever others do meanwhile: ``look_again`` moves it on. Its edits are based
    on that head, so that one made on a stale view is refused.
    """

    def __init__(self, office: ProjectFolder, road: str, alternative: str) -> None:
        self.office, self.road, self.alternative = office, road, alternative
        self.computation: Computation
        self.look_again()
        self.state: dict[str, Any] = {}
        self.pieces: list[Any] = []  # what is on the page, each of which can be shown anew by itself
        self.redraw: Callable[[], Any] = lambda: None
        self.refresh: Callable[[], Any] = lambda: None
        self.aside: Callable[[], Any] = lambda: None  # has what stands open beside the page follow it
        self.stopped = False
        self._system: units.System | None = None
        self.page = ""
        self._still = 0  # how many drawings are under way
        self._seen: _Seen | None = None
        self.before: Before | None = None
        self.reasons_used = 0  # how many changes have taken the reason that was typed for the next one
        self.refusal: ui.notification | None = None
        self.signed = SIGNED.get()
        self.name = ""  # given on the page, where no sign-in asks for it

    def look_again(self) -> None:
        """Take the road as it is now."""
        self.head, self.computation = self.office.at_head(self.road, self.alternative)

    @contextmanager
    def still(self) -> Iterator[None]:
        """Have everything drawn inside show the road at one moment; what is computed meanwhile is seen afterwards."""
        self._still += 1
        try:
            yield
        finally:
            self._still -= 1
            if not self._still:
                self._seen = None

    def _look(self) -> _Seen:
        """What there is to see: that of the drawing under way, else as it is now."""
        if self._seen is not None and self._seen.computation is self.computation:
            return self._seen
        computation = self.computation
        states = {s.stage: s.state for s in computation.states()}
        saved = {name: computation.saved(name) for name, state in states.items() if state == "current"}
        seen = _Seen(computation, states, {name: result for name, result in saved.items() if result is not None})
        self._seen = seen if self._still else None
        return seen

    @property
    def project(self) -> Project:
        return self.office.signed(self.road, self.user, self.signed)

    @property
    def user(self) -> str:
        """Whose name changes are signed with: the session's, the one given on the page, or this computer's user."""
        return self.signed.name or self.name or self.office.user

    @property
    def system(self) -> units.System:
        """The units in which this tab is drawn and what is typed in it is read; another tab may have chosen others since."""
        if self._system is None:
            self._system = "metric" if app.storage.user.get("units") == "metric" else "us"
        return self._system

    def take_units(self) -> None:
        """Have the next drawing, which is then of the whole page, take the units that are chosen now."""
        self._system = None

    @property
    def dark(self) -> bool:
        return bool(app.storage.user.get("dark", False))

    @property
    def decisions(self) -> Decisions:
        return self.computation.decisions

    def address(self, slug: str, alternative: str | None = None, **more: str) -> str:
        """The address of a page of this road; it names the section that was chosen, and what else is asked of the page."""
        chosen = alternative or self.alternative
        asked = {
            "alternative": chosen if chosen != "base" else "",
            "section": str(self.state.get("section", "")),
            **more,
        }
        query = urlencode({name: value for name, value in asked.items() if value})
        return f"/road/{quote(self.road)}/{slug}" + (f"?{query}" if query else "")

    def sections(self) -> tuple[str, ...]:
        """The sections of the road in its order, as far as it is divided."""
        found = self.results().get("survey")
        return () if found is None else tuple(str(name) for name in found.tables["sections"]["section"])

    @property
    def section(self) -> str:
        """The section that every page speaks of: the one chosen, else the first with an overlay, else the first; "" for none."""
        known, chosen = self.sections(), str(self.state.get("section", ""))
        return chosen if chosen in known else next(iter((*self._look().built, *known)), "")

    def settle_section(self) -> None:
        """Where no section has the name that was asked for, remember that it was asked for, and put the address right."""
        asked, known = str(self.state.get("section", "")), self.sections()
        if asked and known:
            self.state["no section"] = asked if asked not in known else ""
        if asked and known and asked not in known:
            self.state["section"] = ""
            ui.navigate.history.replace(self.address(self.page))

    def choose(self, name: str) -> None:
        """Have every page speak of a section; the address says which, and the browser can go back."""
        if name in self.sections() and name != self.state.get("section"):
            self.state["section"] = name
            ui.navigate.history.push(self.address(self.page))
            self.refresh()

    def moved(self, name: str) -> None:
        """The browser went back or forward to an address that names a section, or none."""
        self.state["section"] = name
        self.refresh()

    def results(self) -> dict[str, StageResult]:
        """The results that are current; stages that were never computed or were stopped are left out."""
        return dict(self._look().results)

    def states(self) -> dict[str, str]:
        return dict(self._look().states)

    def before_now(self) -> dict[str, str]:
        """The sentences of ``outdated``, by stage."""
        return {stage: said for stage in self.states() if (said := self.outdated(stage))}

    def outdated(self, stage: str) -> str:
        """Of a stage whose kept results are not of the road as it is now, when they were computed, in a sentence; else ""."""
        if self.states().get(stage) != "stale":
            return ""
        when = self.project.last_computed(stage)
        return "" if when is None else OUTDATED.format(when=f"{when:%Y-%m-%d %H:%M}")

    async def compute(self, until: str, tell: Callable[[str, float], None]) -> bool:
        """Compute what is stale up to a stage, one stage after the other off the event loop; False when stopped."""
        wanted = [stage.name for stage in plan(until)]
        self.stopped = False
        for number, name in enumerate(wanted):
            tell(name, number / len(wanted))
            await asyncio.get_running_loop().run_in_executor(self.office.workers, self.computation.result, name)
            if self.stopped:
                return False
        tell(until, 1.0)
        return True

    def decide(self, name: str, text: str) -> bool:
        """Change one decision from text, based on what this tab shows; says so and redraws either way."""
        return self.attempt(lambda: self._decide(name, text))

    def _decide(self, name: str, text: str) -> None:
        decided = change(self.project.decisions(self.alternative), name, text, self.system)
        value, was = to_plain(decided)[name], to_plain(self.decisions)[name]
        what = f"decide {name} ({self.alternative})"
        why = " ".join(str(self.state.get("why", "")).split())[:LONGEST_WHY]
        self.computation.check_decided({name: value})
        before = Before(name, was, self.results())
        self.project.decide(self.alternative, {name: value}, f"{what}: {why}" if why else what, expected=self.head)
        self.reasons_used += self.state.pop("why", None) is not None
        if value != was:
            self.before = before

    def step(self, which: str) -> None:
        """Undo or redo the last change of the road."""

        def move() -> None:
            done: Change = (self.project.undo if which == "undo" else self.project.redo)(expected=self.head)
            ui.notify(f"{'Undone' if which == 'undo' else 'Done again'}: {meant(done.what)}")

        self.attempt(move)

    def attempt(self, action: Callable[[], Any]) -> bool:
        """Do something that may be refused; a refusal is a sentence on the page, and nothing else happens."""
        self._clear_refusal()
        try:
            action()
        except Conflict as refusal:
            self._refuse(f"{refusal} The page now shows the present state.")
            self.refresh()
            return False
        except SlabwrightError as refusal:
            self._refuse(str(refusal))
            return False
        self.head = self.project.head
        try:
            self.office.changed(self.road)
        except SlabwrightError as untold:  # the change is kept
            self._refuse(str(untold))
        self.refresh()
        return True

    def _refuse(self, words: str) -> None:
        """One refusal stands at a time, until it is closed or the next change."""
        self.refusal = ui.notification(
            meant(words), type="negative", multi_line=True, timeout=None, close_button="Close"
        )

    def _clear_refusal(self) -> None:
        if self.refusal is not None:
            self.refusal.dismiss()
            self.refusal = None

    def file(self) -> Path:
        return self.office.path(self.road)
