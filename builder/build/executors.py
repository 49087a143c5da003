"""Who carries out orders: this process, processes of this machine, or workers on other machines.

All of them are asked through Python's own interface of futures. Other machines are reached through a
scheduler of Dask's ``distributed``; they need the same folders by the same paths, on a shared disk.
"""

import gc
import logging
import os
import re
import sys
import warnings
from collections.abc import Callable, Generator, Iterable, Iterator
from concurrent.futures import BrokenExecutor, CancelledError, Executor, Future, ProcessPoolExecutor
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from importlib import import_module
from multiprocessing import get_all_start_methods, get_context, parent_process
from multiprocessing.connection import wait
from pathlib import Path
from queue import Empty, SimpleQueue
from threading import Thread
from typing import Any, Protocol, TypeVar

from builder.build.manifest import records_folder
from builder.build.source_files import SourceFiles
from builder.digests import tool_digest
from builder.errors import HandoverError

FEW = 3
"""Editions that are not worth another process: starting one takes about as long as writing two."""
CONNECTING = 10
"""Seconds for a scheduler to answer, and then for its first worker to be there."""
ROUND, ROUNDS = 5.0, 12
"""Seconds between two looks at the workers, and looks at none in a row before a build gives up."""
SELDOM = (100_000, 50, 1_000)
"""How often a process that writes guides looks for memory that holds itself: what it keeps from
guide to guide is large and stays. Python's own measure, a hundred times as often, takes a tenth of
the time of a build, and saves 2 % of its memory."""

_ADDRESS = re.compile(r"(?:tcp|tls)://(?:\[[0-9A-Fa-f:.]+\]|[^/:\s\[\]]+):\d+")
_PROBE = "shared-disk"
_SAME = "Every worker needs the same folders by the same paths, on a shared disk."
_WHOLE = "Finished guides are published whole, all others are as they were. Build again."
Given = TypeVar("Given")
Made = TypeVar("Made")


class Workers(Protocol):
    """Carries out orders, in any order of time. ``number``: how many at once."""

    number: int

    def results(
        self, work: Callable[[Given], Made], orders: Iterable[Given]
    ) -> Generator[Made, None, None]:
        """What each order comes to, as it is finished."""


@dataclass(frozen=True, slots=True)
class WorkerGround:
    """What every worker must see as this process does: the workspace with the digest of all that it
    says, and a folder of the published tree to write in."""

    root: Path
    sources: str
    workplace: Path


@contextmanager
def workers(scheduler: str | None, ground: WorkerGround, plots: int) -> Iterator[Workers]:
    """The workers of a scheduler by its address; with none, processes of this machine, or this
    process alone for a few plots."""
    with _seldom_collected():
        if scheduler is not None and plots:
            with _far(scheduler, ground) as far:
                yield far
        elif plots <= FEW:
            yield Here()
        else:
            with _processes(plots) as near:
                yield near


@contextmanager
def _seldom_collected() -> Iterator[None]:
    before = gc.get_threshold()
    gc.set_threshold(*SELDOM)
    try:
        yield
    finally:
        gc.set_threshold(*before)


class Here:
    """Carries out orders one after the other in this process."""

    number = 1

    def results(
        self, work: Callable[[Given], Made], orders: Iterable[Given]
    ) -> Generator[Made, None, None]:
        yield from map(work, orders)


class Futures:
    """Carries out orders through an executor of ``number`` workers. ``lost`` are its exceptions when a worker is gone for
    good, and ``says`` tells people so; ``look`` is called from time to time while nothing comes."""

    def __init__(
        self, executor: Executor, number: int, lost: tuple[type[BaseException], ...], says: str,
        look: Callable[[], None] = lambda: None,
    ) -> None:  # fmt: skip
        self._executor, self._lost, self._says, self._look = executor, lost, says, look
        self.number = number

    def results(
        self, work: Callable[[Given], Made], orders: Iterable[Given]
    ) -> Generator[Made, None, None]:
        finished: SimpleQueue[Future[Made]] = SimpleQueue()
        waiting: set[Future[Made]] = set()
        try:
            for order in orders:
                future = self._submit(work, order)
                waiting.add(future)
                future.add_done_callback(finished.put)
            while waiting:
                done = self._next(finished)
                waiting.remove(done)
                yield self._result(done)
        finally:
            for future in waiting:
                future.cancel()

    def _submit(self, work: Callable[[Given], Made], order: Given) -> Future[Made]:
        try:
            return self._executor.submit(work, order)
        except self._lost as error:
            raise HandoverError(self._says) from error

    def _next(self, finished: "SimpleQueue[Future[Made]]") -> Future[Made]:
        while True:
            with suppress(Empty):
                return finished.get(timeout=ROUND)
            self._look()

    def _result(self, future: Future[Made]) -> Made:
        try:
            return future.result()
        except self._lost as error:
            raise HandoverError(self._says) from error


@contextmanager
def _processes(plots: int) -> Iterator[Workers]:
    """A process for each core of this machine.

    A forked process has the workspace already; where there is no fork, each reads it once.
    """
    method = "fork" if "fork" in get_all_start_methods() else "spawn"
    number = min(plots, os.cpu_count() or 1)
    says = f"A process that writes guides ended before its work was done. {_WHOLE}"
    context = get_context(method)
    with ProcessPoolExecutor(number, context, initializer=begin) as executor:
        yield Futures(executor, number, (BrokenExecutor,), says)


