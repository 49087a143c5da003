"""Long work beside the pages: one piece after the other, each in a process of its own.

A page only watches: closing it stops nothing. What works writes as the commands do, whole or not at
all, so that a desk that is killed leaves nothing half done; a new one tells what became of its work.
"""

import json
from collections.abc import AsyncIterator, Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import datetime
from multiprocessing import get_context
from multiprocessing.connection import Connection
from secrets import token_urlsafe
from threading import Condition, Thread
from time import sleep
from typing import Final, Literal

import anyio

from builder.desk.kept_work import KeptJob, KeptWork, WorkReport
from builder.errors import FindingsError, HandoverError
from builder.unforeseen import mistake_of

MOST, MOST_MADE = 200, 20
"""Pieces of work that are remembered, and how many of the newest keep the file that they made."""
State = Literal["waiting", "running", "done", "failed", "cut off"]
FINISHED: Final = ("done", "failed", "cut off")
_LOOK_AGAIN = 0.5
"""Seconds between looks at work of an earlier desk that goes on."""
_CUT_OFF = (
    "The desk ended while this was waiting or under way.",
    "Nothing is half written: whatever it had finished stands, and all else is as it was.",
    "Go back to the page where it was asked for, and begin it again.",
)
_FOUND_NO_MORE = "What it read was kept only as long as the desk ran. Begin it again to see it."


Say = Callable[[str], None]
Work = Callable[..., WorkReport]
"""Work takes its arguments and then whom to tell of each step that is done."""
SECONDS: Final = 0.25
"""How often it is looked at."""
_QUIET: Final = 40
"""Looks without news after which a line is sent, so that nothing between takes the way for closed."""


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
    told: WorkReport = field(default_factory=WorkReport)

    @property
    def finished(self) -> bool:
        return self.state in FINISHED

    @property
    def made_at(self) -> str:
        """Where the file that it made is fetched, if it made one."""
        return f"/jobs/{self.id}/made" if self.told.made else ""

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
            begun = f"{self.steps}{of} done{', last ' + self.last if self.last else ''}"
            return begun if self.steps or self.total else "under way"
        return self.state


class Jobs:
    """The work of one desk, oldest first, and that of the desks before it over the same workspace."""

    def __init__(self, now: Callable[[], datetime], kept: KeptWork) -> None:
        self._now, self._kept = now, kept
        self._jobs: dict[str, Job] = {each.number: _remembered(each) for each in kept.all()}
        self._earlier = {each.id for each in self._jobs.values() if not each.finished}
        self._queue: list[tuple[str, Work, Sequence[object]]] = []
        self._changed = Condition()
        self._closed = False
        self._hand: Thread | None = None

    def begin(
        self, title: str, work: Work, arguments: Sequence[object], *, back: str, by: str, total: int = 0,
        leads: str = "",
    ) -> Job:  # fmt: skip
        """Have work done, after all that was asked for before it. ``work`` is a function of a module.
        UnwritableError where it cannot be remembered: then it is not begun."""
        job = Job(token_urlsafe(9), title, back, by, total, self._now(), leads)
        self._kept.begun(job.id, _kept_before(job))
        with self._changed:
            self._jobs[job.id] = job
            self._queue.append((job.id, work, arguments))
            self._forget()
            if self._hand is None:
                self._hand = Thread(target=self._work_on, name="jobs", daemon=True)
                self._hand.start()
            self._changed.notify_all()
        return job

    def _forget(self) -> None:
        for number in [each.id for each in self._jobs.values() if each.finished][:-MOST]:
            self._jobs.pop(number)
            self._kept.forget(number)
        for number in [each.id for each in self._jobs.values() if each.told.made][:-MOST_MADE]:
            self._jobs[number] = replace(self._jobs[number], told=replace(self._jobs[number].told, made=None))  # fmt: skip
            self._kept.forget(number, only_made=True)

    def of(self, number: str) -> Job | None:
        """A piece of work by its number."""
        self._look_at_earlier()
        return self._jobs.get(number)

    def all(self) -> tuple[Job, ...]:
        """All that is remembered, newest first."""
        self._look_at_earlier()
        return tuple(reversed(self._jobs.values()))

    def made(self, number: str) -> bytes | None:
        """The file that a piece of work has made."""
        return self._kept.content(number) if number in self._jobs else None

    @property
    def busy(self) -> Job | None:
        """What is being done, if anything is."""
        self._look_at_earlier()
        return next((each for each in self._jobs.values() if not each.finished), None)

    def _look_at_earlier(self) -> None:
        """See what became of work that a desk before this one began."""
        with self._changed:
            for number in tuple(self._earlier):
                # The lock first: whoever lets go of it has written what came of the work.
                goes_on = self._kept.goes_on(number)
                told = self._kept.told(number)
                if told is not None:
                    self._earlier.discard(number)
                self._jobs[number] = _later(self._jobs[number], told, goes_on=goes_on)

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
            self._wait_for_earlier()
            self._set_job(number, state="running")
            told = self._run_apart(number, work, arguments)
            self._set_job(number, state="failed" if told.failed else "done", told=told)

    def _wait_for_earlier(self) -> None:
        """One piece of work at a time, whichever desk began it."""
        while not self._closed:
            self._look_at_earlier()
            if not any(self._jobs[each].state == "running" for each in self._earlier):
                return
            sleep(_LOOK_AGAIN)

    def _run_apart(self, number: str, work: Work, arguments: Sequence[object]) -> WorkReport:
        context = get_context("spawn")
        here, there = context.Pipe(duplex=False)
        process = context.Process(target=_work_in_process, args=(there, self._kept, number, work, tuple(arguments)))  # fmt: skip
        try:
            process.start()
        except (OSError, RuntimeError) as error:
            return self._remember(number, WorkReport((f"The work could not be begun: {error}",), failed=True))  # fmt: skip
        there.close()
        told: WorkReport | None = None
        with suppress(EOFError, OSError):
            while isinstance(said := here.recv(), str):
                self._set_job(number, step=said)
            told = said
        process.join()
        stopped = WorkReport(("The work stopped before it was finished. What was there is as it was.",), failed=True)  # fmt: skip
        return told or self._remember(number, stopped)

    def _remember(self, number: str, told: WorkReport) -> WorkReport:
        with suppress(HandoverError):  # a full disk: it is told as long as the desk runs
            self._kept.ended(number, told)
        return told

    def _set_job(
        self,
        number: str,
        *,
        state: State | None = None,
        told: WorkReport | None = None,
        step: str = "",
    ) -> None:
        with self._changed:
            job = self._jobs.get(number)
            if job is not None:
                job = replace(job, state=state or job.state, told=told or job.told)
                self._jobs[number] = replace(job, steps=job.steps + 1, last=step) if step else job


