"""What the added stage computes."""

from slabwright.records.results import StageResult
from slabwright.records.stage import Given
from slabwright.records.table import table
from tests.added_stage.stage import TALLY


def run(given: Given) -> StageResult:
    lanes = given.facts.cores.groupby("lane")["thickness"]
    frame = lanes.agg(["count", "mean"]).reset_index().rename(columns={"count": "cores"})
    return StageResult("tally", {"tally": table(TALLY, frame)})
