"""Repair rules: minimum sizes, merging, what falls inside a full-depth repair, each kind once."""

from itertools import pairwise

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slabwright.records.decisions.repair import RepairDecisions
from slabwright.records.facts import FACTS
from slabwright.records.table import table
from slabwright.repair.marking import full_depth, merge_intervals, open_cracks, partial_depth
from slabwright.survey.distress import rate_distresses

FOOT = 0.3048
RULES = RepairDecisions()


def survey(**columns: list[object]) -> pd.DataFrame:
    rows = len(next(iter(columns.values())))
    return rate_distresses(table(FACTS["distresses"], {"lane": ["1"] * rows, **columns}))


def mark_full(rated: pd.DataFrame, rules: RepairDecisions = RULES) -> pd.DataFrame:
    n = len(rated)
    return full_depth(rated, np.full(n, 0.23), np.full(n, 3.66), rules)


def test_a_repair_is_at_least_the_shortest_length_and_the_full_lane() -> None:
    (row,) = mark_full(survey(station=[100.0], kind=["transverse crack"], severity=["high"])).itertuples()
    assert row.end - row.begin == pytest.approx(6 * FOOT)
    assert (row.begin + row.end) / 2 == pytest.approx(100.0)
    assert row.width == 3.66
    assert row.depth == 0.23


@pytest.mark.parametrize(("gap", "repairs"), [(5.9 * FOOT, 1), (6.1 * FOOT, 2)])
def test_neighbours_closer_than_the_gap_are_one_repair(gap: float, repairs: int) -> None:
    stations = [100.0, 100.0 + 6 * FOOT + gap]
    assert len(mark_full(survey(station=stations, kind=["transverse crack"] * 2, severity=["high"] * 2))) == repairs


def test_lanes_are_never_merged() -> None:
    rated = survey(station=[100.0, 100.5], kind=["transverse crack"] * 2, severity=["high"] * 2).assign(lane=["1", "2"])
    assert sorted(mark_full(rated)["lane"]) == ["1", "2"]


@pytest.mark.parametrize(
    ("kind", "level", "threshold", "chosen"),
    [
        ("transverse crack", "moderate", "high", False),
        ("transverse crack", "moderate", "moderate", True),
        ("corner break", "high", "high", True),
        ("punchout", "low", "moderate", False),
        ("punchout", "moderate", "moderate", True),
        ("joint spalling", "moderate", "moderate", False),
        ("joint spalling", "high", "high", True),
        ("durability cracking", "high", "high", True),
        ("patch", "moderate", "moderate", False),
        ("longitudinal crack", "high", "high", False),
    ],
)
def test_what_is_replaced_full_depth(kind: str, level: str, threshold: str, chosen: bool) -> None:
    rules = RepairDecisions(full_depth_severity=threshold)
    assert bool(len(mark_full(survey(station=[1.0], kind=[kind], severity=[level]), rules))) is chosen


def test_spalls_are_full_depth_when_deep_and_partial_depth_when_shallow() -> None:
    rated = survey(
        station=[100.0, 200.0],
        kind=["joint spalling"] * 2,
        severity=["moderate", "high"],
        depth=[0.1, 0.05],
        length=[0.6, 0.6],
    )
    full = mark_full(rated)
    assert full["begin"].tolist() == pytest.approx([100 - 3 * FOOT])
    partial = partial_depth(rated, np.full(2, 0.23), np.array([True, False]), RULES)
    assert partial["depth"].tolist() == [0.05]
    assert partial["width"].iloc[0] == pytest.approx(0.6 + 2 * 3 * 0.0254)
    assert partial["filled_with"].tolist() == ["overlay"]
    before = partial_depth(
        rated, np.full(2, 0.23), np.array([True, False]), RepairDecisions(fill_partial_with_overlay="no")
    )
    assert before["filled_with"].tolist() == ["repair concrete"]


def test_open_cracks_are_filled_outside_full_depth_repairs_only() -> None:
    rated = survey(
        station=[10.0, 20.0, 30.0, 40.0], kind=["transverse crack", "longitudinal crack", "transverse crack", "transverse crack"],
        severity=["moderate"] * 4, crack_width=[0.004, 0.004, 0.002, 0.004], length=[3.66, 12.0, 3.66, 3.66],
    )  # fmt: skip
    found = open_cracks(rated, np.array([False, False, False, True]), RULES)
    assert found["begin"].tolist() == [10.0, 20.0]
    assert (found["end"] - found["begin"]).tolist() == pytest.approx([0.0, 12.0])


def test_nothing_to_repair_gives_an_empty_list() -> None:
    assert mark_full(survey(station=[1.0], kind=["pumping"], severity=["high"])).empty


@given(st.lists(st.tuples(st.floats(0, 1000), st.floats(0.1, 30)), max_size=40), st.floats(0, 20))
def test_merged_intervals_are_apart_and_cover_all(pairs: list[tuple[float, float]], gap: float) -> None:
    begin = np.array([b for b, _ in pairs])
    end = np.array([b + w for b, w in pairs])
    group = merge_intervals(begin, end, gap)
    merged = sorted((begin[group == g].min(), end[group == g].max()) for g in np.unique(group))
    assert all(later[0] - earlier[1] > gap for earlier, later in pairwise(merged))
    assert len(group) == len(pairs)


