"""What every record of the model is made of: the frozen base, identifiers and checked texts."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any, ClassVar, Final, TypeVar

from frozendict import frozendict
from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    ValidationInfo,
    WithJsonSchema,
)
from pydantic_core import PydanticCustomError

from builder.model.characters import hidden_in
from builder.model.telephone import telephone_number
from builder.model.units import In

LONGEST_ID = 64
"""Characters. Files and folders are named by ids."""
IDENTIFIER = r"^[a-z0-9]+(-[a-z0-9]+)*$"
_OF_WINDOWS = re.compile(r"con|prn|aux|nul|(com|lpt)[1-9]")
"""Names of devices on Windows, with any ending: no file or folder can have them there."""
_MARKUP = re.compile(r"</?[A-Za-z!][^>]*>?|\{\{|\{%|\{#")
_MARKER = re.compile(r"\{([^{}]*)\}")
_HAND_WORD = re.compile(r"\b(left|right)\b", re.IGNORECASE)
_SIDE = re.compile(
    r"\b(?:on|to|at|from|in) (?:the|your|its) (?:far |near )?(left|right)\b(?! (?:place|way|time|order|people|person|size|height|kind|tool))"
    r"|\b(left|right)[- ]hand\b|\b(left|right) (?:side|of|corner|wall)\b|\bturn(?:s|ed)?(?: it| round)? (left|right)\b",
    re.IGNORECASE,
)
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_DAY_FIRST = re.compile(r"([0-9]{1,2})[/.-]([0-9]{1,2})[/.-]([0-9]{4})")
MOST = 1e9
"""The largest number that anybody writes of a home."""
EARLIEST, LATEST = 1900, 2199
"""The years that days may lie in: homes are handed over in them, and ten years on is a day as well."""
TERM = r"^[1-9][0-9]{0,3} (day|week|month|year)s?$"
_LONGEST_TERM = {"day": 9_999, "week": 5_200, "month": 1_200, "year": 100}
_TELEPHONE = r"^[0-9+][0-9 ]*$"
_EMAIL = r"^[A-Za-z0-9][A-Za-z0-9.+_'-]*@[A-Za-z0-9][A-Za-z0-9-]*(\.[A-Za-z0-9-]+)*\.[a-z]+$"
PLOT_NUMBER = r"^[a-z0-9]+(?:-[a-z0-9]+)*$"
FORMER_NUMBER = r"^(?:[a-z0-9]+(?:-[a-z0-9]+)*/)?[a-z0-9]+(?:-[a-z0-9]+)*$"
_WEB = (
    r"^https://[a-z0-9]([a-z0-9-]*[a-z0-9])?(\.[a-z0-9]([a-z0-9-]*[a-z0-9])?)*(:[1-9][0-9]{0,4})?"
    r"(/[A-Za-z0-9_~-][A-Za-z0-9._~-]*)*/?$"
)
FOLDER_INSIDE = r"^[A-Za-z0-9_-]+(/[A-Za-z0-9_-]+)*$"
ICON = r"^[a-z0-9]+([/-][a-z0-9]+)*$"
COLOUR = r"^#[0-9a-fA-F]{6}$"
DATE_EXAMPLE = "2026-03-31"
PATTERNS = {
    IDENTIFIER: ("is not an id", "An id is lower-case words or numbers joined by hyphens: hall-radiator."),
    PLOT_NUMBER: ("cannot be the number of a plot", "Write letters and digits, joined by hyphens: 07, 7a or 2-07."),
    FORMER_NUMBER: ("cannot be the number of a plot", "Write letters and digits, joined by hyphens: 07, 7a or 2-07; of another development mill-lane/07."),
    TERM: ("is not a length of time", "Write a whole number and days, weeks, months or years: 6 months."),
    _TELEPHONE: ("cannot be dialled", "Write digits and spaces: 01632 960100."),
    _EMAIL: ("is not an e-mail address", "Write it as care@builder.example."),
    FOLDER_INSIDE: ("is no folder of this workspace", "Write its path from here, without dots: site_templates/theme."),
    ICON: ("is not the name of an icon", "Write it as material/home-outline."),
    COLOUR: ("is not a colour", "Write it in quotes, two digits each for red, green and blue: '#17483f'."),
    _WEB: ("is not a web address", "Write it as https://guides.builder.example, in lower case."),
}  # fmt: skip
"""For each form that a text must have: what is wrong with one that has not, and what is right."""
OF_WINDOWS = ("is a name that Windows keeps for a device", "Choose another: no file or folder can have this one there.")  # fmt: skip


def is_identifier(name: str) -> bool:
    """Whether a name of a file or folder is an id."""
    return no_identifier(name) is None


def no_identifier(name: str) -> tuple[str, str] | None:
    """What is wrong with a name that is no id, and what would be right. None: it is one."""
    if len(name) > LONGEST_ID:
        return f"is too long for an id, which has at most {LONGEST_ID} characters", "Shorten it."
    if _OF_WINDOWS.fullmatch(name):
        return OF_WINDOWS
    return None if re.fullmatch(IDENTIFIER, name) else PATTERNS[IDENTIFIER]


def _no_device_name(name: str) -> str:
    """The name itself; one that Windows keeps for a device is refused."""
    if _OF_WINDOWS.fullmatch(name):
        raise PydanticCustomError("device", "a device", {"name": name})
    return name


STANDS: Final = {"drawn": False}
"""The context in which places are read that no house type has drawn: what a development says of its site,
and a home whose layers were read each by itself. There left is left in plots of either hand."""


class Record(BaseModel):
    """A frozen record that refuses keys it does not know.

    ``read_as`` is the context in which its texts are read: ``STANDS`` in a file of a site.
    """

    read_as: ClassVar[Mapping[str, Any] | None] = None

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


def one_line(text: str) -> str:
    """The text itself; line breaks, tabs and characters that nobody sees are refused."""
    if found := hidden_in(text):
        raise PydanticCustomError("hidden", "cannot be seen", {"number": ord(found.group())})
    if "\n" in text or "\t" in text:
        raise PydanticCustomError("line_break", "more than one line", {"text": text})
    return text


def folded(text: Any) -> Any:
    """A text that was written on several lines, on one."""
    return " ".join(text.split()) if isinstance(text, str) and "\n" in text else text


def plain_text(text: str) -> str:
    """The text itself on its one line; markup in a data value is refused."""
    one_line(text)
    if found := _MARKUP.search(text):
        raise PydanticCustomError(
            "markup", "markup in a data value", {"markup": found.group(), "text": text}
        )
    return text


def side_in(text: str) -> str | None:
    """The words that name a side of the home, which is another in plots of the other hand."""
    found = _SIDE.search(text)
    return found.group() if found else None


def unplaced_text(text: str) -> str:
    """The text itself; markup, and a marker of the hand, which would be printed as it stands, is refused."""
    if (found := _MARKER.search(plain_text(text))) and found[1] in ("left", "right"):
        raise PydanticCustomError("marker_elsewhere", "no place text", {"marker": found[1]})
    return text


def _marked(text: str) -> str:
    for marker in _MARKER.findall(text):
        if marker not in ("left", "right"):
            raise PydanticCustomError("place_marker", "unknown marker", {"marker": marker})
    return text


def _placed(text: str, info: ValidationInfo) -> str:
    """The text itself; a bare side is refused, but where ``STANDS`` says that it was not drawn."""
    if info.context == STANDS:
        return text
    if found := _HAND_WORD.search(_MARKER.sub("", text)):
        word = found.group()
        raise PydanticCustomError("bare_hand", "bare", {"word": word, "marker": word.lower()})
    return text


def _standing(text: str) -> str:
    """The text itself; a marker of the hand is refused where no plot is another's mirror image."""
    if (found := _MARKER.search(_marked(text))) is not None:
        raise PydanticCustomError("marker_standing", "stands still", {"marker": found[1]})
    return text


