"""What the templates of a workspace may do: all that those of the builder do, within limits.

Whoever builds somebody else's workspace runs its templates. They see finished values, print and loop, but
they cannot run for ever, fill memory, or print what is no text.
"""

import re
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from jinja2 import Environment, Undefined, pass_eval_context
from jinja2.exceptions import SecurityError, TemplateRuntimeError
from jinja2.filters import FILTERS
from jinja2.runtime import markup_join, str_join

from builder.guide.budget import (
    Budget,
    CountedEnvironment,
    Limits,
    charging,
    charging_filters,
    joining_filter,
    rounded,
    size_of,
)

LIMITS = Limits(
    units=5_000_000, text=1_000_000, list_=50_000, range_=1_000, source=200_000, parts=20_000, deep=80
)  # fmt: skip
"""For one part of a page. The dearest of the demo costs 254,051 units (28 November 2026)."""

_TAKEN = ("abs", "capitalize", "count", "d", "default", "dictsort", "e", "escape", "first", "float", "forceescape", "groupby", "int", "items", "last",
          "length", "list", "lower", "map", "max", "min", "reject", "rejectattr", "reverse", "safe", "select", "selectattr", "sort", "striptags",
          "title", "trim", "truncate", "unique", "upper", "wordcount")  # fmt: skip
"""Filters that make no more than they are given."""
_OF_TEXTS = frozenset(("casefold", "count", "endswith", "find", "isdigit", "lower", "lstrip", "partition", "removeprefix", "removesuffix",
                       "rpartition", "rsplit", "rstrip", "split", "splitlines", "startswith", "strip", "title", "upper"))  # fmt: skip
_TOO_WIDE = re.compile(r"%[^%a-zA-Z]*(?:\d{3,}|\*)")
_RIGHT = "only texts, numbers and days are printed"


_VALUES_ALONE = re.compile(r"(?:[^%]|%%|%\(\w+\)[sd])*")


class FencedEnvironment(CountedEnvironment):
    """Renders the templates of a workspace, by ``filled_in``."""

    def __init__(self, *, finalize: Callable[[Any], Any] | None = None, **options: Any) -> None:
        self._finished = finalize or _text_alone
        super().__init__(Budget(LIMITS), finalize=self._printed, **options)
        self.filters = _filters(self.budget)

    def _printed(self, value: Any) -> Any:
        text = self._finished(value)
        self.budget.charge(size_of(text))
        return text

    def getattr(self, obj: Any, attribute: str) -> Any:
        if isinstance(obj, str) and attribute not in _OF_TEXTS:
            return self.undefined(obj=obj, name=attribute)
        if isinstance(obj, int | float | bytes):
            return self.undefined(obj=obj, name=attribute)
        return super().getattr(obj, attribute)

    def getitem(self, obj: Any, argument: Any) -> Any:
        if isinstance(obj, str | int | float | bytes) and isinstance(argument, str):
            return self.getattr(obj, argument)
        return super().getitem(obj, argument)


def environment_for(*, ours: bool, **options: Any) -> Environment:
    """Templates that came with the builder are its own code; those of a workspace are kept in."""
    return Environment(**options) if ours else FencedEnvironment(**options)  # noqa: S701 - the writer says


def filled_in(environment: Environment, file: str, **values: Any) -> str:
    """A template with its values, and with all that one may take.

    Raises Jinja's TemplateError or OSError, of a fenced one for whatever it did.
    """
    if not isinstance(environment, FencedEnvironment):
        return environment.get_template(file).render(**values)
    environment.budget.again()
    try:
        return environment.get_template(file).render(**values)
    except (RecursionError, MemoryError) as error:
        raise TemplateRuntimeError("it calls itself too deeply") from error
    except (ArithmeticError, LookupError, TypeError, ValueError, AttributeError) as error:
        raise TemplateRuntimeError(f"{type(error).__name__}: {error}") from error


def values_within(text: str, values: Mapping[str, Any]) -> dict[str, Any]:
    """The values of a text that a template says: texts and numbers, whole, and no more than one may hold."""
    if not _VALUES_ALONE.fullmatch(text):
        raise SecurityError("a text has values as %(name)s or %(name)d alone")
    shown = {name: _text_alone(each) for name, each in values.items()}
    longest = max(map(size_of, shown.values()), default=0)
    LIMITS.bounded(len(text) + text.count("%(") * longest, "")
    return shown


def _text_alone(value: Any) -> Any:
    if isinstance(value, str | int | float | Undefined) or value is None:
        return value
    if hasattr(value, "__html__") or hasattr(value, "isoformat"):
        return value
    raise SecurityError(f"{_RIGHT}, and this is neither")


def _filters(budget: Budget) -> dict[str, Callable[..., Any]]:
    def made(function: Callable[..., Any]) -> Callable[..., Any]:
        return charging(function, budget)

    return {
        **{name: made(FILTERS[name]) for name in _TAKEN},
        "format": made(_formatted),
        "join": made(_join_filter),
        "replace": made(_replaced),
        "round": made(rounded),
        "string": made(_text),
        "sum": made(_sum),
        **charging_filters(budget),
        **joining_filter(made(_side_by_side)),
    }


def _few(items: Iterable[Any]) -> list[Any]:
    """The entries of a list. ExhaustedError: it has more than one may have, of more letters."""
    kept, letters = list[Any](), 0
    for item in items:
        kept.append(item)
        letters += size_of(item) if isinstance(item, str) else 1
        LIMITS.bounded(len(kept), ())
        LIMITS.bounded(letters, "")
    return kept


@pass_eval_context
def _join_filter(
    context: Any, items: Iterable[Any], between: Any = "", attribute: None = None
) -> Any:
    if attribute is not None:
        raise SecurityError("'join' has no attribute here: use '| map(attribute=…) | join'")
    parts = [_text_alone(each) for each in _few(items)]
    LIMITS.bounded(len(parts) * size_of(between), "")
    return FILTERS["join"](context, parts, between)


@pass_eval_context
def _replaced(context: Any, text: Any, old: Any, new: Any, count: int | None = None) -> Any:
    before, wanted, instead = map(str, map(_text_alone, (text, old, new)))
    growth = before.count(wanted) * max(0, len(instead) - len(wanted))
    LIMITS.bounded(len(before) + growth, "")
    return FILTERS["replace"](context, text, old, new, count)


def _formatted(form: Any, *given: Any, **named: Any) -> Any:
    if not isinstance(form, str) or _TOO_WIDE.search(form):
        raise SecurityError("'format' is for short numbers and texts, such as '%.1f'")
    if not all(isinstance(each, str | int | float) for each in (*given, *named.values())):
        raise SecurityError(f"'format': {_RIGHT}")
    return FILTERS["format"](form, *given, **named)


def _text(value: Any) -> Any:
    return FILTERS["string"](_text_alone(value))


def _sum(items: Iterable[Any]) -> Any:
    numbers = _few(items)
    if not all(isinstance(each, int | float) for each in numbers):
        raise SecurityError("'sum' is for numbers")
    return sum(numbers)


def _side_by_side(parts: list[Any]) -> Any:
    """What '~' makes: finished text where any part is finished already."""
    LIMITS.bounded(sum(map(size_of, parts)), "")
    texts = [_text_alone(each) for each in parts]
    return markup_join(texts) if any(hasattr(each, "__html__") for each in texts) else str_join(texts)  # fmt: skip
