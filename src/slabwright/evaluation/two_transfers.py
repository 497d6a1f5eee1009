"""Load transfer twice: J decided by hand for the thickness, and the load transfer that the plate of bond and life takes."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pandas as pd

from slabwright.evaluation.joints import load_transfer_coefficient
from slabwright.evaluation.restored import transfer_after_repair
from slabwright.evaluation.state import ASSUMED_TRANSFER
from slabwright.records.decisions import Decisions
from slabwright.records.remarks import Remark, remark

__all__ = ["CONTINUOUS_RANGE", "two_load_transfers"]

CONTINUOUS_RANGE = (2.2, 2.6)  # J of continuous reinforcement, AASHTO 1993 Part III section 5.8.5, from memory
# J of a jointed pavement between its three published values, 3.2, 3.5 and 4.0, belongs to the nearest (common practice).
BETWEEN = (3.35, 3.75)
SETTLE = "Decide evaluation.load_transfer_coefficient by the joints as the plate takes them, or 0 to take J from them."


def two_load_transfers(condition: pd.DataFrame, decisions: Decisions) -> Iterator[tuple[str, Remark, str]]:
    """Open points where J decided by hand is not that of the load transfer which bond and life take, by that transfer.

    The plate keeps what was measured, or restored by repair, or assumed by name: J is a coefficient of one equation, and
    holds more than the joints (shoulders, AASHTO 1993 Part III section 5.8.5). Raises nothing.
    """
    decided = decisions.evaluation.load_transfer_coefficient
    if not decided > 0:
        return
    continuous = (condition["pavement"] == "CRCP").to_numpy()
    if continuous.any() and not CONTINUOUS_RANGE[0] <= decided <= CONTINUOUS_RANGE[1]:
        said = remark(
            "J is decided as {decided} for continuous reinforcement too, whose published range is {low} to {high}; bond and life"
            " take the load transfer of tight cracks (plate.unmeasured_transfer)",
            decided=("number", decided),
            low=("number", CONTINUOUS_RANGE[0]),
            high=("number", CONTINUOUS_RANGE[1]),
        )
        yield ", ".join(condition["section"][continuous]), said, SETTLE
    found = condition["transfer"].to_numpy(dtype=float)
    by_name = ASSUMED_TRANSFER.get(decisions.evaluation.assume_without_joint_tests, np.nan)
    taken = np.where(np.isfinite(found), transfer_after_repair(found, decisions), by_name)
    known = np.isfinite(taken) & ~continuous
    other = np.where(known, load_transfer_coefficient(np.where(known, taken, 0.0)), np.nan)
    apart = known & (other != (3.2, 3.5, 4.0)[int(np.searchsorted(BETWEEN, decided))])
    for j in np.unique(other[apart]):
        here = apart & (other == j)
        said = remark(
            "the thickness rests on J decided as {decided}, bond and life on a load transfer of {least} to {most} after repair,"
            " for which J is {other}",
            decided=("number", decided),
            least=("share", float(taken[here].min())),
            most=("share", float(taken[here].max())),
            other=("number", float(j)),
        )
        yield ", ".join(condition["section"][here]), said, SETTLE
