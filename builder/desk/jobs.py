"""Long work beside the pages: one piece after the other, each in a process of its own.

A page only watches: closing it stops nothing. What works writes as the commands do, whole or not at
all, so that a desk that is killed leaves nothing half done.
"""

from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import datetime
from multiprocessing import get_context
from multiprocessing.connection import Connection
from secrets import token_urlsafe
from threading import Condition, Thread
from typing import Final, Literal

from builder.errors import FindingsError, HandoverError
from builder.unforeseen import mistake_of

MOST: Final = 200
"""Pieces of work that are remembered."""
State = Literal["waiting", "running", "done", "failed"]
FINISHED: Final = ("done", "failed")


@dataclass(frozen=True, slots=True)
class Told:
    """What work has to say: ``lines`` in words, ``failed`` where it could not be done, and what it
    ``found``, for the page that looks at it."""

    lines: tuple[str, ...] = ()
    failed: bool = False
    found: object = None


Say = Callable[[str], None]
Work = Callable[..., Told]
"""Work takes its arguments and then whom to tell of each step that is done."""


@dataclass(frozen=True, slots=True)
class Job:
    """One piece of work, as it is now. ``back``: the page that it was asked for on. ``leads``: where what
    it found is looked at, before its number."""

    id: str
    title: str
    back: str
    by: str
    total: int
    begun: datetime
    leads: str = ""
    state: State = "waiting"
    steps: int = 0
    last: str = ""
    told: Told = field(default_factory=Told)

    @property
    def finished(self) -> bool:
        return self.state in FINISHED

    @property
    def shown_at(self) -> str:
        """The page on which what it found is looked at, once there is something."""
        return f"{self.leads}/{self.id}" if self.leads and self.told.found is not None else ""

    @property
    def words(self) -> str:
        """How far it is, in words."""
        if self.state == "waiting":
            return "waits for the work before it"
        if self.state == "running":
            of = f" of {self.total}" if self.total else ""
            return f"{self.steps}{of} done{', last ' + self.last if self.last else ''}"
        return self.state


class Jobs:
    """The work of one desk, oldest first."""

    def __init__(self, now: Callable[[], datetime]) -> None:
        self._now = now
        self._jobs: dict[str, Job] = {}
        self._queue: list[tuple[str, Work, Sequence[object]]] = []
        self._changed = Condition()
        self._closed = False
        self._hand: Thread | None = None

    def begin(
        self, title: str, work: Work, arguments: Sequence[object], *, back: str, by: str, total: int = 0,
        leads: str = "",
    ) -> Job:  # fmt: skip
        """Have work done, after all that was asked for before it. ``work`` is a function of a module."""
        job = Job(token_urlsafe(9), title, back, by, total, self._now(), leads)
        with self._changed:
            self._jobs[job.id] = job
            self._queue.append((job.id, work, arguments))
            while len(self._jobs) > MOST:
                self._jobs.pop(next(iter(self._jobs)))
            if self._hand is None:
                self._hand = Thread(target=self._work_on, name="jobs", daemon=True)
                self._hand.start()
            self._changed.notify_all()
        return job

    def of(self, number: str) -> Job | None:
        """A piece of work by its number."""
        return self._jobs.get(number)

    def all(self) -> tuple[Job, ...]:
        """All that is remembered, newest first."""
        return tuple(reversed(self._jobs.values()))

    @property
    def busy(self) -> Job | None:
        """What is being done, if anything is."""
        return next((each for each in self._jobs.values() if not each.finished), None)

    def close(self) -> None:
        """Begin no more work."""
        with self._changed:
            self._closed = True
            self._changed.notify_all()

    def _work_on(self) -> None:
        while True:
            with self._changed:
                self._changed.wait_for(lambda: self._queue or self._closed)
                if self._closed:
                    return
                number, work, arguments = self._queue.pop(0)
            self._put(number, state="running")
            told = self._done(number, work, arguments)
            self._put(number, state="failed" if told.failed else "done", told=told)

    def _done(self, number: str, work: Work, arguments: Sequence[object]) -> Told:
        context = get_context("spawn")
        here, there = context.Pipe(duplex=False)
        process = context.Process(target=_at_work, args=(there, work, tuple(arguments)))
        try:
            process.start()
        except (OSError, RuntimeError) as error:
            return Told((f"The work could not be begun: {error}",), failed=True)
        there.close()
        told = Told(("The work stopped before it was finished. What was there is as it was.",), failed=True)  # fmt: skip
        with suppress(EOFError, OSError):
            while isinstance(said := here.recv(), str):
                self._put(number, step=said)
            told = said
        process.join()
        return told

    def _put(
        self, number: str, *, state: State | None = None, told: Told | None = None, step: str = ""
    ) -> None:
        with self._changed:
            job = self._jobs.get(number)
            if job is not None:
                job = replace(job, state=state or job.state, told=told or job.told)
                self._jobs[number] = replace(job, steps=job.steps + 1, last=step) if step else job


def _at_work(there: Connection, work: Work, arguments: tuple[object, ...]) -> None:
    """What the process does: the work, telling each step and at last what came of it."""
    try:
        told = work(*arguments, there.send)
    except FindingsError as error:
        told = Told(tuple(f"{each.place}: {each.wrong} {each.right}" for each in error.findings), failed=True)  # fmt: skip
    except HandoverError as error:
        told = Told((str(error),), failed=True)
    except Exception as error:  # a traceback on the terminal would hold data of plots
        told = Told((mistake_of("desk", error),), failed=True)
    there.send(told)
