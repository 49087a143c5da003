"""Turns what a record refuses into findings in the author's own coordinates and words."""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from builder.errors import Finding, Findings, Place, printable, suggestion
from builder.model.record import DATE_EXAMPLE, OF_WINDOWS, PATTERNS, Record
from builder.model.shape import allowed_values, known_keys, marks, type_at
from builder.model.units import In, Meant
from builder.sources.entry import Address, Entry, along, dotted, plain

Words = tuple[str, str, str]
"""Of one mistake: its code, what is wrong, and what would be right."""

MOST = 500
"""Mistakes of one file that are listed one by one."""


def check(
    entry: Entry,
    record: type[Record],
    findings: Findings,
    path: Address = (),
    plots: tuple[str, ...] = (),
) -> Any | None:
    """The record that an entry holds, or nothing and one finding for each mistake.

    ``path`` is the dotted path that leads to the entry in its file, ``plots`` whom it concerns.
    """
    try:
        return record.model_validate(plain(entry), context=record.read_as)
    except ValidationError as error:
        errors = list(_causes(error.errors(include_url=False)))
        found = [_finding(each, entry, record, path) for each in errors[:MOST]]
        findings.extend(each.for_plots(*plots) for each in _together(found))
        if len(errors) > MOST:
            findings.add(_many(entry, len(errors) - MOST).for_plots(*plots))
        return None


def _many(entry: Entry, more: int) -> Finding:
    """One finding for all mistakes of a file that nobody would read to the end."""
    return Finding(
        "data.many",
        entry.named_at,
        f"This has {more} more mistakes, which are not listed.",
        "Check that it is the right file. Mend those that are listed first.",
    )


def _causes(errors: list[ErrorDetails]) -> Iterator[ErrorDetails]:
    """The errors without what follows from others: a list is too short where its items are wrong."""
    above = {each["loc"][:depth] for each in errors for depth in range(len(each["loc"]))}
    for each in errors:
        if each["type"] != "too_short" or each["loc"] not in above:
            yield each


def _together(found: list[Finding]) -> Iterator[Finding]:
    """Numbers of one file in another unit are one mistake, told at the first of them."""
    units = [each for each in found if each.code == "data.unit"]
    yield from (each for each in found if each.code != "data.unit")
    for first in units[:1]:
        more = len(units) - 1
        others = f" So do {more} more numbers of this file." if more > 1 else ""
        others = " So does one more number of this file." if more == 1 else others
        yield replace(first, wrong=first.wrong + others)


def refused(entry: Entry, record: type[Record]) -> tuple[Address, ...]:
    """The addresses of all that a record refuses of an entry; not of what is missing."""
    try:
        record.model_validate(plain(entry), context=record.read_as)
    except ValidationError as error:
        errors = error.errors(include_url=False)
        return tuple(address_of(each) for each in errors if each["type"] != "missing")
    return ()


def address_of(details: ErrorDetails) -> Address:
    """The address of a value that was refused."""
    return tuple(step for step in details["loc"] if step != "[key]")


def _finding(
    details: ErrorDetails, entry: Entry, record: type[BaseModel], path: Address
) -> Finding:
    address = address_of(details)
    code, wrong, right = mistake(details, record, address)
    if details["type"] == "string_type" and (written := _number_as_written(entry, address)):
        wrong, right = f"{written} is not text.", f'Put it in quotes: "{written}".'
    place = _place(entry, address, named="[key]" in details["loc"] or code == "data.unknown-key")
    return Finding(code, place, wrong, right, path=dotted((*path, *address)))


def _number_as_written(entry: Entry, address: Address) -> str:
    """A number as it was written, where it is printed otherwise."""
    met = list(along(entry, address))
    return printable(met[-1][1].written) if len(met) == len(address) > 0 else ""


def _place(entry: Entry, address: Address, *, named: bool) -> Place:
    met = list(along(entry, address))
    if not met:
        return entry.named_at
    last = met[-1][1]
    return last.named_at if named or len(met) < len(address) else last.place


def mistake(details: ErrorDetails, record: type[BaseModel], address: Sequence[str | int]) -> Words:
    """What one refused value has wrong, in plain words."""
    wording = _WORDS.get(details["type"])
    if wording is None:
        message = details["msg"].replace("Input", "This")
        return "data.value", f"{message}.", "Correct the value."
    return wording(details, record, address)


Wording = Callable[[ErrorDetails, type[BaseModel], Sequence[str | int]], Words]


