"""Two guesses at what a home with mistakes was meant to be, so that its other mistakes are found too.

One guess mends each mistake with the least change, the other takes out every record that has one. What
the trade rules find in both holds however the mistakes are mended. Besides, the plan of a house type is
drawn from the first at the desk; nothing that an owner reads is made of either.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, get_origin

from pydantic import ValidationError

from builder.errors import Finding, near_miss
from builder.home.assemble import (
    TracedHome,
    broken_reference,
    broken_references,
    is_lost,
    positioned,
)
from builder.home.hand import turned
from builder.layers.memo import Memo
from builder.layers.merge import Merged, plain_value
from builder.model.home import Home
from builder.model.record import STANDS, Reference
from builder.model.shape import allowed_values, bare, known_keys, marks, type_at
from builder.sources.checking import address_of
from builder.sources.entry import Address

_ANY_TEXTS = ("https://unsaid.example", "https://unknown.example")
"""Texts where one is missing, web addresses too."""
_MUST_SAY = 2
"""Steps to what every home says: ``form``, ``house_type.name``. Deeper records can go as a whole."""
ROUNDS = 12
"""Taking a record out leaves others without what they name; a home that needs more rounds is given up."""


@dataclass(frozen=True, slots=True)
class Guesses:
    """The home as it may have been meant. ``certain``: no record is missing from both guesses, so that
    what the rules miss is missing; ``broken``: the references that name nothing however all else is mended."""

    least: TracedHome
    without: TracedHome
    certain: bool
    broken: tuple[Finding, ...]


def guesses(reference: str, merged: Merged, lost: frozenset[Address]) -> Guesses | None:
    """Both guesses at a home of which ``lost`` was left out and more may be wrong, or nothing."""
    least, without = _Guess(merged, frozenset(), mend=True), _Guess(merged, lost, mend=False)
    homes = [_traced(reference, guess.home(), merged) for guess in (least, without)]
    if homes[0] is None or homes[1] is None:
        return None
    certain = not least.taken and all(() != _record_of(each) != each for each in lost)
    return Guesses(homes[0], homes[1], certain, tuple(least.broken_for_sure(lost)))


def _traced(reference: str, home: Home | None, merged: Merged) -> TracedHome | None:
    if home is None:
        return None
    kept = Memo()
    drawn = positioned(home, kept)
    return TracedHome(reference, turned(drawn, kept), replace(merged, kept=kept), drawn, kept)


def _record_of(address: Address) -> Address:
    """The address of the innermost record with an id that an address leads into; none: ``()``."""
    for end in range(len(address), 1, -1):
        inside, record = type_at(Home, address[: end - 1]), type_at(Home, address[:end])
        if bare(inside) and get_origin(bare(inside)) is Mapping and known_keys(record):
            return address[:end]
    return ()


class _Guess:
    """One guess on its way. ``taken``: the records that were taken out of it; ``broken``: by the addresses of
    references that named nothing, what each named and what is wrong with it."""

    def __init__(self, merged: Merged, lost: frozenset[Address], *, mend: bool) -> None:
        self._merged, self._data, self._mend = merged, plain_value(merged), mend
        self.taken: set[Address] = set()
        self.broken: dict[Address, tuple[Address, Finding]] = {}
        for address in lost:
            self._take_out(address)

    def home(self) -> Home | None:
        """A home without a mistake, or nothing where too little is left of it."""
        for _ in range(ROUNDS):
            try:
                home = Home.model_validate(self._data, context=STANDS)
            except ValidationError as error:
                changed = [self._refused(each) for each in error.errors(include_url=False)]
            else:
                broken = list(broken_references(home, self._merged, Memo()))
                if not broken:
                    return home
                for address, value, section in broken:
                    found = broken_reference(home, self._merged, address, value, section)
                    self.broken.setdefault(address, ((section, value), found))
                changed = [self._unknown(*each, home) for each in broken]
            if not any(changed):
                return None
        return None

    def broken_for_sure(self, lost: frozenset[Address]) -> Iterator[Finding]:
        """What is wrong with references to what nobody wrote: no record of that name was left out."""
        return (
            found
            for named, found in self.broken.values()
            if named not in self.taken and not is_lost(named, lost)
        )

    def _refused(self, details: Any) -> bool:
        """Take out a wrong value, or the record that lacks one or is not to keep it."""
        address = address_of(details)
        if details["type"] == "missing":
            return (self._mend and self._name_in(address)) or self._take_out(address)
        return self._cut_out(address) if self._mend else self._take_out(address)

    def _name_in(self, address: Address) -> bool:
        """Have a record name an entry of the section that it must name one of."""
        named = [
            each.section for each in marks(type_at(Home, address)) if isinstance(each, Reference)
        ]
        holder, known = self._holder_of(address), self._data.get(named[0], {}) if named else {}
        meant = self._likely(named[0], str(address[:2][-1]), known) if known else None
        if meant is None or not isinstance(holder, dict):
            return False
        holder[address[-1]] = meant
        return True

    def _likely(self, section: str, named: str, known: Iterable[str]) -> str | None:
        """The entry of a section that was meant: the closest one or, where any will do, the first."""
        close = near_miss(named, known)
        return close if close or section == "kinds" else next(iter(known), None)

    def _unknown(self, address: Address, value: str, section: str, home: Home) -> bool:
        """Put in the id that was meant, or take out the record that names what is not there."""
        known = getattr(home, section)
        meant = near_miss(value, known) or self._likely(section, str(address[:2][-1]), known)
        if not self._mend or meant is None:
            return self._take_out(address)
        return self._change_at(address, lambda holder, step: holder.__setitem__(step, meant))

    def _take_out(self, address: Address) -> bool:
        """Take out the innermost record that an address leads into; in one without an id, the value."""
        record = _record_of(address)
        if record and self._change_at(record, lambda holder, step: holder.__delitem__(step)):
            self.taken.add(record)
            return True
        if self._cut_out(address) or self._fill_in(address):
            return True
        return len(address) > 1 and self._cut_out(address[:-1])

    def _fill_in(self, address: Address) -> bool:
        """Say what every home must: each guess says something else, so that nothing follows from it."""
        wanted = type_at(Home, address) if len(address) <= _MUST_SAY else None
        choices = allowed_values(wanted) or (_ANY_TEXTS if bare(wanted) is str else ())
        holder = self._holder_of(address)
        if not choices or not isinstance(holder, dict):
            return False
        holder[address[-1]] = choices[0 if self._mend else -1]
        return True

    def _cut_out(self, address: Address) -> bool:
        """Take out one value, or the whole list that it stands in."""
        end = next((index for index, step in enumerate(address) if isinstance(step, int)), None)
        return self._change_at(address[:end], lambda holder, step: holder.__delitem__(step))

    def _change_at(self, address: Address, change: Callable[[Any, Any], None]) -> bool:
        """Change what stands at an address; not where nothing does."""
        holder = self._holder_of(address)
        there = holder is not None and _has(holder, address[-1])
        if there:
            change(holder, address[-1])
        return there

    def _holder_of(self, address: Address) -> dict[Any, Any] | list[Any] | None:
        """What holds the last step of an address; nothing where the steps before it lead nowhere."""
        here: Any = self._data if address else None
        for step in address[:-1]:
            inside = isinstance(here, dict | list) and _has(here, step)
            here = here[step] if inside else None
        return here if isinstance(here, dict | list) else None


def _has(holder: Any, step: str | int) -> bool:
    if isinstance(holder, list):
        return isinstance(step, int) and step < len(holder)
    return step in holder
