"""Another value for a value: what an author could write in its place, read from its type."""

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from pydantic import BaseModel, TypeAdapter, ValidationError

from builder.model.record import Reference
from builder.model.shape import allowed_values, bare, child_type, marks

CHANGED = " (changed)"
_NUMBER = re.compile(r"\d+")
_LARGER, _SMALLER = 1.25, 0.5
"""A drawing that grows keeps its rooms apart; half of a bearing is a bearing."""
_SAMPLES: tuple[Any, ...] = ("Something new", "something-new", "6 months", "2026-03-31", "0", 7, 0.5, True)  # fmt: skip
"""Values of which one fits any simple field that an author has left out."""

Sections = Mapping[str, Sequence[str]]
"""The ids of every section of a home, for fields that name an entry of another section."""


def other_value(annotation: Any, value: Any, sections: Sections) -> Any | None:
    """A value that fits and differs, or none where a type has no other one."""
    return next(
        (each for each in _other_values(annotation, value, sections)
         if each != value and fits(annotation, each)), None,
    )  # fmt: skip


def new_value(annotation: Any, sections: Sections, default: Any) -> Any | None:
    """A value for a simple field that was left out, or none where the field is a record."""
    here = bare(annotation)
    if isinstance(here, type) and issubclass(here, BaseModel):
        return None
    if section := refers_to(annotation):
        return next(iter(sections.get(section, ())), None)
    choices = (not default,) if isinstance(default, bool) else allowed_values(annotation)
    candidates = (*choices, *_SAMPLES)
    return next((each for each in candidates if each != default and fits(annotation, each)), None)


def refers_to(annotation: Any) -> str | None:
    """The section that a field names an entry of."""
    return next((each.section for each in marks(annotation) if isinstance(each, Reference)), None)


def fits(annotation: Any, value: Any) -> bool:
    """Whether a field may hold a value."""
    try:
        TypeAdapter(annotation).validate_python(value)
    except ValidationError:
        return False
    return True


def is_choice(annotation: Any) -> bool:
    """Whether a field says how a home is built up, rather than what is printed of it."""
    return bare(annotation) in (bool, int) or bool(allowed_values(annotation))


def _other_values(annotation: Any, value: Any, sections: Sections) -> Iterator[Any]:
    if section := refers_to(annotation):
        yield from (each for each in sections.get(section, ()) if each != value)
    elif isinstance(value, bool):
        yield not value
    elif choices := allowed_values(annotation):
        yield from choices
    elif isinstance(value, int | float):
        yield from _other_numbers(float(value) if bare(annotation) is float else value)
    elif isinstance(value, str):
        yield from _other_texts(value)
    elif isinstance(value, list):
        yield from _other_lists(annotation, value, sections)


def _other_numbers(value: float) -> Iterator[float]:
    if isinstance(value, float):
        yield from (round(value * _LARGER, 3), round(value * _SMALLER, 3))
    yield from (value + 1, value - 1)


def _other_texts(value: str) -> Iterator[str]:
    """Other texts: with more words, with another number (as in a date or a term), with another letter."""
    if re.fullmatch(r"\d{4}-\d{2}-\d{2}", value):
        yield from (f"{int(value[:4]) + 1}{value[4:]}", f"{int(value[:4]) + 1}-01-15")
    if _NUMBER.search(value):
        yield _NUMBER.sub(lambda found: str(int(found.group()) + 1), value, count=1)
    yield from (value + CHANGED, f"{value}0", f"{value}x", f"x{value}", "Z", "Y")


def _other_lists(annotation: Any, value: list[Any], sections: Sections) -> Iterator[list[Any]]:
    """Every item another; else one item less."""
    inner = child_type(annotation, 0)
    changed = [_item(inner, each, sections) for each in value]
    yield changed
    yield [*changed[:1], *value[1:]]
    yield value[1:]


def _item(annotation: Any, value: Any, sections: Sections) -> Any:
    if isinstance(value, int | float) and not isinstance(value, bool):
        return round(value * _LARGER, 3)
    if annotation is not None:
        other = other_value(annotation, value, sections)
        return value if other is None else other
    return next(iter(_other_values(annotation, value, sections)), value)
