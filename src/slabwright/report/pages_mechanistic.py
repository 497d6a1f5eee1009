"""The bond as a field, and life at a reliability: what the plate model found, where it was asked."""

from __future__ import annotations

from typing import TYPE_CHECKING

from slabwright.bond.map import worst_places
from slabwright.bond.verdict import BOTH
from slabwright.figures.mechanistic import PAST_SHOWN, THICKNESS_SHOWN
from slabwright.report.blocks import Block, Figure, Heading, Items, Text, frame_table, rows_table
from slabwright.report.chapters import Chapter, place_of
from slabwright.report.figures import sections_in_pages
from slabwright.report.given import Report
from slabwright.report.text import literal
from slabwright.stages import outcomes, stage_named
from slabwright.units import format_quantity

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["CHAPTERS", "bond", "life", "lived_sections", "worst_bond"]

VERDICTS = (
    "section",
    "overlay",
    "place",
    "cause",
    "age",
    "mode",
    "factor",
    "least_factor",
    "energy",
    "energy_age",
    "fracture_energy",
    "passes",
)
RIVALS = (
    "section",
    "test",
    "strength",
    "test_age",
    "humidity",
    "free",
    "strain",
    "held",
    "other_criterion",
    "other_model",
    "other_support",
)
PLACES = (
    "section",
    "place",
    "cause",
    "age",
    "mean_shear",
    "mean_peel",
    "tension",
    "shear_strength",
    "factor",
    "passes",
)
PATCHES = ("section", "place", "size", "age", "mean_shear", "mean_peel", "sound", "factor", "opening", "growth")
TESTS = ("section", "position", "before", "bonded", "unbonded", "fall", "unbonded_reduction", "warning_above")
ERRORS = ("section", "point", "level", "past_damage", "surface_error", "damage_error", "outside")


def bond(report: Report) -> list[Block]:
    """The answer, verdicts, demand and strength over ages, the worst places, patches, the map, and deflection tests."""
    title = Heading(stage_named("bond").title)
    shown = report.system
    places, verdicts = report.by_section("bond", "bond_places"), report.by_section("bond", "bond_verdicts")
    return [
        title,
        *_notes(report, "bond"),
        frame_table(outcomes()["bond_verdicts"], verdicts, shown, columns=VERDICTS),
        frame_table(
            outcomes()["bond_verdicts"],
            verdicts,
            shown,
            title="What it rests on, and what others say",
            columns=RIVALS,
        ),
        Text(_method(report)),
        *_over_ages(report),
        Heading("Worst places", 2),
        frame_table(
            outcomes()["bond_places"],
            places.loc[places.groupby(["section", "place"], sort=False)["factor"].idxmin()],
            shown,
            title="Each place under the cause that asks most of it",
            columns=PLACES,
        ),
        Heading("Patches without bond", 2),
        frame_table(
            outcomes()["bond_patches"],
            _worst_patches(report),
            shown,
            title="The largest of each place",
            columns=PATCHES,
        ),
        *_map(report),
        Heading("Tests that confirm or refute the bond", 2),
        Text(
            f"Expected under {report.value(report.decisions.survey.standard_load, 'force')} at the same places before and after."
            " A deflection above the last column, half way from bonded to unbonded, speaks against the bond there."
        ),
        frame_table(
            outcomes()["bond_deflections"], report.by_section("bond", "bond_deflections"), shown, columns=TESTS
        ),
    ]


def _method(report: Report) -> str:
    choice = report.decisions.bond
    return (
        "Two plates joined by an interface, under wheels, by day and by night, and with shrinkage of the overlay by"
        f" {literal(choice.model)} as far as creep leaves it at each age from one day to twenty years. Wheels act from"
        f" {report.value(choice.opening_age, 'age')} on; before, temperature and shrinkage alone. Mean shear and peel over"
        f" {report.value(choice.averaging_length, 'thickness')} from the edge, the width of a pull-off core, are held together"
        f" against the bond's strength at that age by the {literal(choice.criterion)}; shear strength is"
        f" {choice.shear_ratio:g} times the pull-off strength. A peak at an edge is an elastic index for comparing designs; no"
        f" strength can be set against it. {BOTH}"
    )


def _over_ages(report: Report) -> list[Block]:
    name = worst_bond(report)
    if not name:
        return []
    return [
        Figure(
            "bond_ages",
            f"Section {literal(name)}, the least factor of all: what shear and peel together ask of the bond at each place,"
            " as a strength in tension, and that strength.",
            "Curves of demand and strength of the bond against age.",
        )
    ]


def _worst_patches(report: Report) -> pd.DataFrame:
    found = report.by_section("bond", "bond_patches")
    return found[found["size"] == found["size"].max()]