def _date(value: Any) -> Any:
    if isinstance(value, date):
        return value
    if not isinstance(value, str) or not _DATE.fullmatch(value):
        raise _not_a_date(value)
    try:
        day = date.fromisoformat(value)
    except ValueError:
        raise PydanticCustomError("date_absent", "no such date", {"given": value}) from None
    if not EARLIEST <= day.year <= LATEST:
        limits = {"given": value, "earliest": EARLIEST, "latest": LATEST}
        raise PydanticCustomError("date_range", "too far away", limits)
    return day


def _not_a_date(value: Any) -> PydanticCustomError:
    """What to say of a date in another form: the same day in ours, where it is one."""
    given = {"given": str(value)}
    turned = _DAY_FIRST.fullmatch(value) if isinstance(value, str) else None
    if turned is None:
        return PydanticCustomError("date_form", "not a date", given)
    try:
        day = date(int(turned[3]), int(turned[2]), int(turned[1]))
    except ValueError:
        return PydanticCustomError("date_absent", "no such date", given)
    return PydanticCustomError("date_order", "day first", {**given, "day": day.isoformat()})


def _term(text: str) -> str:
    """A length of time that the calendar can count."""
    number, _, unit = text.partition(" ")
    most = _LONGEST_TERM[unit.removesuffix("s")]
    if int(number) > most:
        limits = {"given": text, "most": f"{most} {unit.removesuffix('s')}s"}
        raise PydanticCustomError("term_long", "too long", limits)
    return text


