"""Numbers that can be dialled, and what spreadsheets make of the others, in plain words."""

from typing import Any

import pytest
from pydantic_core import PydanticCustomError

from builder.model.telephone import is_invented, telephone_number

SPREADSHEET = (
    "Look the number up again, and have the spreadsheet keep it as text. "
    "Write it as it is dialled, in quotes: '01632 960100'."
)
MEANT = "Write digits and spaces, in quotes: '{}'."
FURTHER = " What follows it goes into 'hours', or into a contact of its own."
AS_DIALLED = "Write it as it is dialled, in quotes: '01632 960100'."


@pytest.mark.parametrize(
    "number",
    ["999", "105", "111", "101", "116 123", "0800 111 999", "0800 002 001", "0800 028 2011",
     "03457 643 643", "0300 2000 100", "020 7946 0310", "01632 960100", "07700 900331",
     "+44 1632 960100", "+353 1 234 5678", "028 9649 6000"],
)  # fmt: skip
def test_a_number_that_can_be_dialled_stays_as_it_is_written(number: str) -> None:
    assert telephone_number(number) == number


@pytest.mark.parametrize(
    ("number", "wrong", "right"),
    [
        ("1632960100", "'1632960100' has lost the 0 in front, as numbers do in spreadsheets", "Write it in quotes: '01632960100'."),
        (1632960100, "'1632960100' has lost the 0 in front, as numbers do in spreadsheets and without quotes", "Write it in quotes: '01632960100'."),
        ("1.63E+09", "'1.63E+09' is how a spreadsheet shows a long number: some of its digits are lost", SPREADSHEET),
        (1.63e9, "'1.63E+09' is how a spreadsheet shows a long number: some of its digits are lost", SPREADSHEET),
        ("01632 96010", "'01632 96010' is no telephone number of the United Kingdom", AS_DIALLED),
        ("01632 9601001", "'01632 9601001' is no telephone number of the United Kingdom", AS_DIALLED),
        ("0999 999", "'0999 999' is no telephone number of the United Kingdom", AS_DIALLED),
        ("44 28 9018 0123", "'44 28 9018 0123' has lost the + in front", "Write it in quotes: '+44 28 9018 0123'."),
        ("(028) 9018 0123", "'(028) 9018 0123' cannot be dialled", MEANT.format("028 9018 0123")),
        ("028-9018-0123", "'028-9018-0123' cannot be dialled", MEANT.format("028 9018 0123")),
        ("+44 (0)28 9018 0123", "'+44 (0)28 9018 0123' cannot be dialled", MEANT.format("+44 28 9018 0123")),
        ("0207946O61O", "'0207946O61O' cannot be dialled", MEANT.format("02079460610")),
        ("\uff10\uff12\uff10 7946 0610", "'\uff10\uff12\uff10 7946 0610' cannot be dialled", MEANT.format("020 7946 0610")),
        ("01632 960100 ext 4", "'01632 960100 ext 4' cannot be dialled", MEANT.format("01632 960100") + FURTHER),
        ("01632 960100 or 960101", "'01632 960100 or 960101' cannot be dialled", MEANT.format("01632 960100") + FURTHER),
        ("01632 960100, extension 4", "'01632 960100, extension 4' cannot be dialled", MEANT.format("01632 960100") + FURTHER),
        ("028 9018 0123 / 0124", "'028 9018 0123 / 0124' cannot be dialled", MEANT.format("028 9018 0123") + FURTHER),
        (999, "999 is not text", "Put it in quotes: '999'."),
    ],
)  # fmt: skip
def test_another_is_refused_with_what_would_be_right(number: Any, wrong: str, right: str) -> None:
    with pytest.raises(PydanticCustomError) as refused:
        telephone_number(number)
    assert refused.value.context == {"wrong": wrong, "right": right}


@pytest.mark.parametrize(
    ("number", "invented"),
    [("01632 960100", True), ("+44 1632 960100", True), ("0044 1632 960100", True),
     ("07700 900331", True), ("020 7946 0310", True), ("028 9649 6123", True),
     ("01633 960100", False), ("0800 111 999", False), ("999", False), ("020 7945 0310", False)],
)  # fmt: skip
def test_numbers_that_are_kept_for_films_are_known(number: str, invented: bool) -> None:
    assert is_invented(number) is invented


@pytest.mark.parametrize("text", ["ask at the office", "028-9018-01", "", "/", "(0)"])
def test_what_is_no_number_at_all_is_left_to_the_form(text: str) -> None:
    """The form of the field refuses it, with an example in place of a guess."""
    assert telephone_number(text) == text
