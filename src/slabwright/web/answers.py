"""The answer of each page in one or two sentences, and what stands against it: of the road, then of the section at hand."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from slabwright import units
from slabwright.bond.verdict import YES
from slabwright.economics.run import three_figures, undecided_prices
from slabwright.figures.bond_said import aged, bond_said
from slabwright.figures.methods import DISAGREE, NO_PROMISE, agreement, methods
from slabwright.life.past import AGREES
from slabwright.records.decisions import Decisions
from slabwright.records.display import is_longest, life_words
from slabwright.records.remarks import Remark, reads, together, worded
from slabwright.records.results import StageResult
from slabwright.records.words import VERDICTS
from slabwright.stages import stage_named

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["ANSWERS", "Answer", "Seen", "listed", "road_answer"]

MOST_NAMED = 4  # sections named one by one; more are counted
UNCHECKED = "Bond not checked: the lives and thicknesses hold only if the overlay stays bonded. Compute the page Bond."


@dataclass(frozen=True)
class Answer:
    """The answer to a page's question in one or two sentences, and what stands against it."""

    head: str
    against: tuple[str, ...] = ()


@dataclass(frozen=True)
class Seen:
    """What an answer is made of: results, decisions, the units of the reader and the section at hand.

    ``before`` tells, by stage, of kept results that do not hold for the road as it is now.
    """

    results: Mapping[str, StageResult]
    decisions: Decisions
    system: units.System
    section: str = ""
    before: Mapping[str, str] = field(default_factory=dict)

    def table(self, stage: str, name: str) -> pd.DataFrame:
        return self.results[stage].tables[name]

    def row(self, stage: str, name: str) -> Any:
        """The row of the section at hand; None where it has none."""
        frame = self.table(stage, name)
        return next(frame[frame["section"] == self.section].itertuples(index=False), None)

    def value(self, number: float, kind: str) -> str:
        return units.format_quantity(float(number), kind, self.system)

    def life(self, years: float) -> str:
        return life_words(float(years), self.system)

    def lives(self, years: pd.Series) -> str:
        """The range of lives."""
        known = years[np.isfinite(years)]
        if not len(known) or not is_longest(known.max()):
            return self.between(years, "years")
        least, most = (self.life(f(known)) for f in (min, max))
        return most if least == most else f"{least} to {most}"

    def between(self, values: pd.Series, kind: str) -> str:
        """The range of values, the unit once."""
        known = values[np.isfinite(values)]
        low, high = (float(f(known)) if len(known) else float("nan") for f in (min, max))
        first, last = units.format_quantity(low, kind, self.system, unit=False), self.value(high, kind)
        return last if first == units.format_quantity(high, kind, self.system, unit=False) else f"{first} to {last}"

    def notes(self, stage: str, kept: Callable[[Remark], bool] = lambda _: True) -> tuple[str, ...]:
        """What a stage says, alike notes of several sections once."""
        return tuple(worded(note, self.system) for note in together(filter(kept, self.results[stage].notes)))


def listed(names: Sequence[str]) -> str:
    """A few names, or how many there are."""
    if len(names) > MOST_NAMED:
        return f"{len(names)} sections"
    return " and ".join(", ".join(names).rsplit(", ", 1))


def road_answer(seen: Seen) -> Answer:
    """Of the whole road: what takes an overlay, how thick, how long it lasts, what it costs; and what is not settled."""
    frame = seen.table("design", "thicknesses")
    built = frame[frame["overlay"] > 0]
    if built.empty:
        verdicts = seen.table("evaluation", "verdicts")["verdict"]
        return Answer(f"No section takes a bonded overlay as things stand: {_counted(verdicts)}.", _stand_against(seen))
    period = seen.decisions.traffic.design_period
    unlike = any(m.agree in (DISAGREE, NO_PROMISE) for m in methods(seen.results, seen.decisions))
    apart = ", while the methods do not agree" if unlike else ""
    reach = int((built["years"] >= period - 0.05).sum())
    short = built[built["years"] < period - 0.05]
    beside = f", not in {listed([f'{r.section} ({seen.life(r.years)})' for r in short.itertuples(index=False)])}"
    head = (
        f"{len(built)} of {len(frame)} sections take a bonded overlay of {seen.between(built['overlay'], 'thickness')}, and"
        f" {'it lasts' if reach == len(built) else f'in {reach} it lasts'} the {period:g} years asked at"
        f" {seen.decisions.design.reliability:.0%} by AASHTO 1993 ({seen.lives(built['years'])}){beside if len(short) else ''}{apart}; deflection falls by"
        f" {seen.between(built['reduction'], 'share')}."
    )
    left = [str(name) for name in frame.loc[~(frame["overlay"] > 0), "section"]]
    return Answer(f"{head} {_left(left)}{_money(seen)}", _stand_against(seen))