def _number(value: Any) -> Any:
    """A number, which true and false are not, nor digits of other scripts."""
    if isinstance(value, bool) or (isinstance(value, str) and not value.isascii()):
        raise PydanticCustomError("float_type", "not a number")
    if isinstance(value, int | float) and abs(value) > MOST:
        raise PydanticCustomError("number_range", "too large a number")
    return value


def _frozen(entries: Mapping[str, Any]) -> Mapping[str, Any]:
    return frozendict(entries)


Identifier = Annotated[
    str, Field(pattern=IDENTIFIER, max_length=LONGEST_ID), AfterValidator(_no_device_name)
]
PlotNumber = Annotated[
    str, Field(pattern=PLOT_NUMBER, max_length=40), AfterValidator(_no_device_name)
]
"""Its file, its register and its records are named by it."""
FormerNumber = Annotated[
    str, Field(pattern=FORMER_NUMBER, max_length=100), AfterValidator(_no_device_name)
]
"""One that a plot had before; in another development, as ``<development>/<number>``."""
Text = Annotated[str, Field(min_length=1, max_length=400), AfterValidator(unplaced_text)]
"""One line of words. Every text of the model is of this type or a narrower one."""
Prose = Annotated[
    str,
    BeforeValidator(folded),
    Field(min_length=1, max_length=2_000),
    AfterValidator(unplaced_text),
]
"""Sentences, which an author may write on several lines; they are read as one."""
PlaceText = Annotated[
    str,
    Field(min_length=1, max_length=400),
    AfterValidator(plain_text),
    AfterValidator(_marked),
    AfterValidator(_placed),
    Placed(),
]
WayText = Annotated[
    str,
    Field(min_length=1, max_length=400),
    AfterValidator(plain_text),
    AfterValidator(_marked),
    Placed(),
]
"""A way along roads, on which left and right are those of the road in every plot, whatever its hand:
only what is marked follows the hand."""
SharedPlaceText = Annotated[
    str,
    Field(min_length=1, max_length=400),
    AfterValidator(plain_text),
    AfterValidator(_standing),
]
"""A place in what several homes share, where left and right are the same for plots of either hand."""
Day = Annotated[date, BeforeValidator(_date), WithJsonSchema({"type": "string", "format": "date"})]
Term = Annotated[str, Field(pattern=TERM), AfterValidator(_term)]
Telephone = Annotated[
    str, BeforeValidator(telephone_number), Field(pattern=_TELEPHONE, min_length=3, max_length=30)
]
Email = Annotated[str, Field(pattern=_EMAIL, max_length=254), AfterValidator(one_line)]
WebAddress = Annotated[str, Field(pattern=_WEB, max_length=2_000)]
Number = Annotated[float, BeforeValidator(_number), Field(allow_inf_nan=False)]
"""Every number of the model is of this type or a narrower one, or a whole one."""
Whole = Annotated[int, BeforeValidator(_number)]
Metres = Annotated[Number, Field(ge=-1000, le=1000), In("metres", -150, 150, -300, 300)]
Length = Annotated[Number, Field(gt=0, le=1000), In("metres", 0.02, 30, 0.005, 100)]
Share = Annotated[Number, Field(ge=0, le=1)]
"""A part of a whole, from 0 to 1."""
Point = tuple[Metres, Metres]
T = TypeVar("T")
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
CoverId = Annotated[Identifier, Reference("covers")]
DocumentId = Annotated[Identifier, Reference("documents")]
KeyId = Annotated[Identifier, Reference("keys")]


PLAIN = (str, int, float, date, type(None))
"""What holds nothing else, and most of a home is: asked for first, because it costs ten times as much to ask
whether something is a record."""


def entries_of(record: BaseModel) -> dict[str, Any]:
    """The fields of a record by name. ``dict(record)`` would ask a field called ``keys`` for them."""
    return {name: getattr(record, name) for name in type(record).model_fields}


def empty() -> Any:
    """A section that an author has not written yet."""
    return frozendict()
