"""Guards at stairs, landings, galleries, balconies and windows, handles in reach, and how windows are cleaned."""

from collections.abc import Iterator

from builder.errors import Severity
from builder.home.survey import Survey
from builder.rules.measures import metres, over, quoted, under
from builder.rules.reference import Table
from builder.rules.rule import HomeRule, Problem, rule_by

_AT_THE_GROUND = 2.0
"""Metres: the outside of a window lower than this is cleaned by somebody who stands on the ground.
Common practice."""


@rule_by(
    "falling", "guard-height-inside", "guard-height-balcony", "window-guard-below",
    identifier="falling.guard-too-low", says="A guard that keeps people from falling is high enough.",
)  # fmt: skip
def guards_are_high_enough(home: Survey, table: Table) -> Iterator[Problem]:
    for address, name, guard, value in _guards(home):
        least = table.number(value)
        if guard is not None and under(guard, least):
            yield Problem(
                (*address, "guard"),
                f"The guard of '{name}' is {metres(guard)} high.",
                f"Here it is {metres(least)} high or more: raise it, or correct 'guard'.",
            )


def _guards(home: Survey) -> Iterator[tuple[tuple[str, str], str, float | None, str]]:
    """Where each guard is said, what it guards, how high it is, and the value that it is held against."""
    for name, stairs in home.home.stairs.items():
        yield ("stairs", name), stairs.name, stairs.guard, "guard-height-inside"
    for name, room in home.home.rooms.items():
        value = "guard-height-inside" if home.kind_of_room(name).inside else "guard-height-balcony"
        yield ("rooms", name), room.name, room.guard, value
    for name, window in home.home.windows.items():
        yield ("windows", name), window.name, window.guard, "window-guard-below"


@rule_by(
    "falling", "window-handle-reach",
    identifier="windows.handle-far", says="Nobody leans far out for the handle of an open window.",
)  # fmt: skip
def handles_are_in_reach(home: Survey, table: Table) -> Iterator[Problem]:
    most = table.number("window-handle-reach")
    for name, window in home.home.windows.items():
        if most > 0 and window.handle_reach is not None and over(window.handle_reach, most):
            yield Problem(
                ("windows", name, "handle_reach"),
                f"The handle of '{window.name}' is {metres(window.handle_reach)} away when it stands open.",
                f"At most {metres(most)} here: let it open less far, or give it another handle.",
            )


@rule_by(
    "falling", "windows-cleaned-on-both-faces",
    identifier="windows.cleaning-unsaid",
    says="Of a window high up it is said how its outside is cleaned, where its nation asks for a safe way.",
    severity=Severity.NOTE,
)  # fmt: skip
def the_cleaning_of_windows_is_said(home: Survey, table: Table) -> Iterator[Problem]:
    if table.number("windows-cleaned-on-both-faces") == 0:
        return
    high = {
        name: window
        for name, window in home.home.windows.items()
        if over(home.height_above_ground(window.room) + (window.sill or 0.0), _AT_THE_GROUND)
    }
    silent = [name for name, window in high.items() if window.cleaning is None]
    if silent:
        yield Problem(
            ("windows", silent[0]),
            f"{quoted(silent)} {'is' if len(silent) == 1 else 'are'} high above the ground,"
            " and nothing says how the outside is cleaned.",
            "Add 'cleaning:' to each, in words: from inside, where the frame turns all the way round.",
        )


FALLING: tuple[HomeRule, ...] = (
    guards_are_high_enough,
    handles_are_in_reach,
    the_cleaning_of_windows_is_said,
)