def _left(names: Sequence[str]) -> str:
    return f"{listed(names)} {'takes' if len(names) == 1 else 'take'} none. " if names else ""


def _money(seen: Seen) -> str:
    prices = seen.decisions.economics
    if "economics" not in seen.results or not prices.confirmed:
        return ""
    whole = three_figures(float(seen.table("economics", "bid_items")["amount"].sum()))
    said = f"The items of the bid come to {seen.value(whole, 'money')} {prices.currency} at prices of {prices.price_year:.0f}"
    own, priced = undecided_prices(prices)
    if own:
        return f"{said}, which is no estimate: {own} of {priced} unit prices are the program's placeholders."
    return f"{said}, confirmed by the engineer; what is open or not designed is not in it."


def _stand_against(seen: Seen) -> tuple[str, ...]:
    """A bond that nobody has checked, methods that disagree, what is open and what is assumed."""
    found = methods(seen.results, seen.decisions)
    unchecked = "bond" not in seen.results and bool((seen.table("design", "thicknesses")["overlay"] > 0).any())
    said = [_and_before(UNCHECKED, "bond", seen)] if unchecked else []
    agree = agreement(found, seen.decisions, "life" in seen.results, seen.system, listed) if found else ""
    said += [_and_before(agree, "life", seen)] if agree else []
    if "bond" in seen.results:
        said += bond_said(seen.table("bond", "bond_verdicts"), seen.value, listed)
    points = seen.table("evaluation", "open_points")
    said += [
        f"Open: {about}: {reads(point, seen.system)}."
        for about, point in zip(points["about"], points["point"], strict=True)
    ]
    money = seen.notes("economics")[1:] if _money(seen) else ()
    return (*said, *_assumed(seen), *money)


def _and_before(words: str, stage: str, seen: Seen) -> str:
    """What is said of a stage without a result, and that it has an earlier one that does not hold now."""
    before = seen.before.get(stage, "")
    return f"{words} {stage_named(stage).title}: {before[:1].lower()}{before[1:]}" if before else words


def _assumed(seen: Seen) -> tuple[str, ...]:
    by_name = seen.table("evaluation", "assumptions").query("without != ''")
    return tuple(
        f"{quantity}: assumed in {listed(list(here['section']))} by {decision}; without it: {without}."
        for (quantity, decision, without), here in by_name.groupby(["quantity", "decision", "without"], sort=False)
    )


def _counted(verdicts: pd.Series) -> str:
    return ", ".join(f"{n} {verdict}" for verdict in VERDICTS if (n := int((verdicts == verdict).sum())))


# Stages ----------------------------------------------------------------------------------------------------


def _survey(seen: Seen) -> Answer:
    sections, basins = seen.table("survey", "sections"), seen.table("survey", "basins")
    head = (
        f"{len(basins)} deflection tests divide the road into {len(sections)} sections; the mean mid-slab deflection goes from"
        f" {seen.between(sections['mean_deflection'], 'deflection')}."
    )
    row = seen.row("survey", "sections")
    if row is not None:
        head += (
            f" Section {row.section}: {row.tests:.0f} tests, {seen.value(row.mean_deflection, 'deflection')} with a coefficient"
            f" of variation of {seen.value(row.variation, 'share')}."
        )
    return Answer(head, seen.notes("survey"))


def _evaluation(seen: Seen) -> Answer:
    verdicts, points = seen.table("evaluation", "verdicts"), seen.table("evaluation", "open_points")
    head = f"{len(verdicts)} sections: {_counted(verdicts['verdict'])}. "
    head += f"{len(points)} open point{'' if len(points) == 1 else 's'}." if len(points) else "No point is open."
    row, state = seen.row("evaluation", "verdicts"), seen.row("evaluation", "condition")
    if row is not None:
        why = reads(row.reasons, seen.system) or reads(row.cautions, seen.system)
        head += f" Section {row.section} is {row.verdict}{f': {why}' if why else ''}"
        head += "" if head.endswith(".") else "."
    if state is not None and np.isfinite(state.remaining_life):
        head += f" Its remaining life is {seen.value(state.remaining_life, 'share')}, k {seen.value(state.foundation, 'foundation')}."
    said = (
        f"{about}: {reads(point, seen.system)}. {reads(settle, seen.system)}"
        for about, point, settle in points.itertuples(index=False)
    )
    return Answer(head, (*said, *_assumed(seen), *seen.notes("evaluation")))


