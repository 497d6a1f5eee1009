"""What the road strip shows, as arrays: layers along the stations, and the road they lie on.

A layer keeps SI values and, for each record, the row of the table that it came from. Zoomed out, many records become
bins that keep the lowest, the median and the highest value; zoomed in, they are the records themselves.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from slabwright.calculation import Array
from slabwright.records.facts import DISTRESS_KINDS, SEVERITIES, Facts
from slabwright.records.results import StageResult
from slabwright.roadway.places import directions_of_lanes, road_limits

if TYPE_CHECKING:
    import pandas as pd

__all__ = [
    "MOST",
    "Bins",
    "Held",
    "Lane",
    "Layer",
    "Mark",
    "Road",
    "Section",
    "View",
    "aggregated",
    "by_group",
    "clamped",
    "in_window",
    "moved",
    "road_of",
    "strip_layers",
    "zoomed",
]

Words = npt.NDArray[np.object_]
Rows = npt.NDArray[np.int64]
Window = tuple[float, float]

WITH, AGAINST, UNKNOWN = "with stationing", "against stationing", "direction unknown"
CLOSEST = 6.0  # m, the shortest window
MOST = 600  # records of a layer drawn one by one; beyond, they are bins
RECORDS_PER_BIN = 3  # at least on the average, so that bins are worth their loss
REPAIRS = ("full depth", "partial depth", "crack routed and filled", "slab stabilised", "load transfer restored")


@dataclass(frozen=True, eq=False)
class Layer:
    """One quantity along the road. All arrays have one entry for each record.

    ``shape`` is "points", "bars" and "steps" (from ``station`` to ``end``), or "marks" (in the row of their lane).
    ``value`` is in SI of ``kind``, NaN where there is none. ``row`` is the place of the record in ``table``.
    """

    name: str
    title: str
    kind: str
    shape: str
    table: str
    groups: tuple[str, ...]
    station: Array
    end: Array | None
    lane: Words
    value: Array
    group: Words
    label: Words
    row: Rows

    def __len__(self) -> int:
        return len(self.station)

    def take(self, chosen: npt.NDArray[Any]) -> Layer:
        """The layer with only these records (a mask or places)."""
        return replace(
            self,
            station=self.station[chosen],
            end=None if self.end is None else self.end[chosen],
            lane=self.lane[chosen],
            value=self.value[chosen],
            group=self.group[chosen],
            label=self.label[chosen],
            row=self.row[chosen],
        )


@dataclass(frozen=True, eq=False)
class Bins:
    """Stretches that hold records: their number, how many lack a value, and lowest, median and highest value."""

    begin: Array
    end: Array
    count: Rows
    missing: Rows
    low: Array
    median: Array
    high: Array


@dataclass(frozen=True, eq=False)
class View:
    """The records of a layer in a window, and the bins to draw in their place when they are too many."""

    records: Layer
    bins: Bins | None

    @property
    def exact(self) -> bool:
        return self.bins is None


@dataclass(frozen=True)
class Lane:
    """A lane; its position counts from the median."""

    name: str
    direction: str
    position: float


@dataclass(frozen=True)
class Section:
    """A homogeneous section with the verdict on a bonded overlay, "" before there is one."""

    name: str
    direction: str
    begin: float
    end: float
    verdict: str
    reasons: str
    table: str
    row: int


@dataclass(frozen=True)
class Mark:
    """A bridge (``kind`` "over the road" or "under the road") or a ramp ("on" or "off", with the lane it meets)."""

    name: str
    kind: str
    begin: float
    end: float
    lane: str
    table: str
    row: int


@dataclass(frozen=True)
class Road:
    """The road that the layers lie on: limits in m, lanes, sections, bridges and ramps."""

    begin: float
    end: float
    lanes: tuple[Lane, ...]
    sections: tuple[Section, ...]
    bridges: tuple[Mark, ...]
    ramps: tuple[Mark, ...]


def in_window(layer: Layer, begin: float, end: float) -> Layer:
    """The records that lie in or reach into [begin, end], both ends included."""
    last = layer.station if layer.end is None else np.fmax(layer.station, layer.end)
    inside = (layer.station <= end) & (last >= begin)
    return layer if inside.all() else layer.take(inside)


def aggregated(layer: Layer, begin: float, end: float, most: int = MOST) -> View:
    """The records in the window; with bins when they are more than ``most``."""
    records = in_window(layer, begin, end)
    if len(records) <= most:
        return View(records, None)
    return View(records, _binned(records, begin, end, max(1, most // RECORDS_PER_BIN)))


def clamped(begin: float, end: float, road: Road) -> Window:
    """A window that lies on the road, is not closer than ``CLOSEST``, and keeps its length where it can. [m]"""
    begin, end = min(begin, end), max(begin, end)
    length = min(max(end - begin, CLOSEST), max(road.end - road.begin, CLOSEST))
    middle = (begin + end) / 2
    first = min(max(middle - length / 2, road.begin), max(road.end - length, road.begin))
    return first, first + length


def zoomed(window: Window, times: float, road: Road) -> Window:
    """The window drawn ``times`` as large about its middle."""
    middle, half = (window[0] + window[1]) / 2, (window[1] - window[0]) / 2 / times
    return clamped(middle - half, middle + half, road)


def moved(window: Window, share: float, road: Road) -> Window:
    """The window moved along the road by a share of its length."""
    step = share * (window[1] - window[0])
    return clamped(window[0] + step, window[1] + step, road)


def by_group(layer: Layer) -> dict[str, Layer]:
    """The layer cut into its groups, in their order; groups without records are left out."""
    parts = {name: layer.take(layer.group == name) for name in layer.groups}
    return {name: part for name, part in parts.items() if len(part)}


def _binned(records: Layer, begin: float, end: float, number: int) -> Bins:
    """Equal stretches of the window that hold records. Sorting by stretch and value leaves each extreme at an end."""
    middle = records.station if records.end is None else (records.station + np.fmax(records.station, records.end)) / 2
    width = max((end - begin) / number, float(np.finfo(np.float64).tiny))
    stretch = np.clip((middle - begin) / width, 0, number - 1).astype(np.min_scalar_type(number))
    value = np.where(np.isfinite(records.value), records.value, np.nan)
    order = np.argsort(value)  # missing values come last; small whole numbers then sort in one pass
    order = order[np.argsort(stretch[order], kind="stable")]
    stretch, value = stretch[order].astype(np.int64), value[order]
    first = np.flatnonzero(np.diff(stretch, prepend=-1))
    count = np.diff(first, append=len(stretch))
    known = np.add.reduceat(np.isfinite(value).astype(np.int64), first)
    last = first + np.maximum(known - 1, 0)
    median = (value[first + np.maximum(known - 1, 0) // 2] + value[np.minimum(first + known // 2, last)]) / 2
    return Bins(
        begin=np.float64(begin) + stretch[first] * width,
        end=np.float64(begin) + (stretch[first] + 1) * width,
        count=count,
        missing=count - known,
        low=value[first],
        median=median,
        high=value[last],
    )


@dataclass(frozen=True, eq=False)
class Held:
    """Layers made before, and what they were made of."""

    facts: Facts
    frame: pd.DataFrame
    layers: tuple[Layer, ...]


def strip_layers(
    facts: Facts, results: Mapping[str, StageResult], held: dict[str, Held] | None = None
) -> tuple[Layer, ...]:
    """Every layer that the facts and the results at hand can fill; a layer without records is left out.

    ``held`` keeps layers from one call to the next: those whose table is still the same one are not made again.
    """
    kept = {} if held is None else held
    tables = {name: frame for result in results.values() for name, frame in result.tables.items()}
    makers = {
        "basins": _deflection, "moduli": _moduli, "transfers": _transfers, "voids": _voids, "repairs": _repairs,
        "thicknesses": _thicknesses,
    }  # fmt: skip
    rated = "rated_distresses" if "rated_distresses" in tables else "distresses"
    tables.setdefault("distresses", facts.distresses)
    for name in (*makers, rated):
        if name in tables and not _is_held(kept.get(name), facts, tables[name]):
            made = makers[name](facts, tables[name]) if name in makers else _distresses(tables[name], name)
            kept[name] = Held(facts, tables[name], tuple(layer for layer in made if len(layer)))
    return tuple(layer for name in (*makers, rated) if name in tables for layer in kept[name].layers)


def _is_held(held: Held | None, facts: Facts, frame: pd.DataFrame) -> bool:
    return held is not None and held.facts is facts and held.frame is frame


def _layer(
    frame: pd.DataFrame, name: str, title: str, kind: str, shape: str, table: str, *, value: Any, group: Any, label: Any,
    groups: tuple[str, ...] = (), row: Rows | None = None,
) -> Layer:  # fmt: skip
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
    )


def _words(frame: pd.DataFrame, *names: str) -> Words:
    """The words of some columns, joined by commas; (rows,)."""
    columns = [frame[name].to_numpy(dtype=object) for name in names]
    joined = columns[0]
    for column in columns[1:]:
        joined = joined + np.where((joined == "") | (column == ""), "", ", ").astype(object) + column
    return joined


def _deflection(facts: Facts, basins: pd.DataFrame) -> list[Layer]:
    row = np.flatnonzero(basins["position"] == "mid-slab")
    mid, directions = basins.iloc[row], directions_of_lanes(facts)
    group = [directions.get(lane, "") or UNKNOWN for lane in mid["lane"]]
    return [
        _layer(
            mid, "deflection", "Centre deflection, mid-slab, at the standard load", "deflection", "points", "basins",
            value=mid["deflection_1"], group=group, label=_words(mid, "point", "position"), groups=(WITH, AGAINST), row=row,
        )
    ]  # fmt: skip


def _moduli(_facts: Facts, moduli: pd.DataFrame) -> list[Layer]:
    """Foundation and slab moduli by both methods; tests that are left out stay visible as such."""
    row = np.tile(np.arange(len(moduli)), 2)
    both, methods = moduli.iloc[row], ("basin area", "plate fit")
    method = np.repeat(np.array(methods, dtype=object), len(moduli))
    group = np.where(both["excluded"].to_numpy(dtype=object) == "", method, "left out").astype(object)
    wanted = (("foundation", "Foundation modulus k, dynamic"), ("modulus", "Slab modulus E"))
    return [
        _layer(
            both, name, title, name, "points", "moduli", value=np.concatenate([moduli[f"{name}_area"], moduli[f"{name}_fit"]]),
            group=group, label=_words(both, "point", "excluded"), groups=(*methods, "left out"), row=row,
        )
        for name, title in wanted
    ]  # fmt: skip


def _transfers(_facts: Facts, transfers: pd.DataFrame) -> list[Layer]:
    return [
        _layer(
            transfers, "transfer", "Load transfer at joints", "share", "points", "transfers", value=transfers["efficiency"],
            group=transfers["position"], label=_words(transfers, "point", "position"),
        )
    ]  # fmt: skip


def _voids(_facts: Facts, voids: pd.DataFrame) -> list[Layer]:
    words = {"yes": "void suspected", "no": "no void"}
    group = [words.get(found, "not judged") for found in voids["void"]]
    return [
        _layer(
            voids, "voids", "Corner deflection at zero load (voids)", "deflection", "points", "voids",
            value=voids["intercept"], group=group, label=_words(voids, "point"), groups=("no void", "void suspected"),
        )
    ]  # fmt: skip


def _thicknesses(_facts: Facts, thicknesses: pd.DataFrame) -> list[Layer]:
    overlay = thicknesses["overlay"].to_numpy(dtype=np.float64)
    wanted = (
        ("effective", "Effective thickness of the old slab", "steps", thicknesses["effective"]),
        ("overlay", "Overlay thickness", "bars", np.where(overlay > 0, overlay, np.nan)),
    )
    return [
        _layer(
            thicknesses, name, title, "thickness", shape, "thicknesses", value=value, group=thicknesses["direction"],
            label=_words(thicknesses, "section", "verdict", "note"), groups=(WITH, AGAINST),
        )
        for name, title, shape, value in wanted
    ]  # fmt: skip


def _repairs(_facts: Facts, repairs: pd.DataFrame) -> list[Layer]:
    return [
        _layer(
            repairs, "repairs", "Repairs before the overlay", "length", "marks", "repairs", value=repairs["length"],
            group=repairs["kind"], label=_words(repairs, "repair", "kind", "reason"), groups=REPAIRS,
        )
    ]  # fmt: skip


def _distresses(distresses: pd.DataFrame, table: str) -> list[Layer]:
    """One layer for each kind of distress, grouped by severity."""
    severity = np.where(distresses["severity"].isin(SEVERITIES[1:]), distresses["severity"], "not rated")
    kinds = distresses["kind"].to_numpy(dtype=object)
    whole = _layer(
        distresses, "", "", "length", "marks", table, value=distresses["length"], group=severity,
        label=_words(distresses, "kind", "severity"), groups=(*SEVERITIES[1:], "not rated"),
    )  # fmt: skip
    return [
        replace(whole.take(kinds == kind), name=f"distress: {kind}", title=f"Distress: {kind}")
        for kind in DISTRESS_KINDS
    ]


def road_of(facts: Facts, results: Mapping[str, StageResult]) -> Road:
    """The road under the layers. Raises MissingFact when its limits are unknown."""
    begin, end = road_limits(facts)
    return Road(begin, end, _lanes(facts), _sections(results), _marks(facts.bridges, "bridges"), _marks(facts.ramps, "ramps"))  # fmt: skip


def _lanes(facts: Facts) -> tuple[Lane, ...]:
    position = dict(zip(facts.lanes["lane"], facts.lanes["position"], strict=True))
    return tuple(
        Lane(name, direction, float(position.get(name, np.nan)))
        for name, direction in directions_of_lanes(facts).items()
    )


def _sections(results: Mapping[str, StageResult]) -> tuple[Section, ...]:
    """Sections with their verdicts, or as the survey cut them when there are no verdicts yet."""
    for stage, table in (("evaluation", "verdicts"), ("survey", "sections")):
        if stage in results:
            rows: Sequence[Any] = list(results[stage].tables[table].itertuples(index=False))
            return tuple(
                Section(
                    s.section, s.direction, float(s.begin), float(s.end), getattr(s, "verdict", ""),
                    getattr(s, "reasons", ""), table, i,
                )
                for i, s in enumerate(rows)
            )  # fmt: skip
    return ()


def _marks(frame: pd.DataFrame, table: str) -> tuple[Mark, ...]:
    if table == "bridges":
        columns = [frame[name] for name in ("name", "passes", "begin", "end")]
        lanes: Sequence[str] = [""] * len(frame)
    else:
        columns = [frame[name] for name in ("name", "kind", "station", "station")]
        lanes = list(frame["lane"])
    return tuple(
        Mark(name, kind, float(begin), float(end), lane, table, i)
        for i, (name, kind, begin, end, lane) in enumerate(zip(*columns, lanes, strict=True))
    )
