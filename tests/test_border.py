"""Every text and number of the model is of a type that the border checks: nothing else gets in."""

from collections.abc import Iterator, Mapping
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

import pytest
from annotated_types import MaxLen
from pydantic import AfterValidator, BaseModel, BeforeValidator
from pydantic.fields import FieldInfo

from builder.model.article import FrontMatter
from builder.model.characters import hidden_characters, hidden_in, without_hidden
from builder.model.demonstration import DemonstrationFile
from builder.model.equipment import Equipment
from builder.model.handover import MeterReading
from builder.model.home import Home
from builder.model.record import _number, one_line, plain_text, unplaced_text
from builder.sources.files import PlotFile
from builder.writers.stickers.stock import StockFile

ONE_LINE = {one_line, plain_text, unplaced_text}
FREE = {(Equipment, "facts"), (MeterReading, "reading"), (MeterReading, "further")}
"""Validators of their own look at these."""


def leaves(annotation: Any, marks: tuple[Any, ...] = ()) -> Iterator[tuple[Any, tuple[Any, ...]]]:
    """Each scalar type beneath an annotation, with all that it is marked with."""
    origin, arguments = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        yield from leaves(arguments[0], (*marks, *arguments[1:]))
    elif origin in (Union, UnionType, tuple, Mapping) or origin is dict:
        for each in arguments:
            if each not in (NoneType, ...):
                inherited = marks if origin in (Union, UnionType) else ()
                yield from leaves(each, inherited)
    else:
        yield annotation, marks


def fields(record: type[BaseModel], seen: set[type]) -> Iterator[tuple[str, Any, tuple[Any, ...]]]:
    """Every scalar field of a record and of all records in it."""
    if record in seen:
        return
    seen.add(record)
    for name, info in record.model_fields.items():
        if (record, name) in FREE:
            continue
        for leaf, marks in leaves(info.rebuild_annotation()):
            if isinstance(leaf, type) and issubclass(leaf, BaseModel):
                yield from fields(leaf, seen)
            elif get_origin(leaf) is not Literal:
                yield f"{record.__name__}.{name}", leaf, marks


RECORDS = (Home, PlotFile, FrontMatter, DemonstrationFile, StockFile)
FIELDS = sorted(
    {
        (name, leaf): marks for record in RECORDS for name, leaf, marks in fields(record, set())
    }.items(),
    key=str,
)


def limits(marks: tuple[Any, ...]) -> list[Any]:
    inside = [each for mark in marks if isinstance(mark, FieldInfo) for each in mark.metadata]
    return [*marks, *inside]


def checked_by(marks: tuple[Any, ...], kind: type) -> set[Any]:
    return {mark.func for mark in marks if isinstance(mark, kind)}


@pytest.mark.parametrize(("field", "marks"), FIELDS, ids=[name for (name, _), _ in FIELDS])
def test_a_field_is_of_a_type_of_the_border(field: tuple[str, Any], marks: tuple[Any, ...]) -> None:
    _, leaf = field
    own = limits(marks)
    if leaf is str:
        patterned = any(getattr(each, "pattern", None) for each in own)
        assert patterned or ONE_LINE & checked_by(marks, AfterValidator), "use Text or Prose"
        bounded = any(isinstance(each, MaxLen) for each in own)
        assert bounded or patterned, "a text has a greatest length"
    elif leaf in (int, float):
        assert _number in checked_by(marks, BeforeValidator), "use Number or Whole"


def test_what_is_hidden() -> None:
    text = "a\u202eb\x00c\ue000d\ufffde"
    assert [each.start() for each in hidden_characters(text)] == [1, 3, 5, 7]
    assert without_hidden(text) == "abcde"
    assert hidden_in("Ffordd y Môr, 2½ m² “hen” 中文 😀 नमस्ते\n\t") is None
