"""The survey stage: basins, cores, distress with severity, quantities, homogeneous sections."""

from __future__ import annotations

import numpy as np
import pandas as pd

from slabwright.records.decisions.survey import SurveyDecisions
from slabwright.records.facts import Facts
from slabwright.records.outcomes.survey import BOUNDARIES, DIFFERENCES, SECTIONS
from slabwright.records.remarks import Remark, remark
from slabwright.records.results import StageResult
from slabwright.records.stage import Given
from slabwright.records.table import table
from slabwright.roadway.places import design_lane, directions_in_order, directions_of_lanes, layer_rows, road_limits
from slabwright.roadway.structures import decks, on_deck
from slabwright.survey.basins import reduce_basins
from slabwright.survey.boundaries import Boundary, by_deflection, direction_boundaries, mid_slab_response
from slabwright.survey.cores import correct_cores
from slabwright.survey.distress import distress_quantities, rate_distresses
from slabwright.survey.sections import cumulative_difference

__all__ = ["run"]

METHODS = ("cumulative difference", "optimal change points")
WARM_JOINTS = 27.0  # degC
NON_LINEAR = 0.10  # spread of deflection over load across drops beyond which a note is due
PREFIXES = {"with stationing": "W", "against stationing": "A", "": "S"}


def run(given: Given) -> StageResult:
    """Reduce the survey to sections: deflections [m] and stations [m], one row for each in the tables of the stage.

    Tables in SI units by the schemas of ``records.outcomes.survey``. Raises MissingFact when there are no deflection tests
    or no pavement layers, InputError for a section boundary set by hand that cannot be read or lies off the road.
    """
    facts, decisions = given.facts, given.decisions.survey
    facts.need("layers", "survey")
    basins = reduce_basins(facts.need("deflections", "survey"), decisions.standard_load)
    ground = basins[~on_deck(basins["station"], decks(facts))]  # a deck is no slab: its tests make no section
    rated = rate_distresses(facts.distresses)
    cracked = rated[~on_deck(rated["station"], decks(facts))]
    limits = road_limits(facts)
    directions = directions_of_lanes(facts)
    lengths = dict.fromkeys(directions, limits[1] - limits[0])
    sections, boundaries, differences = [], [], []
    for direction in directions_in_order(directions.values()):
        lanes = [lane for lane, way in directions.items() if way == direction]
        chosen = direction_boundaries(ground, cracked, facts.layers, lanes, limits, decisions)
        sections.append(_sections(facts, ground, cracked, lanes, direction, limits, chosen, decisions))
        boundaries.append(_both_methods(ground, lanes, direction, chosen, decisions))
        differences.append(_differences(ground, lanes, direction))
    tables = {
        "basins": basins,
        "core_strengths": correct_cores(facts.cores),
        "rated_distresses": rated,
        "distress_quantities": distress_quantities(rated, lengths),
        "sections": pd.concat(sections, ignore_index=True),
        "boundaries": table(BOUNDARIES, pd.concat(boundaries, ignore_index=True)),
        "differences": table(DIFFERENCES, pd.concat(differences, ignore_index=True)),
    }
    return StageResult("survey", tables, tuple(_notes(basins, rated)))


