"""Pictures of the long stages: life at a reliability, what its scatter comes from, and the bond as a field."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from slabwright.bond.map import MAP_CAUSES, worst_places
from slabwright.figures.design import life_curves, of_section, years_axis
from slabwright.figures.looks import group
from slabwright.figures.record import Axis, Bars, Field, Figure, Line, Points, Rule
from slabwright.figures.shown import short_name
from slabwright.records.results import StageResult

__all__ = ["bond_ages", "bond_map", "fatigue_lives", "life_shares"]

THICKNESSES = (("found", "thickness found", "found"), ("overlay", "overlay chosen", "second"))
# The columns of two tables of the life that a page and the report show.
THICKNESS_SHOWN = (
    "section",
    "target",
    "reliability",
    "found",
    "aashto",
    "overlay",
    "overlay_years",
    "overlay_curve_years",
    "median_years",
    "all_cracked",
    "promised",
    "note",
)
PAST_SHOWN = (
    "section",
    "bottom_up",
    "top_down",
    "predicted",
    "predicted_low",
    "predicted_high",
    "slabs",
    "surveyed",
    "surveyed_low",
    "surveyed_high",
    "factor",
    "factor_low",
    "factor_high",
    "agrees",
)
SHARES = (("total", "with interactions"), ("first_order", "by itself"))


def fatigue_lives(results: Mapping[str, StageResult], section: str) -> Figure:
    """Fatigue life against thickness at each reliability, with the target, the thickness found and the one chosen."""
    curves = of_section(results, "life", "fatigue_lives", section)
    row = of_section(results, "life", "fatigue_thickness", section).iloc[0]
    at = [(name, role, float(row[column])) for column, name, role in THICKNESSES]
    places = [*curves["overlay"].astype(float), *(place for _, _, place in at if np.isfinite(place))]
    spare = 0.04 * (max(places) - min(places))
    return Figure(
        f"Section {section}: fatigue life against overlay thickness",
        Axis("overlay", "thickness", (min(places) - spare, max(places) + spare)),
        years_axis(),
        life_curves(curves),
        (
            *(Rule(name, role, "x", (place,)) for name, role, place in at if np.isfinite(place)),
            Rule("target life", "target", "y", (float(row["target"]),)),
        ),
        subject=short_name(section, "section"),
        description=f"Fatigue life against overlay thickness for section {section}, a curve for each reliability. Lines mark"
        " the target life, the thickness found and the one chosen.",
    )


def life_shares(results: Mapping[str, StageResult], section: str) -> Figure:
    """What the scatter of life comes from: each input by itself and with its interactions, the greatest on top."""
    shares = of_section(results, "life", "fatigue_sensitivities", section).sort_values(
        "total", ascending=False, kind="stable"
    )
    place, none = np.arange(len(shares), dtype=float), np.zeros(len(shares))
    return Figure(
        f"Section {section}: what the scatter of life comes from",
        Axis("share of the variance of log life", "share", (0.0, max(1e-6, 1.06 * float(shares["total"].max())))),
        Axis("", "words", (-0.6, len(shares) - 0.4), tuple(place), tuple(shares["input"]), reversed=True),
        tuple(
            Bars(
                name,
                group(i),
                place - 0.36 + 0.36 * i,
                place + 0.36 * i,
                none,
                shares[column].to_numpy(dtype=float),
                "y",
            )
            for i, (column, name) in enumerate(SHARES)
        ),
        subject=short_name(section, "section"),
        description=f"Share of the variance of life of section {section} that each input brings, with interactions and by itself.",
    )


def bond_ages(results: Mapping[str, StageResult], section: str) -> Figure:
    """What shear and peel ask of the bond at every place against its strength, from one day to twenty years."""
    rows = of_section(results, "bond", "bond_ages", section)
    verdict = of_section(results, "bond", "bond_verdicts", section).iloc[0]
    places = [(str(name), found) for name, found in rows.groupby("place", sort=False)]
    worst = dict(places)[str(verdict["place"])]
    ages, strength = (worst[c].to_numpy(dtype=float) for c in ("age", "tension"))
    most = 1.08 * max(float(rows["demand"].max()), float(strength.max()))
    return Figure(
        f"Section {section}: demand on the bond and its strength against age",
        Axis("age of the overlay", "age", (float(ages[0]) / 1.2, float(ages[-1]) * 1.2), log=True),
        Axis("stress in tension", "stress", (0.0, most)),
        (
            *(
                Line(
                    f"asked {_at(name)}",
                    group(i),
                    found["age"].to_numpy(dtype=float),
                    found["demand"].to_numpy(dtype=float),
                )
                for i, (name, found) in enumerate(places)
            ),
            Line("bond strength", group(len(places)), ages, strength),
            Line(
                "strength over the least factor",
                group(len(places) + 1),
                ages,
                strength / float(verdict["least_factor"]),
            ),
        ),
        (Rule("worst age", "found", "x", (float(verdict["age"]),)),),
        subject=short_name(section, "section"),
        description=f"Demand of shear and peel together as a strength in tension at each place of section {section}, and the"
        " bond's strength, against the age of the overlay on a scale that grows by tens. A line marks the worst age.",
    )


def _at(place: str) -> str:
    return place if place.startswith("under") else f"at the {place}"


def bond_map(results: Mapping[str, StageResult], section: str, cause: str) -> Figure:
    """Shear between the layers over one slab from a cause of ``MAP_CAUSES``, with numbers at the worst places."""
    column = MAP_CAUSES[cause]
    places = of_section(results, "bond", "bond_map", section).sort_values(["across", "along"], kind="stable")
    along, across = np.unique(places["along"]), np.unique(places["across"])
    worst = worst_places(places, column)
    numbers = tuple(str(i + 1) for i in range(len(worst)))
    return Figure(
        f"Section {section}: shear between the layers over one slab, {cause}",
        Axis("from the transverse joint", "length", (float(along[0]), float(along[-1]))),
        Axis("from the free edge", "length", (float(across[0]), float(across[-1]))),
        (
            Field(
                "shear between the layers",
                "stress",
                along,
                across,
                places[column].to_numpy(dtype=float).reshape(len(across), len(along)),
            ),
            Points(
                "worst places",
                "numbered",
                worst["along"].to_numpy(dtype=float),
                worst["across"].to_numpy(dtype=float),
                numbers,
                numbers,
            ),
        ),
        subject=short_name(section, "section"),
        equal=True,
        description=f"Map of the shear between the layers over one slab of section {section} from {cause}; numbers mark the"
        f" {len(worst)} places where it is greatest.",
    )
