"""The days of a handover record follow one another as they must."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date

from builder.model.handover import OwedBy
from builder.model.record import Record, entries_of
from builder.readiness.need import Case, Lack, Need, before_closing, before_handing_over

_COMMON_PRACTICE = "common practice"
_AFTERWARDS = ("signed", "care_call", "snags_closed", "outstanding")
"""What is recorded on the day of the handover and later."""

_BY_CUSTOMER_CARE = ("demonstration", *_AFTERWARDS)

Dated = tuple[tuple[str, ...], date]


@before_handing_over(
    "days.not-ahead",
    "What is recorded as done was done by today.",
    owed_by="site",
    basis=_COMMON_PRACTICE,
)
def days_are_not_ahead(case: Case) -> Iterator[Lack]:
    for path, day in _days(case.record):
        if path[0] not in _AFTERWARDS and day > case.day:
            yield _lack_of(case, path, f"{_words_of_path(path)}: {_iso(day)} is still to come.")


@before_handing_over(
    "days.tested-first", "Every system is tested before the home is completed.",
    owed_by="site", basis=_COMMON_PRACTICE,
)  # fmt: skip
def systems_are_tested_first(case: Case) -> Iterator[Lack]:
    last = case.home.plot.completion
    for path, day in _days(case.record):
        if path[0] == "commissioning" and last is not None and day > last:
            yield _lack_of(case, path, f"{_words_of_path(path)}: {_iso(day)} is after {case.home.terms['completion']} on {_iso(last)}.")  # fmt: skip


@before_handing_over(
    "days.demonstration", "The home is shown when it works, and before it is the buyer's.",
    owed_by="customer-care", basis=_COMMON_PRACTICE,
)  # fmt: skip
def home_is_shown_in_time(case: Case) -> Iterator[Lack]:
    shown, path = case.record.demonstration, ("demonstration", "day")
    if shown is None:
        return
    # A buyer who completes from far away is shown the home on the day of the keys.
    signed, completion = case.record.signed, case.home.plot.completion
    last, event = (signed, "the day it was signed for") if signed else (completion, case.home.terms["completion"])  # fmt: skip
    if last is not None and shown.day > last:
        yield _lack_of(
            case, path, f"The home was shown on {_iso(shown.day)}, after {event}, {_iso(last)}."
        )
    tests = [day for at, day in _days(case.record) if at[0] == "commissioning"]
    if tests and shown.day < max(tests):
        yield _lack_of(case, path, f"The home was shown on {_iso(shown.day)}, before the last test on {_iso(max(tests))}.")  # fmt: skip


@before_handing_over(
    "days.stickers",
    "Stickers are scanned once they are fixed.",
    owed_by="site",
    basis=_COMMON_PRACTICE,
)
def stickers_are_scanned_after(case: Case) -> Iterator[Lack]:
    fixed, scanned = case.record.stickers.fixed, case.record.stickers.scanned
    if fixed and scanned and scanned < fixed:
        yield _lack_of(case, ("stickers", "scanned"), f"The stickers were scanned on {_iso(scanned)}, before they were fixed on {_iso(fixed)}.")  # fmt: skip


@before_closing(
    "days.closing", "The buyer signs on or after completion, and is called after that.",
    owed_by="customer-care", basis=_COMMON_PRACTICE,
)  # fmt: skip
def closing_follows_handover(case: Case) -> Iterator[Lack]:
    completion, signed = case.home.plot.completion, case.record.signed
    if completion and signed and signed < completion:
        yield _lack_of(case, ("signed",), f"The home was signed for on {_iso(signed)}, before {case.home.terms['completion']} on {_iso(completion)}.")  # fmt: skip
    for path, day in _days(case.record):
        if path[0] not in _AFTERWARDS:
            continue
        if day > case.day:
            yield _lack_of(case, path, f"{_words_of_path(path)}: {_iso(day)} is still to come.")
        elif signed and day < signed and path[0] != "outstanding":
            yield _lack_of(case, path, f"{_words_of_path(path)}: {_iso(day)} is before the home was signed for on {_iso(signed)}.")  # fmt: skip


def _days(value: object, path: tuple[str, ...] = ()) -> Iterator[Dated]:
    """Every day of a record by its path, but those that something is promised for."""
    entries = entries_of(value) if isinstance(value, Record) else value
    if isinstance(entries, Mapping):
        for name, each in entries.items():
            yield from _days(each, (*path, name))
    elif isinstance(entries, date) and path[-1] != "due":
        yield path, entries


def _words_of_path(path: tuple[str, ...]) -> str:
    words = " ".join(step for step in path if step != "day").replace("-", " ").replace("_", " ")
    return f"{words[0].upper()}{words[1:]}"


def _iso(day: date) -> str:
    return day.isoformat()


def _lack_of(case: Case, path: tuple[str, ...], says: str) -> Lack:
    owed: OwedBy = "customer-care" if path[0] in _BY_CUSTOMER_CARE else "site"
    return replace(case.at(says, *path), owed_by=owed)


DAYS: tuple[Need, ...] = (
    days_are_not_ahead, systems_are_tested_first, home_is_shown_in_time,
    stickers_are_scanned_after,
)  # fmt: skip
CLOSING_DAYS: tuple[Need, ...] = (closing_follows_handover,)