_SENTENCE = 240
"""Characters of what a refusal tells."""
_CHOICE = re.compile(r"'([^']*)'")


def _unknown_key(_: ErrorDetails, record: type[BaseModel], address: Sequence[str | int]) -> Words:
    known = known_keys(type_at(record, address[:-1]))
    wrong = f"'{printable(str(address[-1]))}' is not known here."
    return "data.unknown-key", wrong, suggestion(str(address[-1]), known, "Known here")


def _missing(_: ErrorDetails, __: type[BaseModel], address: Sequence[str | int]) -> Words:
    return "data.missing", f"'{address[-1]}' is missing.", f"Add a line '{address[-1]}: …'."


def _choice(details: ErrorDetails, record: type[BaseModel], address: Sequence[str | int]) -> Words:
    given = str(details["input"])
    # The id of an entry has its choices in the refusal alone: its address is that of the entry itself.
    choices = allowed_values(type_at(record, address)) or _CHOICE.findall(
        details["ctx"]["expected"]
    )
    return (
        "data.choice",
        f"'{printable(given)}' is not one of the choices.",
        suggestion(given, choices, "Choose from"),
    )


def _text(details: ErrorDetails, _: type[BaseModel], __: Sequence[str | int]) -> Words:
    given = details["input"]
    if isinstance(given, bool | int | float):
        word = str(given).lower() if isinstance(given, bool) else given
        return "data.type", f"{word} is not text.", f'Put it in quotes: "{word}".'
    return "data.type", "Text is wanted here.", "Write the text after the colon."


def _pattern(details: ErrorDetails, _: type[BaseModel], __: Sequence[str | int]) -> Words:
    wrong, right = PATTERNS.get(details["ctx"]["pattern"], ("has the wrong form", "Correct it."))
    return "data.form", f"'{printable(str(details['input']))}' {wrong}.", right


def _fixed(code: str, wrong: str, right: str) -> Wording:
    """A wording that only fills in what was given, and what the limits are."""

    def words(details: ErrorDetails, _: type[BaseModel], __: Sequence[str | int]) -> Words:
        values = {"given": _value_in_words(details["input"]), **_quoted(details.get("ctx", {}))}
        return code, wrong.format_map(values), right.format_map(values)

    return words


def _value_in_words(value: Any) -> str:
    if isinstance(value, Mapping):
        return "a mapping"
    if isinstance(value, bool):
        return str(value).lower()
    return "a list" if isinstance(value, list | tuple) else f"'{printable(str(value))}'"


def _quoted(limits: Mapping[str, Any]) -> dict[str, Any]:
    """What a refusal tells, in which a whole sentence of ours has room."""
    return {
        name: printable(each, _SENTENCE) if isinstance(each, str) else each
        for name, each in limits.items()
    }


def _lines(details: ErrorDetails, _: type[BaseModel], __: Sequence[str | int]) -> Words:
    """A text on several lines, and the same on one."""
    text = str(details["ctx"]["text"])
    lines = [" ".join(line.split()) for line in text.split("\n") if line.strip()]
    wrong = "The text stands on several lines, and one is wanted."
    if len(lines) < 2:  # noqa: PLR2004 - one line has a tab or an empty one beside it
        wrong = "The text has a tab or a line break in it."
    joined = ", ".join(line.rstrip(",") for line in lines)
    return "data.line-break", wrong, f"Write it on one line: {printable(joined)}"


def _out_of_range(wrong: str, right: str) -> Wording:
    """A number that its field cannot hold; in another unit it may be what was meant."""
    otherwise = _fixed("data.range", wrong, right)

    def words(
        details: ErrorDetails, record: type[BaseModel], address: Sequence[str | int]
    ) -> Words:
        given = details["input"]
        meant = _value_meant(given, type_at(record, address))
        if meant is None:
            return otherwise(details, record, address)
        too = wrong.format_map({"given": _value_in_words(given)})
        looks = f"{too.removesuffix('.')} for {meant.own}: it looks like {meant.other}."
        return "data.unit", looks, f"Write {meant.number}."

    return words


def _value_meant(given: object, annotation: Any) -> Meant | None:
    units = [mark for mark in marks(annotation) if isinstance(mark, In)]
    number = isinstance(given, int | float) and not isinstance(given, bool)
    return units[-1].meant(float(given)) if units and number else None  # type: ignore[arg-type]


