"""Long work of a workspace: begun on a page, seen by every tab, stopped from any, and never done twice at once.

One piece of work runs at a time, because each takes all the cores; what is begun meanwhile waits for its turn. The
processes that share the work are made when first needed and end with the workspace.
"""

from __future__ import annotations

import logging
import threading
from concurrent.futures import BrokenExecutor, Executor, Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from itertools import count
from multiprocessing import active_children
from multiprocessing.process import BaseProcess
from time import monotonic

from slabwright.errors import SlabwrightError
from slabwright.workers import workers
from slabwright.workflow import Computation

__all__ = ["LongWork", "Work"]

_NUMBERS = count(1)
LOST = (
    "A process that shared the work ended unexpectedly, perhaps because memory ran out. Nothing was kept; begin again,"
    " with other programs closed."
)
DEFECT = "The work ended by a defect of the program, which is written to its log. Nothing was kept."


class _Stopped(Exception):
    """Raised inside a stage that somebody stopped."""


@dataclass
class Work:
    """One run of a long stage. Its thread writes it, pages read it.

    ``key``: fingerprint of all that the result depends on; ``phase``: waiting, running, done, stopped or failed;
    ``share``: of the work that is done; ``stopping``: somebody has asked for its end; ``sentence``: why it failed.
    """

    stage: str
    key: str
    number: int = field(default_factory=lambda: next(_NUMBERS))
    phase: str = "waiting"
    share: float = 0.0
    stopping: bool = False
    sentence: str = ""
    begun: float = 0.0
    future: Future[None] | None = None

    @property
    def under_way(self) -> bool:
        return self.phase in ("waiting", "running")

    @property
    def seconds(self) -> float:
        """How long it has run."""
        return monotonic() - self.begun if self.begun else 0.0

    def end(self) -> None:
        """End it where it next tells how far it is, or at once if it waits; ``LongWork.stop`` ends it sooner."""
        self.stopping = True
        if self.phase == "waiting" and self.future is not None and self.future.cancel():
            self.phase = "stopped"

    def tell(self, stage: str, share: float) -> None:
        """What the stages call; raises when the work should end."""
        if self.stopping:
            raise _Stopped
        if stage == self.stage:
            self.share = share


class LongWork:
    """What is under way in one workspace, by road."""

    def __init__(self) -> None:
        self._turn = ThreadPoolExecutor(1, thread_name_prefix="long-work")
        self._pool: Executor | None = None
        self._others: list[BaseProcess] = []  # processes that were there before the pool
        self._works: dict[str, list[Work]] = {}
        self._lock = threading.Lock()

    def begin(self, road: str, computation: Computation, stage: str) -> Work:
        """Compute a stage; where the same is under way already, by whichever tab or alternative, that work."""
        key = computation.key(stage)
        with self._lock:
            known = self._works.setdefault(road, [])
            same = next((w for w in known if w.key == key and w.under_way), None)
            if same is not None:
                return same
            work = Work(stage, key)
            self._works[road] = [*(w for w in known if w.key != key), work]
            work.future = self._turn.submit(self._run, work, computation)
            return work

    def stop(self, work: Work) -> None:
        """End a work, and the processes that help it, so that nobody waits for what they have in hand."""
        work.end()
        if work.phase == "running":
            for process in self._processes():
                process.terminate()

    def of(self, road: str, stage: str) -> tuple[Work, ...]:
        """Every work on a stage of a road since the workspace was opened, the last for each state, oldest first."""
        with self._lock:
            return tuple(w for w in self._works.get(road, ()) if w.stage == stage)

    def close(self) -> None:
        """Stop everything and let the processes go."""
        with self._lock:
            for works in self._works.values():
                for work in works:
                    self.stop(work)
        self._turn.shutdown(cancel_futures=True)
        self._let_go()

    def _run(self, work: Work, computation: Computation) -> None:
        work.phase, work.begun = "running", monotonic()
        try:
            computation.result(work.stage, work.tell, self._helpers())
            work.share, work.phase = 1.0, "done"
        except _Stopped:
            work.phase = "stopped"
        except SlabwrightError as refusal:
            work.sentence, work.phase = str(refusal), "failed"
        except BrokenExecutor:
            self._let_go()
            work.sentence, work.phase = ("", "stopped") if work.stopping else (LOST, "failed")
        except Exception:
            logging.getLogger(__name__).exception("the %s stage failed", work.stage)
            work.sentence, work.phase = DEFECT, "failed"

    def _helpers(self) -> Executor:
        if self._pool is None:
            self._others = active_children()
            self._pool = workers()
        return self._pool

    def _processes(self) -> list[BaseProcess]:
        """Those of the pool, which makes them when it needs them."""
        return [] if self._pool is None else [p for p in active_children() if p not in self._others]

    def _let_go(self) -> None:
        if self._pool is not None:
            self._pool.shutdown(cancel_futures=True)
            self._pool = None
