"""The run sheet on a terminal: plain lines, boxes to tick, the same words as on paper."""

from collections.abc import Iterator
from typing import Any

from builder.demonstration.sheet import RunSheet
from builder.writers.demonstration.words import plain_sheet

_BOX = "[ ]"


def text_of(sheet: RunSheet) -> str:
    """The whole run sheet as text, one line for each thing to tick."""
    values = plain_sheet(sheet)
    parts = (
        (f"Demonstration: {values['title']}", values["home"], values["walk"], values["private"]),
        _checks("Before the buyer comes", values["before"]),
        _meters(values["meters"]),
        *(tuple(_stop(stop)) for stop in values["stops"]),
        _alarms(values["alarms"]),
        _keys(values["key_counts"]),
        _checks("Papers handed over", values["documents"]),
        _open(values["outstanding"], values["open_lines"]),
        (
            "Signatures",
            *(f"    {each['name']}: ______  Date: ______" for each in values["signers"]),
        ),
    )
    return "\n".join("\n".join(part) + "\n" for part in parts if len(part) > 1)


def _checks(title: str, checks: list[dict[str, Any]]) -> tuple[str, ...]:
    return (title, *(f"    {_BOX} {each['text']}" for each in checks))


def _meters(meters: list[dict[str, Any]]) -> tuple[str, ...]:
    return ("Meters to read", *(
        f"    {_BOX} {each['text']} Serial number: {each['serial'] or '______'}  Reading: ______"
        for each in meters
    ))  # fmt: skip


def _stop(stop: dict[str, Any]) -> Iterator[str]:
    yield f"{stop['heading']} ({stop['time']})"
    if stop["way"]:
        yield f"    {stop['way']}"
    for item in stop["parts"]:
        yield from _item(item)


def _item(item: dict[str, Any]) -> Iterator[str]:
    if item["heading"]:
        yield f"  {item['heading']}"
    yield from (f"    Take care: {caution}" for caution in item["cautions"])
    told = (f"{thing['title']}. {thing['text']}".rstrip() for thing in item["things"])
    yield from (f"    {_BOX} {each}" for each in told)
    yield from (f"        {line['word']}: {line['text']}" for line in item["lines"])
    if item["tries"]:
        yield f"    {_BOX} The buyer: {item['tries']}"


def _alarms(alarms: list[dict[str, Any]]) -> tuple[str, ...]:
    sounded = (f"    {_BOX} {each['title']}. {each['where']}." for each in alarms)
    return ("Alarms to sound", *sounded)


def _keys(keys: list[dict[str, Any]]) -> tuple[str, ...]:
    counted = (
        f"    {_BOX} {each['name']}, for {each['opens']}. Schedule: {each['count']}  Counted: ______"
        for each in keys
    )
    return ("Keys and fobs, counted against the schedule", *counted)


def _open(outstanding: list[dict[str, Any]], lines: int) -> tuple[str, ...]:
    known = (f"    {_BOX} {each['note']} Promised for {each['due']}." for each in outstanding)
    return ("Still to be done", *known, *(["    ______  By: ______"] * lines))
