"""The deflection survey: where the plate stood, what the slabs did there, and what the sensors wrote down."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright.demo.plate import corner_deflection, finite_basin, relative_stiffness
from slabwright.demo.truth import TRUTH, Stretch
from slabwright.units import FOOT, KIP, MIL

__all__ = ["NORTHBOUND", "SOUTHBOUND", "Run", "drops", "survey_points"]

Array = npt.NDArray[np.float64]

# (mid-slab, joint, corner) points in each stretch, in each direction.
POINTS = ((20, 11, 3), (14, 8, 3), (16, 9, 7), (10, 7, 2), (15, 0, 0))
DROP_LOADS = np.array([6.0, 9.0, 12.0, 16.0]) * KIP
DROPS = {"mid-slab": 3, "joint approach": 3, "joint leave": 3, "corner": 4}
# The plate touches the joint: its centre is half a foot from it, to the tenth of a foot that crews write.
FROM_JOINT = 0.5 * FOOT
FIRST_MINUTE = 8 * 60
MINUTES_PER_POINT = 6


@dataclass(frozen=True)
class Run:
    """One crew's survey of one lane: the days with their numbers of points, and the way it drove."""

    lane: str
    letter: str
    ascending: bool
    days: tuple[tuple[str, int], ...]


NORTHBOUND = Run("NB3", "N", True, (("2025-04-14", 18), ("2025-04-15", 15), ("2025-04-16", 46), ("2025-04-17", 46)))
SOUTHBOUND = Run("SB3", "S", False, (("2025-04-22", 62), ("2025-04-23", 63)))


def _spread(slabs: int, count: int, rng: np.random.Generator) -> npt.NDArray[np.intp]:
    """``count`` different slabs, one at random in each equal share of the stretch."""
    edges = np.linspace(0, slabs, count + 1).astype(np.intp)
    return rng.integers(edges[:-1], edges[1:])


def _lognormal(mean: Array, variation: float, rng: np.random.Generator) -> Array:
    """``mean`` times lognormal factors of mean one."""
    sigma = np.sqrt(np.log1p(variation**2))
    return np.asarray(mean * np.exp(sigma * rng.standard_normal(mean.shape) - sigma**2 / 2))


def _places(stretch: Stretch, counts: tuple[int, int, int], run: Run, rng: np.random.Generator) -> pd.DataFrame:
    middle, joints, corners = counts
    slabs = round((stretch.end - stretch.begin) / TRUTH.slab_length)
    mid_station = stretch.begin + (_spread(slabs, middle, rng) + 0.5) * TRUTH.slab_length
    joint_station = stretch.begin + (_spread(slabs - 1, joints + corners, rng) + 1) * TRUTH.slab_length
    kinds = np.array((["joint approach", "joint leave"] * joints)[:joints] + ["corner"] * corners, dtype=object)
    position = rng.permutation(kinds)
    ahead = np.where(position == "joint approach", -1, 1) * (1 if run.ascending else -1)
    voids = np.zeros(corners)
    voids[: round(stretch.void_share * corners)] = 1
    intercept = np.zeros(joints + corners)
    intercept[position == "corner"] = rng.permutation(voids) * rng.uniform(*TRUTH.void_intercepts, corners)
    return pd.DataFrame({
        "station": np.concatenate([mid_station, joint_station + ahead * FROM_JOINT]),
        "position": np.concatenate([np.full(middle, "mid-slab", dtype=object), position]),
        "intercept": np.concatenate([np.zeros(middle), intercept]),
    })


def survey_points(run: Run, rng: np.random.Generator) -> pd.DataFrame:
    """One row a test point in the order of testing: place, day, minute, and the truth at that point (SI)."""
    places = [_places(s, n, run, rng) for s, n in zip(TRUTH.stretches, POINTS, strict=True)]
    points = pd.concat(places, keys=range(len(places)), names=["stretch", None]).reset_index(level=0)
    points = points.sort_values("station", ascending=run.ascending, kind="stable").reset_index(drop=True)
    means = pd.DataFrame([(s.modulus, s.foundation, s.thickness, s.load_transfer) for s in TRUTH.stretches])
    modulus, foundation, thickness, transfer = means.to_numpy()[points["stretch"]].T
    spread = TRUTH.scatter
    each = [minute for _, count in run.days for minute in range(count)]
    return points.assign(
        lane=run.lane,
        point=[f"{run.letter}{i:03d}" for i in range(1, len(points) + 1)],
        thickness=thickness,
        modulus=_lognormal(modulus, spread.modulus, rng),
        foundation=_lognormal(foundation, spread.foundation, rng),
        load_transfer=_lognormal(transfer, spread.load_transfer, rng),
        date=np.repeat([day for day, _ in run.days], [count for _, count in run.days]),
        minute=FIRST_MINUTE + MINUTES_PER_POINT * np.array(each),
    )


