"""Does a section suit a bonded overlay? Every reason for and against, with its number and limit, and the verdict."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd

from slabwright import units
from slabwright.evaluation.cores import FOUND, contested, diseased
from slabwright.evaluation.examined import ASSUMING, Kind, assumed, off_decks
from slabwright.evaluation.kind_of_slab import MANY_JOINTS, joints_found
from slabwright.evaluation.reasons import (
    CAUTION,
    DATA,
    GUIDE,
    PRACTICE,
    REFUSES,
    REPAIR,
    Reason,
    Sample,
    compared,
    sampled,
)
from slabwright.evaluation.state import ASSUMED_TRANSFER
from slabwright.records.decisions.evaluation import EvaluationDecisions
from slabwright.records.facts import Facts
from slabwright.records.material_words import named
from slabwright.records.outcomes.evaluation import SUITABILITY, VERDICTS
from slabwright.records.remarks import Remark, by_number, encoded, remark
from slabwright.records.table import table
from slabwright.records.words import (
    CARRIES,
    FAILS,
    HOLDS,
    NOT_EXAMINED,
    NOT_JUDGED,
    NOT_SUITED,
    OVER,
    SUITED,
    SUITED_AFTER_REPAIR,
    UNKNOWN,
)

__all__ = ["Evidence", "disease_remarks", "judge", "reasons", "summarise"]

LEAST_TESTS = 5
PATCH_LENGTH = 6 * units.FOOT
LEAST_DRAINAGE = 0.85
LEAST_LIFE = 0.05
MATERIALS, DELAMINATED, VOIDS = "Materials-related distress in cores", "Delaminated cores", "Corners with voids"
CONSIDER = {
    MATERIALS: "an unbonded overlay or reconstruction",
    "Joints with durability cracking": "an unbonded overlay or reconstruction",
    "Full-depth repair": "an unbonded overlay or reconstruction",
    DELAMINATED: "removal of the delaminated concrete, or an unbonded overlay",
    VOIDS: "stabilising the whole stretch, or an unbonded overlay",
}
FULL_DEPTH_KINDS = ("transverse crack", "corner break", "punchout", "durability cracking", "joint spalling", "patch")


@dataclass(frozen=True)
class Evidence:
    """What was examined on the road: facts, directions of lanes, cores, distresses, corner tests, lanes walked; ``restores``
    says whether repair restores load transfer where it was measured too low. ``moduli`` and ``expected`` are the tables
    ``moduli`` and ``expected_voids``."""

    facts: Facts
    directions: dict[str, str]
    cores: pd.DataFrame
    rated: pd.DataFrame
    voids: pd.DataFrame
    walks: pd.DataFrame
    decisions: EvaluationDecisions
    restores: bool
    moduli: pd.DataFrame
    expected: pd.DataFrame

    def lanes(self, direction: str) -> list[str]:
        """The lanes of a direction."""
        return [lane for lane, way in self.directions.items() if way == direction]

    def distresses(self, section: pd.Series) -> pd.DataFrame:
        """The rated distresses of a section."""
        frame = self.rated
        way = frame["lane"].map(self.directions) == section["direction"]
        return frame[way & (frame["station"] >= section["begin"]) & (frame["station"] <= section["end"])]

    def assuming(self, kind: str) -> str:
        """The decision that assumes what an examination would have shown, "" where it does not."""
        return f"evaluation.{ASSUMING[kind]}" if assumed(self.decisions, kind) else ""


def reasons(section: pd.Series, seen: pd.Series, evidence: Evidence) -> Iterator[Reason]:
    """The reasons for one row of the condition table, most weighty first; ``seen`` is its row of ``examined``."""
    decisions = evidence.decisions
    yield compared("Slab on the ground", "length", seen["ground"], ">=", units.FOOT, PRACTICE, DATA)
    yield compared("Mid-slab tests", "count", section["tests"], ">=", LEAST_TESTS, PRACTICE, DATA)
    if section["pavement"] == "CRCP":
        yield _of_kind(section, evidence)
    yield from _of_cores(section, evidence)
    yield from _of_survey(section, seen, evidence)
    yield from _of_corners(section, seen, evidence)
    if seen["jointed"]:
        yield compared(
            "Mean load transfer",
            "share",
            section["transfer"],
            ">=",
            decisions.lowest_load_transfer,
            GUIDE,
            REPAIR if evidence.restores or not np.isfinite(section["transfer"]) else CAUTION,
            assumed_by=evidence.assuming(Kind.JOINTS),
        )
        if not np.isfinite(section["transfer"]) and evidence.assuming(Kind.JOINTS):
            taken = ASSUMED_TRANSFER[decisions.assume_without_joint_tests]
            least = decisions.lowest_load_transfer
            # A caution: without a test no joint is marked for its repair.
            yield compared("Load transfer as assumed", "share", taken, ">=", least, GUIDE, CAUTION)
    yield _of_drainage(section, evidence)
    yield compared(
        "Remaining life of the old slab", "share", section["remaining_life"], ">=", LEAST_LIFE, GUIDE, CAUTION
    )
    yield from _of_bridges(section, evidence)


def _of_kind(section: pd.Series, evidence: Evidence) -> Reason:
    """That a continuously reinforced slab is one: with joints tested in it, nobody knows what it is."""
    tested, _ = joints_found(section, evidence)
    words = by_number(tested, "{tested} joint tested", "{tested} joints tested")
    found, outcome = remark(words, tested=("count", tested)), HOLDS
    if tested >= MANY_JOINTS:
        outcome = NOT_EXAMINED
    return Reason(
        "Slab without joints, as declared",
        found,
        remark("fewer than {n}", n=("count", MANY_JOINTS)),
        outcome,
        DATA,
        PRACTICE,
    )


def _of_cores(section: pd.Series, evidence: Evidence) -> Iterator[Reason]:
    here = evidence.cores[evidence.cores["section"] == section["section"]]
    says_sick, says_split = contested(here["conflict"])
    sick, open_sick = diseased(here["material"]), says_sick & (here["material"] == NOT_EXAMINED)
    split, open_split = here["delaminated"] == FOUND, says_split & (here["delaminated"] == NOT_EXAMINED)
    coded, looked = here["material"] != NOT_EXAMINED, here["delaminated"] != NOT_EXAMINED
    decisions, by = evidence.decisions, evidence.assuming(Kind.CORES)
    material = Sample(int(sick.sum()), int(coded.sum()), int(open_sick.sum()))
    delaminated = Sample(int(split.sum()), int(looked.sum()), int(open_split.sum()))
    yield sampled(MATERIALS, material, decisions.most_durability_cores, GUIDE, decisions, assumed_by=by)
    yield sampled(DELAMINATED, delaminated, decisions.most_delaminated_cores, GUIDE, decisions, assumed_by=by)


def _of_survey(section: pd.Series, seen: pd.Series, evidence: Evidence) -> Iterator[Reason]:
    """What the distress survey shows; where no lane was surveyed, nothing of it was examined."""
    decisions, by = evidence.decisions, evidence.assuming(Kind.SURVEY)
    walked, lanes = int(seen[Kind.SURVEY]), int(seen["lanes"])
    outcome = HOLDS if walked == lanes else NOT_EXAMINED
    found = remark("{walked} of {lanes}", walked=("count", walked), lanes=("count", lanes))
    weight = CAUTION if walked else DATA
    yield Reason("Lanes surveyed for distress", found, "all", outcome, weight, PRACTICE, "" if walked else by)
    if walked > (whole := int(seen["whole"])):
        told = remark("{whole} of {walked}", whole=("count", whole), walked=("count", walked))
        yield Reason("Surveyed lanes walked whole", told, "all", NOT_EXAMINED, CAUTION, PRACTICE)
    rated, known = evidence.distresses(section), 1.0 if walked else np.nan
    if seen["jointed"]:
        joints = _joint_count(evidence.facts, section, seen["counted"])
        durable = known * (rated["kind"] == "durability cracking").sum() / joints
        subject, most = "Joints with durability cracking", decisions.most_durability_cores
        yield compared(subject, "share", durable, "<=", most, GUIDE, REFUSES, assumed_by=by)
    share = known * _full_depth_share(rated, seen["counted"])
    yield compared("Full-depth repair", "share", share, "<=", decisions.most_full_depth, GUIDE, REFUSES, assumed_by=by)
    if share > 0:
        yield compared("Full-depth repair needed", "share", share, "<=", 0.0, GUIDE, REPAIR)
    told = disease_remarks(evidence, section)
    if len(told):
        words = by_number(len(told), "{number} distress", "{number} distresses")
        number = remark(words, number=("count", len(told)))
        yield Reason("Materials disease in remarks on distress", number, "none", NOT_EXAMINED, CAUTION, PRACTICE)


def disease_remarks(evidence: Evidence, section: pd.Series) -> pd.DataFrame:
    """Distresses of a section whose remark names a disease that their kind does not say."""
    frame = off_decks(evidence.facts, evidence.facts.distresses)
    way = frame["lane"].map(evidence.directions) == section["direction"]
    here = frame[way & (frame["station"] >= section["begin"]) & (frame["station"] <= section["end"])]
    names = [bool(set(named(note)) - {kind}) for note, kind in zip(here["note"], here["kind"], strict=True)]
    return here[np.array(names, dtype=bool)]


def _of_corners(section: pd.Series, seen: pd.Series, evidence: Evidence) -> Iterator[Reason]:
    """Of jointed slabs, and of others whose corners were tested."""
    if not seen["jointed"] and not seen[Kind.CORNERS]:
        return
    here = evidence.voids[evidence.voids["section"] == section["section"]]
    sample = Sample(int((here["void"] == "yes").sum()), int(seen[Kind.CORNERS]))
    decisions, by = evidence.decisions, evidence.assuming(Kind.CORNERS)
    yield sampled(VOIDS, sample, decisions.most_void_corners, PRACTICE, decisions, assumed_by=by)
    if sample.count:
        yield compared("Voids to stabilise", "share", section["void_share"], "<=", 0.0, PRACTICE, REPAIR)


def _of_drainage(section: pd.Series, evidence: Evidence) -> Reason:
    """Of the quality of drainage; where the pavement does not say it and nothing is decided, it was not examined.

    A caution: no repair that is marked mends drainage.
    """
    middle = (section["begin"] + section["end"]) / 2
    layer = evidence.facts.layers
    here = layer[(layer["begin"] <= middle) & (layer["end"] >= middle)]
    known = evidence.decisions.drainage_coefficient > 0 or (len(here) and here["drainage"].ne("").all())
    found = section["drainage_coefficient"] if known else np.nan
    return compared("Drainage coefficient", "number", found, ">=", LEAST_DRAINAGE, GUIDE, CAUTION)


def _joint_count(facts: Facts, section: pd.Series, counted: float) -> float:
    """Joints in the length [m] of all lanes over which distress is counted; at least one."""
    middle = (section["begin"] + section["end"]) / 2
    layer = facts.layers[(facts.layers["begin"] <= middle) & (facts.layers["end"] >= middle)]
    spacing = float(layer["joint_spacing"].iloc[0]) if len(layer) else np.nan
    return max(counted / spacing, 1.0)


def _full_depth_share(rated: pd.DataFrame, counted: float) -> float:
    """Full-depth repair at high-severity cracks, breaks, punchouts and durability distress over the length [m] of all lanes."""
    number = int((rated["kind"].isin(FULL_DEPTH_KINDS) & (rated["severity"] == "high")).sum())
    return number * PATCH_LENGTH / counted if counted > 0 else np.nan


def _of_bridges(section: pd.Series, evidence: Evidence) -> Iterator[Reason]:
    """Raise available under bridges over the road; a bridge that carries it is no part of the section."""
    least = evidence.decisions.least_raise
    for bridge in evidence.facts.bridges.itertuples(index=False):
        if bridge.passes == CARRIES or bridge.begin > section["end"] or bridge.end < section["begin"]:
            continue
        subject = f"Raise available at bridge {bridge.name}"
        room = bridge.clearance - bridge.required_clearance if bridge.passes == OVER else np.nan
        reason = compared(subject, "thickness", room, ">=", least, GUIDE, CAUTION)
        yield reason if np.isfinite(room) else Reason(subject, UNKNOWN, reason.required, NOT_EXAMINED, CAUTION, GUIDE)


def judge(found: list[Reason]) -> str:
    """The verdict: a refusal that was found stands whatever else was not examined; then nothing is judged on a gap."""
    failed = {r.weight for r in found if r.outcome == FAILS}
    if REFUSES in failed:
        return NOT_SUITED
    if DATA in failed or any(r.blocks for r in found):
        return NOT_JUDGED
    return SUITED_AFTER_REPAIR if REPAIR in failed else SUITED


def summarise(condition: pd.DataFrame, all_reasons: list[list[Reason]]) -> tuple[pd.DataFrame, pd.DataFrame]:
    """The tables ``suitability`` and ``verdicts``."""
    rows = [
        (name, r.subject, r.provided, r.sample, r.required, r.outcome, r.weight, r.assumed_by, r.source)
        for name, found in zip(condition["section"], all_reasons, strict=True)
        for r in found
    ]
    verdicts = [judge(found) for found in all_reasons]
    failed = [[r.subject for r in found if r.outcome == FAILS and r.weight != CAUTION] for found in all_reasons]
    gaps = [[r.subject for r in found if r.outcome == NOT_EXAMINED and not r.assumed_by] for found in all_reasons]
    consider = [
        "; ".join(dict.fromkeys(CONSIDER[s] for s in subjects if s in CONSIDER)) if v == NOT_SUITED else ""
        for v, subjects in zip(verdicts, failed, strict=True)
    ]
    summary = condition[["section", "direction", "begin", "end"]].assign(
        verdict=verdicts,
        reasons=["; ".join(s) for s in failed],
        not_examined=["; ".join(s) for s in gaps],
        cautions=["; ".join(_cautions(found)) for found in all_reasons],
        consider=consider,
    )
    return table(SUITABILITY, pd.DataFrame(rows, columns=list(SUITABILITY.names))), table(VERDICTS, summary)


def _cautions(found: list[Reason]) -> list[str]:
    """Cautions that fail, each with its number and limit, as encoded remarks."""
    return [
        f"{r.subject.replace('{', '{{').replace('}', '}}')} {_text(r.provided)} (limit {_text(r.required)})"
        for r in found
        if r.outcome == FAILS and r.weight == CAUTION
    ]


def _text(said: Remark | str) -> str:
    return encoded(said) if isinstance(said, Remark) else said