def _sections(
    facts: Facts,
    basins: pd.DataFrame,
    rated: pd.DataFrame,
    lanes: list[str],
    direction: str,
    limits: tuple[float, float],
    boundaries: list[Boundary],
    decisions: SurveyDecisions,
) -> pd.DataFrame:
    begins = np.array([limits[0], *(b.station for b in boundaries)])
    ends = np.array([*begins[1:], limits[1]])
    middles = (begins + ends) / 2
    layer = layer_rows(facts, middles, [design_lane(facts, direction)] * len(middles))
    mid = basins[(basins["position"] == "mid-slab") & basins["lane"].isin(lanes)]
    where = np.clip(np.searchsorted(begins, mid["station"], side="right") - 1, 0, None)
    grouped = mid.groupby(where)
    d0, area = grouped["deflection_1"], grouped["area_36"]
    rows = range(len(begins))
    here = rated[rated["lane"].isin(lanes)]
    durable = here[here["kind"] == "durability cracking"]
    edges = np.append(begins, limits[1] + 1e-9)
    lane_length = (ends - begins) * len(lanes)
    prefix = PREFIXES[direction] if direction in PREFIXES else direction[:1].upper()
    pavement = facts.layers["pavement"].to_numpy()
    thickness = facts.layers["thickness"].to_numpy()
    return table(
        SECTIONS,
        pd.DataFrame({
            "section": [f"{prefix}{i + 1}" for i in rows],
            "direction": direction,
            "begin": begins,
            "end": ends,
            "boundary": ["begin of the road", *(b.reason for b in boundaries)],
            "pavement": np.where(layer >= 0, pavement[layer], ""),
            "plan_thickness": np.where(layer >= 0, thickness[layer], np.nan),
            "tests": d0.count().reindex(rows, fill_value=0),
            "mean_deflection": d0.mean().reindex(rows),
            "deviation": d0.std(ddof=1).reindex(rows),
            "variation": (d0.std(ddof=1) / d0.mean()).reindex(rows),
            "design_deflection": d0.quantile(decisions.design_percentile).reindex(rows),
            "mean_area": area.mean().reindex(rows),
            "distress_per_length": np.histogram(here["station"], edges)[0] / lane_length,
            "durability_per_length": np.histogram(durable["station"], edges)[0] / lane_length,
        }),
    )


def _both_methods(
    basins: pd.DataFrame, lanes: list[str], direction: str, chosen: list[Boundary], decisions: SurveyDecisions
) -> pd.DataFrame:
    stations, response = mid_slab_response(basins, lanes)
    rows = [(b.station, b.reason, "yes") for b in chosen]
    for method in METHODS:
        found = by_deflection(stations, response, method, decisions.shortest_section)
        rows += [(b.station, method, "for comparison") for b in found]
    return pd.DataFrame(rows, columns=["station", "method", "used"]).assign(direction=direction)


def _differences(basins: pd.DataFrame, lanes: list[str], direction: str) -> pd.DataFrame:
    stations, response = mid_slab_response(basins, lanes)
    z = cumulative_difference(stations, response) if len(stations) > 1 else np.zeros(len(stations))
    return pd.DataFrame({"station": stations, "response": response, "difference": z}).assign(direction=direction)


def _notes(basins: pd.DataFrame, rated: pd.DataFrame) -> list[Remark]:
    crooked = int((basins["linearity"] > NON_LINEAR).sum())
    notes = []
    if crooked:
        notes.append(
            remark(
                "{crooked} of {tests} test points have deflection over load varying by more than {limit} across drops; at"
                " corners this can be a void, elsewhere check the test.",
                crooked=("count", crooked),
                tests=("count", len(basins)),
                limit=("share", NON_LINEAR),
            )
        )
    joints = basins["position"].isin(["joint approach", "joint leave", "corner"])
    warm = int((joints & (basins["surface_temperature"] > WARM_JOINTS)).sum())
    if warm:
        notes.append(
            remark(
                "{warm} joint and corner tests were made with the surface above {limit}: joints close and corners curl"
                " down, which hides poor load transfer and voids (AASHTO 1993 Part III, from memory).",
                warm=("count", warm),
                limit=("temperature", WARM_JOINTS),
            )
        )
    unrated = int((rated["severity"] == "none").sum())
    if unrated:
        notes.append(
            remark(
                "{unrated} distresses have neither a field severity nor a measurement that rates them.",
                unrated=("count", unrated),
            )
        )
    differ = rated[(rated["measured_severity"] != "") & (rated["measured_severity"] != rated["severity"])]
    if len(differ):
        notes.append(
            remark(
                "{differ} distresses were rated in the field otherwise than their measurements say; the field rating stands.",
                differ=("count", len(differ)),
            )
        )
    return notes
