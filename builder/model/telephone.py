"""Telephone numbers that can be dialled in the United Kingdom, by the plans that phonenumbers keeps.

Short numbers such as 999 and 105 count, and so do numbers of other countries that begin with a plus.
Numbers that the regulator keeps free for drama can be read, because a demonstration uses them; see
``is_invented``.
"""

import re
import unicodedata
from functools import lru_cache
from typing import Any

from pydantic_core import PydanticCustomError

HERE = "GB"
"""The plan by which numbers without a country are read: one for all four nations."""
_EXAMPLE = "Write it as it is dialled, in quotes: '01632 960100'."
_KEPT = 4_096
_AS_A_POWER = re.compile(r"[0-9]+([.,][0-9]+)?[eE][+-]?[0-9]+")
_WRITTEN = re.compile(r"[0-9+][0-9 ]*")
_LOOKS_LIKE = str.maketrans("OoIl", "0011")
"""Letters that people type, or that a program reads off paper, in place of digits."""
_FURTHER = re.compile(r"\s*(?:/|,|;|\b(?:ext|extension|x|or|and)\b).*", re.IGNORECASE)
"""What follows a number: an extension, or a second number."""
_INVENTED = re.compile(
    r"01632960[0-9]{3}|07700900[0-9]{3}|0207946[0-9]{4}|02896496[0-9]{3}|02920180[0-9]{3}"
    r"|0(113|114|115|116|117|118|121|131|141|151|161)496[0-9]{4}|0191498[0-9]{4}"
    r"|0808157[0-9]{4}|0909879[0-9]{4}|03069990[0-9]{3}"
)
"""Ranges that Ofcom keeps free for drama (its list of numbers for television and radio, from memory)."""


def telephone_number(value: Any) -> Any:
    """A number that can be dialled, as it was written. PydanticCustomError says what is wrong with it."""
    if isinstance(value, float) or (isinstance(value, str) and _AS_A_POWER.fullmatch(value)):
        raise _refused(
            f"'{f'{value:.2E}' if isinstance(value, float) else value}' is how a spreadsheet shows a long number: some of its digits are lost",
            "Look the number up again, and have the spreadsheet keep it as text. " + _EXAMPLE,
        )
    if isinstance(value, int) and not isinstance(value, bool):
        _refuse_number(str(value))
    if isinstance(value, str) and _WRITTEN.fullmatch(value.strip()):
        _refuse_what_nobody_answers(" ".join(value.split()))
    elif isinstance(value, str) and (meant := _meant(value)):
        further = " What follows it goes into 'hours', or into a contact of its own."
        raise _refused(
            f"'{value}' cannot be dialled",
            f"Write digits and spaces, in quotes: '{meant}'."
            + (further if _FURTHER.search(value) else ""),
        )
    return value


def _meant(text: str) -> str | None:
    """The number that somebody meant who wrote other signs than digits and spaces; none that nobody can have."""
    first = _FURTHER.sub("", unicodedata.normalize("NFKC", text)).translate(_LOOKS_LIKE)
    first = re.sub(r"\(0\)" if "+" in first else r"[()]", " ", first)
    number = " ".join(re.sub(r"[^0-9+]+", " ", first).split())
    return number if _WRITTEN.fullmatch(number) and _can_exist(number) else None


def is_invented(number: str) -> bool:
    """Whether a number is of those that nobody has, and that are kept for drama."""
    return _INVENTED.fullmatch(_national(number)) is not None


def _national(number: str) -> str:
    digits = re.sub(r"[^0-9+]", "", number)
    return re.sub(r"^(\+44|0044)0?", "0", digits)


def _refuse_number(digits: str) -> None:
    """Digits that were read as a number, because no quotes stand round them."""
    whole = f"0{digits}"
    if _can_exist(whole):
        raise _refused(
            f"'{digits}' has lost the 0 in front, as numbers do in spreadsheets and without quotes",
            f"Write it in quotes: '{whole}'.",
        )
    raise _refused(f"{digits} is not text", f"Put it in quotes: '{digits}'.")


@lru_cache(maxsize=_KEPT)
def _refuse_what_nobody_answers(number: str) -> None:
    if _can_exist(number):
        return
    if not number.startswith(("0", "+")) and _can_exist(f"0{number}"):
        raise _refused(
            f"'{number}' has lost the 0 in front, as numbers do in spreadsheets",
            f"Write it in quotes: '0{number}'.",
        )
    if not number.startswith(("0", "+")) and _can_exist(f"+{number}"):
        raise _refused(f"'{number}' has lost the + in front", f"Write it in quotes: '+{number}'.")
    raise _refused(f"'{number}' is no telephone number of the United Kingdom", _EXAMPLE)


@lru_cache(maxsize=_KEPT)
def _can_exist(number: str) -> bool:
    """Whether somebody can have a number: in a plan, a short one, or one that is kept for drama."""
    # It takes long to load, and a build in which nothing has changed reads no number.
    import phonenumbers  # noqa: PLC0415
    from phonenumbers import shortnumberinfo  # noqa: PLC0415

    try:
        parsed = phonenumbers.parse(number, HERE)
    except phonenumbers.NumberParseException:
        return False
    short = shortnumberinfo.is_valid_short_number_for_region(parsed, HERE)
    whole = number.startswith(("0", "+")) and phonenumbers.is_valid_number(parsed)
    return short or whole or is_invented(number)


def _refused(wrong: str, right: str) -> PydanticCustomError:
    return PydanticCustomError("telephone", "no telephone number", {"wrong": wrong, "right": right})
