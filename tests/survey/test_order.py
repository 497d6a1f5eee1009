"""Sections come in one order in every table, which screens, commands, workbook and report all take."""

from __future__ import annotations

from slabwright.records.results import StageResult
from slabwright.roadway.places import by_section, directions_in_order
from slabwright.stages import outcomes

BY_TEST = ("core_states", "moduli", "transfers", "voids")  # in the order of their tests along the road
WITH, AGAINST = "with stationing", "against stationing"


def test_directions_and_sections_have_one_order_in_every_table(demo_results: dict[str, StageResult]) -> None:
    sections = [f"{way}{number}" for way in "WA" for number in range(1, 6)]
    seen = 0
    for result in demo_results.values():
        for name, frame in result.tables.items():
            if name in BY_TEST or not {"section", "direction"} & set(outcomes()[name].names):
                continue
            seen += 1
            if "section" in frame and name != "lane_quantities":
                met = [s for s in dict.fromkeys(frame["section"]) if s]
                assert met == [s for s in sections if s in met], name
            if "direction" in frame:
                ways = [way for way in dict.fromkeys(frame["direction"]) if way]
                assert ways in ([WITH, AGAINST], [WITH]), name
    assert seen > 20


def test_rows_of_a_section_stay_as_they_were(demo_results: dict[str, StageResult]) -> None:
    frame = demo_results["evaluation"].tables["suitability"]
    turned = by_section(frame, ["A2", "W1"])
    assert turned["section"].iloc[0] == "A2"
    of = turned["section"] == "A2"
    assert turned.loc[of, "subject"].tolist() == frame.loc[frame["section"] == "A2", "subject"].tolist()
    assert len(turned) == len(frame)
    assert directions_in_order(["eastbound", AGAINST, WITH, AGAINST]) == [WITH, AGAINST, "eastbound"]
