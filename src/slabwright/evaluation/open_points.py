"""What is still open: examinations not made, cores and remarks at odds, bridges not described."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright.evaluation.at_odds import at_odds
from slabwright.evaluation.examined import ASSUMING, KINDS, Kind, assumed, missing
from slabwright.evaluation.joint_tests import ACROSS, JOINT_SIDES
from slabwright.evaluation.loading import lanes_each_way
from slabwright.evaluation.ramps import lost_ramps
from slabwright.evaluation.reach import reach
from slabwright.evaluation.state import ASSUMED_TRANSFER
from slabwright.evaluation.suitability import Evidence, disease_remarks
from slabwright.evaluation.two_transfers import two_load_transfers
from slabwright.evaluation.walked import PARTLY
from slabwright.records.decisions import Decisions
from slabwright.records.outcomes.evaluation import OPEN_POINTS
from slabwright.records.remarks import Remark, by_number, remark
from slabwright.records.table import table
from slabwright.records.words import CARRIES, NOT_EXAMINED, OVER
from slabwright.roadway.places import USUAL_LANE_WIDTH, design_lane, layer_rows
from slabwright.survey.cores import sound_cores, strength_tested
from slabwright.survey.distress import DETERIORATING

__all__ = ["open_points"]

LONG_ENOUGH = 5  # years between counts from which their growth says something (common practice, no source)
UNLIKE_GROWTH = 0.01  # a year, between the growth counted and the one projected (common practice, no source)
FEW_UNRATED = 0.05  # of the joints and cracks of a section, above which it is said that nobody rated them
Point = tuple[str, Remark | str, str]
FEW = {Kind.CORES: "cores", Kind.CORNERS: "corner tests"}
LACKS = {
    Kind.CORES: ("no core was examined", "Take cores and code what is seen"),
    Kind.SURVEY: ("distress was not surveyed", "Survey it; enter a row 'no distress' where none is found"),
    Kind.JOINTS: ("no joint was tested for load transfer", "Test joints"),
    Kind.CORNERS: ("no corner was tested for voids", "Test corners at three loads or more"),
}


def open_points(condition: pd.DataFrame, seen: pd.DataFrame, evidence: Evidence, decisions: Decisions) -> pd.DataFrame:
    """The table ``open_points``, what holds the verdicts up first."""
    rows = [
        *_strange_lanes(evidence),
        *_no_lanes(evidence),
        *_lanes_of_traffic(evidence, decisions),
        *_unlike_lanes(condition, evidence),
        *at_odds(condition, evidence),
        *reach(condition, evidence, decisions),
        *_no_place(evidence),
        *_not_examined(seen, evidence),
        *_partly_walked(condition, evidence),
        *two_load_transfers(condition, decisions),
        *_unrated(condition, evidence),
        *_cores(evidence),
        *_remarks(condition, evidence),
        *_bridges(condition, evidence),
        *lost_ramps(condition, evidence.facts, evidence.directions),
        *_untested_corners(evidence),
        *_growth(evidence, decisions),
        *_no_spectrum(evidence, decisions),
        *_lesser(seen, evidence),
    ]
    return table(OPEN_POINTS, pd.DataFrame(rows, columns=list(OPEN_POINTS.names)))


def _strange_lanes(evidence: Evidence) -> Iterator[Point]:
    """Lanes that the surveys name and the table of lanes does not: they make a carriageway of their own."""
    facts = evidence.facts
    declared = set(facts.lanes["lane"])
    named = {lane for frame in (facts.deflections, facts.distresses, facts.cores) for lane in frame["lane"] if lane}
    if declared and (strange := sorted(named - declared)):
        said = remark(
            "not among the lanes of the road ({known}), so that what was surveyed there is taken for a direction of its own",
            known=("text", ", ".join(sorted(declared))),
        )
        yield (
            ", ".join(strange),
            said,
            "Correct the name of the lane in the surveys, or declare it in the table of lanes.",
        )


def _no_lanes(evidence: Evidence) -> Iterator[Point]:
    """A road without a table of lanes: what is taken for their width and directions, from which areas and sections follow."""
    if evidence.facts.lanes.empty:
        said = remark(
            "no table of lanes is loaded: every lane is taken to be {width} wide, and what was surveyed in all of them to lie"
            " in one direction of travel, so that areas, quantities and sections rest on it",
            width=("length", USUAL_LANE_WIDTH),
        )
        yield "Lanes", said, "Load the table of lanes, with the direction and width of each."


def _lanes_of_traffic(evidence: Evidence, decisions: Decisions) -> Iterator[Point]:
    """A number of lanes by which trucks are shared out that is not that of the lanes declared, or that nobody declared."""
    counts = pd.Series(evidence.facts.lanes["direction"]).value_counts()
    decided = lanes_each_way(evidence.facts, decisions.traffic)
    if decisions.traffic.lane_share > 0:
        return
    if counts.empty and not decisions.traffic.lanes_each_way:
        cure = "Load the table of lanes, or decide traffic.lanes_each_way or traffic.lane_share."
        yield "Traffic", "no lane is declared, so that one lane is taken to carry all trucks of its direction", cure
    if (counts != decided).any():
        said = remark(
            "trucks are shared out over {decided} lanes each way, and the table of lanes has {declared}",
            decided=("count", decided),
            declared=("text", " and ".join(str(n) for n in sorted(set(counts)))),
        )
        yield "Traffic", said, "Decide traffic.lanes_each_way, or the share of the design lane by traffic.lane_share."


def _no_spectrum(evidence: Evidence, decisions: Decisions) -> Iterator[Point]:
    """Trucks whose axles nobody weighed and of which nothing is decided, or whose weighed axles a decision passes over."""
    if evidence.facts.axles.empty and not decisions.traffic.esal_per_truck > 0 and len(evidence.facts.counts):
        said = remark(
            "no axle loads are loaded: a truck counts by the published spectrum of category {category}",
            category=("text", decisions.traffic.axle_category),
        )
        yield "Traffic", said, "Load axle loads of the road, or decide traffic.axle_category or traffic.esal_per_truck."
    if len(evidence.facts.axles) and decisions.traffic.esal_per_truck > 0:
        said = remark(
            "a truck is decided to count as {decided} equivalent axles, and the axle loads of the road are not used",
            decided=("number", decisions.traffic.esal_per_truck),
        )
        yield "Traffic", said, "Set traffic.esal_per_truck to 0 to count the axles weighed, or say why not."


def _growth(evidence: Evidence, decisions: Decisions) -> Iterator[Point]:
    """Traffic to come that is not what was counted: another growth, or years that were counted already."""
    counts, choice = evidence.facts.counts.dropna(subset=["daily_traffic"]).sort_values("year"), decisions.traffic
    if counts.empty:
        return
    first, last = counts.iloc[0], counts.iloc[-1]
    if last["year"] >= choice.base_year:
        said = remark(
            "{last} is given as counted, and the overlay's first year is {first}: what is given from then on is taken for a forecast",
            last=("calendar_year", last["year"]),
            first=("calendar_year", choice.base_year),
        )
        yield "Traffic", said, "Decide traffic.base_year after the last count, or say where the forecast comes from."
        counts = counts[counts["year"] < choice.base_year]
        if counts.empty:
            return
        first, last = counts.iloc[0], counts.iloc[-1]
    if last["year"] - first["year"] >= LONG_ENOUGH and first["daily_traffic"] > 0 and last["daily_traffic"] > 0:
        found = (last["daily_traffic"] / first["daily_traffic"]) ** (1 / (last["year"] - first["year"])) - 1
        if abs(found - choice.growth) >= UNLIKE_GROWTH:
            said = remark(
                "traffic grew by {found} a year from {first} to {last}, and {growth} a year is projected",
                found=("share", found),
                first=("calendar_year", first["year"]),
                last=("calendar_year", last["year"]),
                growth=("share", choice.growth),
            )
            yield "Traffic", said, "Decide traffic.growth with a reason."


def _unlike_lanes(condition: pd.DataFrame, evidence: Evidence) -> Iterator[Point]:
    """Sections of which a lane lies on another pavement than the design lane, by which they are judged."""
    facts = evidence.facts
    if (facts.layers["lane"] == "").all():
        return
    built = facts.layers.drop(columns=["lane", "begin", "end", "note"], errors="ignore")
    middle = condition[["begin", "end"]].mean(axis=1).to_numpy(dtype=float)
    for row, section in enumerate(condition.itertuples(index=False)):
        lanes, outer = evidence.lanes(section.direction), design_lane(facts, section.direction)
        under = dict(zip(lanes, layer_rows(facts, np.full(len(lanes), middle[row]), lanes), strict=True))
        own = built.iloc[under[outer]]
        other = [n for n in lanes if not built.iloc[under[n]].equals(own)]
        if other:
            said = remark(
                "the existing pavement of lane {other} is not that of lane {outer}, by which the section is judged",
                other=("text", ", ".join(sorted(other))),
                outer=("text", outer),
            )
            yield section.section, said, "Judge those lanes by themselves: give them a direction of their own."


def _untested_corners(evidence: Evidence) -> Iterator[Point]:
    """Slabs with voids that are to be expected where nobody tested: they are neither placed nor marked. All in one point."""
    here = evidence.expected[evidence.expected["more"] >= 1]
    if here.empty:
        return
    lanes = ", ".join(f"{r.lane} {r.found:.0f} of {r.tested:.0f}" for r in here.itertuples(index=False))
    said = remark(
        "corners tested have voids ({lanes}): of the other slabs of these lanes {more} are to be expected with one ({low} to"
        " {high}), which are not marked",
        lanes=("text", lanes),
        more=("count", here["more"].sum()),
        low=("count", here["more_low"].sum()),
        high=("count", here["more_high"].sum()),
    )
    yield ", ".join(here["section"]), said, "Test them; until then they are an item of the bid."


def _no_place(evidence: Evidence) -> Iterator[Point]:
    """Deflection tests of which nobody says where on the slab the plate stood."""
    lacking = int((evidence.facts.deflections["position"] == "").sum())
    if lacking:
        drops = by_number(
            lacking,
            "{number} drop has no place on the slab and counts",
            "{number} drops have no place on the slab and count",
        )
        said = remark(f"{drops} neither as mid-slab nor as joint or corner tests", number=("count", lacking))
        yield "Deflection tests", said, "Give the column position: mid-slab, joint approach, joint leave or corner."


def _not_examined(seen: pd.DataFrame, evidence: Evidence) -> Iterator[Point]:
    on_ground = (seen["ground"] > 0).to_numpy()
    for kind in KINDS:
        lacking = missing(seen, kind) & on_ground
        if lacking.any() and not assumed(evidence.decisions, kind):
            said, cure = LACKS[kind]
            yield (
                _names(seen, lacking),
                _without_reading(said, kind, evidence),
                f"{cure}, or decide evaluation.{ASSUMING[kind]}.",
            )
        few = (seen[kind] > 0).to_numpy() & (seen[kind] < evidence.decisions.least_samples).to_numpy() & on_ground
        few &= (seen["jointed"] | (kind == Kind.CORES)).to_numpy()
        if kind in FEW and few.any() and not assumed(evidence.decisions, kind):
            short = remark(
                "fewer {what} than the {least} on which a section is judged",
                what=("text", FEW[kind]),
                least=("count", evidence.decisions.least_samples),
            )
            cure = f"Take more, decide evaluation.least_samples, or evaluation.{ASSUMING[kind]}."
            yield _names(seen, few), short, cure
    whole = ~on_ground
    if whole.any():
        yield _names(seen, whole), "lies wholly on a bridge", "A deck is no slab on the ground: judge it by itself."


def _without_reading(said: str, kind: str, evidence: Evidence) -> Remark | str:
    """What lacks; that tests at joints are there which no sensor across the joint makes tests of load transfer."""
    at_joints = evidence.facts.deflections["position"].isin(JOINT_SIDES)
    if kind != Kind.JOINTS or not at_joints.any():
        return said
    words = (
        f"{said}: tests at joints are there, and in these sections none has a sensor across the joint, {{apart}} from the load"
        " (behind it where the plate stood on the leave side)"
    )
    return remark(words, apart=("thickness", ACROSS))


def _partly_walked(condition: pd.DataFrame, evidence: Evidence) -> Iterator[Point]:
    """Lanes of which the survey's rows show less than a stated part: what was found is told of what was walked."""
    cracked = condition.set_index("section")["cracking"]
    for name, here in evidence.walks[evidence.walks["standing"] == PARTLY].groupby("section", sort=False):
        lanes = ", ".join(f"{w.lane} {100 * w.share:.0f} %" for w in here.itertuples(index=False))
        share = float(cracked[name])
        cracking: dict[str, tuple[str, float | str]] = {"cracked": ("share", share)} if np.isfinite(share) else {}
        of_it = " (slabs cracked in the worst lane: {cracked})" if cracking else ""
        said = remark(
            "the rows of the distress survey reach over part of a lane ({lanes}), and distress found there is counted over"
            " the length walked, not over the section" + of_it,
            "",
            lanes=("text", lanes),
            **cracking,
        )
        yield (
            str(name),
            said,
            "Enter rows 'no distress' where nothing was found, or name the lanes in evaluation.lanes_walked_whole.",
        )


