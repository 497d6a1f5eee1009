"""Checks of deflection tests: the basin, the sensors, the drops.

The thresholds are common practice without a source; each only raises a warning that the engineer settles.
"""

from __future__ import annotations

import itertools

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright.intake.keys import mixed
from slabwright.intake.rules import Log
from slabwright.records.facts import LARGEST_SENSOR_COUNT
from slabwright.units import MIL, System, format_quantity

__all__ = ["DROP_KEYS", "SAME_PLACE", "check_deflections", "drop_keys"]

Matrix = npt.NDArray[np.float64]

RISE = 1.02  # a sensor may read this much above the nearer one
RISE_LEAST = 0.1 * MIL
MANY = 8  # rows that make a pattern
MOST_ROWS_SWAPPED = 0.7
STUCK_LOADS = 0.1  # a load this much larger must move a sensor that works
FAULTY = 0.25  # logarithm of reading over smooth basin, median over rows
FAULTY_LAST = 0.7  # the outermost sensor is judged by extrapolation, more kindly
LOAD_SPREAD = 0.25
RATIO_SPREAD = 0.40
SAME_PLACE = 0.01  # metres
DROP_WORDS = ("lane", "position", "point", "date")
DROP_KEYS = (*DROP_WORDS, "station", "drop")  # the columns that ``drop_keys`` looks at


def check_deflections(frame: pd.DataFrame, log: Log, system: System) -> None:
    """All checks of the table of deflection tests; findings go to ``log``, in the units of ``system``."""
    if frame.empty:
        return
    _check_repeats(frame, log)
    _check_loads(frame, log)
    _check_linearity(frame, log)
    _check_offsets(frame, log)
    sensors = _sensors(frame)
    basins = frame[[f"deflection_{i}" for i in sensors]].to_numpy(copy=True)
    _check_zero(basins, sensors, log)
    if len(sensors) >= 2:
        _check_stuck(frame, basins, sensors, log, system)
        swapped = _check_swapped(basins, sensors, log)
        faulty = _check_faulty(frame, basins, sensors, swapped, log)
        _check_rising(basins, sensors, swapped | faulty, log, system)


def _check_offsets(frame: pd.DataFrame, log: Log) -> None:
    """Sensors beside the load that read something while nobody says how far from the load they stood."""
    read = [i for i in range(2, LARGEST_SENSOR_COUNT + 1) if frame[f"deflection_{i}"].notna().any()]
    lacking = [i for i in read if frame[f"offset_{i}"].isna().all()]
    if lacking:
        columns = tuple(f"deflection_{i}" for i in lacking)
        at = np.flatnonzero(frame[list(columns)].notna().any(axis=1).to_numpy())
        named = f"sensor {lacking[0]}" if len(lacking) == 1 else f"sensors {', '.join(map(str, lacking))}"
        message = f"the distance of {named} from the load is not given: no basin can be fitted by their readings"
        log.whole("sensors without distance", message, at, columns)


def _sensors(frame: pd.DataFrame) -> list[int]:
    """Numbers of the sensors in use in front of the plate, nearest first (by offset where it is given)."""
    numbers = range(1, LARGEST_SENSOR_COUNT + 1)
    used = [i for i in numbers if frame[f"deflection_{i}"].notna().any()]
    offsets = {i: frame[f"offset_{i}"].median() for i in used if frame[f"offset_{i}"].notna().any()}
    return sorted((i for i in used if offsets.get(i, 0.0) >= 0), key=lambda i: (offsets.get(i, np.inf), i))


def _check_repeats(frame: pd.DataFrame, log: Log) -> None:
    """The same drop of the same point twice (with other readings: exact repeats are named elsewhere)."""
    if frame["drop"].isna().all():
        return
    key = drop_keys(frame)
    repeats = pd.Series(key).duplicated().to_numpy() & frame["drop"].notna().to_numpy()
    exact = {int(r) for f, c in zip(log.findings, log.cells, strict=True) if f.rule == "duplicate row" for r in c.rows}
    at = np.array([r for r in np.flatnonzero(repeats).tolist() if r not in exact], dtype=np.int64)
    log.each(
        "duplicate drop",
        "this drop of this point appears twice",
        at,
        (),
        [f"drop {d:g}" for d in frame["drop"].to_numpy()[at[:20]]],
    )


def drop_keys(frame: pd.DataFrame) -> npt.NDArray[np.int64]:
    """One number (n,) for each distinct drop: lane, station to 1 cm, place on the slab, point, day and drop number."""
    codes = [pd.factorize(frame[name])[0].astype(np.int64) for name in DROP_WORDS]
    place = np.round(np.nan_to_num(frame["station"].to_numpy(), nan=-1e7) / SAME_PLACE).astype(np.int64)
    return mixed([place, np.nan_to_num(frame["drop"].to_numpy(), nan=-1).astype(np.int64), *codes])


