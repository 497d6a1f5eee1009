"""What each method answers for a section, side by side: thickness and life, and whether they agree."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from slabwright.records.decisions import Decisions
from slabwright.records.decisions.basis import UNDECIDED
from slabwright.records.remarks import Remark, remark
from slabwright.records.results import StageResult

__all__ = ["ALONE", "NO_PROMISE", "SectionMethods", "decided_on", "disagreeing", "methods"]

AGREE, DISAGREE, ALONE, NO_PROMISE = "yes", "no", "one method alone", "no promise"


@dataclass(frozen=True)
class SectionMethods:
    """Of one section with an overlay, SI and years; NaN where a method gives nothing.

    condition, remaining, fatigue: overlay required by AASHTO 1993 with the effective thickness by condition and by
    remaining life, and by the mechanistic analysis; overlay: the one chosen; its life at the design reliability by AASHTO 1993
    (aashto_years) and by the mechanistic analysis, by the scatter of inputs (mechanistic_years) and by the published standard
    error (curve_years); agree: one of ``AGREE``, ``DISAGREE``, ``ALONE``, ``NO_PROMISE``; why: what a reader must know.
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
    aashto, fatigue, curve = of(row, "years"), of(life, "overlay_years"), of(life, "overlay_curve_years")
    promised = getattr(life, "promised", "yes") != "no"
    thickness = of(life, "found")
    why = tuple(_why(condition, remaining, aashto, fatigue, life, decisions))
    agree = ALONE if life is None else NO_PROMISE if not promised else DISAGREE if why else AGREE
    return SectionMethods(
        str(getattr(row, "section", "")),
        condition,
        remaining,
        thickness,
        of(row, "overlay"),
        aashto,
        fatigue if promised else np.nan,
        curve if promised else np.nan,
        agree,
        why,
    )


def _why(
    condition: float, remaining: float, aashto: float, fatigue: float, life: object, decisions: Decisions
) -> list[Remark]:
    """Why two methods differ beyond the factor decided, or why one promises nothing."""
    factor, why = decisions.basis.agreement, []
    step = 0.0254  # an inch of overlay, about a class of thickness in practice (common practice, no source)
    if abs(remaining - condition) > step:
        why.append(
            remark(
                "AASHTO 1993 asks for {condition} by condition and {remaining} by remaining life: the axles so far have used"
                " up more, or less, of the slab than its cracks show",
                condition=("thickness", condition),
                remaining=("thickness", remaining),
            )
        )
    if life is None:
        return why
    promised = getattr(life, "promised", "yes")
    if promised == "no":
        why.append(remark("the mechanistic analysis promises nothing; the table of the fatigue life says why"))
        return why
    if promised != "yes":
        why.append(remark("the mechanistic analysis was not held against the section's past, which was not surveyed"))
    if not 1 / factor <= fatigue / max(aashto, 1e-9) <= factor:
        why.append(
            remark(
                "the life is {aashto} by AASHTO 1993 and {fatigue} by the mechanistic analysis, where cracking governs at the"
                " {point}, which the 1993 equation does not see",
                aashto=("years", aashto),
                fatigue=("years", fatigue),
                point=("text", str(getattr(life, "point", ""))),
            )
        )
    return why


def disagreeing(found: tuple[SectionMethods, ...]) -> tuple[str, ...]:
    """Names of the sections whose methods disagree or of which one promises nothing."""
    return tuple(m.section for m in found if m.why)


def decided_on(decisions: Decisions) -> str:
    """What the engineer builds on and why, in a sentence; that it is open where nothing is decided."""
    basis = decisions.basis
    if basis.method == UNDECIDED:
        return "Which method is built on is not decided (basis.method, with its reason)."
    reason = basis.reason.rstrip(".") or "no reason is given (basis.reason)"
    return f"Built on: {basis.method}. Reason: {reason}."
