"""Rooms as drawn: on a floor, with an outline, side by side."""

from collections.abc import Iterator

from builder.errors import Severity
from builder.home.survey import Survey
from builder.rules.rule import HomeRule, Problem, rule

_DRAWN = "common practice: a plan is drawn to the middle of the walls"


@rule(
    "rooms.no-floor", "A room inside the home stands on a floor.", basis=_DRAWN,
    severity=Severity.ERROR,
)  # fmt: skip
def rooms_are_somewhere(home: Survey) -> Iterator[Problem]:
    for name, room in home.inside():
        if room.floor is None:
            yield Problem(
                ("rooms", name),
                f"'{room.name}' is inside the home and on no floor.",
                f"Add 'floor:', one of {', '.join(home.home.floors)}.",
            )


ROOMS: tuple[HomeRule, ...] = (rooms_are_somewhere,)
