"""The same work over the machines of a dask.distributed cluster."""

import warnings
from collections.abc import Callable, Iterator, Sequence
from typing import Any, TypeVar

from scribegauge.batch.engines import Lost
from scribegauge.errors import UseError

Work = TypeVar("Work")
Sent = TypeVar("Sent")
Result = TypeVar("Result")

#: How long to wait for the scheduler to answer [s].
PATIENCE_S = 15


def over_cluster(
    function: Callable[[Sent], Result],
    send: Callable[[Work], Sent],
    jobs: Sequence[Work],
    address: str,
) -> Iterator[tuple[int, Result | Lost]]:
    """Spread the work over a cluster; the scheduler gives a lost worker's job to another.

    Photos travel with their jobs, so that no machine needs the folder; no more are under way than
    keep all workers busy.

    Parameters
    ----------
    function : callable
        Of a module that is installed on the workers, too.
    send : callable
        From a job to what is sent.
    jobs : sequence
    address : str
        Of the scheduler, e.g. ``tcp://192.168.1.5:8786``.

    Raises
    ------
    UseError
        ``cluster_missing`` without the library, ``cluster_unreached``.
    """
    distributed = _library()
    try:
        client = distributed.Client(address, timeout=PATIENCE_S)
    except (OSError, ValueError) as error:
        raise UseError(
            "cluster_unreached",
            f"No scheduler answers at {address!r}.",
            "Start one with `dask scheduler`, and give the address that it prints.",
        ) from error
    with client:
        yield from _gathered(distributed, client, function, (send, jobs))


def _gathered(
    distributed: Any,
    client: Any,
    function: Callable[[Sent], Result],
    work: tuple[Callable[[Work], Sent], Sequence[Work]],
) -> Iterator[tuple[int, Result | Lost]]:
    send, jobs = work
    to_give = list(range(len(jobs)))
    places: dict[str, int] = {}
    flow = distributed.as_completed([], with_results=False)
    busy = max(2 * sum(client.nthreads().values()), 2)
    while to_give or places:
        while to_give and len(places) < busy:
            place = to_give.pop(0)
            future = _submit(client, function, send(jobs[place]))
            places[future.key] = place
            flow.add(future)
        future = next(flow)
        place = places.pop(future.key)
        yield place, _result(distributed, future)


def _submit(client: Any, function: Callable[[Sent], Result], sent: Sent) -> Any:
    with warnings.catch_warnings():
        # It warns of large graphs: a photo is large, and it must travel with its job, because
        # data that is scattered beforehand is lost with the worker that holds it.
        warnings.simplefilter("ignore")
        return client.submit(function, sent, pure=False, retries=0)


def _result(distributed: Any, future: Any) -> Any:
    try:
        return future.result()
    except distributed.KilledWorker:
        return Lost()


def _library() -> Any:
    try:
        import distributed  # noqa: PLC0415 - an extra
    except ImportError as error:
        raise UseError(
            "cluster_missing",
            "Work over a cluster needs a library that is not installed.",
            "Install it with: pip install 'scribegauge[cluster]'.",
        ) from error
    return distributed
