"""The life of one section: agrees with the exact sum, moves the right way, and says what it rests on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from slabwright.design.section_model import modelled_sections
from slabwright.errors import InputError, MissingFact, OutOfRange
from slabwright.life import run as life_run
from slabwright.life.cracking import cracking_exponent, damage_at_cracking, years_to_level
from slabwright.life.damage import LAWS, axle_passes
from slabwright.life.exposure import exact_damage
from slabwright.life.inputs import exposure_of, old_ranges, surface_ranges, truck_passes, uncertainties
from slabwright.life.past import Surveyed, quantiles
from slabwright.life.reliability import (
    INPUTS,
    aged,
    cracking,
    lives,
    normals,
    pavements_of,
    sample_of,
    values_of,
)
from slabwright.life.section_life import SectionLife, section_life
from slabwright.life.tables import life_tables
from slabwright.project import create, open_project
from slabwright.project.results import packed, unpacked
from slabwright.project.schema import DECISION
from slabwright.records.decisions import Decisions
from slabwright.records.decisions.life import FATIGUE_WORDS, LAW_BASIS, LifeDecisions
from slabwright.records.facts import FACTS, Facts
from slabwright.records.remarks import worded
from slabwright.records.results import StageResult
from slabwright.records.table import table
from slabwright.stages import outcomes
from slabwright.terms import LONGEST_LIFE
from slabwright.units import INCH, KIP, PSI
from tests.conftest import clock
from tests.life import roads
from tests.pipeline import computed

SAMPLE = normals(2**11, 1)
CALIBRATED = {"calibration": "calibrated to the section's own past", "past_damage_from": "past traffic"}


@pytest.fixture(scope="module")
def life() -> SectionLife:
    return roads.road().life()


# The law of 2008 is that of 2004 without its constant, so that the surface of its logarithm is the same.
@pytest.mark.parametrize("law", ["NCHRP 1-37A, 2004", "Vesic and Saxena 1969", "Corps of Engineers, field"])
def test_lives_by_the_surface_are_those_by_the_exact_sum(law: str) -> None:
    """Without scatter for errors, at three thicknesses and three reliabilities.

    The surfaces miss stress by about 1 %; laws turn that into 5 to 20 % of one life, which partly cancels in a
    quantile: measured within 10 %. Lives above 60 years are shown as 60.
    """
    made = roads.road(fatigue_law=law)
    model = made.life().model
    numbers = normals(512, 77)
    numbers[:, -2:] = 0.0
    exposure = exposure_of(roads.passes(), roads.climate(), made.surface.grid, made.decisions)
    for overlay in (2 * INCH, 4 * INCH, 6 * INCH):
        sample = sample_of(model, numbers)
        pavements = pavements_of(sample.values, overlay, model.grid)
        damage = np.stack([
            exact_damage(made.surface, exposure, LAWS[law], aged(pavements, float(r), model.grid))
            for r in model.ageing.nodes
        ])
        exact, _ = years_to_level(
            model.level,
            model.exponent,
            model.carried(None, 512),
            model.ageing.spread(model.causes.worst(damage)),
            model.trucks,
            sample.values["traffic"],
            model.ageing,
        )
        found = lives(model, sample, overlay).years
        both = [np.minimum(np.quantile(y, [0.5, 0.25, 0.1]), LONGEST_LIFE) for y in (found, exact)]
        np.testing.assert_allclose(*both, rtol=0.12, atol=0.2)


def test_the_thickness_found_lives_the_target_at_the_design_reliability(life: SectionLife) -> None:
    assert (life.target, life.reliability, life.remark.template) == (25, 0.95, "")
    assert 2 * INCH < life.found < 6 * INCH
    years = lives(life.model, sample_of(life.model, SAMPLE), life.found).quantiles([0.95])[0]
    assert years == pytest.approx(25, rel=1e-3)  # the root is found within a hundredth of a millimetre


def test_cracking_over_the_years_meets_the_level_at_the_life_told(life: SectionLife) -> None:
    """The curve at the design reliability passes the level in the year that is told as life at that reliability."""
    frame = life_tables([life])["fatigue_cracking"]
    assert (np.diff(frame[["median", "low", "high"]], axis=0) >= 0).all()
    assert (np.diff(frame[["low", "median", "high"]], axis=1) >= 0).all()
    sample = sample_of(life.model, SAMPLE)
    years = lives(life.model, sample, 2 * INCH).quantiles([0.95])
    assert years[0] < LONGEST_LIFE
    shares = cracking(life.model, sample, 2 * INCH, years)[0]
    assert quantiles(shares, [0.95], sample.weight)[0] == pytest.approx(life.model.level, rel=1e-3)


def test_life_rises_with_thickness_and_falls_with_reliability(life: SectionLife) -> None:
    assert (np.diff(life.years, axis=0) > 0).all()
    assert (np.diff(life.years, axis=1) < 0).all()
    assert life.overlays[[0, -1]] == pytest.approx([0.05, 6 * INCH])


LONGER: dict[str, Callable[[], roads.Road]] = {
    "stronger slab": lambda: roads.road(replace(roads.STATE, slab_strength=680 * PSI)),
    "thicker slab": lambda: roads.road(replace(roads.STATE, slab=8.5 * INCH)),
    "fewer trucks": lambda: roads.road(replace(roads.STATE, trucks=0.6e6)),
    "sounder slab": lambda: roads.road(replace(roads.STATE, surveyed=Surveyed(300, 0))),
    "wheels farther from the edge": lambda: roads.road(wander_mean=24 * INCH),
    "more cracking allowed": lambda: roads.road(cracking_level=0.15),
    "less scatter of strength": lambda: roads.road(slab_strength_variation=0.08),
}
SHORTER: dict[str, Callable[[], roads.Road]] = {
    "less bond": lambda: roads.road(delaminated_mean=0.08),
    "later law": lambda: roads.road(fatigue_law="AASHTO 2008"),
    "soft spring": lambda: roads.road(foundation_spring=0.5),
    "more cracking so far": lambda: roads.road(replace(roads.STATE, surveyed=Surveyed(300, 15))),
}


@pytest.mark.parametrize("change", [*LONGER, *SHORTER])
def test_a_life_moves_the_way_it_must(change: str, life: SectionLife) -> None:
    """At 95 % for every thickness whose life is of interest; the sample is the same, so that the sign is sure."""
    made = (LONGER.get(change) or SHORTER[change])().life()
    kept = life.years[:, 3] < 100
    assert kept.sum() >= 3
    rise = made.years[kept, 3] - life.years[kept, 3]
    assert ((rise > 0) if change in LONGER else (rise < 0)).all()


def test_past_traffic_takes_from_the_old_slab_alone() -> None:
    made = roads.road(
        replace(roads.STATE, past=((10.0, 2e5),)), past_damage_from="past traffic", strength_growth="none"
    )
    none = roads.road(replace(roads.STATE, past=()), past_damage_from="past traffic", strength_growth="none")
    found, fresh = made.life(), none.life()
    bottom = found.model.causes.faces.index(3)
    assert (found.detail.past[:, bottom] > 0).all()
    assert np.delete(found.detail.past, bottom, axis=1).max() == 0
    assert (found.detail.years <= fresh.detail.years).all()
    assert (fresh.detail.past == 0).all()
    exposure = exposure_of(roads.passes(), made.old.climate, made.old.surface.grid, made.decisions)
    middle = sample_of(found.model, np.zeros((1, len(INPUTS))))
    median = pavements_of(middle.values, 0.0, made.old.surface.grid)
    exact = exact_damage(made.old.surface, exposure, LAWS["NCHRP 1-37A, 2004"], median)[0, 0] * 2e5
    carried = lives(found.model, middle, 4 * INCH).past[0, bottom]
    assert carried == pytest.approx(exact, rel=0.15)  # the surface misses 1 % of stress, which damage feels tenfold


def test_the_chosen_law_is_the_unit_of_the_others(life: SectionLife) -> None:
    by_name = {law.law: law for law in life.laws}
    assert list(by_name) == list(LAWS)
    assert by_name["NCHRP 1-37A, 2004"].ratio == 1.0
    # The two editions differ by 10^0.4371 in every pass that does not fail at once.
    assert by_name["AASHTO 2008"].ratio == pytest.approx(10**0.4371, rel=1e-6)
    assert by_name["AASHTO 2008"].years < by_name["NCHRP 1-37A, 2004"].years
    # Darter's curve for 24 % is one decade below the one for 50 %.
    ratio = by_name["Darter 1977, 24 % failed"].ratio / by_name["Darter 1977, 50 % failed"].ratio
    assert ratio == pytest.approx(10, rel=1e-6)


def test_the_scatter_comes_from_somewhere(life: SectionLife) -> None:
    shares = dict(zip(INPUTS, life.sensitivities.first_order, strict=True))
    assert max(shares, key=lambda name: shares[name]) == "slab_strength"
    assert life.sensitivities.first_order.sum() <= 1.05  # first orders never exceed the whole; 1,024 rows scatter
    assert (life.sensitivities.total >= life.sensitivities.first_order - 0.05).all()


def test_the_same_seed_gives_the_same_life_and_another_nearly_so(life: SectionLife) -> None:
    again, other = roads.road().life(), roads.road(seed=2).life()
    assert again.years.tolist() == life.years.tolist()
    assert again.found == life.found
    assert other.found != life.found
    assert other.found == pytest.approx(life.found, abs=0.1 * INCH)  # 2,048 lives and another damage surface


def test_all_tables_are_whole_and_can_be_stored(life: SectionLife) -> None:
    tables = life_tables([life, life])
    for name, frame in tables.items():
        assert tuple(frame.columns) == outcomes()[name].names
        assert len(frame) % 2 == 0
        assert len(frame) > 0 or name == "fatigue_effects"  # which come from plates of their own
    assert tables["fatigue_lives"]["years"].max() == LONGEST_LIFE
    row = tables["fatigue_thickness"].iloc[0]
    assert row["found"] == life.found
    assert row["aashto"] == 4 * INCH
    assert row["point"] == "old slab, bottom, mid-slab edge"
    assert row["past_damage"] == pytest.approx(damage_at_cracking(0.02, cracking_exponent("2004 calibration")))
    damage = tables["fatigue_damage"].iloc[:4]
    assert damage["governs"].sum() == pytest.approx(1)
    np.testing.assert_allclose(damage["per_year"], damage["per_truck"] * 0.9e6)
    again = unpacked(packed(StageResult("life", tables)))
    for name, frame in tables.items():
        assert again.tables[name].equals(frame)
    assert (
        not tables["fatigue_fits"]["basis"].str.contains(r"psi|pci|MPa|GPa", regex=True).any()
    )  # read in either system
    assert all(frame.empty for frame in life_tables([]).values())


def test_a_target_out_of_reach_is_a_remark_and_no_number() -> None:
    made = roads.road(replace(roads.STATE, trucks=5e9)).life()
    assert np.isnan(made.found)
    assert worded(made.remark, "us").startswith("Target life not reached: the thickest overlay considered lasts")


def test_an_overlay_beyond_the_range_is_shown_at_its_end() -> None:
    made = roads.road(replace(roads.STATE, overlay=9 * INCH, aashto=np.nan)).life()
    assert made.overlay == 6 * INCH
    assert np.isnan(made.state.aashto)


@pytest.mark.parametrize(
    ("state", "changes", "said"),
    [
        ({"surveyed": None}, {}, "share of cracked slabs is not known, and past damage"),
        ({"surveyed": None}, CALIBRATED, "and damage was to be calibrated to it"),
        ({"past": ()}, CALIBRATED, "no truck has passed so far"),
    ],
)
def test_what_is_missing_is_asked_for(state: dict[str, object], changes: dict[str, str], said: str) -> None:
    with pytest.raises((MissingFact, InputError), match=f"section 1: .*{said}"):
        roads.road(replace(roads.STATE, **state), **changes).life()  # type: ignore[arg-type]


def test_an_axle_beyond_the_grid_is_refused() -> None:
    made = roads.road()
    heavy = axle_passes(np.array([60.0]) * KIP, np.array([1.0]), np.array([5.0]))
    with pytest.raises(OutOfRange, match="single axle is heavier"):
        section_life(made.state, made.surface, roads.climate(), heavy, made.decisions, made.old)


def test_a_range_of_thickness_that_is_none_is_refused() -> None:
    decisions = replace(Decisions(), design=replace(Decisions().design, thinnest=4 * INCH, thickest=3 * INCH))
    with pytest.raises(InputError, match=r"given '4.00 in and 3.00 in'"):
        surface_ranges(roads.STATE, decisions)


def test_a_surface_reaches_nearly_every_sample_and_like_sections_share_one() -> None:
    decisions = roads.decided()
    low, high = surface_ranges(roads.STATE, decisions)
    inputs = uncertainties(roads.STATE, decisions)
    for overlay in (2 * INCH, 6 * INCH):
        states = pavements_of(values_of(inputs, SAMPLE), overlay, roads.GRID).states
        inside = (
            states >= np.array([low.overlay, low.slab, low.overlay_modulus, low.slab_modulus, low.foundation, 0.0])
        ) & (
            states
            <= np.array([
                high.overlay,
                high.slab,
                high.overlay_modulus,
                high.slab_modulus,
                high.foundation,
                high.delaminated,
            ])
        )
        assert inside.all(axis=1).mean() > 0.98  # six inputs to three standard deviations
    near = replace(roads.STATE, foundation=roads.STATE.foundation * 1.001)
    assert surface_ranges(near, decisions) == (low, high)
    assert old_ranges(roads.STATE, decisions)[1].overlay == 0


def test_axles_come_from_the_loaded_spectrum_or_the_published_one() -> None:
    published = truck_passes(Facts(), Decisions())
    assert published.per_truck.sum() == pytest.approx(0.86646, rel=0.1)  # category 3 prints its groups per 1,000 trucks
    rows = {"axle": ["single", "tridem"], "load": [80e3, 200e3], "per_thousand_trucks": [900.0, 50.0]}
    loaded = truck_passes(replace(Facts(), axles=table(FACTS["axles"], rows)), Decisions())
    assert loaded.group.tolist() == [0, 2]
    assert loaded.per_truck.tolist() == [0.9, 0.05]


def test_a_project_from_before_these_decisions_opens_with_their_defaults(tmp_path) -> None:  # type: ignore[no-untyped-def]
    with create(tmp_path / "old.slab", user="tester", clock=clock) as road, road.store.writing() as connection:
        connection.execute(DECISION.delete().where(DECISION.c.name.like("life.%")))
    with open_project(tmp_path / "old.slab", user="tester", clock=clock) as road:
        assert road.decisions() == Decisions()
        road.decide("base", {"life.fatigue_law": "PCA 1984", "life.cracking_level": 0.2})
        decided = road.decisions().life
        road.undo()
        assert road.decisions().life == LifeDecisions()
    assert (decided.fatigue_law, decided.cracking_level) == ("PCA 1984", 0.2)


def test_every_law_says_what_it_was_fitted_to() -> None:
    assert set(LAW_BASIS) == set(FATIGUE_WORDS)


def test_the_shoulder_recorded_makes_the_edge(demo_project) -> None:  # type: ignore[no-untyped-def]
    """Of the demo's sections, whose layers are given one shoulder after the other."""
    facts = demo_project.facts()
    results = computed(facts, until="design")
    sections = modelled_sections(
        facts, results["evaluation"].tables["condition"], results["design"].tables["thicknesses"], Decisions()
    )
    edges = {}
    for kind in ("asphalt", "tied concrete", "widened lane", ""):
        layers = facts.layers.assign(shoulder=kind)
        model = life_run._edged(sections, replace(facts, layers=layers))[0].model
        edges[kind] = (model.shoulder > 0, model.tie > 0, model.widening > 0)
    assert edges["asphalt"] == edges[""] == (False, False, False)
    assert edges["tied concrete"] == (True, True, False)
    assert edges["widened lane"] == (False, False, True)
