"""Windows: that nobody falls from one, and that what is said of one can be."""

from collections.abc import Iterator

from builder.errors import Severity
from builder.home.survey import NEAR, Survey
from builder.model.building import Window
from builder.rules.measures import metres, over, under
from builder.rules.reference import Table
from builder.rules.routes import name_of
from builder.rules.rule import HomeRule, Problem, rule, rule_by

_BESIDE = 0.3
"""Metres from the edge of a door within which glass counts as beside it (Approved Document K, England,
2013 edition, Diagram 5.1)."""


@rule_by(
    "falling", "window-guard-below", "drop-that-needs-a-guard",
    identifier="windows.low-sill",
    says="A low window above the ground floor has a restrictor, so that nobody falls out.",
)  # fmt: skip
def low_windows_are_restricted(home: Survey, table: Table) -> Iterator[Problem]:
    least, drop = table.number("window-guard-below"), table.number("drop-that-needs-a-guard")
    for name, window in _unrestricted(home, drop):
        if window.sill is not None and under(window.sill, least):
            yield Problem(
                ("windows", name, "sill"),
                f"The sill of '{window.name}' is {metres(window.sill)} above a floor that is"
                f" {metres(home.height_above_ground(window.room))} above the ground, and it has no restrictor.",
                f"Below {metres(least)}, fit a restrictor or a guard, and record 'restrictor: true', or 'guard:' with its height.",
            )


@rule_by(
    "falling", "window-guard-below", "drop-that-needs-a-guard",
    identifier="windows.restrictor-advised",
    says="A window above the ground floor has a restrictor, for the sake of small children.",
    severity=Severity.NOTE,
)  # fmt: skip
def high_windows_are_restricted(home: Survey, table: Table) -> Iterator[Problem]:
    least, drop = table.number("window-guard-below"), table.number("drop-that-needs-a-guard")
    for name, window in _unrestricted(home, drop):
        if window.sill is not None and not under(window.sill, least):
            yield Problem(
                ("windows", name),
                f"'{window.name}' is above the ground floor, and has no restrictor.",
                "Consider one that grown-ups can release.",
            )


@rule_by(
    "falling", "window-guard-below", "drop-that-needs-a-guard",
    identifier="windows.sill-unknown",
    says="The sill of a window above the ground floor is recorded.",
    severity=Severity.NOTE,
)  # fmt: skip
def sills_are_known(home: Survey, table: Table) -> Iterator[Problem]:
    least, drop = table.number("window-guard-below"), table.number("drop-that-needs-a-guard")
    for name, window in _unrestricted(home, drop):
        if window.sill is None and not window.escape:
            yield Problem(
                ("windows", name),
                f"'{window.name}' is above the ground floor, and has no 'sill': it is not known to be safe.",
                f"Add 'sill:', its height above the floor; below {metres(least)} it needs a restrictor.",
            )


def _unrestricted(home: Survey, drop: float) -> Iterator[tuple[str, Window]]:
    """The windows that open wide above a drop of more than ``drop`` metres, and have no guard."""
    for name, window in home.home.windows.items():
        high = over(home.height_above_ground(window.room), drop)
        shut = window.kind == "fixed" or window.restrictor or window.guard is not None
        if high and not shut:
            yield name, window


@rule(
    "windows.fixed-restrictor", "Only a window that opens has a restrictor.",
    severity=Severity.ERROR, basis="common practice: a restrictor limits how far a window opens",
)  # fmt: skip
def fixed_windows_have_no_restrictor(home: Survey) -> Iterator[Problem]:
    for name, window in home.home.windows.items():
        if window.kind == "fixed" and window.restrictor:
            yield Problem(
                ("windows", name, "kind"),
                f"'{window.name}' in '{name_of(home, window.room)}' does not open, and has a restrictor.",
                "Correct its 'kind', or take out 'restrictor'.",
            )


_GLASS = ("safety-glass-in-windows-to", "safety-glass-in-doors-to")


@rule_by(
    "falling", *_GLASS,
    identifier="windows.safety-glass", says="Glass that people can fall against breaks safely.",
)  # fmt: skip
def low_glass_breaks_safely(home: Survey, table: Table) -> Iterator[Problem]:
    for name, window, why in _within_reach(home, table):
        if window.safety_glass is False:
            yield Problem(
                ("windows", name, "safety_glass"),
                f"'{window.name}' {why}, and its glass does not break safely.",
                "Have toughened or laminated glass put in.",
            )


@rule_by(
    "falling", *_GLASS,
    identifier="windows.glass-unsaid", says="Of glass that people can fall against it is said how it breaks.",
    severity=Severity.NOTE,
)  # fmt: skip
def low_glass_is_said(home: Survey, table: Table) -> Iterator[Problem]:
    for name, window, why in _within_reach(home, table):
        if window.safety_glass is None:
            yield Problem(
                ("windows", name),
                f"'{window.name}' {why}, and nothing says that its glass breaks safely.",
                "Look for the mark of safety glass in its corner, and record 'safety_glass: true'.",
            )


def _within_reach(home: Survey, table: Table) -> Iterator[tuple[str, Window, str]]:
    """The windows whose glass is low, or beside a door, and which of the two."""
    low, beside = (table.number(each) for each in _GLASS)
    for name, window in home.home.windows.items():
        if window.sill is None:
            continue
        door = _door_beside(home, window)
        if under(window.sill, low):
            yield name, window, f"has glass {metres(window.sill)} above the floor"
        elif door and under(window.sill, beside):
            yield name, window, f"is beside '{door}'"


def _door_beside(home: Survey, window: Window) -> str | None:
    """The name of a door in the same wall, where the two are nearer than a person's width."""
    if window.at is None:
        return None
    for _, door in home.doors_of(window.room):
        if door.at is None:
            continue
        across, along = (abs(one - other) for one, other in zip(window.at, door.at, strict=True))
        apart = max(across, along) - (window.drawn_width + door.drawn_width) / 2
        if min(across, along) < NEAR and under(apart, _BESIDE):
            return door.name
    return None


WINDOWS: tuple[HomeRule, ...] = (
    low_windows_are_restricted,
    high_windows_are_restricted,
    sills_are_known,
    fixed_windows_have_no_restrictor,
    low_glass_breaks_safely,
    low_glass_is_said,
)
