"""What the road strip shows: the layers that facts and results can fill, each from one table."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from slabwright import units
from slabwright.calculation import Array
from slabwright.figures.layers import Layer, Levels, Rows, Words
from slabwright.figures.road import AGAINST, UNKNOWN, WITH
from slabwright.records.decisions import Decisions
from slabwright.records.facts import DISTRESS_KINDS, NO_DISTRESS, SEVERITIES, Facts
from slabwright.records.results import StageResult
from slabwright.records.words import REPAIRS
from slabwright.roadway.places import directions_of_lanes

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["DENSITY", "Held", "strip_layers"]

RATED = (*SEVERITIES[1:], "not rated")
DENSITY = "density"
STRETCH: dict[units.System, float] = {"us": 500 * units.FOOT, "metric": 150.0}  # m, in which distresses are counted


@dataclass(frozen=True, eq=False)
class Held:
    """Layers made before, and what they were made of: a table and what stands beside it."""

    facts: Facts
    frame: pd.DataFrame
    beside: tuple[Any, ...]
    layers: tuple[Layer, ...]


def strip_layers(
    facts: Facts,
    results: Mapping[str, StageResult],
    decisions: Decisions,
    system: units.System = "us",
    held: dict[str, Held] | None = None,
) -> tuple[Layer, ...]:
    """Every layer that the facts and the results at hand can fill; a layer that would show nothing is left out.

    The decisions give the limits; the system only the length of the stretches in which distresses are counted. ``held``
    keeps layers from one call to the next: those made of the same table and the same beside it are not made again.
    """
    kept = {} if held is None else held
    tables = {name: frame for result in results.values() for name, frame in result.tables.items()}
    judged, condition = decisions.evaluation, tables.get("condition")
    rated = "rated_distresses" if "rated_distresses" in tables else "distresses"
    tables.setdefault("distresses", facts.distresses)
    makers: dict[str, tuple[Callable[..., list[Layer]], tuple[Any, ...]]] = {
        "basins": (_deflection, (tables.get("sections"),)),
        "moduli": (_moduli, (condition,)),
        "transfers": (_transfers, (condition, judged.lowest_load_transfer)),
        "voids": (_voids, (judged.void_intercept,)),
        "repairs": (_repairs, ()),
        "thicknesses": (_thicknesses, ()),
        "bond_verdicts": (_bond, (tables.get("thicknesses"),)),
        "fatigue_thickness": (_cracking, (tables.get("thicknesses"), tables.get("fatigue_cracking"))),
        rated: (_distresses, (rated, STRETCH[system])),
    }
    for name, (make, beside) in makers.items():
        if name in tables and not _is_held(kept.get(name), facts, tables[name], beside):
            made = make(facts, tables[name], *beside)
            kept[name] = Held(facts, tables[name], beside, tuple(layer for layer in made if _tells(layer)))
    return tuple(layer for name in makers if name in tables for layer in kept[name].layers)


def _tells(layer: Layer) -> bool:
    """Whether a layer shows anything: a bar or a level without a value is none."""
    return bool(len(layer)) and (layer.shape not in ("bars", "steps") or bool(np.isfinite(layer.value).any()))


def _is_held(held: Held | None, facts: Facts, frame: pd.DataFrame, beside: tuple[Any, ...]) -> bool:
    if held is None or held.facts is not facts or held.frame is not frame:
        return False
    return all(a is b or (isinstance(a, float | str) and a == b) for a, b in zip(held.beside, beside, strict=True))


def _layer(
    frame: pd.DataFrame,
    name: str,
    title: str,
    kind: str,
    shape: str,
    table: str,
    *,
    value: Any,
    group: Any,
    label: Any,
    groups: tuple[str, ...] = (),
    row: Rows | None = None,
    notes: tuple[str, ...] = (),
    levels: Levels | None = None,
    limit: float | None = None,
) -> Layer:
    """A layer of the records of a frame, whose columns say where they lie."""
    extent = "begin" in frame
    groups_of = np.asarray(group, dtype=object)
    return Layer(
        name=name,
        title=title,
        kind=kind,
        shape=shape,
        table=table,
        groups=(*groups, *sorted(set(groups_of) - set(groups))),
        station=frame["begin" if extent else "station"].to_numpy(dtype=np.float64),
        end=frame["end"].to_numpy(dtype=np.float64) if extent else None,
        lane=frame["lane" if "lane" in frame else "direction"].to_numpy(dtype=object),
        value=np.asarray(value, dtype=np.float64),
        group=groups_of,
        label=np.asarray(label, dtype=object),
        row=np.arange(len(frame)) if row is None else row,
        notes=notes,
        levels=levels,
        limit=limit,
    )


def _levels(frame: pd.DataFrame | None, column: str) -> Levels | None:
    """The mean of each section, where a table holds it."""
    if frame is None:
        return None
    known = frame[np.isfinite(frame[column].to_numpy(dtype=float))]
    begin, end, value = (known[name].to_numpy(dtype=float) for name in ("begin", "end", column))
    return Levels("section mean", known["direction"].to_numpy(dtype=object), begin, end, value)


def _words(frame: pd.DataFrame, *names: str) -> Words:
    """The words of some columns, joined by commas; (rows,)."""
    columns = [frame[name].to_numpy(dtype=object) for name in names]
    joined = columns[0]
    for column in columns[1:]:
        joined = joined + np.where((joined == "") | (column == ""), "", ", ").astype(object) + column
    return joined


def _deflection(facts: Facts, basins: pd.DataFrame, sections: pd.DataFrame | None) -> list[Layer]:
    row = np.flatnonzero(basins["position"] == "mid-slab")
    mid, directions = basins.iloc[row], directions_of_lanes(facts)
    group = [directions.get(lane, "") or UNKNOWN for lane in mid["lane"]]
    return [
        _layer(
            mid,
            "deflection",
            "Centre deflection",
            "deflection",
            "points",
            "basins",
            value=mid["deflection_1"],
            group=group,
            label=_words(mid, "point", "position"),
            groups=(WITH, AGAINST),
            row=row,
            notes=("mid-slab, at the standard load",),
            levels=_levels(sections, "mean_deflection"),
        )
    ]


def _moduli(_facts: Facts, moduli: pd.DataFrame, condition: pd.DataFrame | None) -> list[Layer]:
    """Foundation and slab moduli by both methods; tests that are left out stay visible as such."""
    row = np.tile(np.arange(len(moduli)), 2)
    both, methods = moduli.iloc[row], ("basin area", "plate fit")
    method = np.repeat(np.array(methods, dtype=object), len(moduli))
    group = np.where(both["excluded"].to_numpy(dtype=object) == "", method, "left out").astype(object)
    wanted = (
        ("foundation", "Dynamic k of the foundation", "foundation", "dynamic_foundation"),
        ("modulus", "Slab modulus E", "slab_modulus", "modulus"),
    )
    return [
        _layer(
            both,
            name,
            title,
            kind,
            "points",
            "moduli",
            value=np.concatenate([moduli[f"{name}_area"], moduli[f"{name}_fit"]]),
            group=group,
            label=_words(both, "point", "excluded"),
            groups=(*methods, "left out"),
            row=row,
            levels=_levels(condition, mean),
        )
        for name, title, kind, mean in wanted
    ]


def _transfers(_facts: Facts, transfers: pd.DataFrame, condition: pd.DataFrame | None, limit: float) -> list[Layer]:
    return [
        _layer(
            transfers,
            "transfer",
            "Load transfer at joints",
            "share",
            "points",
            "transfers",
            value=transfers["efficiency"],
            group=transfers["position"],
            label=_words(transfers, "point", "position"),
            levels=_levels(condition, "transfer"),
            limit=limit,
        )
    ]


def _voids(_facts: Facts, voids: pd.DataFrame, limit: float) -> list[Layer]:
    words = {"yes": "void suspected", "no": "no void"}
    group = [words.get(found, "not judged") for found in voids["void"]]
    return [
        _layer(
            voids,
            "voids",
            "Corner deflection at zero load",
            "deflection",
            "points",
            "voids",
            value=voids["intercept"],
            group=group,
            label=_words(voids, "point"),
            groups=("no void", "void suspected"),
            notes=("voids",),
            limit=limit,
        )
    ]


def _thicknesses(_facts: Facts, thicknesses: pd.DataFrame) -> list[Layer]:
    overlay = thicknesses["overlay"].to_numpy(dtype=np.float64)
    wanted = (
        ("effective", "Effective thickness of the old slab", "steps", thicknesses["effective"]),
        ("overlay", "Overlay thickness", "bars", np.where(overlay > 0, overlay, np.nan)),
    )
    return [
        _layer(
            thicknesses,
            name,
            title,
            "thickness",
            shape,
            "thicknesses",
            value=value,
            group=thicknesses["direction"],
            label=_words(thicknesses, "section", "verdict", "note"),
            groups=(WITH, AGAINST),
        )
        for name, title, shape, value in wanted
    ]


def _placed(frame: pd.DataFrame, thicknesses: pd.DataFrame | None) -> pd.DataFrame:
    """A table of sections with the direction and the ends of each; rows whose section is not on the road are left out."""
    if thicknesses is None:
        return frame.iloc[:0].assign(direction="", begin=np.nan, end=np.nan)
    return frame.join(thicknesses.set_index("section")[["direction", "begin", "end"]], on="section", how="inner")


def _bond(_facts: Facts, verdicts: pd.DataFrame, thicknesses: pd.DataFrame | None) -> list[Layer]:
    """Strength over demand where the bond of a section is most stressed, and the least that is asked."""
    placed = _placed(verdicts, thicknesses)
    return [
        _layer(
            placed,
            "bond",
            "Strength over demand on the bond",
            "number",
            "bars",
            "bond_verdicts",
            value=placed["factor"],
            group=placed["direction"],
            label=_words(placed, "section", "place", "cause"),
            groups=(WITH, AGAINST),
            row=placed.index.to_numpy(),
            notes=("the dashed line is the least factor asked",),
            limit=float(verdicts["least_factor"].max()) if len(verdicts) else None,
        )
    ]


def _cracking(
    _facts: Facts, lives: pd.DataFrame, thicknesses: pd.DataFrame | None, years: pd.DataFrame | None
) -> list[Layer]:
    """Slabs cracked at the target life, not passed at the design reliability; nothing where nothing is promised."""
    placed = _placed(lives, thicknesses)
    return [
        _layer(
            placed,
            "cracking",
            "Slabs cracked at the target life",
            "share",
            "bars",
            "fatigue_thickness",
            value=[_cracked(row, years) for row in placed.itertuples(index=False)],
            group=placed["direction"],
            label=_words(placed, "section", "point"),
            groups=(WITH, AGAINST),
            row=placed.index.to_numpy(),
            notes=("not passed at the design reliability; the dashed line is the level that ends life",),
            limit=float(lives["level"].max()) if len(lives) else None,
        )
    ]


def _cracked(row: Any, years: pd.DataFrame | None) -> float:
    """Share of slabs cracked in the year of the target; NaN where it is not promised or the years end before."""
    here = None if years is None else years[years["section"] == row.section]
    if here is None or here.empty or row.promised == "no":
        return float("nan")
    return float(np.interp(row.target, here["year"], here["high"], right=np.nan))


def _repairs(_facts: Facts, repairs: pd.DataFrame) -> list[Layer]:
    return [
        _layer(
            repairs,
            "repairs",
            "Repairs before the overlay",
            "length",
            "marks",
            "repairs",
            value=repairs["length"],
            group=repairs["kind"],
            label=_words(repairs, "repair", "kind", "reason"),
            groups=REPAIRS,
        )
    ]


def _distresses(facts: Facts, distresses: pd.DataFrame, table: str, stretch: float) -> list[Layer]:
    """How many distresses to a length of road, then one layer for each kind of distress; grouped by severity."""
    severity = np.where(distresses["severity"].isin(RATED), distresses["severity"], RATED[-1])
    kinds = distresses["kind"].to_numpy(dtype=object)
    whole = _layer(
        distresses,
        "",
        "",
        "length",
        "marks",
        table,
        value=distresses["length"],
        group=severity,
        label=_words(distresses, "kind", "severity"),
        groups=RATED,
    ).take(kinds != NO_DISTRESS)
    kinds = kinds[kinds != NO_DISTRESS]
    return [
        *([_density(facts, whole, stretch)] if len(whole) else []),
        *(
            replace(whole.take(kinds == kind), name=f"distress: {kind}", title=f"Distress: {kind}")
            for kind in DISTRESS_KINDS
            if kind != NO_DISTRESS
        ),
    ]


def _density(facts: Facts, whole: Layer, stretch: float) -> Layer:
    """Distresses of all kinds and lanes in each stretch of a direction, over its length."""
    directions = directions_of_lanes(facts)
    whole = whole.take(np.isfinite(whole.station))
    ways = sorted(set(directions.values()) | {""})
    of_lane = {lane: ways.index(directions.get(str(lane), "")) for lane in set(whole.lane)}
    rank = {name: i for i, name in enumerate(whole.groups)}
    way, severity = (
        np.array([of[v] for v in values], dtype=np.int64) for of, values in ((of_lane, whole.lane), (rank, whole.group))
    )
    place = np.floor(whole.station / stretch).astype(np.int64)
    near = place - np.min(place, initial=0)
    key = (way * len(rank) + severity) * (np.max(near, initial=0) + 1) + near
    _, first, number = np.unique(key, return_index=True, return_counts=True)
    begin: Array = place[first].astype(np.float64) * stretch
    return Layer(
        DENSITY,
        "Distresses",
        "frequency",
        "stacked",
        whole.table,
        whole.groups,
        begin,
        begin + stretch,
        np.array(ways, dtype=object)[way[first]],
        number / stretch,
        whole.group[first],
        _counted(number),
        whole.row[first],
        notes=("all kinds and lanes",),
    )


def _counted(number: npt.NDArray[np.int64]) -> Words:
    return np.array([f"{n} in this stretch" for n in number], dtype=object)
