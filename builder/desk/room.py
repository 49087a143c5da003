"""A room of the desk: some pages that belong together, and what can be done there."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from builder.desk.accounts import Right
from builder.desk.answers import Answer
from builder.desk.asked import Asked
from builder.desk.desk import Desk

Handler = Callable[[Desk, Asked], Answer]


@dataclass(frozen=True, slots=True)
class Way:
    """One address of a room, by the pattern of its path. A way that changes something is a form."""

    method: Literal["GET", "POST"]
    path: str
    handler: Handler
    right: Right = "look"


@dataclass(frozen=True, slots=True)
class DeskRoom:
    """A room by its id, its name in the navigation, the path of its first page, and its ways."""

    id: str
    title: str
    path: str
    ways: tuple[Way, ...]


def page(path: str, handler: Handler, right: Right = "look") -> Way:
    """A page that is read: nothing is changed by it."""
    return Way("GET", path, handler, right)


def form(path: str, handler: Handler, right: Right) -> Way:
    """A form that is sent, and that changes something."""
    return Way("POST", path, handler, right)
