"""Processes that share the heavy work of one machine; any other ``concurrent.futures.Executor`` does as well."""

from __future__ import annotations

import os
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context

__all__ = ["workers"]

# Each process computes on one core: threads of the numerical libraries below them would only wait for each other.
# A library reads this when it is loaded, and a new process takes its environment from this one.
ONE_THREAD = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")


def workers(number: int | None = None) -> ProcessPoolExecutor:
    """A pool of that many processes, one for each core unless said otherwise; use it in a ``with``."""
    for name in ONE_THREAD:
        os.environ.setdefault(name, "1")
    return ProcessPoolExecutor(number or len(os.sched_getaffinity(0)), mp_context=get_context("spawn"))
