"""The fields of a page, made from the types of the model: what may be written there, and in which unit."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Literal, get_args, get_origin

from pydantic import BaseModel, BeforeValidator

from builder.desk.forms.words import CALLED, HELP
from builder.model.condition import Condition
from builder.model.home import Home
from builder.model.record import Reference, folded
from builder.model.shape import allowed_values, bare, child_type, fields, marks
from builder.model.units import In

Sort = Literal[
    "text", "long", "number", "whole", "day", "yes", "choice", "several", "words", "point", "points"
]  # fmt: skip
Choices = tuple[tuple[str, str], ...]
Path = tuple[str, ...]
Known = Mapping[Path, Mapping[str, str]]
"""The ids that a mapping is expected to have, with what people call each, by the path of the mapping."""
YES, NO = "yes", "no"
DEEPEST = 5
"""Levels of a record that a form goes down."""


@dataclass(frozen=True, slots=True)
class Field:
    """One field: where its value stands in the file, what it is called, and what is written now.

    ``required``: nothing can be saved without it. ``wrong``: what a check says of it.
    """

    path: Path
    label: str
    sort: Sort
    value: str = ""
    choices: Choices = ()
    unit: str = ""
    group: str = ""
    required: bool = False
    wrong: tuple[str, ...] = field(default=())

    @property
    def name(self) -> str:
        """Its name in the form that is sent."""
        return ".".join(self.path)

    @property
    def help(self) -> str:
        """What it is written like, where that needs a word."""
        return HELP.get(self.path[-1], "")

    @property
    def values(self) -> tuple[str, ...]:
        """What is chosen, where several may be."""
        return tuple(each for each in self.value.split("+") if each)


def fields_of(
    annotation: Any, path: Path, written: Any, home: Home, known: Known, label: str = "", group: str = "",
    *, required: bool = False,
) -> Iterator[Field]:  # fmt: skip
    """The fields of all that may be written at a path. ``written``: what stands there, as plain data.
    ``required``: something must stand there; then what the type itself requires must be given too."""
    here = bare(annotation)
    if isinstance(here, type) and issubclass(here, BaseModel):
        if len(path) <= DEEPEST:
            yield from _fields_of_record(here, path, written, home, known, label or group, required=required)  # fmt: skip
    elif get_origin(here) is Mapping:
        yield from _fields_of_mapping(here, path, written, home, known, label)
    elif (sort := _sort(annotation)) is not None:
        shown = as_text(written, ", " if sort == "words" else "+")
        choices = _choices(annotation, home)
        if shown and choices and sort == "choice" and shown not in dict(choices):
            choices = (*choices, (shown, shown))
        yield Field(path, label or called(path[-1]), sort, shown, choices, _unit(annotation), group, required)  # fmt: skip


def _fields_of_record(
    record: type[BaseModel], path: Path, written: Any, home: Home, known: Known, group: str,
    *, required: bool,
) -> Iterator[Field]:  # fmt: skip
    inside = written if isinstance(written, Mapping) else {}
    for name, info in fields(record).items():
        annotation = info.rebuild_annotation()
        if bare(annotation) is Condition:
            continue  # it asks which homes are meant, and a plot is one home
        yield from fields_of(
            annotation, (*path, name), inside.get(name), home, known, "", group,
            required=required and info.is_required(),
        )  # fmt: skip


def can_be_typed(record: type[BaseModel]) -> bool:
    """Whether a form has a field for all that a record must have: what nobody can type keeps a thing out."""
    needed = (info.rebuild_annotation() for info in fields(record).values() if info.is_required())
    return all(_sort(each) is not None for each in needed)


def _fields_of_mapping(
    annotation: Any, path: Path, written: Any, home: Home, known: Known, label: str
) -> Iterator[Field]:
    inside = written if isinstance(written, Mapping) else {}
    called = known.get(path, {})
    group = label or spoken(path[-1])
    for name in dict.fromkeys((*called, *map(str, inside))):
        inner, title = child_type(annotation, ""), called.get(name, spoken(name))
        scalar = _sort(inner) is not None
        yield from fields_of(
            inner, (*path, name), inside.get(name), home, known, title,
            group if scalar else title,
        )  # fmt: skip


def called(name: str) -> str:
    """What a field is called."""
    return CALLED.get(name) or spoken(name)


def spoken(name: str) -> str:
    """The name of a field or an id, as words."""
    words = name.replace("_", " ").replace("-", " ")
    return words[:1].upper() + words[1:]


def as_text(value: Any, between: str = "+") -> str:
    """What stands in a file, as a field shows it; ``between`` the words of a list."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return YES if value else NO
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, list | tuple):
        if value and all(isinstance(each, list | tuple) for each in value):
            return "; ".join(map(as_text, value))
        numbers = value and all(isinstance(each, int | float) for each in value)
        return (", " if numbers else between).join(map(str, value))
    return str(value) if not isinstance(value, Mapping) else ""