def _repair(seen: Seen) -> Answer:
    repairs, sums = seen.table("repair", "repairs"), seen.table("repair", "repair_quantities")
    if repairs.empty:
        return Answer("Nothing is marked for repair before the overlay.", seen.notes("repair"))
    kinds = [f"{len(here)} {kind}" for kind, here in repairs.groupby("kind", sort=False)]
    here = repairs[repairs["section"] == seen.section]
    head = f"{len(repairs)} repairs before the overlay: {', '.join(kinds)}; {seen.value(sums['area'].sum(), 'area')} in all."
    head += f" Section {seen.section} has {len(here)} of them." if seen.section else ""
    return Answer(head, seen.notes("repair"))


def _design(seen: Seen) -> Answer:
    frame = seen.table("design", "thicknesses")
    built = frame[frame["overlay"] > 0]
    head = (
        f"{len(built)} of {len(frame)} sections take a bonded overlay of {seen.between(built['overlay'], 'thickness')}."
        if len(built)
        else "No section takes a bonded overlay."
    )
    row = seen.row("design", "thicknesses")
    if row is not None and row.overlay > 0:
        head += (
            f" Section {row.section}: {seen.value(row.overlay, 'thickness')} for the {seen.value(row.bonded, 'thickness')} needed;"
            f" it lasts {seen.life(row.years)} at {seen.decisions.design.reliability:.0%} by AASHTO 1993,"
            f" {seen.value(row.years_gained, 'years')} more than without, and deflection falls by {seen.value(row.reduction, 'share')}."
        )
    elif row is not None:
        head += f" Section {row.section} has none: {reads(row.note, seen.system) or row.verdict}."
    thin = built[built["enough"] == "no"]
    if len(thin):
        needs = [f"{r.section} ({seen.value(r.bonded, 'thickness')} needed)" for r in thin.itertuples(index=False)]
        head += f" Too thin in {listed(needs)}."
    found = methods(seen.results, seen.decisions)
    said = (agreement(found, seen.decisions, "life" in seen.results, seen.system, listed),) if found else ()
    return Answer(head, (*said, *seen.notes("design")))


def _bond(seen: Seen) -> Answer:
    verdicts, row = seen.table("bond", "bond_verdicts"), seen.row("bond", "bond_verdicts")
    holds = int((verdicts["passes"] == YES).sum())
    first = f"The bond is shown to hold in {holds} of {len(verdicts)} sections."
    if row is not None:
        first += (
            f" Section {row.section}: strength is {row.factor:.2f} times the demand where it is worst, {row.place}, at"
            f" {aged(row.age)}; {row.least_factor:g} is asked."
        )
    return Answer(first, seen.notes("bond"))


def _life(seen: Seen) -> Answer:
    frame = seen.table("life", "fatigue_thickness")
    promised = frame[frame["promised"] == "yes"]
    asked = seen.decisions.design.reliability
    head = (
        f"In {len(promised)} of {len(frame)} sections the overlay chosen lasts"
        f" {seen.lives(promised['overlay_years'])} at {asked:.0%} by the mechanistic analysis."
        if len(promised)
        else "The mechanistic analysis promises nothing: the road's own past does not bear it out."
    )
    row = seen.row("life", "fatigue_thickness")
    if row is not None:
        median = seen.life(row.median_years)
        head += (
            f" Section {row.section}: {seen.life(row.overlay_years)} at {asked:.0%}, {median} at 50 %, cracking first"
            f" at the {row.point}."
            if row.promised != "no"
            else f" Section {row.section}: {reads(row.note, seen.system)}"
        )
    return Answer(head, (*_past(seen), *seen.notes("life")))


def _past(seen: Seen) -> tuple[str, ...]:
    """What the model says of the old slab beside what was surveyed, where they do not agree."""
    row = seen.row("life", "fatigue_past")
    if row is None or row.agrees == AGREES or not np.isfinite([row.predicted, row.surveyed]).all():
        return ()
    return (
        f"Section {row.section}: the model predicts {seen.value(row.predicted, 'share')} of the old slabs cracked by now;"
        f" {seen.value(row.surveyed, 'share')} was surveyed.",
    )


def _economics(seen: Seen) -> Answer:
    first, *others = seen.notes("economics")
    row = seen.row("economics", "section_costs")
    if row is not None and row.cost > 0:
        first += f" Section {row.section}: {seen.value(row.cost, 'money')}, of which repairs {seen.value(row.repair_cost, 'money')}."
    return Answer(first, tuple(others))


ANSWERS: dict[str, Callable[[Seen], Answer]] = {
    "survey": _survey,
    "evaluation": _evaluation,
    "repair": _repair,
    "design": _design,
    "bond": _bond,
    "life": _life,
    "economics": _economics,
}
