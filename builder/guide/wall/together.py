"""One wall with several things on it, numbered: as one stands before it on the walk round a home."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from builder.guide.wall.view import Walls, WallView
from builder.languages.language import FIRST, Language
from builder.model.equipment import Equipment


@dataclass(frozen=True, slots=True)
class Numbered:
    """A thing on a wall: its number, and where it is, in metres as in a ``WallView``."""

    number: int
    x: float
    height: float


@dataclass(frozen=True, slots=True)
class SharedWall:
    """A wall and the things on it. ``view`` is the wall as it is seen for the first of them."""

    view: WallView
    things: tuple[Numbered, ...]

    def numbers(self, language: Language = FIRST) -> str:
        """The numbers in words: "1, 2 and 5"."""
        return language.listed(each.number for each in self.things)


def together(walls: Walls, pieces: Iterable[tuple[int, Equipment]]) -> tuple[SharedWall, ...]:
    """The walls that numbered pieces are on, in the order of their lowest numbers."""
    views = ((number, walls.view(piece)) for number, piece in pieces)
    return gathered((number, view) for number, view in views if view is not None)


def gathered(views: Iterable[tuple[int, WallView]]) -> tuple[SharedWall, ...]:
    """The walls of one home that numbered things are seen on, in the order of their lowest numbers."""
    found: dict[object, list[tuple[Numbered, WallView]]] = {}
    for number, view in views:
        seen = Numbered(number, view.x, view.height), view
        found.setdefault(view.wall, []).append(seen)
    return tuple(map(_shared_wall, found.values()))


def _shared_wall(seen: list[tuple[Numbered, WallView]]) -> SharedWall:
    """One wall for all that is on it: as high as the highest needs, and with every room behind it."""
    views = [view for _, view in seen]
    behind = (room for each in views for room in each.beyond)
    view = replace(
        views[0],
        top=max(each.top for each in views),
        beyond=tuple(dict.fromkeys(behind)),
    )
    return SharedWall(view, tuple(each for each, _ in seen))