def _check_loads(frame: pd.DataFrame, log: Log) -> None:
    """Drops of one number come from one height, so their loads lie together."""
    drop, load = frame["drop"], frame["load"]
    if drop.isna().all():
        return
    group = load.groupby(drop)
    usual, count = group.transform("median"), group.transform("count")
    spread = (
        (load - usual).abs().groupby(drop).transform("median")
    )  # where a drop number is used freely, nothing is said
    odd = ((load - usual).abs() > LOAD_SPREAD * usual) & (count >= MANY) & (spread < 0.1 * usual)
    at = np.flatnonzero(odd.to_numpy())
    shown = [f"{load.iloc[i] / 1000:.1f} kN, usually {usual.iloc[i] / 1000:.1f} kN" for i in at[:20]]
    log.each("load off its drop height", "the load is far from the other drops of this number", at, ("load",), shown)


def _check_linearity(frame: pd.DataFrame, log: Log) -> None:
    """Deflection over load should stay much the same over the drops of one point."""
    key = mixed([
        np.round(np.nan_to_num(frame["station"].to_numpy(), nan=-1e7) / SAME_PLACE).astype(np.int64),
        *(pd.factorize(frame[name])[0].astype(np.int64) for name in ("lane", "position", "point", "date")),
    ])
    load = frame["load"].to_numpy()
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = np.where(load > 0, frame["deflection_1"].to_numpy() / load, np.nan)
    group = pd.Series(ratio).groupby(key)
    most, least = group.transform("max"), group.transform("min")
    at = np.flatnonzero((most > (1 + RATIO_SPREAD) * least).to_numpy() & np.isfinite(ratio))
    if len(at):
        points = len(np.unique(key[at]))
        log.whole(
            "non-linear drops",
            f"at {points} points deflection over load differs by more than {100 * RATIO_SPREAD:.0f} % between drops",
            at,
            ("deflection_1",),
        )


def _check_zero(basins: Matrix, sensors: list[int], log: Log) -> None:
    """Blank, and tell, the sensors that read nothing but zero, and then the drops under which no other sensor moved.

    A sensor of one drop alone may be told as any faulty one; of more, no answer makes its zeros a measurement.
    """
    for a, sensor in enumerate(sensors):
        rows = np.flatnonzero(np.isfinite(basins[:, a]))
        if (basins[rows, a] != 0).any():
            continue
        rule = "sensor reads only zero" if len(rows) > 1 else "faulty sensor"
        log.each(rule, f"sensor {sensor} reads zero in every drop of this file", rows, (f"deflection_{sensor}",))
        basins[rows, a] = np.nan
    still = np.flatnonzero(np.isfinite(basins).any(axis=1) & (np.nan_to_num(basins) == 0).all(axis=1))
    log.each("drop without deflection", "every sensor reads zero under the load", still)
    basins[still] = np.nan


def _check_stuck(frame: pd.DataFrame, basins: Matrix, sensors: list[int], log: Log, system: System) -> None:
    """Blank the cells of sensors that repeat one reading over many rows while the load changes."""
    load = frame["load"].to_numpy()
    for a, sensor in enumerate(sensors):
        values = basins[:, a]
        starts = np.flatnonzero(np.append(True, values[1:] != values[:-1]))
        lengths = np.diff(np.append(starts, len(values)))
        most, least = np.fmax.reduceat(load, starts), np.fmin.reduceat(load, starts)
        stuck = (lengths >= MANY) & ((most > (1 + STUCK_LOADS) * least) | (values[starts] == 0))
        rows = np.flatnonzero(np.repeat(stuck, lengths))
        if len(rows):
            stretches = ", ".join(
                f"{format_quantity(values[s], 'deflection', system)} in rows {log.source_rows[s]} to {log.source_rows[s + n - 1]}"
                for s, n in zip(starts[stuck][:3], lengths[stuck][:3], strict=True)
            )
            changing = " while the load changes" if (most > (1 + STUCK_LOADS) * least)[stuck].any() else ""
            log.whole(
                "faulty sensor",
                f"sensor {sensor} seems dead or stuck{changing}: {stretches}",
                rows,
                (f"deflection_{sensor}",),
            )
            basins[rows, a] = np.nan


