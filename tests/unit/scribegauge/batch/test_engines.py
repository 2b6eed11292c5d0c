"""Work over processes and over a cluster: all of it, once, whatever happens to a worker.

The work is Python text and the function `eval`, which every process can import.
"""

import os
import sys
import threading
import time

import pytest

from scribegauge.batch.cluster import over_cluster
from scribegauge.batch.engines import Lost, cores, one_by_one, over_cores
from scribegauge.errors import UseError

DIE = "__import__('os')._exit(1)"
SLOW = "__import__('time').sleep(0.3) or {}"


def same(job: str) -> str:
    return job


def test_here_in_order() -> None:
    assert list(one_by_one(len, ["a", "bb"])) == [(0, 1), (1, 2)]
    assert cores() >= 1


@pytest.mark.slow
def test_processes_do_everything_and_a_deadly_job_alone_is_lost() -> None:
    jobs = [f"{k} ** 2" for k in range(6)] + [DIE] + [f"{k} ** 2" for k in range(7, 10)]
    found = dict(over_cores(eval, jobs, 2))
    expected: dict[int, object] = {k: k**2 for k in range(10)}
    assert found == expected | {6: Lost()}


@pytest.mark.slow
def test_a_worker_killed_from_outside_costs_nothing() -> None:
    jobs = ["__import__('os').getpid()", *[SLOW.format(k) for k in range(4)]]
    found: dict[int, object] = {}
    for place, result in over_cores(eval, jobs, 1):
        found[place] = result
        if place == 0:
            assert isinstance(result, int)
            os.kill(result, 9)
    found.pop(0)
    assert found == {k + 1: k for k in range(4)}


def test_without_the_library_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(UseError, match=r"scribegauge\[cluster\]") as raised:
        list(over_cluster(eval, same, ["1"], "tcp://127.0.0.1:1"))
    assert raised.value.code == "cluster_missing"


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")  # the library's own, while a worker is killed
def test_a_cluster_gives_the_same_and_survives_a_killed_worker() -> None:
    distributed = pytest.importorskip(
        "distributed", reason="the cluster extra is not installed: pip install '.[cluster]'"
    )
    jobs = [SLOW.format(f"{k} ** 2") for k in range(12)]
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, dashboard_address=None, silence_logs=50
    ) as cluster:
        victim = next(iter(cluster.workers.values())).process.process.pid

        def kill() -> None:
            time.sleep(0.5)
            os.kill(victim, 9)

        killer = threading.Thread(target=kill)
        killer.start()
        found = dict(over_cluster(eval, same, jobs, cluster.scheduler_address))
        killer.join()
    assert found == dict(one_by_one(eval, jobs))


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")
def test_a_scheduler_that_does_not_answer_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("distributed", reason="the cluster extra is not installed")
    monkeypatch.setattr("scribegauge.batch.cluster.PATIENCE_S", 0.5)
    with pytest.raises(UseError) as raised:
        list(over_cluster(eval, same, ["1"], "tcp://127.0.0.1:9"))
    assert raised.value.code == "cluster_unreached"
