"""From a form that was sent to the values that its author changed."""

from collections.abc import Callable, Container, Iterable, Iterator, Mapping
from dataclasses import replace
from itertools import count
from typing import Any

from builder.desk.asked import Asked
from builder.desk.forms.fields import NO, YES, Field, Path, Sort
from builder.saving.changes import OfValues, Put, TakeOut

_WORDS, _LONGEST = 6, 58
"""Words and characters of an id that is made from a text."""
WAS = "was."
"""What stands before the name of a field in the name of the one that says what it showed at first."""


def id_from(words: str, taken: Container[str]) -> str:
    """An id from the first words of a text, that is not taken yet."""
    plain = "".join(each if each.isascii() and each.isalnum() else " " for each in words.lower())
    name = "-".join(plain.split()[:_WORDS])[:_LONGEST].strip("-") or "new"
    if name not in taken:
        return name
    return next(each for n in count(2) if (each := f"{name}-{n}") not in taken)


def as_sent(shown: Iterable[Field], asked: Asked) -> tuple[Field, ...]:
    """The fields of a page with what was sent in them."""
    return tuple(replace(each, value=_sent_text(each, asked)) for each in shown)


def as_it_stands(shown: Iterable[Field], asked: Asked) -> tuple[Field, ...]:
    """The fields as the files have them now, with what was sent where its author has changed something:
    for a page of what was not saved, so that sending it again takes back nothing of others."""
    pairs = ((each, replace(each, value=_sent_text(each, asked))) for each in shown)
    return tuple(sent if _differs(sent, _first_text(sent, asked)) else each for each, sent in pairs)


def under(shown: Iterable[Field], name: str, at: int) -> tuple[Field, ...]:
    """The fields of a new thing under another name at one step of their paths."""
    return tuple(
        replace(each, path=(*each.path[:at], name, *each.path[at + 1 :])) for each in shown
    )


def _sent_text(field: Field, asked: Asked) -> str:
    if field.sort == "several":
        return "+".join(asked.several(field.name))
    return asked.text(field.name).replace("\r\n", "\n")


def changes_of(sent: Iterable[Field], asked: Asked, base: Path = ()) -> tuple[OfValues, ...]:
    """The values that differ from what the page showed at first, as changes of the file.

    What an author empties is taken out, and with the last value of an entry the entry itself, up to
    ``base``.
    """
    listed = tuple(sent)
    changed = [each for each in listed if _differs(each, _first_text(each, asked))]
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


def _first_text(field: Field, asked: Asked) -> str:
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
    if field.sort == "several":
        return list(field.values)
    read = _READ.get(field.sort)
    return read(field.value) if read is not None else field.value


def _yes(text: str) -> Any:
    return {YES: True, NO: False}.get(text, text)


def _words(text: str) -> list[str]:
    return [each for each in map(str.strip, text.split(",")) if each]


def _point(text: str) -> list[Any]:
    return [_number(each.strip()) for each in text.split(",")]


def _points(text: str) -> list[list[Any]]:
    return [_point(each) for each in text.split(";") if each.strip()]


def _number(text: str) -> Any:
    for kind in (int, float):
        try:
            return kind(text)
        except ValueError:
            continue
    return text


_READ: Mapping[Sort, Callable[[str], Any]] = {
    "yes": _yes, "number": _number, "whole": _number, "words": _words, "point": _point, "points": _points,
}  # fmt: skip
