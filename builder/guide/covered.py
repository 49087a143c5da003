"""How long somebody puts a matter right from the first day on, in the words of a sentence."""

from collections.abc import Iterable
from datetime import date

from builder.guide.terms import after
from builder.model.cover import Cover

_ANY_DAY = date(2001, 1, 1)
"""Terms are compared from one and the same day."""
_NUMBERS = ("two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


def covered_first(covers: Iterable[Cover]) -> dict[str, str]:
    """By matter: what completes "in the first …" while the first of these covers runs.

    Only a cover counts that begins with the home, ends, and names whom to call.
    """
    found: dict[str, str] = {}
    for cover in sorted(filter(_is_first, covers), key=_end):
        for matter in cover.matters:
            found.setdefault(matter, spoken_term(cover.ends or ""))
    return found


def _is_first(cover: Cover) -> bool:
    begins = cover.anchor == "completion" and cover.starts is None
    return begins and cover.ends is not None and cover.contact is not None


def _end(cover: Cover) -> date:
    return after(_ANY_DAY, cover.ends or "")


def spoken_term(term: str) -> str:
    """A term as a sentence says it: "two years", "18 months", and "year" for a single one."""
    count, unit = term.split(" ")
    if count == "1":
        return unit.removesuffix("s")
    small = unit.startswith(("year", "month")) and int(count) <= len(_NUMBERS) + 1
    return f"{_NUMBERS[int(count) - 2] if small else count} {unit}"
