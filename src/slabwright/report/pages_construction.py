"""What the builder must keep to: specification values, joints and steel, quantities, clearances and decks."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from slabwright.report.blocks import Block, Heading, Items, Text, rows_table
from slabwright.report.chapters import Chapter, place_of
from slabwright.report.given import Report
from slabwright.report.pages_section import built_sections
from slabwright.report.text import listed, literal

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["CHAPTERS", "requirements"]

SMALL_ROWS = 7.4

JOINTS = (
    ("overlay", "overlay", "thickness"),
    ("joint_spacing", "joints of the old slab every", "length"),
    ("transverse_saw", "transverse saw cut", "thickness"),
    ("longitudinal_saw", "longitudinal saw cut", "thickness"),
    ("longitudinal_steel", "longitudinal steel", "steel_area"),
    ("transverse_steel", "transverse steel", "steel_area"),
    ("bars", "continuous bars in a lane", "number"),
)


def requirements(report: Report) -> list[Block]:
    """Specification, quantities, joints and steel, bridges."""
    if not built_sections(report):
        return [
            Heading("Construction requirements"),
            Text("No overlay is designed, so nothing is asked of the builder."),
        ]
    return [
        Heading("Construction requirements"),
        *_specification(report),
        *_quantities(report),
        *_joints(report),
        *_bridges(report),
    ]


def _specification(report: Report) -> list[Block]:
    frame = report.table("design", "specifications")
    if frame.empty:
        return [Text("No overlay is designed, so nothing is specified.")]
    rows = [
        (literal(r.item, 100), report.said(r.value), f"{report.said(r.source).rstrip('.')} ({r.tag})")
        for r in frame.itertuples(index=False)
    ]
    return [rows_table("Specification", ("item", "requirement", "source"), rows, report.system, size=7.6)]


def _quantities(report: Report) -> list[Block]:
    """Thickness as built from station to station, tapers, and what is built where no bonded overlay is."""
    frame = report.table("design", "stretches")
    if frame.empty:
        return []
    kinds = {"needed": "thickness", "overlay": "thickness", "most_surplus": "thickness"}
    kinds |= {"area": "paved_area", "volume": "volume"}
    words = ("greatest need", "built", "beyond the need", "area", "concrete")
    headings = (
        "direction",
        "from",
        "to",
        "sections",
        *(report.in_unit(w, k) for w, k in zip(words, kinds.values(), strict=True)),
    )
    rows = [
        [*_place(report, r), literal(r["sections"], 60), *(report.bare(float(r[c]), k) for c, k in kinds.items())]
        for _, r in frame.iterrows()
    ]
    rows.append(["all", *[""] * 6, *(report.bare(float(frame[c].sum()), kinds[c]) for c in ("area", "volume"))])
    title = "Thickness as built, without overrun"
    built = rows_table(title, headings, rows, report.system, right=range(4, 9), strong=[len(rows) - 1], size=SMALL_ROWS)
    return [built, *_tapers(report), *_ways(report)]


def _place(report: Report, row: pd.Series) -> list[str]:
    way = {"with stationing": "with", "against stationing": "against"}.get(row["direction"], row["direction"])
    return [literal(way), report.station(row["begin"]), report.station(row["end"])]


def _tapers(report: Report) -> list[Block]:
    frame = report.table("design", "tapers")
    if frame.empty:
        return []
    kinds = {"high": "thickness", "low": "thickness", "length": "length", "volume": "volume", "milled": "volume"}
    words = ("raised", "down to", "length", "concrete", "milled")
    headings = (
        "direction",
        "from",
        "to",
        "place",
        *(report.in_unit(w, k) for w, k in zip(words, kinds.values(), strict=True)),
    )
    rows = [
        [*_place(report, r), literal(r["place"], 40), *(report.bare(float(r[c]), k) for c, k in kinds.items())]
        for _, r in frame.iterrows()
    ]
    choice = report.decisions.design
    note = (
        f"Length over rise in the lanes {choice.taper_ratio:g}, on ramps {choice.ramp_taper_ratio:g} (common practice, no"
        " source). Where a taper leads to a surface that is not raised, the old slab is milled or rebuilt beneath it, so"
        " that the overlay is nowhere feathered."
    )
    if len(full := frame[frame["rebuilt"] > 0]):
        note += (
            f" Rebuilt full depth, {report.value(full['rebuilt'].sum(), 'paved_area')}, where milling would leave too thin a slab for"
            f" the traffic: {listed(literal(place, 40) for place in dict.fromkeys(full['place']))}."
        )
    return [rows_table("Tapers", headings, rows, report.system, right=range(4, 9), size=SMALL_ROWS), Text(note, "fine")]


def _ways(report: Report) -> list[Block]:
    frame = report.by_section("design", "refused_ways")
    if frame.empty:
        return []
    kinds = {
        "concrete": "thickness",
        "area": "paved_area",
        "volume": "volume",
        "removed": "volume",
        "raised": "thickness",
    }
    words = ("new concrete", "area", "volume", "removed", "grade raised")
    headings = (
        "section",
        "way",
        *(report.in_unit(w, k) for w, k in zip(words, kinds.values(), strict=True)),
        "fits under bridges",
        "chosen",
    )
    rows = [
        [
            literal(r["section"]),
            r["way"],
            *(report.bare(float(r[c]), k) for c, k in kinds.items()),
            r["fits"],
            r["chosen"],
        ]
        for _, r in frame.iterrows()
    ]
    title = "Ways through where no bonded overlay is designed"
    return [rows_table(title, headings, rows, report.system, right=range(2, 7), size=SMALL_ROWS)]


def _joints(report: Report) -> list[Block]:
    frame = report.by_section("design", "steel")
    if frame.empty:
        return []
    shown = [(c, words, kind) for c, words, kind in JOINTS if frame[c].notna().any()]
    rows = [[literal(r["section"]), *(report.bare(float(r[c]), k) for c, _, k in shown)] for _, r in frame.iterrows()]
    headings = ["section", *(report.in_unit(words, kind) for _, words, kind in shown)]
    notes = [
        (f"{', '.join(map(literal, here['section']))}:", f"{literal(report.plain(str(note)))}.")
        for note, here in frame[frame["note"] != ""].groupby("note", sort=False)
    ]
    table = rows_table("Joints and steel", headings, rows, report.system, right=range(1, len(headings)))
    return [table, Items(tuple(notes), small=True)] if notes else [table]


def _remains(report: Report, available: float, raised: float) -> str:
    """What the clearance leaves ``available`` for a raise [m], and what of it is left, or lacks, after this one."""
    if not np.isfinite(available - raised):
        return ""
    left = f" (of the {report.value(available, 'thickness')} that it leaves, "
    if raised <= available + 1e-9:
        return f"{left}{report.value(available - raised, 'thickness')} remain)"
    if available > 0:
        return f"{left}{report.value(raised - available, 'thickness')} are lacking)"
    return f" ({report.value(raised - available, 'thickness')} are lacking)"


def _bridges(report: Report) -> list[Block]:
    items = []
    for b in report.table("design", "clearances").itertuples(index=False):
        words = {"yes": "the clearance suffices", "no": "the clearance does not suffice"}.get(b.passes, b.passes)
        remedy = f" {report.said(b.remedy)}." if b.remedy else ""
        items.append((
            f"{literal(b.bridge, 60)}:",
            f"{b.passes_road}; grade raised by {report.value(b.grade_raise, 'thickness')}, {words}"
            f"{_remains(report, b.available, b.grade_raise)}.{remedy}",
        ))
    items += [
        (
            f"{literal(b.bridge, 60)}:",
            f"its deck, {report.value(b.deck_length, 'length')}, is left out of the overlay; overlay beside it"
            f" {report.value(b.beside, 'thickness')}, taper {report.value(b.taper, 'length')} at each end. Bears it:"
            f" {b.bears}. {literal(report.plain(b.note)).capitalize()}.",
        )
        for b in report.table("design", "structures").itertuples(index=False)
    ]
    return [Heading("Bridges", 2), Items(tuple(items), small=True)] if items else []


CHAPTERS = (Chapter(lambda: place_of("design"), requirements, "design", part="report"),)
