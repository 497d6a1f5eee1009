"""The one conductor: loads facts, runs the stages in order, saves results; knows what is stale."""

from slabwright.workflow.computation import Computation, FactsCache, StageState, bid_total, held_up, summary_rows
from slabwright.workflow.example import fill_with_example
from slabwright.workflow.held import contradictions_held, replaced_file, without_position
from slabwright.workflow.loading import (
    Loaded,
    already_loaded,
    beside_each_other,
    load_files,
    load_whole,
    read_alone,
    read_each,
    read_files,
)

__all__ = [
    "Computation",
    "FactsCache",
    "Loaded",
    "StageState",
    "already_loaded",
    "beside_each_other",
    "bid_total",
    "contradictions_held",
    "fill_with_example",
    "held_up",
    "load_files",
    "load_whole",
    "read_alone",
    "read_each",
    "read_files",
    "replaced_file",
    "summary_rows",
    "without_position",
]
