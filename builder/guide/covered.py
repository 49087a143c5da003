"""How long somebody puts a matter right from the first day on, in the words of a sentence."""

from collections.abc import Iterable

from builder.model.cover import Cover
from builder.selection.covering import first_terms

_NUMBERS = ("two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


def covered_first(covers: Iterable[Cover]) -> dict[str, str]:
    """By matter: what completes "in the first …" while the first of these covers runs."""
    return {matter: spoken_term(term) for matter, term in first_terms(covers).items()}


def spoken_term(term: str) -> str:
    """A term as a sentence says it: "two years", "18 months", and "year" for a single one."""
    count, unit = term.split(" ")
    if count == "1":
        return unit.removesuffix("s")
    small = unit.startswith(("year", "month")) and int(count) <= len(_NUMBERS) + 1
    return f"{_NUMBERS[int(count) - 2] if small else count} {unit}"
