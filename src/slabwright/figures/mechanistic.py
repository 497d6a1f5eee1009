"""Pictures of the long stages: life at a reliability, what its scatter comes from, and the bond as a field."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pandas as pd

from slabwright.bond.map import MAP_CAUSES, worst_places
from slabwright.figures.bond_said import aged
from slabwright.figures.design import life_curves, longest, of_section, years_axis
from slabwright.figures.looks import group
from slabwright.figures.record import Axis, Bars, Field, Figure, Line, Points, Rule, Whiskers
from slabwright.figures.shown import short_name
from slabwright.records.results import StageResult

__all__ = [
    "bond_across",
    "bond_ages",
    "bond_map",
    "bond_ratio",
    "cracking_years",
    "fatigue_lives",
    "life_shares",
    "map_age",
    "shear_strength",
]

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
            *longest(curves["years"]),
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


def map_age(results: Mapping[str, StageResult], section: str) -> str:
    """The age for which the map of a section holds, as words."""
    return aged(float(of_section(results, "bond", "bond_verdicts", section)["age"].iloc[0]))


def bond_map(results: Mapping[str, StageResult], section: str, cause: str) -> Figure:
    """Shear between the layers over one slab from a cause of ``MAP_CAUSES``, with numbers at the worst places."""
    column = MAP_CAUSES[cause]
    places = of_section(results, "bond", "bond_map", section).sort_values(["across", "along"], kind="stable")
    along, across = np.unique(places["along"]), np.unique(places["across"])
    worst = worst_places(places, column)
    numbers = tuple(str(i + 1) for i in range(len(worst)))
    return Figure(
        f"Section {section}: shear between the layers over one slab, {cause}, at {map_age(results, section)}",
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


def bond_ratio(results: Mapping[str, StageResult], section: str) -> Figure | None:
    """Shear between the layers over the bond's shear strength, over one slab; None where the strength is not known."""
    strength = shear_strength(results, section)
    if not strength > 0:
        return None
    least = float(of_section(results, "bond", "bond_verdicts", section)["least_factor"].iloc[0])
    shear = bond_map(results, section, "all together")
    field, worst = shear.series
    assert isinstance(field, Field)
    ratio = replace(field, name="shear over the bond's shear strength", kind="number", z=field.z / strength)
    return replace(
        shear,
        title=f"Section {section}: shear alone over shear strength, all together, at {map_age(results, section)}",
        series=(ratio, replace(ratio, name="strength over the least factor", limit=1 / least), worst),
        description=f"Map of the shear between the layers over one slab of section {section} at the worst age as a share of the"
        f" bond's shear strength then; a dashed line marks 1/{least:g}, numbers the worst places.",
    )


def bond_across(results: Mapping[str, StageResult], section: str) -> Figure | None:
    """A cut through the free edge at the worst place: shear over strength against the distance from the edge."""
    strength = shear_strength(results, section)
    if not strength > 0:
        return None
    places = of_section(results, "bond", "bond_map", section)
    worst = places.loc[places["together"].idxmax(), "along"]
    cut = places[np.isclose(places["along"], worst)].sort_values("across")
    verdict = of_section(results, "bond", "bond_verdicts", section).iloc[0]
    across = cut["across"].to_numpy(dtype=float)
    lines = {cause: cut[column].to_numpy(dtype=float) / strength for cause, column in MAP_CAUSES.items()}
    allowed = 1 / float(verdict["least_factor"])
    most = 1.08 * max(1.0, *(float(y.max()) for y in lines.values()))
    return Figure(
        f"Section {section}: shear alone from the free edge inward, at {map_age(results, section)}",
        Axis("from the free edge", "length", (0.0, float(across[-1]))),
        Axis("shear over shear strength", "number", (0.0, most)),
        # All together lies beneath as a broad line: one cause often is nearly all of it.
        tuple(Line(cause, group(i - 1) if i else "together", across, y) for i, (cause, y) in enumerate(lines.items())),
        (Rule("strength", "found", "y", (1.0,)), Rule("strength over the least factor", "target", "y", (allowed,))),
        subject=short_name(section, "section"),
        description=f"Shear on the bond over its strength from the free edge of section {section} inward, at the distance from"
        " the joint where it is greatest, by cause.",
    )


def shear_strength(results: Mapping[str, StageResult], section: str) -> float:
    """Shear strength of the bond [Pa] at the age and place that decide."""
    verdict = of_section(results, "bond", "bond_verdicts", section).iloc[0]
    ages = of_section(results, "bond", "bond_ages", section)
    here = ages[ages["place"] == verdict["place"]]
    if here.empty:
        return float("nan")
    return float(here["shear_strength"].iloc[int((here["age"] - verdict["age"]).abs().to_numpy().argmin())])


def cracking_years(results: Mapping[str, StageResult], section: str) -> Figure | None:
    """Cracking against years after the overlay with its band, and what was surveyed and predicted of the old slab now."""
    rows = of_section(results, "life", "fatigue_cracking", section)
    if rows.empty:
        return None
    found = of_section(results, "life", "fatigue_thickness", section).iloc[0]
    years = rows["year"].to_numpy(dtype=float)
    lines = {
        "median": rows["median"],
        f"exceeded with {1 - float(found['reliability']):.0%} probability": rows["high"],
        f"exceeded with {float(found['reliability']):.0%} probability": rows["low"],
    }
    past = of_section(results, "life", "fatigue_past", section)
    promised = str(found["promised"])
    now = _now(past)
    tops = [float(rows["high"].max()), float(found["level"]), *(float(s.high[0]) for s in now)]
    notes = () if promised == "yes" else (f"not promised: {promised if promised != 'no' else 'the past refutes it'}",)
    return Figure(
        f"Section {section}: slabs cracked over the years, overlay as chosen",
        Axis("years after the overlay", "years", (-2.5, float(years[-1]))),
        Axis(
            "slabs cracked",
            "share",
            (0.0, min(1.0, 1.15 * max(0.05, *tops))),
        ),
        (
            *(Line(name, group(i), years, y.to_numpy(dtype=float)) for i, (name, y) in enumerate(lines.items())),
            *now,
        ),
        (
            Rule("level that ends life", "limit", "y", (float(found["level"]),)),
            Rule("target", "target", "x", (float(found["target"]),)),
        ),
        notes=notes,
        subject=short_name(section, "section"),
        description=f"Share of the sound slabs of section {section} that has cracked against years after the overlay: median and"
        " both ends at the design reliability; before the overlay what was surveyed and what the model predicted.",
    )


def _now(past: pd.DataFrame) -> list[Whiskers]:
    """What was surveyed of the old slab with its exact interval, and what the model predicted, beside year 0."""
    if past.empty:
        return []
    row, made = past.iloc[0], []
    for name, place, role in (("surveyed", -1.6, "surveyed"), ("predicted", -0.8, "group 3")):
        low, middle, high = (np.array([float(row[f"{name}{end}"])]) for end in ("_low", "", "_high"))
        if np.isfinite(middle[0]):
            made.append(Whiskers(f"old slab now, {name}", role, np.array([place]), low, middle, high))
    return made