def _unrated(condition: pd.DataFrame, evidence: Evidence) -> Iterator[Point]:
    """Sections where more than a few joints and cracks have neither a severity nor a measurement, all in one point."""
    names: list[str] = []
    unrated: set[object] = set()  # by row, for one at the boundary lies in both sections
    every: set[object] = set()
    for _, section in condition.iterrows():
        here = evidence.distresses(section)
        here = here[here["kind"].isin(DETERIORATING)]
        nobody = here[here["severity"] == "none"]
        if len(nobody) > FEW_UNRATED * len(here):
            names.append(section["section"])
            unrated.update(nobody.index)
            every.update(here.index)
    if names:
        said = remark(
            "nobody rated {number} of {every} distresses that count as joints and cracks; all of these are taken for"
            " deteriorated",
            number=("count", len(unrated)),
            every=("count", len(every)),
        )
        yield ", ".join(names), said, "Give severity, or crack width, spalling and faulting, in the distress survey."


def _names(seen: pd.DataFrame, chosen: npt.NDArray[np.bool_]) -> str:
    return ", ".join(seen["section"][chosen])


def _cores(evidence: Evidence) -> Iterator[Point]:
    cores = evidence.cores[evidence.cores["section"] != ""]
    for (name, conflict), here in cores[cores["conflict"] != ""].groupby(["section", "conflict"], sort=False):
        who = f"core{'s' if len(here) > 1 else ''} {', '.join(here['core'])} in {name}"
        yield who, str(conflict), "Correct the code, or name the core in evaluation.settled_cores."
    silent = cores[
        (cores["delaminated"] == NOT_EXAMINED) & (cores["material"] != NOT_EXAMINED) & (cores["conflict"] == "")
    ]
    for name, here in silent.groupby("section", sort=False):
        cores_say = by_number(
            len(here), "{number} core does not say whether it is", "{number} cores do not say whether they are"
        )
        said = remark(f"{cores_say} delaminated", number=("count", len(here)))
        yield str(name), said, "Give the column delaminated of cores, yes or no."
    unread = evidence.facts.cores["compressive_strength"].notna() & ~strength_tested(evidence.facts.cores)
    unread &= sound_cores(evidence.facts.cores) & evidence.facts.cores["split_strength"].isna()
    if unread.any():
        tested = by_number(
            unread.sum(),
            "{number} core tested in compression has no diameter or no length of the specimen: its strength",
            "{number} cores tested in compression have no diameter or no length of the specimen: their strength",
        )
        said = remark(f"{tested} is not used", number=("count", int(unread.sum())))
        yield (
            f"cores {', '.join(evidence.facts.cores['core'][unread])}",
            said,
            "Give the diameter and the specimen's length.",
        )
    blank = cores[(cores["material"] == NOT_EXAMINED) & (cores["conflict"] == "")]
    for name, here in blank.groupby("section", sort=False):
        coded = by_number(len(here), "{number} core has", "{number} cores have")
        said = remark(f"{coded} no code of distress", number=("count", len(here)))
        yield str(name), said, "Look at the cores and code what is seen, none where nothing is."