def _map(report: Report) -> list[Block]:
    """The slab of the section with the least factor, and its worst places in words."""
    name = worst_bond(report)
    if not name:
        return []
    frame = report.table("bond", "bond_map")
    found = worst_places(frame[frame["section"] == name], "together").itertuples(index=False)
    return [
        Figure(
            "bond_map",
            f"Section {literal(name)}, the least factor of all: greatest shear between the layers from all causes"
            " together, by day or by night. Values at edges are elastic peaks. Numbers mark the worst places.",
            "Map of shear between the layers over one slab.",
        ),
        Items(
            tuple(
                (
                    f"{i}.",
                    f"{report.value(p.along, 'length')} from the joint, {report.value(p.across, 'length')} from the free edge:"
                    f" {report.value(p.together, 'stress')}, by {p.when}",
                )
                for i, p in enumerate(found, start=1)
            ),
            small=True,
        ),
    ]


def worst_bond(report: Report) -> str:
    """The section with the least factor, "" without any."""
    verdicts = report.table("bond", "bond_verdicts")
    return "" if verdicts.empty else str(verdicts.loc[verdicts["factor"].idxmin(), "section"])


def life(report: Report) -> list[Block]:
    """Thickness found beside AASHTO 1993's, curves, other laws, what the scatter comes from."""
    title = Heading(stage_named("life").title)
    shown, choice = report.system, report.decisions.life
    thickness = report.by_section("life", "fatigue_thickness")
    return [
        title,
        Text(
            f"Fatigue by {literal(choice.fatigue_law)} under every axle and a year of temperatures, in both layers, until"
            f" {choice.cracking_level:.0%} of the sound slabs have cracked from the bottom or the top"
            f" ({choice.cracking_curve}). A life at a reliability is given twice: by a sample over the scatter of the inputs,"
            " and by the standard error published with the cracking curve, in which the error of the law lies too. It rests"
            " on a response surface of the plate model, whose error is part of the scatter."
        ),
        Heading("Held against the road's own past", 2),
        Text(
            "The same model, for the old slab alone under the trucks so far, beside the slabs of the design lane, the outermost"
            " of its direction, in which the survey found a transverse crack; other cracks do not count here."
            f" Within a factor of {choice.past_factor:g} on damage the past agrees; beyond it nothing is"
            f" promised unless a section is calibrated to its past. Damage used: {choice.calibration}."
        ),
        frame_table(outcomes()["fatigue_past"], report.by_section("life", "fatigue_past"), shown, columns=PAST_SHOWN),
        frame_table(outcomes()["fatigue_thickness"], thickness, shown, columns=THICKNESS_SHOWN),
        frame_table(
            outcomes()["fatigue_thickness"],
            thickness,
            shown,
            title="Where cracking governs, and what the surfaces miss",
            columns=ERRORS,
        ),
        *_notes(report, "life"),
        *(
            Figure(
                f"fatigue_lives_{i}",
                "Years to the cracking level. Vertical line: the thickness found; dashed line: the life to reach.",
                "Curves of fatigue life against overlay thickness at four reliabilities.",
            )
            for i in range(len(sections_in_pages(lived_sections(report))))
        ),
        Heading("Other fatigue laws", 2),
        _across(report, "fatigue_laws", "law", "years", "Years by each law with every input at its median", "years"),
        Heading("What else acts on life", 2),
        Text("One thing changed at a time, for the overlay chosen; a plate is computed for each."),
        _across(report, "fatigue_effects", "change", "years", "Years with every input at its median", "years"),
        _across(
            report,
            "fatigue_effects",
            "change",
            "ratio",
            "The same over the years as computed, beyond the longest told too",
            "number",
        ),
        frame_table(outcomes()["fatigue_fits"], report.by_section("life", "fatigue_fits"), shown),
        Heading("What the scatter comes from", 2),
        _across(
            report,
            "fatigue_sensitivities",
            "input",
            "total",
            "Share of the variance of log life, with interactions [%]",
            "share",
        ),
        _across(
            report,
            "fatigue_sensitivities",
            "input",
            "variation",
            "Scatter sampled [%]: of a mean, that of one value over the root of the tests behind it",
            "share",
        ),
        _across(report, "fatigue_sensitivities", "input", "tests", "Tests behind each mean", "count"),
    ]


def lived_sections(report: Report) -> list[str]:
    """Sections with a life, in the order of the road."""
    return [str(name) for name in report.by_section("life", "fatigue_thickness")["section"]]


def _across(report: Report, table: str, rows: str, value: str, title: str, kind: str) -> Block:
    """One value of a table with a row for each name and a column for each section."""
    frame = report.by_section("life", table)
    if frame.empty:
        return Text(f"{title}: no rows.")
    wide = frame.pivot_table(index=rows, columns="section", values=value, sort=False, dropna=False)
    said = report.said if outcomes()[table][rows].kind == "remark" else literal
    cells = [
        [said(name), *(format_quantity(v, kind, report.system, unit=False) for v in row)]
        for name, row in zip(wide.index, wide.to_numpy(), strict=True)
    ]
    headings = [outcomes()[table][rows].meaning, *map(literal, wide.columns)]
    return rows_table(title, headings, cells, report.system, right=range(1, len(headings)))


def _notes(report: Report, stage: str) -> list[Block]:
    return [Text(note) for note in report.notes(stage)]


CHAPTERS = (
    Chapter(lambda: place_of("bond"), bond, "bond"),
    Chapter(lambda: place_of("life"), life, "life"),
)