_MAPPING = _fixed(
    "data.type", "{given} stands where a mapping is wanted.", "Write 'key: value' lines under it."
)
_LIST = _fixed(
    "data.type",
    "{given} stands where a list is wanted.",
    "Write the items in square brackets: [a, b].",
)
_NUMBER = _fixed("data.type", "{given} is not a number.", "Write a number without its unit.")
_YES_NO = _fixed("data.type", "{given} is neither true nor false.", "Write true or false.")

_WORDS: Mapping[str, Wording] = {
    "extra_forbidden": _unknown_key,
    "missing": _missing,
    "literal_error": _choice,
    "string_type": _text,
    "string_pattern_mismatch": _pattern,
    "string_too_short": _fixed("data.empty", "The text is empty.", "Write the text, or delete the line."),
    "too_short": _fixed("data.too-few", "{actual_length} stand here; at least {min_length} are wanted.", "Add what is missing."),
    "too_long": _fixed("data.too-many", "{actual_length} stand here; at most {max_length} are wanted.", "Delete what is too much."),
    "model_type": _MAPPING,
    "model_attributes_type": _MAPPING,
    "dict_type": _MAPPING,
    "mapping_type": _MAPPING,
    "tuple_type": _LIST,
    "list_type": _LIST,
    "int_type": _NUMBER,
    "int_parsing": _NUMBER,
    "int_from_float": _fixed("data.type", "{given} is not a whole number.", "Write a whole number."),
    "float_type": _NUMBER,
    "float_parsing": _NUMBER,
    "finite_number": _NUMBER,
    "bool_type": _YES_NO,
    "bool_parsing": _YES_NO,
    "greater_than": _out_of_range("{given} is too small.", "Write a number above {gt:g}."),
    "less_than": _out_of_range("{given} is too large.", "Write less than {lt:g}."),
    "int_parsing_size": _NUMBER,
    "greater_than_equal": _out_of_range("{given} is too small.", "Write {ge:g} or more."),
    "less_than_equal": _out_of_range("{given} is too large.", "Write {le:g} or less."),
    "date_form": _fixed("data.date", "'{given}' is not a date.", f"Write year, month and day: {DATE_EXAMPLE}."),
    "string_too_long": _fixed("data.too-long", "The text is too long: at most {max_length} characters are wanted.", "Shorten it."),
    "device": _fixed("data.form", f"{{given}} {OF_WINDOWS[0]}.", OF_WINDOWS[1]),
    "hidden": _fixed("data.hidden-character", "The character U+{number:04X} here cannot be seen or printed.", "Delete it, or type the text again."),
    "line_break": _lines,
    "date_order": _fixed("data.date", "'{given}' is not a date in the form that is read here.", "Write year, month and day: {day}."),
    "date_range": _fixed("data.date", "'{given}' is too far away.", "Write a day of the years {earliest} to {latest}."),
    "term_long": _fixed("data.range", "'{given}' is too long a time.", "Write at most {most}."),
    "number_range": _fixed("data.range", "{given} is too large.", "Write a number that can be right."),
    "date_absent": _fixed("data.date", "'{given}' is a day that does not exist.", "Write a day of the calendar."),
    "telephone": _fixed("data.telephone", "{wrong}.", "{right}"),
    "markup": _fixed("data.markup", "'{markup}' is markup, and data is plain text.", "Write the words only."),
    "place_marker": _fixed("place.marker", "'{{{marker}}}' is not a marker.", "The markers are {{left}} and {{right}}."),
    "marker_elsewhere": _fixed("place.marker-elsewhere", "'{{{marker}}}' is a marker of places, and would be printed as it stands here.", "Say it without the side, or move it to 'place' or 'note'."),
    "bare_hand": _fixed("place.bare-hand", "'{word}' would be wrong in the plots of the other hand.", "Write '{{{marker}}}' as drawn; the builder turns it round."),
    "marker_standing": _fixed("place.marker-standing", "'{{{marker}}}' follows the hand of a plot, and what homes share is not mirrored.", "Write 'left' or 'right' as one finds it there."),
    "fact_type": _fixed("data.type", "{given} is not a fact.", "Write text, a number, true or false."),
    "task_untimed": _fixed("task.untimed", "This task does not say when.", "Add one of opens, closes, every or months."),
    "source_unnamed": _fixed("source.unnamed", "A published fact names its document and place.", "Add 'document' and 'where', or write 'from memory'."),
}  # fmt: skip
