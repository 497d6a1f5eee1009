"""On page one: what each method answers for each section, whether they agree, and which one is built on."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from slabwright.figures.bond_said import bond_said
from slabwright.figures.methods import ALONE, COLUMNS, NO_PROMISE, SectionMethods, agreement, methods, reasons
from slabwright.report.blocks import Block, Heading, Items, Text, rows_table
from slabwright.report.given import Report
from slabwright.report.text import listed, literal, plural

if TYPE_CHECKING:
    from collections.abc import Iterator

    import pandas as pd

__all__ = ["against", "method_blocks"]

NO_BOND = (
    "Whether the bond bears load, temperature and shrinkage was not computed, and this answer says nothing of it: compute the"
    " stage bond before the overlay is built."
)
HEADINGS = ("condition", "remaining", "mechanistic", "overlay", "AASHTO", "mechanistic", "curve's error")


def method_blocks(report: Report) -> list[Block]:
    """A table of sections and methods, a line on agreement, the decision; nothing where no section has an overlay."""
    found = _in_order(report)
    if not found:
        return []
    headings = ["section", *HEADINGS, "agree"]
    rows = [[literal(m.section), *_numbers(report, m), m.agree] for m in found]
    return [
        Heading("What each method answers", 2),
        rows_table(
            f"{report.in_unit('Overlay required', 'thickness')} by AASHTO 1993 by condition and by remaining life and by the mechanistic analysis; the"
            f" overlay; its life [years] at {report.decisions.design.reliability:.0%} by each, and by the cracking curve's error",
            headings,
            rows,
            report.system,
            right=range(1, 8),
        ),
        Text(literal(report.plain(agreement(found, report.decisions, "life" in report.results, report.system)), 1200)),
        *_reasons(found),
    ]


def against(report: Report) -> list[str]:
    """What the long stages say against the answer, in the sentences under it; nothing where they were not computed."""
    found = [m for m in _in_order(report) if m.agree != ALONE]
    sentences = []
    lived = sorted(m.mechanistic_years for m in found if np.isfinite(m.mechanistic_years))
    if lived:
        low, high = (report.value(years, "years") for years in (lived[0], lived[-1]))
        sentences.append(
            f"By the mechanistic analysis{_calibrated(report)} {plural(len(lived), 'section')} {'last' if len(lived) > 1 else 'lasts'}"
            f" {low} to {high} at the same reliability."
        )
    if silent := [m.section for m in found if m.agree == NO_PROMISE]:
        sentences.append(f"It promises nothing in {listed(map(literal, silent))}.")
    if "bond" in report.results:
        verdicts = report.by_section("bond", "bond_verdicts")
        sentences.extend(bond_said(verdicts, report.value, lambda names: listed(map(literal, names))))
        sentences.extend(_not_in_the_lives(report, verdicts, lived))
    elif (report.table("design", "thicknesses")["overlay"] > 0).any():
        sentences.append(NO_BOND)
    return [" ".join(sentences)] if sentences else []


def _not_in_the_lives(report: Report, verdicts: pd.DataFrame, lived: list[float]) -> Iterator[str]:
    """That the mechanistic lives hold nothing of the shrinkage that the bond is loaded with, where both were computed."""
    left = verdicts["strain"][verdicts["strain"] > max(report.decisions.life.overlay_shrinkage, 1e-6)]
    if lived and len(left):
        yield (
            f"The mechanistic lives count {_millionths(report.decisions.life.overlay_shrinkage)} of the {_millionths(left.min())} to"
            f" {_millionths(left.max())} millionths by which the bond analysis has the overlay shrink against the old slab: with"
            " it they are shorter, and may end in the first years."
        )


def _millionths(strain: float) -> str:
    return f"{1e6 * strain:.0f}" if strain else "none"


def _calibrated(report: Report) -> str:
    """That the analysis was bent to the past, where it was: as published it foretold another."""
    if report.decisions.life.calibration == "as published":
        return ""
    return ", which as published misses the road's own past and is calibrated to it by section,"


def _in_order(report: Report) -> tuple[SectionMethods, ...]:
    found = {m.section: m for m in methods(report.results, report.decisions)}
    return tuple(found[name] for name in report.in_order(found))


def _numbers(report: Report, found: SectionMethods) -> list[str]:
    return [report.bare(getattr(found, name), kind) for name, kind in COLUMNS.items()]


def _reasons(found: tuple[SectionMethods, ...]) -> list[Block]:
    items = tuple((f"{listed(map(literal, names))}:", f"{words}.") for words, names in reasons(found).items())
    return [Items(items, small=True)] if items else []
