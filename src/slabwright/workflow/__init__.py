"""The one conductor: load facts, run the stages in order, save results; knows what is stale."""

from slabwright.workflow.example import fill_with_example
from slabwright.workflow.loading import Loaded, load_files, read_files
from slabwright.workflow.stages import STAGES, Computation, Shelf, Stage, StageState, stage_named, summary_rows, wanted

__all__ = [
    "STAGES",
    "Computation",
    "Loaded",
    "Shelf",
    "Stage",
    "StageState",
    "fill_with_example",
    "load_files",
    "read_files",
    "stage_named",
    "summary_rows",
    "wanted",
]
