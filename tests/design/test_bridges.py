"""Bridges: a deck that carries the road is no slab on the ground; what is unknown of a bridge is said to be unknown.

Expected areas and loads are lengths, widths and weights of the demo's plans multiplied here by hand.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from slabwright.project import Project
from slabwright.records.decisions import Decisions, change
from slabwright.records.facts import FACTS, Facts
from slabwright.records.table import table
from slabwright.records.words import NOT_JUDGED, UNKNOWN
from slabwright.roadway.structures import decks, off_deck_length, off_deck_pieces, on_deck
from slabwright.units import FOOT, INCH, format_station
from tests.pipeline import tables

LANES = 3 * 12 * FOOT  # each direction
DECK = (134.2 * 100 * FOOT, 135.9 * 100 * FOOT)  # of the demo's bridge that carries the road, inside A2 and W2


@pytest.fixture(scope="module")
def facts(demo_project: Project) -> Facts:
    return demo_project.facts()


@pytest.fixture(scope="module")
def bare(facts: Facts) -> dict[str, pd.DataFrame]:
    """The road without bridges."""
    return tables(with_bridges(facts))


def with_bridges(facts: Facts, *bridges: dict[str, object]) -> Facts:
    rows = [{"name": f"Bridge {i}", "passes": "under the road"} | b for i, b in enumerate(bridges)]
    return replace(facts, bridges=table(FACTS["bridges"], pd.DataFrame(rows, columns=list(FACTS["bridges"].names))))


def areas(found: dict[str, pd.DataFrame]) -> pd.Series:
    return found["overlay_quantities"].set_index("section")["area"]


def test_a_deck_leaves_area_repairs_and_tests(facts: Facts, bare: dict[str, pd.DataFrame]) -> None:
    found = tables(facts)
    for name in ("A2", "W2"):
        section = found["verdicts"].set_index("section").loc[name]
        length = section["end"] - section["begin"] - (DECK[1] - DECK[0])
        assert areas(found)[name] == pytest.approx(length * LANES)
        assert areas(bare)[name] - areas(found)[name] == pytest.approx(170 * FOOT * LANES)
    volume = found["overlay_quantities"]
    assert volume["volume"].to_numpy() == pytest.approx((volume["area"] * volume["overlay"]).to_numpy())
    assert len(inside(bare["repairs"])) > 10  # joints and distresses that the deck has not
    assert len(inside(found["repairs"])) == 0
    tests = found["moduli"][found["moduli"]["station"].between(*DECK)]
    assert set(tests["excluded"]) == {"on the deck of a bridge"}
    assert set(tests["section"]) == {""}


def inside(repairs: pd.DataFrame) -> pd.DataFrame:
    return repairs[(repairs["end"] > DECK[0] + 1e-6) & (repairs["begin"] < DECK[1] - 1e-6)]


def test_a_deck_has_a_line_of_its_own(facts: Facts) -> None:
    """4.5 in of 2400 kg/m3 at 9.80665 m/s2; a taper of 300 to 1."""
    found = tables(facts)
    deck = found["structures"].iloc[0]
    thickest = found["thicknesses"].set_index("section").loc[["A2", "W2"], "overlay"].max()
    assert deck["deck_length"] == pytest.approx(170 * FOOT)
    assert deck["deck_area"] == pytest.approx(170 * FOOT * 2 * LANES)
    assert deck["dead_load"] == pytest.approx(2400 * 9.80665 * thickest)
    assert deck["taper"] == pytest.approx(300 * thickest)
    assert deck["bears"] == UNKNOWN
    assert "unknown" in deck["note"]
    assert found["clearances"]["bridge"].tolist() == ["Snuffer Street Overpass"]


@pytest.mark.parametrize(("spare", "bears"), [(3000.0, "yes"), (1000.0, "no"), (0.0, "no")])
def test_a_known_spare_load_says_what_the_deck_bears(facts: Facts, spare: float, bears: str) -> None:
    known = facts.bridges.assign(spare_load=[spare, np.nan], allowable_raise=np.nan)
    deck = tables(replace(facts, bridges=known))["structures"].iloc[0]
    assert deck["could_bear"] == pytest.approx(spare / (2400 * 9.80665))
    assert deck["bears"] == bears


def test_the_allowed_raise_limits_what_the_deck_bears(facts: Facts) -> None:
    known = facts.bridges.assign(spare_load=[1e4, np.nan])  # the demo allows a raise of 3.5 in
    deck = tables(replace(facts, bridges=known))["structures"].iloc[0]
    assert deck["could_bear"] == pytest.approx(3.5 * INCH)
    assert deck["bears"] == "no"


def test_a_section_wholly_on_a_bridge_is_not_judged(facts: Facts, bare: dict[str, pd.DataFrame]) -> None:
    """The engineer sets its borders: the tests on the deck make none."""
    section = bare["sections"].set_index("section").loc["A3"]
    borders = "; ".join(f"{format_station(section[end], 'us')}" for end in ("begin", "end"))
    decisions = change(Decisions(), "survey.section_boundaries", borders)
    found = tables(with_bridges(facts, {"begin": section["begin"] - 1, "end": section["end"] + 1}), decisions)
    (name,) = found["sections"].query("direction == 'against stationing' and boundary == 'set by hand'")["section"][:1]
    verdict = found["verdicts"].set_index("section").loc[name]
    assert verdict["verdict"] == NOT_JUDGED
    assert "Slab on the ground" in verdict["reasons"]
    assert name not in areas(found).index
    assert name not in set(found["repairs"]["section"])
    points = found["open_points"]
    here = points[points["about"].str.split(", ").map(lambda names: name in names)]
    assert here["point"].tolist() == ["lies wholly on a bridge"]


def test_two_bridges_that_overlap_count_once(facts: Facts, bare: dict[str, pd.DataFrame]) -> None:
    found = tables(with_bridges(facts, {"begin": 4100.0, "end": 4150.0}, {"begin": 4130.0, "end": 4180.0}))
    assert areas(bare)["A2"] - areas(found)["A2"] == pytest.approx(80 * LANES)
    assert found["structures"]["deck_length"].tolist() == [50, 50]


def test_a_bridge_beyond_the_end_of_the_road(facts: Facts, bare: dict[str, pd.DataFrame]) -> None:
    """Half of one deck reaches onto the road, the other none."""
    end = float(facts.road["end"].iloc[0])
    found = tables(with_bridges(facts, {"begin": end - 20, "end": end + 30}, {"begin": end + 100, "end": end + 150}))
    assert areas(bare)["A5"] - areas(found)["A5"] == pytest.approx(20 * LANES)
    assert found["structures"]["deck_length"].tolist() == pytest.approx([20, 0])
    assert found["structures"]["note"].iloc[1] == "beyond the ends of the road"
    assert "Bridge 1" not in set(found["open_points"]["about"])


def test_an_unknown_clearance_is_unknown_and_an_open_point(facts: Facts) -> None:
    """It once passed where nothing was known."""
    gap = {"name": "Overpass", "begin": 3300.0, "end": 3320.0, "passes": "over the road", "required_clearance": 4.9}
    found = tables(with_bridges(facts, gap))
    row = found["clearances"].iloc[0]
    assert (row["passes"], row["remedy"]) == (UNKNOWN, "measure the clearance")
    assert found["open_points"].set_index("about").loc["Overpass", "point"] == "the clearance is unknown"
    reason = found["suitability"].query("subject == 'Raise available at bridge Overpass'")
    assert set(reason["outcome"]) == {"not examined"}
    assert set(reason["provided"]) == {UNKNOWN}


def test_a_bridge_that_does_not_say_what_it_carries_is_an_open_point(
    facts: Facts, bare: dict[str, pd.DataFrame]
) -> None:
    found = tables(with_bridges(facts, {"begin": 3300.0, "end": 3320.0, "passes": "", "clearance": 5.0}))
    row = found["clearances"].iloc[0]
    assert (row["passes"], row["passes_road"]) == (UNKNOWN, UNKNOWN)
    assert "unknown whether it carries" in found["open_points"].set_index("about").loc["Bridge 0", "point"]
    assert areas(found)["A1"] == areas(bare)["A1"]


def test_pieces_off_decks() -> None:
    spans = np.array([[10.0, 20.0], [30.0, 32.0]])
    rows = pd.DataFrame({"begin": [5.0, 12, 15, 0, 18, 10, 25, 31], "end": [9.0, 14, 15, 40, 25, 10, 31, 31]})
    left = off_deck_pieces(rows, spans).sort_values(["begin", "end"])[["begin", "end"]].to_numpy().tolist()
    assert left == [[0, 10], [5, 9], [10, 10], [20, 25], [20, 30], [25, 30], [32, 40]]
    assert off_deck_length([0.0, 12, 35], [40.0, 14, 36], spans).tolist() == [28, 0, 1]
    assert on_deck([10.0, 10.1, 20, 31, 5], spans).tolist() == [False, True, False, True, False]


def test_ends_of_a_bridge_in_either_order_are_one_deck(facts: Facts) -> None:
    turned = with_bridges(facts, {"begin": 60.0, "end": 50.0}, {"begin": 60.0, "end": 70.0})
    assert decks(turned).tolist() == [[50, 70]]
