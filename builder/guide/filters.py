"""The filters of articles: those of Jinja that are of use there, each within the limits of the sandbox.

A value is text only where it is one: what would print as a record, a list or a place in memory is
refused wherever it turns up.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date
from functools import wraps
from typing import Any

from jinja2 import Undefined
from jinja2.exceptions import SecurityError
from jinja2.filters import FILTERS
from markupsafe import Markup

from builder.guide.budget import (
    Budget,
    charging,
    charging_filters,
    joining_filter,
    rounded,
    size_of,
)
from builder.guide.sandbox import LIMITS
from builder.guide.view import MissingValueError, View
from builder.languages.language import Language

_OF_TEXTS = ("capitalize", "title", "trim", "upper")
_OTHERS = ("abs", "count", "d", "default", "first", "float", "groupby", "int", "items", "last", "length",
           "list", "map", "max", "min", "reject", "rejectattr", "reverse", "select", "selectattr",
           "sort", "unique")  # fmt: skip
_WORD = re.compile(r"[^\W_]+")
_FORMAT = re.compile(r"%(?:\.[0-9])?[dfg]", re.ASCII)


class UnprintableError(MissingValueError):
    """A template prints what is no text. First line wrong, second right."""


def text_of(value: Any) -> str:
    """A value as text. UnprintableError: it is a record, a list or something else that is no text."""
    if isinstance(value, str):
        return value
    if isinstance(value, Undefined):
        return str(value)  # It says what is missing.
    if isinstance(value, int | float | date):
        return str(value)
    raise UnprintableError(f"{_what_it_is(value)}\n{_RIGHT}")


_RIGHT = "Print one of its values; '| words' prints a list of texts."


def _what_it_is(value: Any) -> str:
    if isinstance(value, View):
        return f"'{value.names}' is a whole record, and cannot be printed."
    if isinstance(value, list | tuple | Mapping):
        return "A whole list cannot be printed."
    return "What is printed here is no text."


def article_filters(
    budget: Budget, side_by_side: Callable[[Sequence[str]], Markup], language: Language
) -> dict[str, Callable[..., Any]]:
    """All filters of articles by name. ``side_by_side`` makes Markdown of texts of which some are;
    lists are those of a ``language``."""

    def made(function: Callable[..., Any]) -> Callable[..., Any]:
        return charging(function, budget)

    return {
        **{name: made(FILTERS[name]) for name in _OTHERS},
        **{name: made(_text_filter(FILTERS[name])) for name in _OF_TEXTS},
        "lower": made(lambda value: lowered(text_of(value))),
        "format": made(_formatted),
        "join": made(_join_filter),
        "named": made(_named),
        "replace": made(_replaced),
        "round": made(rounded),
        "string": made(text_of),
        "sum": made(_sum),
        "words": made(lambda items: language.listed([text_of(each) for each in _few(items)])),
        **charging_filters(budget),
        **joining_filter(made(lambda parts: _side_by_side(parts, side_by_side))),
    }


def _text_filter(function: Callable[..., Any]) -> Callable[..., Any]:
    @wraps(function)
    def of_text(value: Any, *given: Any) -> Any:
        return function(text_of(value), *given)

    return of_text


def lowered(text: str) -> str:
    """A text in small letters; what is written in capitals alone stays: ``LPG hob``, ``FD30S``."""
    small = _WORD.sub(lambda word: word[0] if _is_capitals(word[0]) else word[0].lower(), text)
    return type(text)(small)


def _is_capitals(word: str) -> bool:
    return len(word) > 1 and word.isupper()


def _few(items: Iterable[Any]) -> Iterator[Any]:
    """Entries of a list, no more than a list may have."""
    for index, item in enumerate(items):
        LIMITS.bounded(index + 1, ())
        yield item


def _named(entries: Iterable[Any], *words: Any) -> tuple[Any, ...]:
    """The entries of a list that have one of these words in their name, one or several of it."""
    wanted = "|".join(re.escape(text_of(each)) for each in words)
    pattern = re.compile(rf"\b(?:{wanted})s?\b", re.IGNORECASE)
    return tuple(each for each in _few(entries) if pattern.search(text_of(each["name"])))


def _join_filter(items: Iterable[Any], between: Any = "", attribute: None = None) -> Any:
    if attribute is not None:
        raise SecurityError("'join' has no attribute here: use '| map(attribute=…) | join'")
    parts, size, comma = list[str](), 0, text_of(between)
    for item in _few(items):
        parts.append(text_of(item))
        size += size_of(parts[-1]) + len(comma)
        LIMITS.bounded(size, "")
    return comma.join(map(str, parts))


def _side_by_side(parts: Sequence[Any], joined: Callable[[Sequence[str]], Markup]) -> Any:
    """What '~' makes: Markdown where any part is Markdown already."""
    texts = [text_of(each) for each in parts]
    LIMITS.bounded(sum(map(size_of, texts)), "")
    if any(isinstance(each, Markup) for each in texts):
        return joined(texts)
    return "".join(map(str, texts))


def _replaced(value: Any, old: Any, new: Any, count: int = -1) -> str:
    text, wanted, instead = map(str, (text_of(value), text_of(old), text_of(new)))
    times = text.count(wanted) if count < 0 else min(count, text.count(wanted))
    LIMITS.bounded(len(text) + times * max(0, len(instead) - len(wanted)), "")
    return text.replace(wanted, instead, count)


def _formatted(form: Any, number: Any) -> str:
    """A number in one of C's forms for numbers, such as '%.1f'."""
    if not (isinstance(form, str) and _FORMAT.fullmatch(form)):
        raise SecurityError("'format' knows '%d', '%f' and '%g' of a number, such as '%.1f'")
    if not isinstance(number, int | float):
        raise SecurityError("'format' is for a number")
    return form % number


def _sum(items: Iterable[Any]) -> float:
    numbers = list(_few(items))
    if not all(isinstance(each, int | float) for each in numbers):
        raise SecurityError("'sum' is for numbers")
    total: float = sum(numbers)
    return total
