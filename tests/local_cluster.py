"""A scheduler with worker processes of its own on this machine, for as long as its input is open.

``python -m tests.local_cluster`` prints the scheduler's address. It is a process of its own, so that
nothing of it is left in the one that runs the tests. What is done to its workers stands here too, so
that they need not know the tests.
"""

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from distributed import LocalCluster

from builder.build import executors, plot_writing
from builder.build.executors import WorkerGround
from builder.build.plot_writing import Order, OrderResult


@contextmanager
def local_cluster(workers: int, threads: int = 1) -> Iterator[str]:
    """A cluster that has started, by the address of its scheduler."""
    command = (sys.executable, "-m", __name__, str(workers), str(threads))
    with subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    ) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        try:
            yield process.stdout.readline().strip()
        finally:
            process.stdin.close()


def dies_once(order: Order) -> OrderResult:
    """Stands in for writing on one worker: its process is gone before the work is done."""
    os._exit(1)


def replace_writing(name: str) -> None:
    """Run on a worker: orders are carried out by something else from now on."""
    plot_writing.write = globals()[name]


def allow_failures(number: int, dask_scheduler: Any = None) -> None:
    """Run on a scheduler: how many workers may die of one order."""
    dask_scheduler.allowed_failures = number


def replace_ground(*, back: bool = False) -> None:
    """Run on a worker: it has nothing where others have their workspace, or sees it again."""
    seen = executors.look_round
    if back:
        executors.look_round = seen.__wrapped__  # type: ignore[attr-defined]
        return

    def elsewhere(ground: WorkerGround, tool: str, python: str) -> str:
        return seen(WorkerGround(Path("/nowhere"), ground.sources, ground.workplace), tool, python)

    elsewhere.__wrapped__ = seen  # type: ignore[attr-defined]
    executors.look_round = elsewhere


def main(workers: int, threads: int) -> None:
    """Start a cluster, say where it is, and stop it when nobody listens any more."""
    with LocalCluster(
        n_workers=workers, threads_per_worker=threads, processes=True, dashboard_address=None
    ) as cluster:
        sys.stdout.write(f"{cluster.scheduler_address}\n")
        sys.stdout.flush()
        sys.stdin.read()


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