def _kept_before(job: Job) -> dict[str, object]:
    """What is kept of a piece of work before it begins."""
    about = {name: getattr(job, name) for name in ("title", "back", "by", "leads")}
    return {**about, "begun": job.begun.isoformat()}


def _remembered(kept: KeptJob) -> Job:
    """A piece of work of an earlier desk: under way as far as anybody knows, if it has not ended."""
    said = kept.asked
    title, back, by, leads = (str(said.get(name, "")) for name in ("title", "back", "by", "leads"))
    try:
        begun = datetime.fromisoformat(str(said.get("begun")))
    except ValueError:
        begun = datetime.min
    job = Job(kept.number, title, back, by, 0, begun, leads, "running")
    return job if kept.told is None else _later(job, kept.told, goes_on=False)


def _later(job: Job, told: WorkReport | None, *, goes_on: bool) -> Job:
    """Work of an earlier desk as it is now: it told something, it goes on, or it was cut off."""
    if told is None:
        return replace(job, state="running") if goes_on else replace(job, state="cut off", told=WorkReport(_CUT_OFF, failed=True))  # fmt: skip
    lines = (*told.lines, _FOUND_NO_MORE) if job.leads and not told.failed else told.lines
    return replace(job, state="failed" if told.failed else "done", told=replace(told, lines=lines))


def _work_in_process(
    there: Connection, kept: KeptWork, number: str, work: Work, arguments: tuple[object, ...]
) -> None:
    """What the process does: the work, telling each step and at last what came of it. It goes on where the
    desk that asked for it is gone."""

    def say(step: str) -> None:
        with suppress(OSError):
            there.send(step)

    with kept.under_way(number):
        told = _report_of(lambda: kept.ended(number, work(*arguments, say)))
        if told.failed:
            with suppress(HandoverError):
                kept.ended(number, told)
    with suppress(OSError):
        there.send(told)


def _report_of(work: Callable[[], WorkReport]) -> WorkReport:
    """What work tells, or why it could not be done."""
    try:
        return work()
    except FindingsError as error:
        return WorkReport(tuple(f"{each.place}: {each.wrong} {each.right}" for each in error.findings), failed=True)  # fmt: skip
    except HandoverError as error:
        return WorkReport((str(error),), failed=True)
    except Exception as error:  # a traceback on the terminal would hold data of plots
        return WorkReport((mistake_of("desk", error),), failed=True)


async def progress(jobs: Jobs, number: str) -> AsyncIterator[str]:
    """Server-sent events of a piece of work, until it is finished or nobody listens."""
    last, quiet = None, 0
    while (job := jobs.of(number)) is not None:
        if job != last:
            told = {"state": job.state, "words": job.words, "steps": job.steps, "total": job.total}
            yield f"data: {json.dumps(told)}\n\n"
            last, quiet = job, 0
        if job.finished:
            return
        quiet += 1
        if quiet % _QUIET == 0:
            yield ": still at work\n\n"
        await anyio.sleep(SECONDS)
