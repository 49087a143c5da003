"""Which part of a workspace is read, where not all of it. Light to load."""

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Scope:
    """The part of a workspace that is read: only some of its ``developments``. ``sound`` names files
    that were found to have no mistakes and are the same since; they need no second look."""

    developments: frozenset[str]
    sound: frozenset[str] = field(default=frozenset(), compare=False)
