"""How much of each lane the distress survey walked, judged by the places of its rows and not assumed."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd

from slabwright.calculation import Array
from slabwright.records.decisions.evaluation import EVERY_LANE, EvaluationDecisions, names_in
from slabwright.records.facts import Facts
from slabwright.records.outcomes.evaluation import LANES_WALKED
from slabwright.records.table import table
from slabwright.roadway.structures import decks, off_deck_length, off_deck_pieces, on_deck

__all__ = ["NOT_WALKED", "PARTLY", "STATED", "WALKED", "stated_lanes", "walked"]

NOT_WALKED, PARTLY, WALKED, STATED = "not walked", "partly", "walked", "stated"


def stated_lanes(decisions: EvaluationDecisions) -> list[str]:
    """The lanes named in ``evaluation.lanes_walked_whole``, split at semicolons and commas. Raises nothing."""
    return names_in(decisions.lanes_walked_whole)


def walked(
    facts: Facts, sections: pd.DataFrame, directions: Mapping[str, str], decisions: EvaluationDecisions
) -> pd.DataFrame:
    """The table ``lanes_walked``: one row for each section and lane, in their order.

    A row of the distress survey, one that says "no distress" too, shows that the lane was walked for
    ``evaluation.survey_reach`` on either side of it. A lane of which less than ``evaluation.least_walked`` was walked so is
    walked partly, and what was found there is counted over the length walked; above that, and where the engineer states in
    ``evaluation.lanes_walked_whole`` that it was, it is counted over the whole length on the ground. A lane without a row in
    the section is not walked, whatever lies beyond its ends. Common practice, no source. Raises nothing.
    """
    stated, spans = stated_lanes(decisions), decks(facts)
    off = facts.distresses[~on_deck(facts.distresses["station"], spans)]
    places = {lane: np.sort(here["station"].to_numpy(dtype=float)) for lane, here in off.groupby("lane")}
    rows = []
    for s in sections.itertuples(index=False):
        ground = float(off_deck_length(s.begin, s.end, spans))
        for lane in (name for name, way in directions.items() if way == s.direction):
            at = places.get(lane, np.empty(0))
            reached = _reached(at, s.begin, s.end, decisions.survey_reach, spans)
            inside = bool(((at >= s.begin) & (at <= s.end)).any())
            share = reached / ground if inside and ground > 0 else 0.0
            standing = WALKED if share >= decisions.least_walked else PARTLY if inside else NOT_WALKED
            if standing != WALKED and (lane in stated or EVERY_LANE in stated):
                standing = STATED
            counted = {PARTLY: reached, NOT_WALKED: 0.0}.get(standing, ground)
            rows.append((s.section, lane, share, counted, standing))
    return table(LANES_WALKED, pd.DataFrame(rows, columns=list(LANES_WALKED.names)))


def _reached(places: Array, begin: float, end: float, reach: float, spans: Array) -> float:
    """Length [m] from begin to end, off the decks, that lies within ``reach`` of one of the places (n,), in order."""
    ends = np.clip(np.stack([places - reach, places + reach], axis=1), begin, end)
    if len(ends):
        ends[1:, 0] = np.maximum(ends[1:, 0], ends[:-1, 1])
    pieces = off_deck_pieces(pd.DataFrame(ends, columns=["begin", "end"]), spans)
    return float((pieces["end"] - pieces["begin"]).sum())
