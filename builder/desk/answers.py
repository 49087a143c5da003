"""What a room answers: a page in the frame, a file, or the way to another page."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal


@dataclass(frozen=True, slots=True)
class Notice:
    """One sentence or more on the next page for whoever did something. ``sort`` says how it went."""

    sort: Literal["done", "refused"]
    says: str


@dataclass(frozen=True, slots=True)
class PageAnswer:
    """A page, through a template. ``room``: which entry of the navigation is marked."""

    template: str
    title: str
    room: str
    values: Mapping[str, Any] = field(default_factory=dict)
    status: int = 200


@dataclass(frozen=True, slots=True)
class GoTo:
    """The way to another page, which says the notice."""

    path: str
    notice: Notice | None = None


@dataclass(frozen=True, slots=True)
class FileAnswer:
    """A file. ``name``: what it is saved as; none where it is shown. ``policy``: what a page of it may
    do, if not what pages of the desk may."""

    content: bytes
    media_type: str
    name: str = ""
    policy: str = ""
    headers: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class EventsAnswer:
    """The progress of a piece of work, as server-sent events (HTML standard, 9.2)."""

    job: str


Answer = PageAnswer | GoTo | FileAnswer | EventsAnswer


def done(path: str, says: str) -> GoTo:
    """Back to a page that says what was done."""
    return GoTo(path, Notice("done", says))


def refused(path: str, says: str) -> GoTo:
    """Back to a page that says why nothing was done."""
    return GoTo(path, Notice("refused", says))
