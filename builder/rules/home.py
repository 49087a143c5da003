"""The rules that every home is checked by."""

from collections.abc import Callable, Iterable

from builder.errors import Finding
from builder.home.assemble import TracedHome
from builder.rules.essentials import (
    doors_open_into_their_rooms,
    rooms_are_somewhere,
    supplies_can_be_turned_off,
)
from builder.rules.facts import facts_fit_their_kind

HomeRule = Callable[[TracedHome], Iterable[Finding]]

HOME_RULES: tuple[HomeRule, ...] = (
    supplies_can_be_turned_off,
    rooms_are_somewhere,
    doors_open_into_their_rooms,
    facts_fit_their_kind,
)
