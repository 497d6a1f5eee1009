"""Plain new slabs without an overlay: the mechanistic analysis beside the 1993 equation, and beside the federal record.

    python new_slabs.py WEATHER [CONDITION]

WEATHER is one EPW or TMY3 year. For slabs of 7 to 12 in and joints of 15 and 20 ft the equivalent axles to the cracking
level, every input at its median, stand beside those of the 1993 equation at 50 %. CONDITION is the federal table of
concrete sections' condition: the last survey of every jointed plain section with a loading is predicted from its
thickness, age and equivalent axles alone, and scored: coverage of the band by the published standard error, and the
mean log-likelihood beside that of one share for all.

Everything else (strength, moduli, k, shoulders, axle loads, weather) is not in that record and is the same for all
sections here; it is printed first. A score tells how far the analysis may be trusted so far from its inputs.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd
from scipy import stats

from slabwright.calculation import Array
from slabwright.climate.temperature import HourlyWeather, hourly_weather, yearly_classes
from slabwright.errors import SlabwrightError
from slabwright.intake import read, resolve
from slabwright.life.cracking import Causes, cracked_share, cracking_exponent, damage_at_cracking
from slabwright.life.damage import LAWS, Law, axle_passes, with_tractors
from slabwright.life.effects import KnownStresses
from slabwright.life.exposure import SLAB_MODULUS, Climate, Exposure, Pavements, exact_damage
from slabwright.life.inputs import exposure_of, old_grid
from slabwright.life.reliability import aged
from slabwright.materials.fatigue import cracking_standard_error
from slabwright.materials.growth import flexural_ratio_2004
from slabwright.materials.terms import DAY, YEAR
from slabwright.plate.plate_stresses import PlateStresses
from slabwright.plate.stresses import PavementState, StressGrid, usual_grid
from slabwright.records.decisions import Decisions
from slabwright.records.facts import Facts
from slabwright.slab.serviceability import rigid_allowable_axles
from slabwright.traffic.axles import pca_spectrum, spectrum_equivalence
from slabwright.units import INCH, PCI, PSI

# Assumed (common practice, no source).
STRENGTH, MODULUS, DYNAMIC, STATIC, SPECTRUM = 690 * PSI, 4.2e6 * PSI, 300 * PCI, 150 * PCI, "3"
WIDTH, JOINT, TRANSFER = 3.7, 3.0, 3.2  # m; stiffness of the joints over k l; J of dowels and asphalt shoulders
THICKNESSES = np.arange(7.0, 12.01, 1.0) * INCH
SPACINGS = (4.6, 6.1)
AGES = np.array([0.0, 1.0, 4.0, 10.0, 20.0, 40.0])  # years, between which the concrete is taken at one age
CERTAIN = 1.645  # standard errors either way: nine sections in ten
CRACKED, LOADED = "pct_cracked_slabs_design_guide_definition", "thousand_esal_per_year"


@dataclass(frozen=True)
class Slabs:
    """Damage of one equivalent axle (thicknesses, ages, causes) on slabs of one spacing, bottom and top as causes."""

    thickness: Array
    damage: Array

    def of_axles(self, thickness: float, axles: float, years: float) -> Array:
        """Damage (causes,) by axles spread evenly over the years so far, straight between thicknesses on its logarithm."""
        ends = np.clip(np.append(AGES[1:], np.inf), None, years)
        shares = np.maximum(ends - AGES, 0.0) / max(years, 1e-9)
        logs = np.log(np.maximum(self.damage, 1e-30))
        at = np.array([
            [np.interp(thickness, self.thickness, logs[:, age, cause]) for cause in range(logs.shape[2])]
            for age in range(len(AGES))
        ])
        return axles * (shares[:, None] * np.exp(at)).sum(axis=0)


def weather_of(path: Path) -> HourlyWeather:
    (reading,) = read(path)
    return hourly_weather(Facts(weather=resolve(reading, accept=True).frame))


def slabs_of(spacing: float, weather: HourlyWeather, given: Decisions) -> Slabs:
    plate, grid = PlateStresses(spacing, WIDTH, JOINT), old_grid(usual_grid())
    passes = with_tractors(axle_passes(*pca_spectrum(SPECTRUM)), plate.tractors)
    law = LAWS[given.life.fatigue_law]
    middle = np.append((AGES[1:] + AGES[:-1]) / 2, 50.0)
    ratios = np.asarray(flexural_ratio_2004(np.maximum(middle * YEAR, 28 * DAY)))
    rows = []
    for h in THICKNESSES:
        classes = yearly_classes(weather, np.zeros(1), float(h), given.design.overlay_modulus, MODULUS)
        exposure = exposure_of(passes, Climate(np.zeros(1), classes), grid, given)
        states = np.array([[0.0, h, given.design.overlay_modulus, MODULUS, DYNAMIC, 0.0]])
        slab = Pavements(states, np.ones(1), np.full((1, len(grid.points)), STRENGTH))
        each = [_damage(plate, aged(slab, float(r), grid, SLAB_MODULUS), exposure, law, grid) for r in ratios]
        worst = Causes.of(grid.points).worst(np.concatenate(each))
        rows.append(worst / float(spectrum_equivalence(*pca_spectrum(SPECTRUM), np.asarray(h))))
    return Slabs(THICKNESSES, np.stack(rows))


def _damage(plate: PlateStresses, slab: Pavements, exposure: Exposure, law: Law, grid: StressGrid) -> Array:
    """Damage (1, points) of one slab by a plate of its own."""
    stresses = plate(PavementState(*map(float, slab.states[0])), grid)
    return exact_damage(KnownStresses(grid, stresses[None]), exposure, law, slab)


def axles_to_level(slabs: Slabs, thickness: float, given: Decisions) -> float:
    """Equivalent axles over 20 years after which the cracking level is reached."""
    exponent = cracking_exponent(given.life.cracking_curve)
    low, high = 1e2, 1e14
    for _ in range(80):  # halving on the logarithm
        middle = (low * high) ** 0.5
        cracked = float(cracked_share(slabs.of_axles(thickness, middle, 20.0), exponent))
        low, high = (middle, high) if cracked < given.life.cracking_level else (low, middle)
    return high


def beside_the_equation(slabs: dict[float, Slabs], given: Decisions) -> pd.DataFrame:
    """Millions of equivalent axles by both, for each thickness, and the factor between them."""
    allowed = rigid_allowable_axles(
        THICKNESSES, STRENGTH, MODULUS, STATIC, TRANSFER, 0.5, given.design.standard_deviation
    ).axles
    frame = pd.DataFrame({"slab [in]": THICKNESSES / INCH, "1993 at 50 %": allowed / 1e6})
    for spacing, made in slabs.items():
        found = np.array([axles_to_level(made, float(h), given) for h in THICKNESSES])
        frame[f"fatigue, {spacing} m"] = found / 1e6
        frame[f"factor, {spacing} m"] = found / allowed
    return frame


def surveyed(path: Path) -> pd.DataFrame:
    """The last survey of each jointed plain section that has a loading, an age and a share of cracked slabs."""
    frame = pd.read_csv(path, dtype={"state_code": str, "section": str})
    kept = frame[frame["pavement_family"].str.startswith("JPC") & (frame["construction_no"] == 1)]
    kept = kept.dropna(subset=[CRACKED, LOADED, "age_years", "slab_thickness_in"])
    kept = kept[(kept["age_years"] > 0) & (kept[LOADED] > 0)]
    return kept.sort_values("visit_date").groupby(["state_code", "section"]).tail(1)


def scored(sections: pd.DataFrame, slabs: Slabs, given: Decisions) -> str:
    """Coverage and mean log-likelihood of the recorded shares, a share of none or all counted as its tail."""
    exponent = cracking_exponent(given.life.cracking_curve)
    predicted = np.array([
        float(cracked_share(slabs.of_axles(h * INCH, 1e3 * load * age, age), exponent))
        for h, load, age in zip(sections["slab_thickness_in"], sections[LOADED], sections["age_years"], strict=True)
    ])
    found = sections[CRACKED].to_numpy() / 100
    error = np.asarray(cracking_standard_error(predicted))
    inside = np.abs(found - predicted) <= CERTAIN * error
    plain = np.full(len(found), found.mean())
    ours, others = (float(_likelihood(found, p, e).mean()) for p, e in ((predicted, error), (plain, found.std())))
    return (
        f"{len(found)} sections: recorded {found.mean():.1%}, predicted {predicted.mean():.1%} (median {np.median(predicted):.1%});"
        f" within the 90 % band {inside.mean():.0%}; mean log-likelihood {ours:.2f}, of one share for all {others:.2f};"
        f" rank correlation {stats.spearmanr(found, predicted).statistic:.2f}"
    )


def _likelihood(found: Array, predicted: Array, error: Array | float) -> Array:
    inner = stats.norm.logpdf(found, predicted, error)
    none, whole = stats.norm.logcdf(0, predicted, error), stats.norm.logsf(1, predicted, error)
    return np.where(found <= 0, none, np.where(found >= 1, whole, inner))


def main(weather: Path, condition: Path | None) -> None:
    given = Decisions()
    say(
        f"Assumed for all: strength {STRENGTH / PSI:.0f} psi at 28 days, E {MODULUS / PSI / 1e6:.1f}e6 psi, k {DYNAMIC / PCI:.0f}"
        f" dynamic and {STATIC / PCI:.0f} pci static, J {TRANSFER}, axle spectrum of category {SPECTRUM}, weather {weather.name};"
        f" law {given.life.fatigue_law}, to {given.life.cracking_level:.0%} of slabs (damage {_limit(given):.2f} by one cause).\n"
    )
    year = weather_of(weather)
    slabs = {spacing: slabs_of(spacing, year, given) for spacing in SPACINGS}
    say("Millions of equivalent 18-kip axles")
    say(beside_the_equation(slabs, given).to_string(index=False, float_format="{:.3g}".format))
    if condition:
        sections = surveyed(condition)
        for spacing, made in slabs.items():
            say(f"\nJoints taken as {spacing} m. {scored(sections, made, given)}.")


def _limit(given: Decisions) -> float:
    return damage_at_cracking(given.life.cracking_level, cracking_exponent(given.life.cracking_curve))


def say(words: str) -> None:
    sys.stdout.write(words + "\n")


if __name__ == "__main__":
    try:
        main(Path(sys.argv[1]), Path(sys.argv[2]) if len(sys.argv) > 2 else None)
    except (SlabwrightError, IndexError) as problem:
        sys.exit(f"{problem}" if isinstance(problem, SlabwrightError) else __doc__)