def begin() -> None:
    """In a worker, at first: it ends when the build that started it is killed, in place of waiting
    for ever."""
    gc.set_threshold(*SELDOM)
    build = parent_process()
    if build is not None:
        Thread(target=_end_after, args=(build.sentinel,), daemon=True).start()


def _end_after(sentinel: int) -> None:
    wait([sentinel])
    os._exit(1)


@contextmanager
def _far(scheduler: str, ground: WorkerGround) -> Iterator[Workers]:
    """The workers of a scheduler, once all of them see what they must."""
    distributed = _distributed()
    says = f"Workers of the scheduler at {scheduler} ended before their work was done. {_WHOLE}"
    lost = (distributed.scheduler.KilledWorker, CancelledError)
    with _quiet(), _client(distributed, scheduler) as client:
        _check(client, scheduler, ground)
        with client.get_executor(pure=False) as executor:
            yield Futures(
                executor, len(client.nthreads()), lost, says, _Watch(client, scheduler).look
            )


def _distributed() -> Any:
    try:
        return import_module("distributed")
    except ImportError as error:
        raise HandoverError(
            "Dask's 'distributed' is not installed here, so no scheduler can be asked. "
            "Install the builder with its extra: pip install 'handover-pack-builder[distributed]'."
        ) from error


@contextmanager
def _quiet() -> Iterator[None]:
    """What goes wrong is said in our own words: the library's log stays silent meanwhile."""
    before = logging.root.manager.disable
    logging.disable(logging.CRITICAL)
    try:
        yield
    finally:
        logging.disable(before)


@contextmanager
def _client(distributed: Any, scheduler: str) -> Iterator[Any]:
    if not _ADDRESS.fullmatch(scheduler):
        raise HandoverError(
            f"'{scheduler}' is no address of a scheduler. Write tcp://host:port, with the port that "
            "the scheduler prints when it starts; 8786 is its own choice."
        )
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # Versions are compared below, by what they write.
            client = distributed.Client(scheduler, timeout=CONNECTING, set_as_default=False)
    except (OSError, ValueError, ImportError) as error:
        raise HandoverError(
            f"No scheduler answers at {scheduler}. Start one there with 'dask scheduler', "
            "or build without --executor."
        ) from error
    try:
        yield client
    finally:
        client.close()


def _check(client: Any, scheduler: str, ground: WorkerGround) -> None:
    """Stop before anything is written, where a worker would write something else or elsewhere."""
    try:
        client.wait_for_workers(1, timeout=CONNECTING)
    except TimeoutError as error:
        raise HandoverError(_no_workers(scheduler)) from error
    for worker, threads in sorted(client.nthreads().items()):
        if threads > 1:
            raise HandoverError(
                f"Worker {worker} does {threads} things at once in one process. "
                f"Start each with one thread: dask worker {scheduler} --nthreads 1 --nworkers auto."
            )
    (ground.workplace / _PROBE).write_text(ground.sources, encoding="utf-8")
    found = client.run(look_round, ground, tool_digest(), sys.version, on_error="return")
    for worker, wrong in sorted(found.items()):
        if isinstance(wrong, BaseException):
            raise HandoverError(
                f"Worker {worker} cannot run the builder: {type(wrong).__name__}: {wrong}. "
                "Install the same version of it there."
            )
        if wrong:
            raise HandoverError(f"Worker {worker} {wrong}")


def look_round(ground: WorkerGround, tool: str, python: str) -> str:
    """On a worker: what keeps it from working on this ground, in words; nothing if all is well."""
    if unseen := _unseen(ground):
        return f"does not see {unseen}. {_SAME}"
    if sys.version != python or tool_digest() != tool:
        return "runs another version of Python, the builder or its libraries. Install the same."
    if SourceFiles(ground.root).digest != ground.sources:
        return f"sees another workspace at '{ground.root}'. {_SAME}"
    try:
        draft = ground.workplace / f"{_PROBE}-{os.getpid()}"
        draft.write_text(ground.sources, encoding="utf-8")
        draft.unlink()
    except OSError as error:
        return f"cannot write to '{ground.workplace.parent}': {error.strerror}. {_SAME}"
    return ""


def _unseen(ground: WorkerGround) -> str:
    tree = ground.workplace.parent
    if not ground.root.is_dir():
        return f"the workspace '{ground.root}'"
    if not (ground.workplace / _PROBE).is_file():
        return f"the folder '{tree}' that is published to"
    records = records_folder(tree)
    return "" if records.is_dir() else f"the records '{records}' of what is published"


class _Watch:
    """Looks whether a scheduler still has workers: one that restarts is back in seconds."""

    def __init__(self, client: Any, scheduler: str) -> None:
        self._client, self._scheduler, self._without = client, scheduler, 0

    def look(self) -> None:
        """Give up after a minute without any worker."""
        try:
            present = bool(self._client.nthreads())
        except OSError:
            present = False
        self._without = 0 if present else self._without + 1
        if self._without >= ROUNDS:
            raise HandoverError(f"{_no_workers(self._scheduler)} {_WHOLE}")


def _no_workers(scheduler: str) -> str:
    return (
        f"The scheduler at {scheduler} has no workers. Start some: "
        f"dask worker {scheduler} --nthreads 1 --nworkers auto."
    )
