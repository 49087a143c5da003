"""Long work as it goes on: its page, and the events that keep the page up to date."""

from starlette.exceptions import HTTPException

from builder.desk.answers import EventsAnswer, FileAnswer, GoTo, PageAnswer
from builder.desk.asked import Asked
from builder.desk.desk import Desk
from builder.desk.jobs import Job
from builder.desk.room import DeskRoom, page


def _job(desk: Desk, asked: Asked) -> Job:
    job = desk.jobs.of(asked.named["job"])
    if job is None:
        raise HTTPException(404)
    return job


def show(desk: Desk, asked: Asked) -> PageAnswer | GoTo:
    """One piece of work, or the page of what it found. Closing the page stops nothing."""
    job = _job(desk, asked)
    if job.shown_at:
        return GoTo(job.shown_at)
    return PageAnswer("work.html", job.title, "release", {"job": job})


def events(desk: Desk, asked: Asked) -> EventsAnswer:
    """How far it is, each time that it gets further, until it is finished."""
    return EventsAnswer(_job(desk, asked).id)


def made(desk: Desk, asked: Asked) -> FileAnswer:
    """The file that work has made."""
    job = _job(desk, asked)
    content = desk.jobs.made(job.id)
    if job.told.made is None or content is None:
        raise HTTPException(404)
    return FileAnswer(content, job.told.made.media_type, job.told.made.name)


def every(desk: Desk, _: Asked) -> PageAnswer:
    """All work that is remembered."""
    return PageAnswer("works.html", "Work in hand and done", "release", {"jobs": desk.jobs.all()})


ROOM = DeskRoom(
    "work", "", "",
    (
        page("/jobs", every), page("/jobs/{job}", show), page("/jobs/{job}/events", events),
        page("/jobs/{job}/made", made),
    ),
)  # fmt: skip