def _remarks(condition: pd.DataFrame, evidence: Evidence) -> Iterator[Point]:
    for _, section in condition.iterrows():
        told = disease_remarks(evidence, section)
        if len(told):
            said = remark(
                by_number(
                    len(told),
                    "{number} remark on distress names a materials disease, at {station}: {note}",
                    "{number} remarks on distress name a materials disease, the first at {station}: {note}",
                ),
                number=("count", len(told)),
                station=("station", float(told["station"].iloc[0])),
                note=("text", str(told["note"].iloc[0])[:80]),
            )
            yield section["section"], said, "Take a core there and have it examined."


def _bridges(condition: pd.DataFrame, evidence: Evidence) -> Iterator[Point]:
    """Bridges on the road whose place or clearance is unknown, and decks that no section holds."""
    begin, end = condition["begin"].min(), condition["end"].max()
    for bridge in evidence.facts.bridges.itertuples(index=False):
        if bridge.begin > end or bridge.end < begin:
            continue
        if bridge.passes == CARRIES:
            length = min(bridge.end, end) - max(bridge.begin, begin)
            said = remark(
                "its deck, {length}, is in no section: no overlay is designed on it", length=("length", length)
            )
            yield bridge.name, said, "Have the bridge engineer say what it can bear."
        elif bridge.passes != OVER:
            yield bridge.name, "unknown whether it carries the road or passes over it", "Fill in the table of bridges."
        elif not np.isfinite(bridge.clearance - bridge.required_clearance):
            yield bridge.name, "the clearance is unknown", "Measure it, and give what must remain."


def _lesser(seen: pd.DataFrame, evidence: Evidence) -> Iterator[Point]:
    """Gaps that hold no verdict up: lanes not surveyed, joints assumed short, drainage not given."""
    for row in seen[(seen[Kind.SURVEY] > 0) & (seen[Kind.SURVEY] < seen["lanes"])].itertuples(index=False):
        said = remark("no row of the distress survey in lane {lanes}", lanes=("text", row.unwalked))
        yield row.section, said, "Survey it; enter a row 'no distress' where none is found."
    taken = ASSUMED_TRANSFER.get(evidence.decisions.assume_without_joint_tests, 1.0)
    untested = missing(seen, Kind.JOINTS)
    if untested.any() and taken < evidence.decisions.lowest_load_transfer:
        short = (
            "load transfer is assumed too low, and no joint is marked for its repair without a test: none restores it"
        )
        yield _names(seen, untested), short, "Test joints, so that those that need it are marked and counted."
    layers = evidence.facts.layers
    if evidence.decisions.drainage_coefficient == 0 and (layers["drainage"] == "").any():
        yield "drainage", "the quality of drainage is not given", "Give it with the existing pavement, or decide it."
