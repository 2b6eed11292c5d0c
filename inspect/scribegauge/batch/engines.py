"""Who does the work: this process, processes on all cores. A cluster is in `cluster`.

Each engine takes one function and a list of jobs, and yields (place in the list, result) as results
come in, whatever the order; a job that ends its worker twice yields `Lost`.
"""

import os
import signal
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from multiprocessing import get_context, parent_process
from multiprocessing.connection import wait as wait_for_any
from threading import Thread
from typing import TypeVar

Work = TypeVar("Work")
Result = TypeVar("Result")


@dataclass(frozen=True, slots=True)
class Lost:
    """In place of a result: the worker ended with the job, twice."""


Engine = Callable[[Callable[[Work], Result], Sequence[Work]], Iterator[tuple[int, "Result | Lost"]]]


def one_by_one(
    function: Callable[[Work], Result], jobs: Sequence[Work]
) -> Iterator[tuple[int, Result | Lost]]:
    """Do all the work in this process."""
    for place, job in enumerate(jobs):
        yield place, function(job)


def over_cores(
    function: Callable[[Work], Result], jobs: Sequence[Work], workers: int
) -> Iterator[tuple[int, Result | Lost]]:
    """Spread the work over processes of this machine.

    When a process is killed, those jobs that were in hand are done again alone, one at a time: the
    one that ends its process again is given up, all others go on.

    Parameters
    ----------
    function : callable
        Of a module, so that a process can import it.
    jobs : sequence
        What can be pickled.
    workers : int
    """
    waiting = list(range(len(jobs)))
    while waiting:
        in_hand: set[int] = set()
        try:
            for place, result in _pooled(function, jobs, waiting, in_hand, workers):
                waiting.remove(place)
                yield place, result
        except BrokenProcessPool:
            for place in sorted(in_hand):
                waiting.remove(place)
                yield place, _alone(function, jobs[place])


def cores() -> int:
    """Return how many cores this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def _pooled(
    function: Callable[[Work], Result],
    jobs: Sequence[Work],
    waiting: Sequence[int],
    in_hand: set[int],
    workers: int,
) -> Iterator[tuple[int, Result]]:
    """Run jobs in a pool; `in_hand` holds those that were given out and have not come back."""
    pool = _pool(min(workers, len(waiting)))
    futures: dict[Future[Result], int] = {}
    to_give = list(waiting)
    try:
        while to_give or futures:
            # One more than there are workers: none waits, and few are suspects when one dies.
            while to_give and len(futures) <= workers:
                place = to_give.pop(0)
                in_hand.add(place)
                futures[pool.submit(function, jobs[place])] = place
            done, _ = wait(futures, return_when=FIRST_COMPLETED)
            for future in done:
                place = futures.pop(future)
                result = future.result()
                in_hand.discard(place)
                yield place, result
    finally:
        pool.shutdown(wait=False, cancel_futures=True)


def _alone(function: Callable[[Work], Result], job: Work) -> Result | Lost:
    with _pool(1) as pool:
        try:
            return pool.submit(function, job).result()
        except BrokenProcessPool:
            return Lost()


def _pool(workers: int) -> ProcessPoolExecutor:
    # Not forked: a fork of a process with threads, such as OpenCV's, may hang.
    return ProcessPoolExecutor(workers, mp_context=get_context("spawn"), initializer=_begin)


def _begin() -> None:
    """Set up a worker: it ends without a word on Ctrl-C, and when its parent was killed."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)
    Thread(target=_end_with_parent, daemon=True).start()
    try:
        import cv2  # noqa: PLC0415 - only where the work needs it
    except ImportError:
        return
    cv2.setNumThreads(1)  # as many processes as cores already


def _end_with_parent() -> None:
    parent = parent_process()
    if parent is not None:
        wait_for_any([parent.sentinel])
        os._exit(1)