def _check_swapped(basins: Matrix, sensors: list[int], log: Log) -> set[int]:
    """Neighbours that are reversed in most rows, and whose exchange puts the basins right."""
    found: set[int] = set()
    for a in range(len(sensors) - 1):
        near, far = basins[:, a], basins[:, a + 1]
        both = np.isfinite(near) & np.isfinite(far)
        reversed_ = both & (far > near * 1.01)
        if sensors[a] in found or both.sum() < MANY or reversed_.sum() < MOST_ROWS_SWAPPED * both.sum():
            continue
        right = reversed_.copy()
        if a > 0:
            right &= ~(far > basins[:, a - 1] * RISE)
        if a + 2 < len(sensors):
            right &= ~(basins[:, a + 2] > near * RISE)
        if right.sum() >= MOST_ROWS_SWAPPED * both.sum() and len(sensors) > 2:
            found |= {sensors[a], sensors[a + 1]}
            columns = (f"deflection_{sensors[a]}", f"deflection_{sensors[a + 1]}")
            share = 100 * reversed_.sum() / both.sum()
            log.whole(
                "swapped sensors",
                f"sensor {sensors[a + 1]} reads more than sensor {sensors[a]} in {share:.0f} % of the rows; "
                "exchanged, the basins fall outward",
                np.flatnonzero(both),
                columns,
            )
    return found


def _check_faulty(frame: pd.DataFrame, basins: Matrix, sensors: list[int], swapped: set[int], log: Log) -> set[int]:
    """The sensor, if any, that is always far from the smooth basin of its neighbours."""
    found: set[int] = set()
    worst = _worst_residual(frame, basins, sensors) if not swapped else None
    if worst is not None:
        sensor, residual = worst
        rows = np.flatnonzero(np.isfinite(basins[:, sensors.index(sensor)]))
        log.whole(
            "faulty sensor",
            f"sensor {sensor} seems faulty: in the middle it reads {np.exp(residual):.2f} times the smooth "
            "basin of the others",
            rows,
            (f"deflection_{sensor}",),
        )
        found.add(sensor)
    return found


def _worst_residual(frame: pd.DataFrame, basins: Matrix, sensors: list[int]) -> tuple[int, float] | None:
    """(sensor, median log of reading over basin) of the sensor farthest from the smooth basin of the others.

    Away from joints only, because a joint breaks the basin honestly. The basin is the straight line, in the
    logarithm of deflection over offset, through the two neighbours (or the two before the outermost).
    """
    whole = frame["position"].isin(("mid-slab", "edge", "")).to_numpy()
    alive = [s for a, s in enumerate(sensors) if np.isfinite(basins[whole, a]).sum() >= MANY]
    offsets = [float(frame[f"offset_{s}"].median()) if frame[f"offset_{s}"].notna().any() else np.nan for s in alive]
    if whole.sum() < MANY or len(alive) < 4 or not np.isfinite(offsets).all() or (np.diff(offsets) <= 0).any():
        return None
    with np.errstate(divide="ignore", invalid="ignore"):
        logs = basins[np.ix_(whole, [sensors.index(s) for s in alive])]
        np.log(logs, out=logs)
    logs[~np.isfinite(logs)] = np.nan
    best: tuple[float, int, float] | None = None
    for a in range(1, len(alive)):
        b, c = (a - 1, a + 1) if a + 1 < len(alive) else (a - 2, a - 1)
        t = (offsets[a] - offsets[b]) / (offsets[c] - offsets[b])
        residual = logs[:, a] - (logs[:, b] + t * (logs[:, c] - logs[:, b]))
        residual = residual[np.isfinite(residual)]
        limit = FAULTY if a + 1 < len(alive) else FAULTY_LAST
        if len(residual) >= MANY and abs(middle := float(np.median(residual))) > limit:
            excess = abs(middle) / limit
            if best is None or excess > best[0]:
                best = (excess, alive[a], middle)
    return None if best is None else (best[1], best[2])


def _check_rising(basins: Matrix, sensors: list[int], known: set[int], log: Log, system: System) -> None:
    """Rows where a farther sensor reads more than a nearer one; sensors already named are left out."""
    kept = [a for a, s in enumerate(sensors) if s not in known]
    if len(kept) < 2:
        return
    rises = np.zeros((len(basins), len(kept) - 1), dtype=bool)
    for at_sensor, (near_at, far_at) in enumerate(itertools.pairwise(kept)):
        near_reads = basins[:, near_at]
        rises[:, at_sensor] = basins[:, far_at] > np.maximum(near_reads * RISE, near_reads + RISE_LEAST)
    at = np.flatnonzero(rises.any(axis=1))
    shown = []
    for row in at[:20].tolist():
        first = int(np.argmax(rises[row]))
        near, far = sensors[kept[first]], sensors[kept[first + 1]]
        read, more = (format_quantity(float(v), "deflection", system) for v in basins[row, kept[first : first + 2]])
        shown.append(f"sensor {near}: {read}, sensor {far}: {more}")
    log.each("basin rises outward", "a sensor farther from the load reads more than a nearer one", at, (), shown)
