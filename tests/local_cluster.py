"""A scheduler with worker processes of its own on this machine, for as long as its input is open.

``python -m tests.local_cluster`` prints the scheduler's address. It is a process of its own, so that
nothing of it is left in the one that runs the tests.
"""

import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager

from distributed import LocalCluster


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
