"""What can be wrong with what was written: with a file of a tree, a record, or a paper."""

from dataclasses import dataclass
from enum import StrEnum


class Fault(StrEnum):
    """What can be wrong with a file of a tree, or with the record of a guide. ``OTHERS``: it says what
    only other homes may read."""

    MISSING = "missing"
    DIFFERS = "differs"
    STRAY = "stray"
    UNREADABLE = "unreadable record"
    OTHERS = "of other homes"


@dataclass(frozen=True, slots=True, order=True)
class TreeProblem:
    """One thing that is not as recorded: of which plot (or of what else), which fault, which file.

    ``path`` is the path in the tree, in full: shorten it with ``without_code`` before it is shown.
    """

    about: str
    fault: Fault
    path: str
