"""A home in another language: the same home, its texts as the language's catalogues say them.

Names of rooms, kinds and systems, places, notes, what people are called for. A text that no catalogue has
stays as its author wrote it; ids, choices, numbers and days are the same in every language.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from functools import cache
from typing import Any

from pydantic import AfterValidator, BaseModel
from pydantic.fields import FieldInfo

from builder.home.assemble import TracedHome
from builder.languages.language import Language
from builder.layers.memo import Memo
from builder.model.condition import Condition
from builder.model.home import Home
from builder.model.record import Private, entries_of, plain_text, unplaced_text
from builder.model.shape import bare, child_type, marks

_CHECKS = (unplaced_text, plain_text)
"""What looks at every text of the model, and at nothing that is no text."""
Say = Callable[[str], str]


def in_language(traced: TracedHome, language: Language, kept: Memo) -> TracedHome:
    """A home in another language. ``kept``: what is worked out for that language alone."""
    alike = tuple(_translated(each, language, kept) for each in (traced.alike, traced.drawn_alike))
    home, drawn = (_translated(each, language, kept) for each in (traced.home, traced.drawn))
    return replace(traced, home=home, drawn=drawn, kept=kept, both_alike=(alike[0], alike[1]))


def _translated(home: Home, language: Language, kept: Memo) -> Home:
    said = {
        name: kept.once(_section, section, language, *kept.same((name,)))
        for name, section in entries_of(home).items()
    }
    return home.model_copy(update=said)


def _section(section: Any, language: Language, name: str) -> Any:
    annotation = Home.model_fields[name].rebuild_annotation()
    return replaced(section, annotation, language.text)


def replaced(value: Any, annotation: Any, say: Say) -> Any:
    """A value of the model with other texts in it: the very same where all of them stay."""
    if value is None or (isinstance(value, str) and not is_text(annotation)):
        return value
    if isinstance(value, str):
        return say(value)
    if isinstance(value, BaseModel):
        return _record(value, say)
    if isinstance(value, Mapping):
        inner = child_type(annotation, "")
        made = {key: replaced(each, inner, say) for key, each in value.items()}
        same = all(made[key] is each for key, each in value.items())
        return value if same else type(value)(made)  # type: ignore[call-arg]
    if isinstance(value, tuple) and (inner := child_type(annotation, 0)) is not None:
        several = tuple(replaced(each, inner, say) for each in value)
        return (
            value
            if all(one is other for one, other in zip(value, several, strict=True))
            else several
        )
    return value


def _record(value: BaseModel, say: Say) -> BaseModel:
    entries = entries_of(value)
    made = {
        name: replaced(entries[name], each, say)
        for name, each in _fields_with_texts(type(value)).items()
    }
    changed = {name: each for name, each in made.items() if each is not entries[name]}
    return value.model_copy(update=changed) if changed else value


def texts_of(value: Any, annotation: Any) -> Iterator[str]:
    """Every text in a value of the model, as often as it stands there."""
    found: list[str] = []

    def noted(text: str) -> str:
        found.append(text)
        return text

    replaced(value, annotation, noted)
    yield from found


@cache
def _fields_with_texts(record: type[BaseModel]) -> Mapping[str, Any]:
    """The types of a record's fields in which texts can stand and are published."""
    return {
        name: info.rebuild_annotation()
        for name, info in record.model_fields.items()
        if not _is_private(info) and _may_hold_text(info.rebuild_annotation())
    }


def _is_private(info: FieldInfo) -> bool:
    return any(isinstance(mark, Private) for mark in marks(info.rebuild_annotation()))


def _may_hold_text(annotation: Any) -> bool:
    here = bare(annotation)
    if isinstance(here, type) and issubclass(here, str):
        return is_text(annotation)
    return not (isinstance(here, type) and issubclass(here, int | float | Condition))


@cache
def is_text(annotation: Any) -> bool:
    """Whether a type of the model is that of a text: words, and no id, choice or address."""
    return any(
        isinstance(mark, AfterValidator) and mark.func in _CHECKS for mark in marks(annotation)
    )
