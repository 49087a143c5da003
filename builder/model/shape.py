"""The shape of records, read from their types: children by key, partial forms, marked fields."""

from collections.abc import Callable, Container, Iterator, Mapping, Sequence
from functools import cache
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel, Field, create_model
from pydantic.fields import FieldInfo

from builder.model.condition import Condition
from builder.model.record import PLAIN, Private, Record

FieldsOf = Callable[[type[BaseModel]], tuple[tuple[str, str, Any], ...]]
"""Gives fields of a record, each with the name that authors write, its attribute and its type."""


def bare(annotation: Any) -> Any:
    """A type without its marks and without "or none"."""
    while True:
        origin = get_origin(annotation)
        if origin is Annotated:
            annotation = get_args(annotation)[0]
        elif origin in (Union, UnionType):
            annotation = next(each for each in get_args(annotation) if each is not NoneType)
        else:
            return annotation


def marks(annotation: Any) -> tuple[object, ...]:
    """What a type is marked with, such as ``Reference`` or ``Placed``, at any depth of wrapping."""
    origin = get_origin(annotation)
    if origin is Annotated:
        inner, *own = get_args(annotation)
        return (*marks(inner), *own)
    if origin in (Union, UnionType):
        return tuple(mark for each in get_args(annotation) for mark in marks(each))
    return ()


def fields(record: type[BaseModel]) -> dict[str, FieldInfo]:
    """The fields of a record by the names that authors write."""
    return {info.alias or name: info for name, info in record.model_fields.items()}


def child_type(annotation: Any, step: str | int) -> Any | None:
    """The type one step down: a field, an entry of a mapping, or an item of a list."""
    here = bare(annotation)
    if isinstance(here, type) and issubclass(here, BaseModel):
        field = fields(here).get(str(step))
        return None if field is None else field.rebuild_annotation()
    arguments = get_args(here)
    if get_origin(here) is Mapping or get_origin(here) is dict:
        return arguments[1]
    return arguments[0] if get_origin(here) is tuple and arguments else None


def type_at(annotation: Any, address: Sequence[str | int]) -> Any | None:
    """The type at the end of an address, or none where the model has nothing there."""
    for step in address:
        annotation = child_type(annotation, step)
        if annotation is None:
            return None
    return annotation


def known_keys(annotation: Any) -> tuple[str, ...]:
    """The keys that authors may write in a record of this type."""
    here = bare(annotation)
    return tuple(fields(here)) if isinstance(here, type) and issubclass(here, BaseModel) else ()


def allowed_values(annotation: Any) -> tuple[str, ...]:
    """The fixed choices of a field, if it has any."""
    here = bare(annotation)
    return tuple(map(str, get_args(here))) if get_origin(here) is Literal else ()


def marked(
    value: Any, annotation: Any, address: tuple[str | int, ...] = ()
) -> Iterator[tuple[tuple[str | int, ...], Any, tuple[object, ...]]]:
    """Every scalar of a record that stands in a marked field: address, value, marks."""
    for path, each, its_type in scalars(value, annotation, _fields_of, address):
        if own := marks(its_type):
            yield path, each, own


def scalars(
    value: Any, annotation: Any, fields_of: FieldsOf, address: tuple[str | int, ...] = ()
) -> Iterator[tuple[tuple[str | int, ...], Any, Any]]:
    """Every scalar below a value, in those fields of its records that ``fields_of`` gives: its address,
    the value, its type."""
    if isinstance(value, PLAIN):
        if value is not None:
            yield address, value, annotation
    elif isinstance(value, BaseModel):
        for name, attribute, inner in fields_of(type(value)):
            yield from scalars(getattr(value, attribute), inner, fields_of, (*address, name))
    elif isinstance(value, Mapping):
        inner_type = child_type(annotation, "")
        for key, inner in value.items():
            yield from scalars(inner, inner_type, fields_of, (*address, key))
    elif isinstance(value, tuple):
        inner_type = child_type(annotation, 0)
        for index, inner in enumerate(value):
            yield from scalars(inner, inner_type, fields_of, (*address, index))


@cache
def _fields_of(record: type[BaseModel]) -> tuple[tuple[str, str, Any], ...]:
    """The fields of a record: the name that authors write, the attribute and its type."""
    return tuple(
        (info.alias or attribute, attribute, info.rebuild_annotation())
        for attribute, info in record.model_fields.items()
    )


@cache
def private_fields(record: type[BaseModel]) -> frozenset[str]:
    """The fields of a record that never enter the published tree."""
    return frozenset(
        name
        for name, info in record.model_fields.items()
        if any(isinstance(mark, Private) for mark in marks(info.rebuild_annotation()))
    )


@cache
def partial(record: type[Record]) -> type[Record]:
    """The form of a record that one layer writes: every field may be left out, or be null."""
    if issubclass(record, Condition):
        return record
    definitions: dict[str, Any] = partial_fields(record, record.model_fields)
    return create_model(record.__name__, __base__=Record, __doc__=record.__doc__, **definitions)


def partial_fields(record: type[Record], names: Container[str]) -> dict[str, tuple[Any, Any]]:
    """Fields of a record as one layer writes them, each as its type and what else is known of it."""
    return {
        name: (
            _partial_type(info.rebuild_annotation()) | None,
            Field(default=None, alias=info.alias),
        )
        for name, info in record.model_fields.items()
        if name in names
    }


def _partial_type(annotation: Any) -> Any:
    origin = get_origin(annotation)
    if origin is Annotated:
        inner, *own = get_args(annotation)
        return Annotated[(_partial_type(inner), *own)]
    if origin in (Union, UnionType):
        given = next(each for each in get_args(annotation) if each is not NoneType)
        return _partial_type(given) | None
    if origin is Mapping:
        key, value = get_args(annotation)
        return Mapping[key, _partial_type(value) | None]  # type: ignore[valid-type, misc]
    if isinstance(annotation, type) and issubclass(annotation, Record):
        return partial(annotation)
    return annotation
