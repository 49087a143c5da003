"""A language as a value: its words for ours, its letters, its forms of days, lists, terms and numbers.

Words stand in gettext catalogues under what the first language says; forms come from the Unicode CLDR,
by Babel. What a catalogue lacks is said in the first language.

In lists, letters with marks stand with those without, as in the root order of the Unicode Collation
Algorithm; what a language has of its own stands in ``letters.yaml``.
"""

import re
import unicodedata
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cache, cached_property, lru_cache
from importlib.resources import files
from typing import Protocol

import yaml
from babel import Locale
from babel.dates import format_date, get_month_names
from babel.lists import format_list
from babel.numbers import format_decimal
from frozendict import frozendict

from builder.digests import of_texts

_LAST = "\uffff"
"""A letter that stands behind all that begin as it does."""
_DAY = "d MMMM y"
_NUMBERS = 200
"""Numbers that tell how a language counts: the rules of all come again within 100 (Unicode CLDR)."""
DAYS = 4_096
"""Days in words that a process keeps: a home has hundreds, and those of a site share many."""

Texts = Mapping[str, tuple[str, ...]]
"""What a catalogue says for each of our texts: one form, or one for each of its plurals."""


@dataclass(frozen=True, slots=True)
class Letters:
    """``letters``: those that are written with several, by them, each with the letter that it follows;
    ``alike``: beginnings of one word that stand for each other."""

    letters: Mapping[str, str] = field(default_factory=dict)
    alike: tuple[tuple[str, ...], ...] = ()

    def order(self, text: str) -> tuple[str, str]:
        """What a text is sorted by in lists that people read."""
        parts = unicodedata.normalize("NFD", text.casefold())
        plain = "".join(each for each in parts if not unicodedata.combining(each))
        if self.letters:
            several = "|".join(map(re.escape, sorted(self.letters, key=len, reverse=True)))
            plain = re.sub(several, lambda found: f"{self.letters[found[0]]}{_LAST}", plain)
        return plain, text


@cache
def letters_of(code: str) -> Letters:
    """The letters of a language by its code; nothing of its own where no data says so."""
    said = _letters_by_language().get(code.partition("-")[0], {})
    return Letters(said.get("letters", {}), tuple(map(tuple, said.get("alike", ()))))


@cache
def _letters_by_language() -> Mapping[str, Mapping[str, dict[str, str]]]:
    text = (files("builder") / "languages" / "letters.yaml").read_text(encoding="utf-8")
    return dict(yaml.safe_load(text))


class Say(Protocol):
    """Says a sentence with values in it, in some language."""

    def __call__(self, message: str, /, **values: object) -> str: ...


