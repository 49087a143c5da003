"""Runs one command and measures it: wall time, processor time and the largest process.

Each command is started by a small process of its own (``python -m tests.bench.measuring COMMAND``),
because the kernel counts what a parent held at the moment of starting a child as the child's own.
"""

import json
import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import asdict, dataclass
from pathlib import Path
from tempfile import TemporaryFile

KIBIBYTES = 1024
"""Linux counts resident memory in KiB; macOS counts it in bytes."""

TAIL = 2000
"""Characters of a failed command's output that are shown."""


@dataclass(frozen=True)
class Measured:
    """``seconds`` on the wall; ``processor``: seconds of all its processes; ``peak``: bytes that
    its largest process held in memory."""

    seconds: float
    processor: float
    peak: int

    def times(self, factor: float) -> "Measured":
        """As long for so many times the work, one after another."""
        return Measured(self.seconds * factor, self.processor * factor, self.peak)


class CommandFailedError(Exception):
    """A command that was to be measured did not succeed; the message holds its last words."""


def measured(command: Sequence[str], folder: Path | None = None) -> Measured:
    """Run a command to its end in a folder.

    Raises:
        CommandFailedError: it exited with another code than 0.
    """
    launcher = (sys.executable, "-m", "tests.bench.measuring", str(folder or Path.cwd()), *command)
    done = subprocess.run(launcher, capture_output=True, text=True, check=False, cwd=ROOT)
    if done.returncode != 0:
        raise CommandFailedError(f"{' '.join(command)}\n{done.stderr[-TAIL:]}")
    return Measured(**json.loads(done.stdout))


ROOT = Path(__file__).parents[2]


def together(commands: Iterable[tuple[Sequence[str], Path]], processes: int) -> Measured:
    """Many commands, as many at a time as there are processes: the time of all, shared out among
    the processes as if none had ever waited for another, and without what it takes to measure."""
    with ThreadPoolExecutor(processes) as pool:
        runs = list(pool.map(lambda each: measured(*each), commands))
    seconds = sum(run.seconds for run in runs) / min(processes, len(runs))
    return Measured(seconds, sum(run.processor for run in runs), max(run.peak for run in runs))


@dataclass(frozen=True)
class Runs:
    """The same thing measured several times, in the order of the rounds of a benchmark.

    A machine that others share is now fast and now slow, for minutes at a time. So two things are
    compared round by round, and the median of what comes out counts.
    """

    each: tuple[Measured, ...]

    @property
    def middle(self) -> Measured:
        """Medians of all runs, and of memory the most."""
        return Measured(
            statistics.median(run.seconds for run in self.each),
            statistics.median(run.processor for run in self.each),
            max(run.peak for run in self.each),
        )

    def share_of(self, other: "Runs") -> tuple[float, float]:
        """How often it takes as long as another: on the wall, and by the processor."""
        return self._medians(other, lambda ours, theirs: ours / theirs)

    def more_than(self, other: "Runs") -> tuple[float, float]:
        """How many seconds it takes more than another: on the wall, and by the processor."""
        return self._medians(other, lambda ours, theirs: ours - theirs)

    def _medians(
        self, other: "Runs", compare: Callable[[float, float], float]
    ) -> tuple[float, float]:
        both = list(zip(self.each, other.each, strict=True))
        return (
            statistics.median(compare(ours.seconds, theirs.seconds) for ours, theirs in both),
            statistics.median(compare(ours.processor, theirs.processor) for ours, theirs in both),
        )


def _launch(folder: str, command: Sequence[str]) -> int:
    """Run the command, print what was measured as JSON, and pass on its exit code."""
    with TemporaryFile() as output:
        start = time.perf_counter()
        child = subprocess.Popen(command, cwd=folder, stdout=output, stderr=subprocess.STDOUT)
        _, status, usage = os.wait4(child.pid, 0)
        seconds = time.perf_counter() - start
        code = child.returncode = os.waitstatus_to_exitcode(status)
        if code != 0:
            output.seek(max(0, output.seek(0, os.SEEK_END) - TAIL))
            sys.stderr.write(output.read().decode(errors="replace"))
    unit = 1 if sys.platform == "darwin" else KIBIBYTES
    processor = usage.ru_utime + usage.ru_stime
    found = Measured(seconds, processor, usage.ru_maxrss * unit)
    sys.stdout.write(json.dumps(asdict(found)))
    return abs(code)


if __name__ == "__main__":
    sys.exit(_launch(sys.argv[1], sys.argv[2:]))
