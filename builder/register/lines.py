"""The register of issued codes as values: what a line says, and what all of them say of a plot."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from operator import itemgetter
from typing import Literal

LeadsTo = Literal["guide", "sticker", "void"]
COLUMNS = ("code", "issued", "leads_to", "plot", "equipment", "kind", "room", "make")
"""The columns that say something. One more, ``chain``, seals them."""


@dataclass(frozen=True, slots=True)
class WantedCode:
    """Something that is to have a code: a plot's guide, or the sticker of one piece of it."""

    leads_to: LeadsTo
    plot: str
    equipment: str = ""
    kind: str = ""
    room: str = ""
    make: str = ""


@dataclass(frozen=True, slots=True)
class Issued:
    """One line of the register, and the line of its file."""

    code: str
    issued: date
    wanted: WantedCode
    line: int

    @property
    def cells(self) -> tuple[str, ...]:
        """What the line says, cell by cell, without the digest at its end."""
        each = self.wanted
        about = (each.plot, each.equipment, each.kind, each.room, each.make)
        return (self.code, self.issued.isoformat(), each.leads_to, *about)


@dataclass(frozen=True)
class Register:
    """All issued codes of one development, in the order they were issued; before them, with
    ``register_of``, those of plots that came from another, which stand there under
    ``<development>/<number>``.

    ``earlier``: its file is of the form that has no digests yet.
    """

    file: str
    lines: tuple[Issued, ...]
    earlier: bool = False

    @cached_property
    def void(self) -> frozenset[str]:
        """The codes that were taken back."""
        return frozenset(each.code for each in self.lines if each.wanted.leads_to == "void")

    @cached_property
    def codes(self) -> tuple[Issued, ...]:
        """Every code that was ever issued, void or not."""
        return tuple(each for each in self.lines if each.wanted.leads_to != "void")

    @cached_property
    def guides(self) -> Mapping[str, tuple[Issued, ...]]:
        """The guide codes that were not taken back, by the number that they were issued for. A number
        has one, but where two branches of a project were put together."""
        found: dict[str, list[Issued]] = {}
        for each in self.codes:
            if each.wanted.leads_to == "guide" and each.code not in self.void:
                found.setdefault(each.wanted.plot, []).append(each)
        return {number: tuple(listed) for number, listed in found.items()}

    @cached_property
    def _stickers(self) -> "_Numbered":
        return _by_number(each for each in self.codes if each.wanted.leads_to == "sticker")

    @cached_property
    def _lines_by_plot(self) -> "_Numbered":
        return _by_number(self.lines)

    def about(self, plots: Iterable[str]) -> "Register":
        """What this register says of some numbers: small enough to send to another process."""
        return Register(self.file, _of_numbers(self._lines_by_plot, plots))

    def guide(self, plots: Iterable[str]) -> str | None:
        """The guide code of a plot, under any of the numbers that it has had."""
        return next((self.guides[plot][0].code for plot in plots if plot in self.guides), None)

    def stickers(self, plots: Iterable[str]) -> tuple[Issued, ...]:
        """The sticker codes of a plot, under any of the numbers that it has had."""
        return _of_numbers(self._stickers, plots)


_Numbered = Mapping[str, list[tuple[int, Issued]]]
"""Lines by the number that they were written for, each with its position in the register."""


def _by_number(lines: Iterable[Issued]) -> _Numbered:
    found: dict[str, list[tuple[int, Issued]]] = {}
    for position, each in enumerate(lines):
        found.setdefault(each.wanted.plot, []).append((position, each))
    return found


def _of_numbers(lines: _Numbered, numbers: Iterable[str]) -> tuple[Issued, ...]:
    """The lines of all these numbers, in the order of the register."""
    found = [each for number in dict.fromkeys(numbers) for each in lines.get(number, ())]
    return tuple(each for _, each in sorted(found, key=itemgetter(0)))
