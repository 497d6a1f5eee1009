"""The federal bonded-overlay experiment on jointed slabs: predicted lives against what the record shows, as a score.

    python federal_overlays.py FOLDER WEATHER [STATE...]

FOLDER holds the federal files of ``federal_traffic.py``, of any states in the same form; WEATHER is one EPW or TMY3
year; STATE are codes, by default every state of the files whose old slabs are jointed plain concrete. The record holds
traffic, events and ride. Which section had 3 and which 5 in, the joint spacing, moduli, k, axle loads and hourly weather
are not in it: overlays of both thicknesses and joints of 15 to 20 ft are computed for every section, the rest is assumed
and printed first.

What is scored: that a section was structurally repaired (slabs replaced, full-depth patches, overlaid again) within the
years it was watched, against the chance of reaching the cracking level by then. The log-likelihood stands beside that of
one chance for all; coverage is the share of sections whose fate lies within the 90 % range of lives.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pandas as pd
from federal_traffic import load, one_construction_number, overlay_dates

from slabwright.calculation import Array
from slabwright.climate.temperature import HourlyWeather, hourly_weather, yearly_classes
from slabwright.errors import InputError, SlabwrightError
from slabwright.intake import read, resolve
from slabwright.life.damage import axle_passes, with_tractors
from slabwright.life.exposure import Climate
from slabwright.life.inputs import SectionState, old_grid, old_ranges, surface_ranges
from slabwright.life.reliability import lives
from slabwright.life.section_life import OldSlab, SectionLife, section_life
from slabwright.life.surface import StressSurface, build
from slabwright.plate.plate_stresses import PlateStresses
from slabwright.plate.stresses import usual_grid
from slabwright.records.decisions import Decisions
from slabwright.records.facts import Facts
from slabwright.traffic.axles import pca_spectrum
from slabwright.units import INCH, PCI, PSI
from slabwright.workers import workers

JOINTED = "Jointed plain concrete"
THICKNESSES, SPACINGS = (3 * INCH, 5 * INCH), (4.6, 5.3, 6.1)
STRUCTURAL = ("Slab Replacement", "Full Depth", "Asphalt Concrete Overlay", "Reconstruct")
# Assumed (common practice, no source): not in the record.
SLAB, MODULUS, RUPTURE, FOUNDATION, AGE = 9 * INCH, 4.5e6 * PSI, 690 * PSI, 250 * PCI, 25.0
WIDTH, JOINT, SPECTRUM, TESTS, CORES = 3.7, 3.0, "3", 10, 3
SURE = 0.02  # no chance is taken as nearer to none or one


@dataclass(frozen=True)
class Fate:
    """One section after its overlay: years until it was structurally repaired, NaN if it was not while watched."""

    section: str
    past: float
    first_year: float
    watched: float
    repaired: float

    @property
    def failed(self) -> bool:
        return bool(np.isfinite(self.repaired))


def decisions() -> Decisions:
    usual = Decisions()
    return replace(
        usual,
        design=replace(usual.design, thinnest=THICKNESSES[0], thickest=THICKNESSES[1], reliability=0.9),
        life=replace(usual.life, sample_power=12, surface_power=6),
    )


def fates(folder: Path, states: tuple[str, ...]) -> list[Fate]:
    """Every overlaid jointed section: trucks before and after, and what happened. InputError where there is none."""
    facts = {table: resolve(reading, accept=True).frame for table, reading in load(folder).items()}
    years, events = one_construction_number(facts["loadings"]), facts["events"]
    found = []
    for (state, section), day in overlay_dates(events).items():
        own = events[(events["state_code"] == state) & (events["section"] == section)]
        if (states and state not in states) or (not states and not _jointed(own)):
            continue
        trucks = years[(years["state_code"] == state) & (years["section"] == section)]
        yearly = trucks.set_index("year")["trucks_per_day"] * 365
        after = (pd.to_datetime(own["event_date"]) - day).dt.days / 365.25
        mended = after[(after > 0) & own["events"].str.contains("|".join(STRUCTURAL))]
        first = yearly[yearly.index > day.year]
        if first.empty:
            continue
        found.append(
            Fate(
                f"{state}-{section}",
                float(yearly[yearly.index < day.year].sum()),
                float(first.iloc[0]),
                float((pd.to_datetime(own["study_end"]).max() - day).days / 365.25),
                float(mended.min()),
            )
        )
    if not found:
        raise InputError("no overlaid section of these states has trucks and an overlay date", given=", ".join(states))
    return found


def _jointed(own: pd.DataFrame) -> bool:
    """Whether the slab was jointed plain concrete before the overlay."""
    return str(own.sort_values("event_date")["pavement_family_after_event"].iloc[0]).startswith(JOINTED)


def surfaces(plate: PlateStresses, given: Decisions) -> tuple[StressSurface, StressSurface]:
    """One for the composite and one for the old slab alone; every section has the same slabs."""
    state = _state(Fate("all", 1.0, 1.0, 1.0, np.nan))
    with workers() as pool:
        both = build(plate, surface_ranges(state, given), usual_grid(), 2**6, 1, pool)
        return both, build(plate, old_ranges(state, given), old_grid(usual_grid()), 2**4, 1, pool)


def _state(fate: Fate) -> SectionState:
    past = ((AGE / 2, fate.past),) if fate.past > 0 else ()
    return SectionState(
        fate.section,
        SLAB,
        MODULUS,
        RUPTURE,
        FOUNDATION,
        THICKNESSES[0],
        THICKNESSES[0],
        fate.first_year,
        past,
        AGE,
        None,
        TESTS,
        CORES,
    )


def predicted(
    fate: Fate,
    weather: HourlyWeather,
    plate: PlateStresses,
    made: tuple[StressSurface, StressSurface],
    given: Decisions,
) -> SectionLife:
    overlays = np.array(THICKNESSES)
    climates = [
        Climate(h, yearly_classes(weather, h, SLAB, given.design.overlay_modulus, MODULUS))
        for h in (overlays, np.zeros(1))
    ]
    passes = with_tractors(axle_passes(*pca_spectrum(SPECTRUM)), plate.tractors)
    return section_life(_state(fate), made[0], climates[0], passes, given, OldSlab(made[1], climates[1]))


def chances(all_lives: list[Array], found: list[Fate]) -> Array:
    """The chance of each section to reach the cracking level while it was watched."""
    each = [float((years <= fate.watched).mean()) for years, fate in zip(all_lives, found, strict=True)]
    return np.clip(each, SURE, 1 - SURE)


def score(chance: Array, failed: Array) -> float:
    """Mean log-likelihood of what happened."""
    return float(np.where(failed, np.log(chance), np.log1p(-chance)).mean())


def covered(all_lives: list[Array], found: list[Fate]) -> float:
    """Share of sections whose fate lies within the 90 % range: repaired within it, or watched in vain but not beyond it."""
    inside = []
    for years, fate in zip(all_lives, found, strict=True):
        low, high = np.quantile(years, [0.05, 0.95])
        inside.append(low <= fate.repaired <= high if fate.failed else fate.watched <= high)
    return float(np.mean(inside))


def weather_of(path: Path) -> HourlyWeather:
    (reading,) = read(path)
    return hourly_weather(Facts(weather=resolve(reading, accept=True).frame))


def main(folder: Path, path: Path, states: tuple[str, ...]) -> None:
    given, found, weather = decisions(), fates(folder, states), weather_of(path)
    failed = np.array([fate.failed for fate in found])
    say(
        f"Assumed for all: slab {SLAB / INCH:.0f} in, E {MODULUS / PSI / 1e6:.1f}e6 psi, rupture {RUPTURE / PSI:.0f} psi,"
        f" dynamic k {FOUNDATION / PCI:.0f} pci, axle spectrum of category {SPECTRUM}, weather {path.name};"
        f" law {given.life.fatigue_law}, to {given.life.cracking_level:.0%} of slabs.\n"
    )
    for fate in found:
        happened = f"repaired after {fate.repaired:.1f}" if fate.failed else "not repaired"
        say(f"  {fate.section}: watched {fate.watched:.1f} years, {happened}; {fate.first_year / 365:.0f} trucks a day")
    base = np.clip(np.full(len(found), failed.mean()), SURE, 1 - SURE)
    say(
        f"\n{int(failed.sum())} of {len(found)} repaired; log-likelihood of that chance for all {score(base, failed):.2f}"
    )
    for spacing in SPACINGS:
        plate = PlateStresses(spacing, WIDTH, JOINT)
        made = surfaces(plate, given)
        each = [predicted(fate, weather, plate, made, given) for fate in found]
        for overlay in THICKNESSES:
            say(
                _line(spacing, overlay, [lives(life.model, life.sample, overlay).years for life in each], found, failed)
            )


def _line(spacing: float, overlay: float, years: list[Array], found: list[Fate], failed: Array) -> str:
    chance = chances(years, found)
    medians = [float(np.median(y)) for y in years]
    return (
        f"joints {spacing} m, {overlay / INCH:.0f} in: median lives {min(medians):.1f} to {min(max(medians), 999):.1f} years;"
        f" expected repaired {chance.sum():.1f}; log-likelihood {score(chance, failed):.2f}; covered {covered(years, found):.0%}"
    )


def say(words: str) -> None:
    sys.stdout.write(words + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    try:
        main(Path(sys.argv[1]), Path(sys.argv[2]), tuple(sys.argv[3:]))
    except (SlabwrightError, IndexError) as problem:
        sys.exit(f"{problem}" if isinstance(problem, SlabwrightError) else __doc__)