@dataclass(frozen=True, eq=False)
class Language:
    """One language. ``code``: as IETF BCP 47 names it, such as ``cy``; ``locale``: whose forms it has, if
    not those of its code; ``texts``: its words for ours; ``plural``: which of its plural forms a number
    takes.
    """

    code: str
    locale: str = ""
    texts: Texts = field(default=frozendict(), repr=False)
    plural: Callable[[int], int] = field(default=lambda count: int(count != 1), repr=False)

    @property
    def forms(self) -> Locale:
        """Its forms, as the Unicode CLDR keeps them."""
        return _locale_of(self.locale or self.code)

    @property
    def name(self) -> str:
        """What it calls itself: ``Cymraeg``."""
        name = Locale.parse(self.code, sep="-").get_language_name()
        return f"{name[:1].upper()}{name[1:]}" if name else self.code

    @property
    def called(self) -> str:
        """What the first language calls it: ``Welsh``."""
        return Locale.parse(self.code, sep="-").get_language_name(FIRST_CODE) or self.code

    @property
    def direction(self) -> str:
        """Which way its text runs: ``ltr`` or ``rtl``."""
        return self.forms.text_direction

    @cached_property
    def digest(self) -> str:
        """A digest of all that it says, and of which forms it has for numbers."""
        forms = (str(self.plural(number)) for number in range(_NUMBERS))
        said = (f"{ours}\0{theirs!r}" for ours, theirs in self.texts.items())
        return of_texts(self.code, self.locale, *forms, *said)

    def text(self, ours: str) -> str:
        """What it says for a text; the text itself where it has no words for it."""
        found = self.texts.get(ours)
        return found[0] if found else ours

    def knows(self, ours: str) -> bool:
        """Whether it has words for a text."""
        return ours in self.texts

    @cached_property
    def _all_said(self) -> frozenset[str]:
        return frozenset(form for forms in self.texts.values() for form in forms)

    def says(self, text: str) -> bool:
        """Whether a text is one of its own."""
        return text in self._all_said

    def say(self, message: str, /, **values: object) -> str:
        """A sentence with values in it: ``say("by %(day)s", day=…)``."""
        text = self.text(message)
        return text % values if values else text

    def say_number(self, one: str, several: str, count: int, /, **values: object) -> str:
        """A sentence in the form that a number takes: ``say_number("one stop", "%(count)d stops", 5)``."""
        return self.form_of(one, several, count) % {"count": count, **values}

    def form_of(self, one: str, several: str, count: int) -> str:
        """The form of a sentence that a number takes, before its values stand in it."""
        found = self.texts.get(one, ())
        if len(found) > 1:
            return found[min(self.plural(count), len(found) - 1)]
        return one if count == 1 else several

    def day(self, day: date) -> str:
        """A day in words: ``7 April 2026``."""
        return _day(self.locale or self.code, day)

    def order(self, text: str) -> tuple[str, str]:
        """What a text is sorted by in lists that people read."""
        return letters_of(self.code).order(text)

    @property
    def alike(self) -> tuple[tuple[str, ...], ...]:
        """Beginnings of one word that stand for each other: in Welsh "dŵr" is "ddŵr" behind some words."""
        return letters_of(self.code).alike

    @property
    def months(self) -> tuple[str, ...]:
        """The months as they stand in days."""
        return tuple(get_month_names(locale=self.forms).values())

    def number(self, number: float) -> str:
        """A number with no more digits than it has: ``2.5``."""
        return format_decimal(number, locale=self.forms)

    def listed(self, items: Iterable[object]) -> str:
        """A list in words: ``Hall, Landing and Kitchen``; ``Hall, and Kitchen and dining room``."""
        texts = [str(each) for each in items]
        if self.code == FIRST_CODE and len(texts) > 1 and any(" and " in each for each in texts):
            return f"{', '.join(texts[:-1])}, and {texts[-1]}"
        return format_list(texts, locale=self.forms)

    def term(self, term: str) -> str:
        """A length of time, such as ``6 months``, in words."""
        if self.code == FIRST_CODE:
            return term
        count, _, unit = term.partition(" ")
        number = int(count)
        match unit.rstrip("s"):
            case "day":
                return self.say_number("1 day", "%(count)d days", number)
            case "week":
                return self.say_number("1 week", "%(count)d weeks", number)
            case "month":
                return self.say_number("1 month", "%(count)d months", number)
            case _:
                return self.say_number("1 year", "%(count)d years", number)

    def month(self, name: str) -> str:
        """A month that stands for itself, by its name in the first language."""
        number = FIRST_MONTHS.index(name) + 1
        return str(get_month_names(context="stand-alone", locale=self.forms)[number])

    def weekday(self, day: date) -> str:
        """The day of the week: ``Monday``."""
        return format_date(day, "EEEE", locale=self.forms)


@lru_cache
def _locale_of(name: str) -> Locale:
    return Locale.parse(name, sep="_" if "_" in name else "-")


@lru_cache(maxsize=DAYS)
def _day(locale: str, day: date) -> str:
    return format_date(day, _DAY, locale=_locale_of(locale))


FIRST_CODE = "en"
FIRST_MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
FIRST = Language(FIRST_CODE, "en_GB")
"""The language that the library, the templates and this code are written in."""


def to_say(text: str) -> str:
    """A text that is said later, by ``Language.text``: so the catalogues know of it."""
    return text
