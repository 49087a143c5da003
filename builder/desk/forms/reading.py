"""From a form that was sent to the values that its author changed."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Any

from builder.desk.asked import Asked
from builder.desk.forms.fields import NO, YES, Field, Path
from builder.saving.changes import OfValues, Put, TakeOut

WAS = "was."
"""What stands before the name of a field in the name of the one that says what it showed at first."""


def as_sent(shown: Iterable[Field], asked: Asked) -> tuple[Field, ...]:
    """The fields of a page with what was sent in them."""
    return tuple(replace(each, value=_sent(each, asked)) for each in shown)


def _sent(field: Field, asked: Asked) -> str:
    if field.sort == "several":
        return "+".join(asked.several(field.name))
    return asked.text(field.name).replace("\r\n", "\n")


def changes_of(sent: Iterable[Field], asked: Asked, base: Path = ()) -> tuple[OfValues, ...]:
    """The values that differ from what the page showed at first, as changes of the file.

    What an author empties is taken out, and with the last value of an entry the entry itself, up to
    ``base``.
    """
    listed = tuple(sent)
    changed = [each for each in listed if _differs(each, _first(each, asked))]
    found: dict[Path, OfValues] = {}
    for each in changed:
        path = each.path if each.value else _emptied(each.path, listed, base)
        found[path] = Put(path, value_of(each)) if each.value else TakeOut(path)
    return tuple(_without_inner(found))


def _differs(field: Field, first: str) -> bool:
    """Whether something else is written; of what may be several a page keeps no order."""
    if field.sort == "several":
        return set(field.values) != {each for each in first.split("+") if each}
    return field.value != first


def _first(field: Field, asked: Asked) -> str:
    return asked.text(f"{WAS}{field.name}").replace("\r\n", "\n")


def _emptied(path: Path, sent: tuple[Field, ...], base: Path) -> Path:
    """The shortest path to what has no value left in it."""
    for length in range(len(base) + 1, len(path)):
        above = path[:length]
        if not any(each.value for each in sent if each.path[:length] == above):
            return above
    return path


def _without_inner(found: Mapping[Path, OfValues]) -> Iterator[OfValues]:
    """The changes without those of what is taken out as a whole."""
    gone = [path for path, each in found.items() if isinstance(each, TakeOut)]
    for path, each in found.items():
        if not any(path[: len(above)] == above and path != above for above in gone):
            yield each


def value_of(field: Field) -> Any:
    """What is written for what was typed. What cannot be read stays as it is: a check says so."""
    text = field.value
    if field.sort == "yes":
        return {YES: True, NO: False}.get(text, text)
    if field.sort in ("number", "whole"):
        return _number(text)
    if field.sort == "several":
        return list(field.values)
    if field.sort == "point":
        return [_number(each.strip()) for each in text.split(",")]
    return text


def _number(text: str) -> Any:
    for kind in (int, float):
        try:
            return kind(text)
        except ValueError:
            continue
    return text
