"""The one conductor: loads facts, runs the stages in order, saves results; knows what is stale."""

from slabwright.workflow.computation import Computation, FactsCache, StageState, summary_rows
from slabwright.workflow.example import fill_with_example
from slabwright.workflow.loading import Loaded, load_files, read_files

__all__ = [
    "Computation",
    "FactsCache",
    "Loaded",
    "StageState",
    "fill_with_example",
    "load_files",
    "read_files",
    "summary_rows",
]
