"""The sections of a home as typed records, each made once in a run from the same merged layers."""

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

from frozendict import frozendict
from pydantic import BaseModel, ValidationError, create_model

from builder.layers.memo import Memo
from builder.layers.merge import Merged, plain_value
from builder.model.home import Home
from builder.model.record import STANDS, Record, Reference
from builder.model.shape import bare, child_type, marks, scalars
from builder.sources.entry import Address

EQUIPMENT = "equipment"
Referring = tuple[Address, Any, str]
"""An address of a home, the id that stands there, and the section that it names an entry of."""


def home_of(merged: Merged, kept: Memo) -> Home:
    """The home that merged layers make, or pydantic's ``ValidationError`` with all mistakes."""
    sections = merged.present
    if merged.children is not None and sections.keys() <= Home.model_fields.keys():
        made = {
            name: kept.once(_section, sections[name], name, kept)
            if name in sections
            else kept.once(_unsaid, name)
            for name in Home.model_fields
        }
        if not any(isinstance(each, _Refused) for each in made.values()):
            return Home.model_construct(set(sections), **made)
    return Home.model_validate(plain_value(merged), context=STANDS)


class _Refused:
    """Stands for a section that has mistakes: the whole home is asked for all of them."""


def _section(merged: Merged, name: str, kept: Memo) -> Any:
    if name == EQUIPMENT and merged.children is not None:
        return _entries(merged, name, kept)
    try:
        return getattr(
            _alone(name).model_validate({name: plain_value(merged)}, context=STANDS), name
        )
    except ValidationError:
        return _Refused()


def _entries(merged: Merged, name: str, kept: Memo) -> Any:
    """A section whose entries differ from plot to plot: each is read once for all that share it."""
    found = {
        key: kept.once(_entry, child, name, *kept.same((key,)))
        for key, child in merged.present.items()
    }
    refused = any(isinstance(each, _Refused) for each in found.values())
    return _Refused() if refused else frozendict(found)


def _entry(merged: Merged, section: str, key: str) -> Any:
    try:
        said = {section: {key: plain_value(merged)}}
        alone = _alone(section).model_validate(said, context=STANDS)
        return getattr(alone, section)[key]
    except ValidationError:
        return _Refused()


def _unsaid(name: str) -> Any:
    """A section that no layer writes: empty, or a mistake where every home needs it."""
    info = Home.model_fields[name]
    return _Refused() if info.is_required() else info.get_default(call_default_factory=True)


@cache
def _alone(section: str) -> type[Record]:
    """A record with one section of a home and nothing else, which reads it as the home does."""
    info = Home.model_fields[section]
    return create_model(section, __base__=Record, **{section: (info.rebuild_annotation(), info)})  # type: ignore[call-overload, no-any-return]


def references_in(home: Home, kept: Memo) -> Iterator[Referring]:
    """Every id in a home that names an entry of another section, in the order of the model."""
    for name in Home.model_fields:
        section = getattr(home, name)
        if isinstance(section, Record | Mapping):
            yield from kept.once(_references, section, name)


def _references(section: Any, name: str) -> tuple[Referring, ...]:
    annotation = Home.model_fields[name].rebuild_annotation()
    return tuple(
        (address, value, named)
        for address, value, its_type in scalars(section, annotation, _referring, (name,))
        for named in _sections_named(its_type)
    )


def _sections_named(annotation: Any) -> Iterator[str]:
    """The sections of which a field of this type names an entry; articles are no section."""
    for mark in marks(annotation):
        if isinstance(mark, Reference) and mark.section != "articles":
            yield mark.section


@cache
def _referring(record: type[BaseModel]) -> tuple[tuple[str, str, Any], ...]:
    """The fields of a record beneath which an id may name something: name, attribute and type."""
    return tuple(
        (info.alias or attribute, attribute, annotation)
        for attribute, info in record.model_fields.items()
        if _refers(annotation := info.rebuild_annotation(), ())
    )


def _refers(annotation: Any, above: tuple[type[BaseModel], ...]) -> bool:
    here = bare(annotation)
    if isinstance(here, type) and issubclass(here, BaseModel):
        fields = [info.rebuild_annotation() for info in here.model_fields.values()]
        return here not in above and any(_refers(each, (*above, here)) for each in fields)
    inner = child_type(annotation, 0)
    return any(_sections_named(annotation)) or (inner is not None and _refers(inner, above))
