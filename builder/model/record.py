"""What every record of the model is made of: the frozen base, identifiers and checked texts."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any, TypeVar

from frozendict import frozendict
from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, WithJsonSchema
from pydantic_core import PydanticCustomError

IDENTIFIER = r"^[a-z0-9]+(-[a-z0-9]+)*$"
_MARKUP = re.compile(r"</?[A-Za-z!][^>]*>?|\{\{|\{%|\{#")
_MARKER = re.compile(r"\{([^{}]*)\}")
_HAND_WORD = re.compile(r"\b(left|right)\b", re.IGNORECASE)
_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")
TERM = r"^[1-9][0-9]* (day|week|month|year)s?$"
_TELEPHONE = r"^[0-9+][0-9 ]*$"
_EMAIL = r"^[^@\s]+@[^@\s]+\.[a-z]+$"
_WEB = r"^https://[a-z0-9.-]+(:[0-9]+)?(/[A-Za-z0-9._~/-]*)?$"
DATE_EXAMPLE = "2026-03-31"
PATTERNS = {
    IDENTIFIER: ("is not an id", "An id is lower-case words or numbers joined by hyphens: hall-radiator."),
    TERM: ("is not a length of time", "Write a whole number and days, weeks, months or years: 6 months."),
    _TELEPHONE: ("cannot be dialled", "Write digits and spaces: 01632 960100."),
    _EMAIL: ("is not an e-mail address", "Write it as care@builder.example."),
    _WEB: ("is not a web address", "Write it as https://guides.builder.example, in lower case."),
}  # fmt: skip
"""For each form that a text must have: what is wrong with one that has not, and what is right."""


class Record(BaseModel):
    """A frozen record that refuses keys it does not know."""

    # What checks records is built when it is first used: a run that reads few files needs little of it.
    model_config = ConfigDict(
        extra="forbid", frozen=True, str_strip_whitespace=True, defer_build=True
    )


@dataclass(frozen=True, slots=True)
class Reference:
    """Marks a field that names an entry of another section, for instance ``rooms``."""

    section: str


@dataclass(frozen=True, slots=True)
class Placed:
    """Marks a text in which ``{left}`` and ``{right}`` follow the hand of the plot."""


@dataclass(frozen=True, slots=True)
class Private:
    """Marks a field that never enters the published tree."""


def plain_text(text: str) -> str:
    """The text itself; markup in a data value is refused."""
    if found := _MARKUP.search(text):
        raise PydanticCustomError(
            "markup", "markup in a data value", {"markup": found.group(), "text": text}
        )
    return text


def unplaced_text(text: str) -> str:
    """The text itself; markup, and a marker of the hand, which would be printed as it stands, is refused."""
    if (found := _MARKER.search(plain_text(text))) and found[1] in ("left", "right"):
        raise PydanticCustomError("marker_elsewhere", "no place text", {"marker": found[1]})
    return text


def _placed(text: str) -> str:
    for marker in _MARKER.findall(text):
        if marker not in ("left", "right"):
            raise PydanticCustomError("place_marker", "unknown marker", {"marker": marker})
    if found := _HAND_WORD.search(_MARKER.sub("", text)):
        word = found.group()
        raise PydanticCustomError("bare_hand", "bare", {"word": word, "marker": word.lower()})
    return text


def _date(value: Any) -> Any:
    if isinstance(value, date):
        return value
    if not isinstance(value, str) or not _DATE.fullmatch(value):
        raise PydanticCustomError("date_form", "not a date", {"given": str(value)})
    try:
        return date.fromisoformat(value)
    except ValueError:
        raise PydanticCustomError("date_absent", "no such date", {"given": value}) from None


def _frozen(entries: Mapping[str, Any]) -> Mapping[str, Any]:
    return frozendict(entries)


T = TypeVar("T")
Identifier = Annotated[str, Field(pattern=IDENTIFIER)]
Text = Annotated[str, Field(min_length=1), AfterValidator(unplaced_text)]
PlaceText = Annotated[
    str, Field(min_length=1), AfterValidator(plain_text), AfterValidator(_placed), Placed()
]
Day = Annotated[date, BeforeValidator(_date), WithJsonSchema({"type": "string", "format": "date"})]
Term = Annotated[str, Field(pattern=TERM)]
Telephone = Annotated[str, Field(pattern=_TELEPHONE, min_length=3)]
Email = Annotated[str, Field(pattern=_EMAIL)]
WebAddress = Annotated[str, Field(pattern=_WEB)]
Metres = Annotated[float, Field(ge=-1000, le=1000)]
Length = Annotated[float, Field(gt=0, le=1000)]
Point = tuple[Metres, Metres]
ById = Annotated[Mapping[Identifier, T], AfterValidator(_frozen)]
"""Everything that repeats is a mapping by id: maps merge by key, lists would be replaced."""

RoomId = Annotated[Identifier, Reference("rooms")]
FloorId = Annotated[Identifier, Reference("floors")]
ZoneId = Annotated[Identifier, Reference("zones")]
EquipmentId = Annotated[Identifier, Reference("equipment")]
KindId = Annotated[Identifier, Reference("kinds")]
RoomKindId = Annotated[Identifier, Reference("room_kinds")]
SystemId = Annotated[Identifier, Reference("systems")]
ContactId = Annotated[Identifier, Reference("contacts")]
RoleId = Annotated[Identifier, Reference("roles")]
FuelId = Annotated[Identifier, Reference("fuels")]
PhotoId = Annotated[Identifier, Reference("photos")]
ArticleId = Annotated[Identifier, Reference("articles")]
MatterId = Annotated[Identifier, Reference("matters")]


def entries_of(record: BaseModel) -> dict[str, Any]:
    """The fields of a record by name. ``dict(record)`` would ask a field called ``keys`` for them."""
    return {name: getattr(record, name) for name in type(record).model_fields}


def empty() -> Any:
    """A section that an author has not written yet."""
    return frozendict()
