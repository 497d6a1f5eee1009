"""Load transfer after repair: the one that the plate of bond and life takes, beside the one found."""

from __future__ import annotations

import numpy as np

from slabwright.calculation import Array
from slabwright.records.decisions import Decisions

__all__ = ["falls_short", "transfer_after_repair"]


def falls_short(transfer: Array, decisions: Decisions) -> Array:
    """Where a measured mean load transfer (n,) calls for restoration of every joint: (n,). NaN does not."""
    limit = decisions.evaluation.lowest_load_transfer
    return np.asarray((transfer < limit) & (decisions.repair.restore_load_transfer == "yes"))


def transfer_after_repair(transfer: Array, decisions: Decisions) -> Array:
    """Mean load transfer (n,) after repair: the restored one where it is restored, else as measured."""
    restored = np.fmax(transfer, decisions.repair.restored_load_transfer)
    return np.where(falls_short(transfer, decisions), restored, transfer)
