"""What was examined in each section: slab on the ground, cores, lanes surveyed, joints and corners tested."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright.evaluation.walked import NOT_WALKED, STATED, WALKED
from slabwright.records.decisions.evaluation import EvaluationDecisions
from slabwright.records.facts import Facts
from slabwright.records.words import NOT_EXAMINED
from slabwright.roadway.places import section_index
from slabwright.roadway.structures import decks, off_deck_length, on_deck

__all__ = ["ASSUMING", "KINDS", "Kind", "assumed", "examined", "missing", "off_decks", "rows_of"]


class Kind:
    """One kind of examination, by its column in ``examined``."""

    CORES, SURVEY, JOINTS, CORNERS = "cores", "surveyed", "joints", "corners"


KINDS = (Kind.CORES, Kind.SURVEY, Kind.JOINTS, Kind.CORNERS)
# The decision by which the engineer assumes what an examination would have shown.
ASSUMING = {
    Kind.CORES: "assume_without_cores",
    Kind.SURVEY: "assume_without_survey",
    Kind.JOINTS: "assume_without_joint_tests",
    Kind.CORNERS: "assume_without_corner_tests",
}


def rows_of(
    facts: Facts, sections: pd.DataFrame, directions: Mapping[str, str], frame: pd.DataFrame
) -> npt.NDArray[np.int64]:
    """Section row of each row of a table with station and lane (n,): (n,), -1 on decks and outside all sections."""
    stations = frame["station"].to_numpy(dtype=float)
    rows = section_index(sections, directions, stations, frame["lane"])
    return np.where(on_deck(stations, decks(facts)), -1, rows)


def off_decks(facts: Facts, frame: pd.DataFrame) -> pd.DataFrame:
    """The rows of a table with stations that lie on no deck."""
    return frame[~on_deck(frame["station"], decks(facts))]


def examined(
    facts: Facts,
    sections: pd.DataFrame,
    cores: pd.DataFrame,
    transfers: pd.DataFrame,
    voids: pd.DataFrame,
    walks: pd.DataFrame,
) -> pd.DataFrame:
    """One row for each section: ``ground`` [m], numbers of cores, lanes surveyed, joints, corners, and who lacks a survey.

    ``cores``, ``transfers`` and ``voids`` are result tables with the section's name, ``walks`` the table ``lanes_walked``. A lane
    is surveyed where it was walked at least partly; ``whole`` are the lanes walked whole or stated so.
    """
    names = sections["section"].to_numpy()
    seen = cores[
        (cores["material"] != NOT_EXAMINED) | (cores["delaminated"] != NOT_EXAMINED) | (cores["conflict"] != "")
    ]
    tested = transfers.dropna(subset=["efficiency"])
    judged = voids[voids["void"].isin(["yes", "no"])]
    surveyed, whole = (walks["standing"] != NOT_WALKED), walks["standing"].isin([WALKED, STATED])
    lacking = walks[~surveyed].groupby("section")["lane"].agg(", ".join)
    return pd.DataFrame({
        "section": names,
        "jointed": (sections["pavement"] != "CRCP").to_numpy(),
        "ground": off_deck_length(sections["begin"], sections["end"], decks(facts)),
        "lanes": _counted(walks, names),
        Kind.CORES: _counted(seen, names),
        Kind.SURVEY: _counted(walks[surveyed], names),
        "whole": _counted(walks[whole], names),
        "counted": walks.groupby("section")["counted"].sum().reindex(names, fill_value=0.0).to_numpy(),
        Kind.JOINTS: _counted(tested, names),
        Kind.CORNERS: _counted(judged, names),
        "unwalked": lacking.reindex(names, fill_value="").to_numpy(),
    })


def _counted(frame: pd.DataFrame, names: npt.NDArray[np.object_]) -> npt.NDArray[np.int64]:
    return frame["section"].value_counts().reindex(names, fill_value=0).to_numpy(dtype=np.int64)


def missing(seen: pd.DataFrame, kind: str) -> npt.NDArray[np.bool_]:
    """Which sections lack an examination that is asked of them: joints and corners only of jointed slabs. (sections,)"""
    asked = seen["jointed"] if kind in (Kind.JOINTS, Kind.CORNERS) else True
    return np.asarray((seen[kind] == 0) & asked)


def assumed(decisions: EvaluationDecisions, kind: str) -> bool:
    """Whether the engineer assumes by name what that examination would have shown."""
    return bool(getattr(decisions, ASSUMING[kind]) != "no")