def _sort(annotation: Any) -> Sort | None:
    """How a value is written in a page; none where no field can hold it."""
    here = bare(annotation)
    if allowed_values(annotation) or _section(annotation):
        return "choice"
    if get_origin(here) is tuple:
        return _sort_of_tuple(here)
    simple: Mapping[Any, Sort] = {bool: "yes", int: "whole", float: "number", date: "day", Any: "text"}  # fmt: skip
    if here is str:
        long = any(isinstance(each, BeforeValidator) and each.func is folded for each in marks(annotation))  # fmt: skip
        return "long" if long else "text"
    return next((sort for kind, sort in simple.items() if here is kind), None)


def _sort_of_tuple(here: Any) -> Sort | None:
    inner = get_args(here)
    if len(inner) == 2 and inner[1] is not Ellipsis:  # noqa: PLR2004
        pairs: Mapping[Any, Sort] = {("number", "number"): "point", ("choice", "choice"): "several"}
        return pairs.get(tuple(map(_sort, inner)))
    several: Mapping[Any, Sort] = {"choice": "several", "text": "words", "point": "points"}
    return several.get(_sort(inner[0])) if inner else None


def _section(annotation: Any) -> str:
    """The section of a home that a value names an entry of."""
    return next((each.section for each in marks(annotation) if isinstance(each, Reference)), "")


def _choices(annotation: Any, home: Home) -> Choices:
    if get_origin(bare(annotation)) is tuple:
        annotation = get_args(bare(annotation))[0]
    fixed = allowed_values(annotation)
    if fixed:
        return tuple((each, each.replace("-", " ")) for each in fixed)
    return tuple(titles_of(home, _section(annotation)).items())


def titles_of(home: Home, section: str) -> Mapping[str, str]:
    """What people call each entry of a section of a home, by its id: with its room where others are
    called the same, and else with its id."""
    entries = getattr(home, section, None) if section in Home.model_fields else None
    if not isinstance(entries, Mapping):
        return {}
    by_name = {name: _name_of(home, name, entry) for name, entry in entries.items()}
    with_room = {
        name: _title_with_room(home, by_name[name], entry) for name, entry in entries.items()
    }
    alike, alike_in_room = Counter(by_name.values()), Counter(with_room.values())
    found = {}
    for name, title in by_name.items():
        roomed = with_room[name] if alike[title] > 1 else title
        told_apart = alike[title] == 1 or alike_in_room[roomed] == 1
        found[name] = roomed if told_apart else f"{roomed} ({name})"
    return found


def title_of(home: Home, name: str, entry: Any) -> str:
    """What people call one entry, with its id where that says something else."""
    title = _name_of(home, name, entry)
    return title if spoken(name).lower() == title.lower() else f"{title} ({name})"


def _name_of(home: Home, name: str, entry: Any) -> str:
    """The name of an entry, or that of its kind."""
    own = getattr(entry, "name", None)
    kind = home.kinds.get(str(getattr(entry, "kind", "")))
    return str(own or (kind.name if kind else None) or spoken(name))


def _title_with_room(home: Home, title: str, entry: Any) -> str:
    room = home.rooms.get(str(getattr(entry, "room", "")))
    return f"{title}, {room.name}" if room else title


def _unit(annotation: Any) -> str:
    return next((each.unit for each in marks(annotation) if isinstance(each, In)), "")


def grouped(found: Iterable[Field]) -> Mapping[str, tuple[Field, ...]]:
    """Fields by the group that they are shown in, in their order."""
    groups: dict[str, list[Field]] = {}
    for each in found:
        groups.setdefault(each.group, []).append(each)
    return {name: tuple(each) for name, each in groups.items()}
