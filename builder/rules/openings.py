"""Doors and windows as drawn: in the walls of their rooms."""

from collections.abc import Iterator

from builder.errors import Severity
from builder.home.survey import Survey
from builder.rules.rule import HomeRule, Problem, rule

_DRAWN = "common practice: doors and windows are drawn in the walls of their rooms"


@rule(
    "doors.opens-elsewhere", "A door opens into one of the two rooms that it joins.", basis=_DRAWN,
    severity=Severity.ERROR,
)  # fmt: skip
def doors_open_into_their_rooms(home: Survey) -> Iterator[Problem]:
    for name, door in home.home.doors.items():
        if door.opens_into is not None and door.opens_into not in door.between:
            one, other = door.between
            yield Problem(
                ("doors", name, "opens_into"),
                f"This door is between '{one}' and '{other}', and opens into neither.",
                "Name one of the two.",
            )


OPENINGS: tuple[HomeRule, ...] = (doors_open_into_their_rooms,)
