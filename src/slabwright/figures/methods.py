"""What each method answers for a section, side by side: thickness and life, and whether they agree."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from slabwright import units
from slabwright.records.decisions import Decisions
from slabwright.records.decisions.basis import MECHANISTIC, UNDECIDED
from slabwright.records.remarks import Remark, remark
from slabwright.records.results import StageResult
from slabwright.records.words import sections_named

__all__ = [
    "ALONE",
    "COLUMNS",
    "DISAGREE",
    "NO_PROMISE",
    "SectionMethods",
    "agreement",
    "decided_on",
    "methods",
    "reasons",
]

AGREE, DISAGREE, ALONE, NO_PROMISE = "yes", "no", "one method alone", "no promise"
OPEN = "past not examined"
CLASS = 0.0254  # m: an inch of overlay, about a class of thickness in practice (common practice, no source)

# The numbers of a section in a table, with their kinds.
COLUMNS = {
    "condition": "thickness",
    "remaining": "thickness",
    "fatigue": "thickness",
    "overlay": "thickness",
    "aashto_years": "years",
    "mechanistic_years": "years",
    "curve_years": "years",
}

# Why methods differ, with the numbers of a section; and what is said once of all sections beside a table of numbers.
APART = (
    "AASHTO 1993 asks for {condition} by condition and {remaining} by remaining life: the axles so far have used up more life, or"
    " less, of the slab than its cracks show"
)
BEYOND = (
    "the life is {aashto} by AASHTO 1993 and {years} by the mechanistic analysis, where cracking governs at the {point}, which"
    " the 1993 equation does not see"
)
CURVE = "with the published error of the cracking curve the life is {curve}, against {aashto} by AASHTO 1993"
THICKER = "the mechanistic analysis asks for an overlay of {mechanistic}, AASHTO 1993 by condition for {condition}"
SILENT = "the mechanistic analysis promises nothing; the table of the fatigue life says why"
UNEXAMINED = "the mechanistic analysis was not held against the section's past, which was not surveyed"
SHORT = {
    APART: "by remaining life AASHTO 1993 asks for another overlay than by condition: the axles so far have used up more life, or"
    " less, of the slab than its cracks show",
    BEYOND: "the mechanistic analysis sees cracking at a place that the 1993 equation does not",
    CURVE: "the published error of the cracking curve gives a life beyond the factor",
    THICKER: "the mechanistic analysis asks for another thickness than AASHTO 1993 by condition",
    SILENT: SILENT,
    UNEXAMINED: "the section's past was not surveyed",
}


@dataclass(frozen=True)
class SectionMethods:
    """Of one section with an overlay, SI and years; NaN where a method gives nothing.

    condition, remaining, fatigue: overlay required by AASHTO 1993 with the effective thickness by condition and by
    remaining life, and by the mechanistic analysis; overlay: the one chosen; its life at the design reliability by AASHTO 1993
    (aashto_years) and by the mechanistic analysis, by the scatter of inputs (mechanistic_years) and by the published standard
    error (curve_years); agree: one of ``AGREE``, ``DISAGREE``, ``ALONE``, ``NO_PROMISE``, ``OPEN``; why: what a reader must know.
    """

    section: str
    condition: float
    remaining: float
    fatigue: float
    overlay: float
    aashto_years: float
    mechanistic_years: float
    curve_years: float
    agree: str
    why: tuple[Remark, ...]


def methods(results: Mapping[str, StageResult], decisions: Decisions) -> tuple[SectionMethods, ...]:
    """Every section with an overlay, in the order of the road. Needs the stage design; uses life where it was computed."""
    thicknesses = results["design"].tables["thicknesses"]
    designed = thicknesses[thicknesses["overlay"] > 0]
    lives = results["life"].tables["fatigue_thickness"] if "life" in results else pd.DataFrame({"section": []})
    found = {str(row.section): row for row in lives.itertuples(index=False)}
    return tuple(_one(row, found.get(str(row.section)), decisions) for row in designed.itertuples(index=False))


def _one(row: object, life: object, decisions: Decisions) -> SectionMethods:
    def of(source: object, name: str) -> float:
        return float(getattr(source, name, np.nan))

    required = of(row, "required_slab")
    condition, remaining = (max(required - of(row, f"effective_{by}"), 0.0) for by in ("condition", "life"))
    silent = getattr(life, "promised", "yes") == "no"
    aashto, years, curve = (
        of(row, "years"),
        *(np.nan if silent else of(life, f"overlay_{n}years") for n in ("", "curve_")),
    )
    why = _thicknesses_apart(condition, remaining)
    if silent:
        why.append(remark(SILENT))
    else:
        why += _asked_apart(condition, of(life, "found"))
        why += _lives_apart(aashto, years, curve, life, decisions.basis.agreement)
    unexamined = life is not None and getattr(life, "promised", "yes") not in ("yes", "no")
    agree = NO_PROMISE if silent else DISAGREE if why else ALONE if life is None else OPEN if unexamined else AGREE
    if unexamined:
        why.append(remark(UNEXAMINED))
    return SectionMethods(
        str(getattr(row, "section", "")),
        condition,
        remaining,
        of(life, "found"),
        of(row, "overlay"),
        aashto,
        years,
        curve,
        agree,
        tuple(why),
    )


def _thicknesses_apart(condition: float, remaining: float) -> list[Remark]:
    if not abs(remaining - condition) > CLASS:  # NaN too: one method alone has no rival
        return []
    return [
        remark(
            APART,
            condition=("thickness", condition),
            remaining=("thickness", remaining),
        )
    ]


def _asked_apart(condition: float, mechanistic: float) -> list[Remark]:
    if not abs(mechanistic - condition) > CLASS:  # NaN too
        return []
    return [remark(THICKER, mechanistic=("thickness", mechanistic), condition=("thickness", condition))]


def _lives_apart(aashto: float, years: float, curve: float, life: object, factor: float) -> list[Remark]:
    """What is said where a life by the mechanistic analysis is beyond the factor from that of AASHTO 1993."""
    if life is None:
        return []
    found = []
    if not 1 / factor <= years / max(aashto, 1e-9) <= factor:
        found.append(
            remark(
                BEYOND,
                aashto=("years", aashto),
                years=("years", years),
                point=("text", str(getattr(life, "point", ""))),
            )
        )
    if not 1 / factor <= curve / max(aashto, 1e-9) <= factor:
        found.append(
            remark(
                CURVE,
                curve=("years", curve),
                aashto=("years", aashto),
            )
        )
    return found


def agreement(
    found: tuple[SectionMethods, ...],
    decisions: Decisions,
    lived: bool,
    system: units.System,
    names: Callable[[Sequence[str]], str] = sections_named,
) -> str:
    """Whether the methods agree, where they do not or one says nothing, and what is built on.

    ``lived``: life is computed; ``names`` writes a list of sections.
    """

    def named(agree: str) -> str:
        return names([m.section for m in found if m.agree == agree]) if any(m.agree == agree for m in found) else ""

    step = units.format_quantity(CLASS, "thickness", system)
    factor = f"a factor of {decisions.basis.agreement:g} on life and {step} of overlay"
    said = [] if lived else ["The mechanistic analysis was not computed: lives are those of AASHTO 1993 alone."]
    if apart := named(DISAGREE):
        said.append(f"The methods do not agree, within {factor}, in {apart}.")
    if silent := named(NO_PROMISE):
        said.append(f"The mechanistic analysis promises nothing in {silent}.")
    if unexamined := named(OPEN):
        said.append(f"It was not held against the past in {unexamined}.")
    if not said:
        said.append(f"The methods agree within {factor}.")
    return " ".join([*said, decided_on(found, decisions)])


def reasons(found: tuple[SectionMethods, ...]) -> dict[str, list[str]]:
    """Why methods differ or say nothing, each reason once with its sections; the numbers stand in the table."""
    said: dict[str, list[str]] = {}
    for one in found:
        for why in one.why:
            said.setdefault(SHORT[why.template], []).append(one.section)
    return said


def decided_on(found: tuple[SectionMethods, ...], decisions: Decisions) -> str:
    """What the engineer builds on and why, in a sentence or two; that it is open where nothing is decided.

    Where the overlay chosen is not what that method asks for, or it was not computed or promises nothing, that too.
    """
    basis = decisions.basis
    if basis.method == UNDECIDED:
        return "Which method is built on is not decided (basis.method, with its reason)."
    reason = basis.reason.rstrip(".") or "no reason is given (basis.reason)"
    said = f"Built on: {basis.method}. Reason: {reason}."
    mechanistic = basis.method == MECHANISTIC
    asked = {m.section: (m.fatigue if mechanistic else m.condition, m.overlay) for m in found}
    thin = [name for name, (need, built) in asked.items() if need > built + 1e-6]
    none = [m.section for m in found if mechanistic and m.agree in (ALONE, NO_PROMISE)]
    if thin:
        said += f" The overlay chosen is thinner than it asks for in {sections_named(thin)}."
    if none:
        said += f" It says nothing of {sections_named(none)}: not computed, or nothing promised."
    return said
