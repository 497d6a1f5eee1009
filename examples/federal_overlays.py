"""The federal bonded-overlay experiment on jointed slabs: predicted life and deflection reduction beside the record.

    python federal_overlays.py FOLDER WEATHER...

FOLDER holds the federal files of ``federal_traffic.py``; WEATHER is one EPW or TMY3 year or more. The experiment's
overlays were 3 and 5 in thick, but which section had which is not known: both are computed for every section.

The record holds traffic, events and ride, but neither thickness, moduli, k, joint spacing, axle loads nor hourly
weather. These are assumed, the same for all sections, and printed first. So the comparison can show whether the
prediction is of the right order, and cannot test it section by section; the groups are too small to claim an effect.
"""

from __future__ import annotations

import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
from federal_traffic import load, one_construction_number, overlay_dates

from slabwright.bond.run import expected_deflections
from slabwright.climate.temperature import HourlyWeather, hourly_weather, yearly_classes
from slabwright.errors import SlabwrightError
from slabwright.intake import read, resolve
from slabwright.life.damage import axle_passes
from slabwright.life.exposure import Climate
from slabwright.life.inputs import SectionState, old_grid, old_ranges, surface_ranges
from slabwright.life.section_life import OldSlab, SectionLife, section_life
from slabwright.life.surface import StressSurface, build
from slabwright.plate.plate_stresses import PlateStresses
from slabwright.plate.stresses import PavementState, usual_grid
from slabwright.records.decisions import Decisions
from slabwright.records.facts import Facts
from slabwright.traffic.axles import pca_spectrum
from slabwright.units import INCH, LBF, PCI, PSI
from slabwright.workers import workers

JOINTED = "29"  # the state whose old slabs are jointed plain concrete
THICKNESSES = (3 * INCH, 5 * INCH)
REPAIRS = ("Slab Replacement", "Full Depth", "Partial depth patching", "Asphalt Concrete Overlay")
# Assumed (common practice, no source): not in the record.
SLAB, MODULUS, RUPTURE, FOUNDATION = 9 * INCH, 4.5e6 * PSI, 690 * PSI, 250 * PCI
SPACING, WIDTH, JOINT, SPECTRUM = 4.6, 3.7, 3.0, "3"
TEST_LOAD = 9000 * LBF


def decisions() -> Decisions:
    usual = Decisions()
    return replace(
        usual,
        overlay=replace(usual.overlay, thinnest=THICKNESSES[0], thickest=THICKNESSES[1], reliability=0.9),
        life=replace(usual.life, sample_power=12, surface_power=6),
    )


def sections(folder: Path) -> pd.DataFrame:
    """Trucks before and after the overlay, and what the record shows happened, for each jointed section overlaid."""
    facts = {table: resolve(reading, accept=True).frame for table, reading in load(folder).items()}
    years, events = one_construction_number(facts["loadings"]), facts["events"]
    rows = []
    for (state, section), day in overlay_dates(events).items():
        if state != JOINTED:
            continue
        own = years[(years["state_code"] == state) & (years["section"] == section)]
        yearly = own.set_index("year")["trucks_per_day"] * 365
        happened = events[(events["state_code"] == state) & (events["section"] == section)].copy()
        happened["age"] = (pd.to_datetime(happened["event_date"]) - day).dt.days / 365.25
        repaired = happened[(happened["age"] > 0) & happened["events"].str.contains("|".join(REPAIRS))]
        rows.append({
            "section": section,
            "past": yearly[yearly.index < day.year].sum(),
            "first": yearly.get(day.year + 1, np.nan),
            "watched": (pd.to_datetime(happened["study_end"]).max() - day).days / 365.25,
            "repaired": repaired["age"].min(),
            "how": "; ".join(repaired["events"].str.slice(0, 40)) or "none recorded",
        })
    return pd.DataFrame(rows)