def joints(*stations: float, assumed: bool = False) -> pd.DataFrame:
    return pd.DataFrame({"lane": "1", "station": list(stations), "assumed": assumed})


def at(stations: list[float], known: pd.DataFrame, rules: RepairDecisions = RULES) -> list[tuple[float, float]]:
    rated = survey(station=stations, kind=["transverse crack"] * len(stations), severity=["high"] * len(stations))
    n = len(rated)
    found = full_depth(rated, np.full(n, 0.23), np.full(n, 3.66), rules, known)
    return [(round(r.begin / FOOT, 2), round(r.end / FOOT, 2)) for r in found.itertuples()]


def test_an_end_near_a_joint_is_moved_to_it_and_one_far_away_is_not() -> None:
    """Six feet about 105 ft reach from 102 to 108: the joint at 100 is 2 ft away, that at 115 is 7."""
    known = joints(100 * FOOT, 115 * FOOT)
    assert at([105 * FOOT], known) == [(100.0, 108.0)]
    assert at([105 * FOOT], known, RepairDecisions(joint_distance=0.0)) == [(102.0, 108.0)]
    assert at([107.5 * FOOT], known) == [(104.5, 110.5)]


def test_a_joint_inside_a_repair_moves_nothing_and_no_repair_gets_shorter() -> None:
    assert at([100 * FOOT], joints(100 * FOOT, 115 * FOOT, 85 * FOOT)) == [(97.0, 103.0)]


@pytest.mark.parametrize(
    ("station", "ends"),
    [
        (
            102.0,
            (100.0, 106.0),
        ),  # 99 to 105 would cut 1 ft of the slab before: the dowels of the joint fit in no such strip
        (98.0, (94.0, 100.0)),
        (100.0, (97.0, 103.0)),  # at the joint: both slabs, 3 ft each
        (100.3, (97.0, 103.3)),  # recorded a hand away from it
    ],
)
def test_a_repair_leaves_no_sliver_of_the_next_slab(station: float, ends: tuple[float, float]) -> None:
    """A full-depth repair ends at a joint or goes past it by a length that takes dowels (common practice, no source)."""
    assert at([station * FOOT], joints(*(x * FOOT for x in (85, 100, 115)))) == [ends]


def test_a_short_sound_piece_that_the_move_leaves_is_replaced_too() -> None:
    """95 ft: 92 to 98, moved to the joint at 100. 108 ft: 105 to 111. The 5 ft between are less than 6: one repair."""
    known = joints(100 * FOOT, 130 * FOOT)
    assert at([95 * FOOT, 108 * FOOT], known) == [(92.0, 111.0)]
    assert at([95 * FOOT, 108 * FOOT], known.iloc[:0]) == [(92.0, 98.0), (105.0, 111.0)]


def test_the_reason_says_whether_the_joint_is_known() -> None:
    rated = survey(station=[105 * FOOT], kind=["transverse crack"], severity=["high"])
    for assumed, words in ((False, "end moved to a joint"), (True, "end moved to an assumed joint")):
        (row,) = full_depth(
            rated, np.full(1, 0.23), np.full(1, 3.66), RULES, joints(100 * FOOT, assumed=assumed)
        ).itertuples()
        assert row.reason == f"high transverse crack, {words}"


@given(st.lists(st.floats(0, 200), min_size=1, max_size=30), st.floats(0, 1.8), st.floats(0, 4))
def test_settled_repairs_are_apart_and_end_at_no_joint_nearly(
    stations: list[float], distance: float, gap: float
) -> None:
    rules = RepairDecisions(joint_distance=distance, merge_gap=gap)
    known = joints(*np.arange(0, 220, 4.5))
    rated = survey(station=stations, kind=["transverse crack"] * len(stations), severity=["high"] * len(stations))
    n = len(rated)
    found = full_depth(rated, np.full(n, 0.23), np.full(n, 3.66), rules, known).sort_values("begin")
    assert (found["end"] - found["begin"] >= rules.full_depth_shortest - 1e-9).all()
    assert (found["begin"].to_numpy()[1:] - found["end"].to_numpy()[:-1] > gap).all()
    for station in stations:
        assert ((found["begin"] <= station) & (station <= found["end"])).any()
    places = known["station"].to_numpy()
    for begin, end in zip(found["begin"], found["end"], strict=True):
        inside = places[(places > begin + 1e-5) & (places < end - 1e-5)]
        # Slabs are 4.5 m and repairs 1.8 m: past a joint inside there is room for the distance at both ends of a repair.
        assert (np.minimum(inside - begin, end - inside) >= distance - 1e-5).all()
        outside = np.concatenate([begin - places[places < begin - 1e-5], places[places > end + 1e-5] - end])
        assert (outside >= distance - 1e-5).all()