def _unit_response(points: pd.DataFrame) -> Array:
    """Deflection per load (m/N) at each point (row) and sensor (column), without voids."""
    offset = np.array(TRUTH.sensor_offsets)
    radius, position = TRUTH.plate_radius, points["position"].to_numpy()[:, None]
    foundation, transfer = points["foundation"].to_numpy(), points["load_transfer"].to_numpy()[:, None]
    l = relative_stiffness(points["modulus"].to_numpy(), points["thickness"].to_numpy(), foundation, TRUTH.poisson)
    interior = np.empty((len(points), len(offset)))
    for number, stretch in enumerate(TRUTH.stretches):
        here = (points["stretch"] == number).to_numpy()
        slab = TRUTH.slab(stretch)
        interior[here] = finite_basin(offset, l[here], foundation[here], radius, slab, TRUTH.poisson)
    corner = corner_deflection(l, foundation, radius)[:, None] / (1 + transfer) * np.exp(-np.abs(offset) / l[:, None])
    at_joint = np.isin(position, ("joint approach", "joint leave"))
    own = np.where(position == "corner", corner, np.where(at_joint, TRUTH.joint_rise, 1.0) * interior)
    beyond = np.where(position == "joint approach", offset > radius, (position != "mid-slab") & (offset < -radius))
    return np.where(beyond, transfer * own, own)


def _temperatures(minute: Array) -> tuple[Array, Array]:
    """Air and surface temperature (deg C) of a mild spring day, warmest in mid-afternoon."""
    course = np.sin((minute / 60 - 9) * np.pi / 12)
    return 15 + 5 * course, 18 + 8 * course


def drops(points: pd.DataFrame, rng: np.random.Generator) -> pd.DataFrame:
    """One row a drop: place, load and sensor readings as written down (SI), faults of the survey included."""
    count = points["position"].map(DROPS).to_numpy()
    at = np.repeat(np.arange(len(points)), count)
    drop = np.concatenate([np.arange(1, n + 1) for n in count])
    unit = _unit_response(points)[at]
    load = DROP_LOADS[drop - 1] * (1 + TRUTH.scatter.load * rng.standard_normal(len(at)))
    gap = points["intercept"].to_numpy()[at][:, None] * unit / unit[:, :1]
    readings = _read(load[:, None] * unit + gap, rng)
    written = points.loc[at, ["station", "lane", "position", "point", "date", "minute"]].reset_index(drop=True)
    air, surface = _temperatures(written["minute"].to_numpy(dtype=float))
    written = written.assign(drop=drop, load=load, air_temperature=air, surface_temperature=surface)
    sensors = pd.DataFrame(readings, columns=[f"deflection_{i}" for i in range(1, readings.shape[1] + 1)])
    return _repeat_point(_stick_sensor(pd.concat([written, sensors], axis=1)))


def _read(deflection: Array, rng: np.random.Generator) -> Array:
    """What the sensors show of a deflection: a share of it and a fixed part in error, to a hundredth of a mil."""
    error = TRUTH.scatter.reading * rng.standard_normal(deflection.shape) * deflection
    floor = TRUTH.scatter.reading_floor * rng.uniform(-1, 1, deflection.shape)
    return np.round(np.maximum(deflection + error + floor, 0) / MIL, 2) * MIL


def _stick_sensor(written: pd.DataFrame) -> pd.DataFrame:
    bad = TRUTH.bad_sensor
    stuck = (written["lane"] == bad.lane) & (written["date"] == bad.date)
    name = f"deflection_{bad.sensor}"
    return written.assign(**{name: written[name].mask(stuck, bad.reading)})


def _repeat_point(written: pd.DataFrame) -> pd.DataFrame:
    """The rows of one point once more at the end of the file, as a careless copy leaves them."""
    again = written[written["point"] == TRUTH.duplicated_point]
    return pd.concat([written, again], ignore_index=True)