def surfaces(given: Decisions) -> tuple[StressSurface, StressSurface]:
    """One for the composite and one for the old slab alone; every section has the same slabs."""
    state = _state("all", 1.0, 1.0)
    model = PlateStresses(SPACING, WIDTH, JOINT)
    with workers() as pool:
        begun = time.perf_counter()
        both = build(model, surface_ranges(state, given), usual_grid(), 2**6, 1, pool)
        say(f"Response surface of 64 pavements and 16 unseen: {time.perf_counter() - begun:.0f} s.")
        return both, build(model, old_ranges(state, given), old_grid(usual_grid()), 2**4, 1, pool)


def _state(name: str, first: float, past: float) -> SectionState:
    return SectionState(name, SLAB, MODULUS, RUPTURE, FOUNDATION, THICKNESSES[0], first, past)


def weather_of(path: Path) -> HourlyWeather:
    (reading,) = read(path)
    return hourly_weather(Facts(weather=resolve(reading, accept=True).frame))


def predicted(
    row: pd.Series, weather: HourlyWeather, both: StressSurface, old: StressSurface, given: Decisions
) -> SectionLife:
    overlays = np.array(THICKNESSES)
    climate = Climate(overlays, yearly_classes(weather, overlays, SLAB, given.design.overlay_modulus, MODULUS))
    alone = Climate(np.zeros(1), yearly_classes(weather, np.zeros(1), SLAB, given.design.overlay_modulus, MODULUS))
    passes = axle_passes(*pca_spectrum(SPECTRUM))
    state = _state(str(row["section"]), float(row["first"]), float(row["past"]))
    return section_life(state, both, climate, passes, given, OldSlab(old, alone))


def main(folder: Path, weather: list[Path]) -> None:
    given, found = decisions(), sections(folder)
    say(
        f"Assumed for all: slab {SLAB / INCH:.0f} in, E {MODULUS / PSI / 1e6:.1f}e6 psi, rupture {RUPTURE / PSI:.0f} psi,"
    )
    say(
        f"k {FOUNDATION / PCI:.0f} pci under moving wheels, joints at {SPACING} m, axle spectrum of category {SPECTRUM},"
    )
    say(f"law {given.life.fatigue_law}, life to {given.life.cracking_level:.0%} cracked slabs.\n")
    model = PlateStresses(SPACING, WIDTH, JOINT)
    for overlay in THICKNESSES:
        state = PavementState(overlay, SLAB, given.design.overlay_modulus, MODULUS, FOUNDATION)
        falls = expected_deflections(model, state, TEST_LOAD).set_index("position")["fall"]
        say(
            f"{overlay / INCH:.0f} in bonded: deflection falls by "
            + ", ".join(f"{v:.0%} {k}" for k, v in falls.items())
        )
    both, old = surfaces(given)
    for path in weather:
        year = weather_of(path)
        say(f"\nWeather {path.name}: years to the cracking level, median (at 90 %), for 3 and 5 in")
        counted = dict.fromkeys(THICKNESSES, 0)
        for _, row in found.iterrows():
            life = predicted(row, year, both, old, given)
            words = []
            for h in THICKNESSES:
                median, sure = life.years[np.argmin(np.abs(life.overlays - h))][[0, 2]]
                words.append(f"{min(median, 60):5.1f} ({min(sure, 60):4.1f})")
                counted[h] += bool(median < row["watched"])
            fate = row["how"] if np.isnan(row["repaired"]) else f"after {row['repaired']:.1f} years: {row['how']}"
            say(f"  {row['section']}: {'  '.join(words)}; watched {row['watched']:.1f} years; {fate}")
        mended = int(found["repaired"].notna().sum())
        for h, number in counted.items():
            say(
                f"  {h / INCH:.0f} in: {number} of {len(found)} expected to reach the level while watched; {mended} repaired"
            )


def say(words: str) -> None:
    sys.stdout.write(words + "\n")


if __name__ == "__main__":
    try:
        main(Path(sys.argv[1]), [Path(p) for p in sys.argv[2:]])
    except (SlabwrightError, IndexError) as problem:
        sys.exit(f"{problem}" if isinstance(problem, SlabwrightError) else __doc__)
