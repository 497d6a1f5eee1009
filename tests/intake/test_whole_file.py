"""What is told of a whole file, and what is remembered of it: its one lane, its weather station, lengths from two stations."""

from __future__ import annotations

import numpy as np
import pytest

from slabwright.errors import InputError
from slabwright.intake import AnswerNeeded, Known, known_from, plain, read_bytes
from slabwright.units import FOOT

DISTRESS = b"Sta,Distress,Severity\n100+10,transverse crack,low\n100+40,corner break,high\n"


def rules(found) -> list[str]:
    return [f.rule for f in found.findings]


def test_a_file_without_a_lane_asks_for_it_with_the_lanes_of_the_project() -> None:
    with pytest.raises(AnswerNeeded) as asked:
        read_bytes(DISTRESS, "nb2.csv", table="distresses", known=Known(lanes=("NB1", "NB2")))
    (question,) = [q for q in asked.value.questions if q.kind == "lane"]
    assert [o.option for o in question.offers] == ["--lane NB1", "--lane NB2"]


def test_one_lane_is_given_to_a_whole_file() -> None:
    (found,) = read_bytes(DISTRESS, "nb2.csv", table="distresses", lane="NB2")
    assert set(found.frame["lane"]) == {"NB2"}
    assert found.lane == "NB2"
    assert "lane as told" in rules(found)
    own = DISTRESS.replace(b"Sta,", b"Lane,Sta,").replace(b"\n100", b"\nNB1,100")
    (found,) = read_bytes(own, "own.csv", table="distresses", lane="NB2")
    assert set(found.frame["lane"]) == {"NB1"}
    assert found.lane == ""


def test_two_stations_give_a_length_where_none_is_given() -> None:
    """By hand, in feet; a row entered backwards begins at the lesser, one at a point has no length."""
    data = b"Lane,From,To,Distress\nNB1,100+10,100+40,longitudinal crack\nNB1,100+90,100+50,longitudinal crack\nNB1,101+00,101+00,corner break\n"
    (found,) = read_bytes(data, "d.csv", table="distresses")
    assert found.frame["station"].to_numpy() / FOOT == pytest.approx([10010, 10050, 10100])
    lengths = found.frame["length"].to_numpy() / FOOT
    assert lengths[:2] == pytest.approx([30, 40])
    assert np.isnan(lengths[2])
    assert "length from its ends" in rules(found)
    assert not found.unmapped
    held = data.replace(b"To,", b"To,Length (ft),").replace(b",longi", b",7,longi").replace(b",corner", b",,corner")
    (found,) = read_bytes(held, "d.csv", table="distresses")
    assert found.frame["length"].iloc[0] / FOOT == pytest.approx(7)  # a column of lengths is the better word


def test_two_stations_in_kilometres_and_as_remembered() -> None:
    data = b"Lane,km from,km to,Distress\nNB1,3.10,3.25,longitudinal crack\n"
    (found,) = read_bytes(data, "d.csv", table="distresses", system="metric")
    assert found.frame["length"].iloc[0] == pytest.approx(150)
    known = known_from([(tuple(m.header for m in found.mapping), plain(found.table, found.mapping, (), {}))])
    (again,) = read_bytes(data, "e.csv", system="metric", known=known)
    assert again.table == "distresses"
    assert again.frame["length"].iloc[0] == pytest.approx(150)
    assert again.frame["station"].iloc[0] == pytest.approx(3100)


def test_the_weather_station_chosen_last_is_remembered() -> None:
    known = known_from([(("a",), plain("weather", (), (), {}, "AAA")), (("a",), plain("weather", (), (), {}, "BBB"))])
    assert known.place == "BBB"
    assert known_from([(("a",), plain("weather", (), (), {}))]).place == ""


def test_a_lane_that_no_file_needs_is_refused(tmp_path) -> None:
    from slabwright.workflow import read_each

    path = tmp_path / "d.csv"
    path.write_bytes(DISTRESS.replace(b"Sta,", b"Lane,Sta,").replace(b"\n100", b"\nNB1,100"))
    with pytest.raises(InputError, match="none of the files is without one"):
        read_each(None, [path], table="distresses", lane="NB2")
