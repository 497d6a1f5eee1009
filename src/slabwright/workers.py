"""Processes that share the heavy work of one machine; any other ``concurrent.futures.Executor`` does as well."""

from __future__ import annotations

import os
import threading
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import connection, get_context, parent_process

__all__ = ["workers"]

# Each process computes on one core: threads of the numerical libraries below them would only wait for each other.
# A library reads this when it is loaded, and a new process takes its environment from this one.
ONE_THREAD = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")


def workers(number: int | None = None) -> ProcessPoolExecutor:
    """A pool of that many processes, one for each core unless said otherwise; use it in a ``with``.

    They end with the process that made them, even when that is killed.
    """
    for name in ONE_THREAD:
        os.environ.setdefault(name, "1")
    return ProcessPoolExecutor(
        number or len(os.sched_getaffinity(0)), mp_context=get_context("spawn"), initializer=_end_with_parent
    )


def _end_with_parent() -> None:
    """Watch the process that made this one: a pool waits for work for ever, also when nobody is left to give any."""
    threading.Thread(target=_watch, daemon=True).start()


def _watch() -> None:
    parent = parent_process()
    if parent is not None:
        connection.wait([parent.sentinel])
        os._exit(1)
