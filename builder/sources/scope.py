"""Which part of a workspace is read, where not all of it. Light to load."""

from dataclasses import dataclass, field
from pathlib import PurePosixPath

_OF_PLOTS = (
    "developments/*/development.yaml", "developments/*/plots.csv", "developments/*/plots/*.yaml",
)  # fmt: skip
"""The files in which developments and their plots are written."""


@dataclass(frozen=True, slots=True)
class Scope:
    """The part of a workspace that is read: only some of its ``developments``. ``sound`` names files
    that were found to have no mistakes and are the same since; they need no second look."""

    developments: frozenset[str]
    sound: frozenset[str] = field(default=frozenset(), compare=False)


def is_of_plots(file: str) -> bool:
    """Whether a development and its plots are written in this file."""
    return any(PurePosixPath(file).match(each) for each in _OF_PLOTS)
