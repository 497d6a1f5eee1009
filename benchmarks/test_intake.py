"""How long a file of deflection tests takes, against the floor: pandas reading it and the same checks on arrays.

The floor knows the headings, units and dialect beforehand and names no rows; ``ratio`` is intake over floor, the
best of three each in the same process. ``peak_mb`` is the growth of traced memory while reading (numpy reports
its arrays to the tracer), ``resident_mb`` the largest resident size of the whole process so far.
"""

from __future__ import annotations

import io
import resource
import time
import tracemalloc
from collections.abc import Callable

import numpy as np
import pandas as pd
import pytest

from slabwright.intake import read_bytes
from slabwright.units import KIP, MIL

SENSORS = 7
OFFSETS = (0, 8, 12, 18, 24, 36, 60)  # inches


def deflection_file(rows: int) -> bytes:
    """A file of three drops at each point, in US units with plus stations, in the order of a day's work."""
    rng = np.random.default_rng(7)
    point, drop = np.arange(rows) // 3, np.arange(rows) % 3
    feet = point * 25
    load = np.array([6000, 9000, 12000])[drop] * rng.normal(1, 0.01, rows)
    frame = pd.DataFrame({
        "Station": [f"{f // 100}+{f % 100:02d}" for f in feet],
        "Lane": "NB1",
        "Position": "mid-slab",
    })
    frame["Drop"], frame["Load (lbf)"] = drop + 1, np.round(load)
    for offset in OFFSETS:
        size = 5 * np.exp(-((offset / 40) ** 1.2)) * load / 9000
        frame[f"D{offset} (mils)"] = np.round(size * rng.normal(1, 0.005, rows), 2)
    frame["Air Temp (F)"], frame["Date"] = 70.5, "2025-06-04"
    return frame.to_csv(index=False).encode()


def floor(data: bytes) -> int:
    """pandas.read_csv, the same conversions and the same checks on arrays, with nothing reported but a count."""
    frame = pd.read_csv(io.BytesIO(data))
    station = frame["Station"].str.extract(r"(\d+)\+(\d+)").astype(float)
    metres = (station[0] * 100 + station[1]) * 0.3048
    load = frame["Load (lbf)"].to_numpy() * KIP / 1000
    basin = frame[[f"D{o} (mils)" for o in OFFSETS]].to_numpy() * MIL
    found = int(frame.duplicated().sum())
    found += int(
        pd.DataFrame({"s": metres, "l": frame["Lane"], "p": frame["Position"], "d": frame["Drop"]}).duplicated().sum()
    )
    found += int(frame.isna().to_numpy().sum())
    found += int((basin < 0).sum() + (basin > 200 * MIL).sum() + (load < 0.5 * KIP).sum() + (load > 60 * KIP).sum())
    found += int((basin[:, 1:] > basin[:, :-1] * 1.02 + 0.1 * MIL).any(axis=1).sum())
    found += int((np.ptp(basin, axis=0) == 0).sum() + np.isnan(np.nanmedian(basin)))
    residual = np.log(basin[:, 1:-1]) - (np.log(basin[:, :-2]) + np.log(basin[:, 2:])) / 2
    found += int((np.abs(np.nanmedian(residual, axis=0)) > 1).sum())
    typical = pd.Series(load).groupby(frame["Drop"]).transform("median")
    found += int((np.abs(load - typical) > 0.25 * typical).sum())
    ratio = pd.Series(basin[:, 0] / load).groupby([metres, frame["Lane"], frame["Position"]])
    found += int((ratio.transform("max") > 1.4 * ratio.transform("min")).sum())
    found += int((pd.to_datetime(frame["Date"]) < pd.Timestamp("1900-01-01")).sum())
    return found + int((np.diff(metres) < 0).sum())


def best_of_three(work: Callable[[], object]) -> float:
    times = []
    for _ in range(3):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


@pytest.mark.parametrize("rows", [1_000, 10_000, 100_000])
def test_reading_deflections(benchmark, rows: int) -> None:
    data = deflection_file(rows)
    readings = benchmark.pedantic(lambda: read_bytes(data, "day.csv"), rounds=3, warmup_rounds=1)
    base, ours = best_of_three(lambda: floor(data)), best_of_three(lambda: read_bytes(data, "day.csv"))
    tracemalloc.start()
    read_bytes(data, "day.csv")
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    benchmark.extra_info |= {
        "rows": rows,
        "file_mb": round(len(data) / 2**20, 2),
        "ratio": round(ours / base, 2),
        "peak_mb": round(peak / 2**20, 1),
        "resident_mb": round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024, 1),
    }
    assert len(readings[0].frame) == rows
    assert [f for f in readings[0].findings if f.weight != "note"] == []
