"""Work handed to processes, first come first served, with a bound on how many may wait.

Each lane has a process of its own, so that a photo which ends its process, or never comes to an end,
takes nobody else's along; it is tried once more and then given up.
"""

import asyncio
import os
import signal
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import Executor, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import suppress
from dataclasses import dataclass, field
from multiprocessing import get_context
from typing import Any, Final

from scribegauge.serve.refusals import BenchError

#: A photo of 12 megapixels takes 2 s here; of 80, on a slow computer, a minute.
PATIENCE_S: Final = 120.0
_FIRST_GUESS_S: Final = 3.0
_TRIES: Final = 2


@dataclass(slots=True)
class _Task:
    """One piece of work: what to call, what with, and who waits for the answer."""

    function: Callable[[Any], Any]
    argument: Any
    give_up: Callable[[Any], Any] | None
    answer: "asyncio.Future[Any]" = field(
        default_factory=lambda: asyncio.get_running_loop().create_future()
    )


class Desk:
    """Takes work in and hands it to `lanes` processes.

    Parameters
    ----------
    lanes : int
        Processes.
    most_waiting : int
        Pieces of work that may wait beside those in hand.
    executor : callable, optional
        Makes what each lane works with; by default a process.
    patience_s : float
    """

    def __init__(
        self,
        lanes: int,
        most_waiting: int,
        executor: Callable[[], Executor] | None = None,
        patience_s: float = PATIENCE_S,
    ) -> None:
        self._executor = executor or _process
        self._lanes, self._most, self._patience_s = lanes, most_waiting, patience_s
        self._waiting: OrderedDict[str, _Task] = OrderedDict()
        self._in_hand: dict[str, _Task] = {}
        self._came = asyncio.Condition()
        self._workers: list[asyncio.Task[None]] = []
        self._mean_s = _FIRST_GUESS_S

    def open(self) -> None:
        """Begin to work."""
        self._workers = [asyncio.create_task(self._lane()) for _ in range(self._lanes)]

    async def close(self) -> None:
        """Finish what is in hand; what waits is not begun."""
        async with self._came:
            for task in self._waiting.values():
                task.answer.cancel()
            self._waiting.clear()
            for worker in self._workers:
                if len(self._in_hand) == 0:
                    worker.cancel()
        if self._in_hand:
            answers = [task.answer for task in self._in_hand.values()]
            await asyncio.wait(answers, timeout=self._patience_s)
        for worker in self._workers:
            worker.cancel()
        await asyncio.gather(*self._workers, return_exceptions=True)

    def refuse_if_full(self) -> None:
        """Raise ``bench_busy`` when no more work may wait.

        Raises
        ------
        BenchError
            ``bench_busy``.
        """
        if len(self._waiting) >= self._most:
            raise BenchError(
                "bench_busy",
                f"{len(self._waiting)} photos are waiting to be read, and no more can wait.",
                f"Try again in about {self.seconds_for(len(self._waiting)):.0f} s.",
            )

    async def take(
        self,
        name: str,
        function: Callable[[Any], Any],
        argument: Any,
        give_up: Callable[[Any], Any] | None = None,
    ) -> "asyncio.Future[Any]":
        """Take work in.

        Parameters
        ----------
        name : str
            Of the work; while one of that name waits or is in hand, no second is begun.
        function, argument
            What to call in a process; both can be pickled.
        give_up : callable, optional
            Called with the argument, here, when the work ended its process twice.

        Raises
        ------
        BenchError
            ``bench_busy``.
        """
        there = self._waiting.get(name) or self._in_hand.get(name)
        if there is not None:
            return there.answer
        self.refuse_if_full()
        task = _Task(function, argument, give_up)
        task.answer.add_done_callback(_seen)
        async with self._came:
            self._waiting[name] = task
            self._came.notify()
        return task.answer

    def place_of(self, name: str) -> int | None:
        """Return how many are before this one, 0 when it is in hand; None when it is not here."""
        if name in self._in_hand:
            return 0
        return list(self._waiting).index(name) + 1 if name in self._waiting else None

    def seconds_for(self, place: int) -> float:
        """Return about how long work at this place takes from now on."""
        return self._mean_s * (1 + place / self._lanes)

    async def _lane(self) -> None:
        executor = self._executor()
        try:
            while True:
                async with self._came:
                    await self._came.wait_for(lambda: bool(self._waiting))
                    name, task = self._waiting.popitem(last=False)
                    self._in_hand[name] = task
                try:
                    executor = await self._do(executor, task)
                finally:
                    self._in_hand.pop(name, None)
        finally:
            executor.shutdown(wait=False, cancel_futures=True)

    async def _do(self, executor: Executor, task: _Task) -> Executor:
        """Do one piece of work, and return what the lane goes on with."""
        loop = asyncio.get_running_loop()
        for _ in range(_TRIES):
            began = loop.time()
            try:
                done = loop.run_in_executor(executor, task.function, task.argument)
                result = await asyncio.wait_for(done, self._patience_s)
            except (BrokenProcessPool, TimeoutError):
                _end(executor)
                executor = self._executor()
                continue
            except Exception as error:  # noqa: BLE001 - it belongs to whoever waits for the answer
                _answer(task, error=error)
                return executor
            self._mean_s += 0.3 * (loop.time() - began - self._mean_s)
            _answer(task, result)
            return executor
        if task.give_up is None:
            _answer(task, error=TimeoutError("the work ended its process, twice"))
        else:
            _answer(task, await loop.run_in_executor(None, task.give_up, task.argument))
        return executor


def _answer(task: _Task, result: Any = None, error: Exception | None = None) -> None:
    if task.answer.done():
        return
    if error is None:
        task.answer.set_result(result)
    else:
        task.answer.set_exception(error)


def _seen(answer: "asyncio.Future[Any]") -> None:
    """Look at an error nobody waits for, or Python complains of it."""
    if not answer.cancelled():
        answer.exception()


def _process() -> Executor:
    # Not forked: a fork of a process with threads, such as OpenCV's, may hang.
    executor = ProcessPoolExecutor(1, mp_context=get_context("spawn"), initializer=_begin)
    executor.submit(int)  # starts it, so that the first photo is read as fast as the next
    return executor


def _begin() -> None:
    """Set up a worker: Ctrl-C in a terminal reaches it too, and it finishes what it has in hand."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    with suppress(ImportError):
        import cv2  # noqa: PLC0415 - only where the work needs it

        from scribegauge.serve import work  # noqa: F401, PLC0415 - what the work needs

        cv2.setNumThreads(1)  # as many processes as cores already


def _end(executor: Executor) -> None:
    """End a lane's process, which may hang."""
    for process in list((getattr(executor, "_processes", None) or {}).values()):
        with suppress(OSError):
            os.kill(process.pid, signal.SIGKILL)
    executor.shutdown(wait=False, cancel_futures=True)
