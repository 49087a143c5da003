"""Lengths of time and days, in words; for sentences, how long somebody puts a matter right."""

from collections.abc import Iterable
from datetime import date

from builder.home.lengths import after
from builder.languages.language import FIRST, Language, to_say
from builder.model.cover import Cover
from builder.selection.choosing import first_terms

_NUMBERS = ("two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


def spoken_day(day: date) -> str:
    """A day in the words of the first language, the same in every locale: ``7 April 2026``."""
    return FIRST.day(day)


def within(term: str, completion: date | None, counted_from: str, language: Language) -> str:
    """Until when, in words; never a date while the day that it is ``counted_from`` is not known."""
    if completion is None:
        return language.say(
            "within %(term)s of %(day)s", term=language.term(term), day=counted_from
        )
    return language.say("by %(day)s", day=language.day(after(completion, term)))


def not_before(term: str, completion: date | None, counted_from: str, language: Language) -> str:
    """From when, in words."""
    if completion is None:
        said = language.term(term)
        return language.say("not before %(term)s after %(day)s", term=said, day=counted_from)
    return language.say("not before %(day)s", day=language.day(after(completion, term)))


_EVERY = {
    "day": to_say("every day"),
    "week": to_say("every week"),
    "month": to_say("every month"),
    "year": to_say("every year"),
}


def every(term: str, language: Language) -> str:
    """A rhythm in words: "every year", "every 6 months"."""
    count, _, unit = term.partition(" ")
    if count == "1":
        return language.text(_EVERY[unit.rstrip("s")])
    return language.say("every %(term)s", term=language.term(term))


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
