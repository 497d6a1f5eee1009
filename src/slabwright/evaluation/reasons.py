"""One reason for or against a bonded overlay: what was found, its limit, and whether it holds, fails or was not examined."""

from __future__ import annotations

import operator
from dataclasses import dataclass

import numpy as np

from slabwright.records.decisions.evaluation import EvaluationDecisions
from slabwright.records.remarks import Remark, remark
from slabwright.records.words import FAILS, HOLDS, NOT_EXAMINED, NOT_JUDGED, NOT_SUITED
from slabwright.statistics.samples import binomial_interval

__all__ = [
    "BLOCKING",
    "CAUTION",
    "DATA",
    "GUIDE",
    "PRACTICE",
    "REFUSES",
    "REPAIR",
    "Reason",
    "Sample",
    "compared",
    "sampled",
]

# What failing means. A caution is told with its number and changes no verdict.
REFUSES, REPAIR, DATA, CAUTION = NOT_SUITED, "repair first", NOT_JUDGED, "caution"
BLOCKING = (REFUSES, REPAIR, DATA)  # without such an examination a section is not judged
GUIDE = "AASHTO 1993 Part III section 5.8.1 (from memory); the number is the agency's"
PRACTICE = "common practice, no source"
SIGNS = {">=": "≥", "<=": "≤"}
COMPARE = {">=": operator.ge, "<=": operator.le}
BY_LIMITS = "limits of the share"


@dataclass(frozen=True)
class Reason:
    """One comparison with its outcome, what failing means, and the decision that assumes it where it was not examined."""

    subject: str
    provided: Remark | str
    required: Remark | str
    outcome: str
    weight: str
    source: str
    assumed_by: str = ""
    sample: Remark | str = ""

    @property
    def blocks(self) -> bool:
        """Whether the verdict must wait: not examined, not assumed, and more than a caution."""
        return self.outcome == NOT_EXAMINED and not self.assumed_by and self.weight in BLOCKING


@dataclass(frozen=True)
class Sample:
    """What a number of cores or corners showed; ``unsettled`` ones are neither, until the engineer settles them."""

    found: int
    count: int
    unsettled: int = 0


def compared(
    subject: str,
    kind: str,
    provided: float,
    op: str,
    required: float,
    source: str,
    weight: str,
    *,
    assumed_by: str = "",
) -> Reason:
    """``provided op required`` in SI; NaN was not examined, which ``assumed_by`` may cover."""
    limit = remark(f"{SIGNS[op]} {{limit}}", limit=(kind, required))
    if not np.isfinite(provided):
        return Reason(subject, NOT_EXAMINED, limit, NOT_EXAMINED, weight, source, assumed_by)
    holds = bool(COMPARE[op](provided, required))
    return Reason(
        subject, remark("{found}", found=(kind, float(provided))), limit, HOLDS if holds else FAILS, weight, source
    )


def sampled(
    subject: str,
    sample: Sample,
    most: float,
    source: str,
    decisions: EvaluationDecisions,
    *,
    assumed_by: str = "",
) -> Reason:
    """A share of cores or corners against the greatest that suits, by the share found or by its exact limits.

    By the limits it holds where the upper one is within, fails where the lower one is beyond, and is not examined enough
    between. Fewer than ``least_samples`` hold nothing, unless ``assumed_by`` stands for the rest of them. Unsettled samples count against the section: it holds only if it would with all of them found.
    """
    limit = remark("≤ {limit}", limit=("share", most))
    if sample.count + sample.unsettled == 0:
        return Reason(subject, NOT_EXAMINED, limit, NOT_EXAMINED, REFUSES, source, assumed_by)
    worst = Sample(sample.found + sample.unsettled, sample.count + sample.unsettled)
    by_limits = decisions.samples_judged_by == BY_LIMITS
    fails = sample.count > 0 and _share(sample, decisions)[1 if by_limits else 0] > most
    holds = worst.count >= decisions.least_samples and _share(worst, decisions)[2 if by_limits else 0] <= most
    if not sample.count:  # whatever was looked at is contested: nothing was found
        told = remark("{unsettled} open", unsettled=("count", sample.unsettled))
        return Reason(subject, NOT_EXAMINED, limit, NOT_EXAMINED, REFUSES, source, sample=told)
    share, low, high = _share(sample, decisions)
    values: dict[str, tuple[str, float | str]] = {
        "found": ("count", sample.found),
        "count": ("count", sample.count),
        "low": ("share", low),
        "high": ("share", high),
    }
    more = {"unsettled": ("count", sample.unsettled)} if sample.unsettled else {}
    template = "{found} of {count}, {low} to {high}" + (", {unsettled} open" if more else "")
    told = remark(template, "", **values, **more)
    outcome = FAILS if fails else HOLDS if holds else NOT_EXAMINED
    provided = remark("{found}", found=("share", share))
    few = outcome == NOT_EXAMINED and not worst.found and worst.count < decisions.least_samples
    return Reason(subject, provided, limit, outcome, REFUSES, source, assumed_by if few else "", sample=told)


def _share(sample: Sample, decisions: EvaluationDecisions) -> tuple[float, float, float]:
    """The share with its exact lower and upper limit."""
    found = binomial_interval(float(sample.found), float(sample.count), decisions.sample_confidence)
    return float(found.share), float(found.lower), float(found.upper)
