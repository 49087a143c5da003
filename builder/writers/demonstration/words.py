"""What the run sheet says on paper, on a tablet and on a terminal: one wording for all three."""

from collections.abc import Iterator
from math import ceil
from typing import Any, get_args

from builder.demonstration.sheet import Meter, RunSheet
from builder.guide.walk.stops import Item, Stop
from builder.guide.walk.things import Thing
from builder.model.handover import Role

PRIVATE = (
    "Private: it holds serial numbers and, once filled in, readings and names. Keep it off the web."
)
NOT_PROOF = (
    "The digest of an exported record shows damage and changes after the export. It does not prove who wrote it."
)  # fmt: skip
SIGNERS = (
    ("buyer", "Buyer"),
    ("second-buyer", "Second buyer"),
    ("builder", "For the builder"),
)
DIGEST_ON_PAPER = (
    "If a tablet kept the record, copy the first eight characters of its digest here, so that this "
    "sheet and that file belong together:"
)
LINES_FOR_OPEN_ITEMS = 8
"""Empty lines for what is found on the day: more than most walks need."""


def long_time(minutes: float) -> str:
    """Minutes as people say them: "2 hours 28 minutes"."""
    hours, rest = divmod(round(minutes), 60)
    parts = [_counted(hours, "hour"), _counted(rest, "minute")]
    return " ".join(part for part in parts if part) or "0 minutes"


def _counted(number: int, thing: str) -> str:
    return f"{number} {thing}{'' if number == 1 else 's'}" if number else ""


def about_home(sheet: RunSheet) -> str:
    """One line that says which home this is."""
    options = f", with {', '.join(sheet.options)}" if sheet.options else ""
    return f"{sheet.development}. House type {sheet.house_type}{options}."


def about_walk(sheet: RunSheet) -> str:
    """How long it takes, how far it goes, and where it ends."""
    inside = f" The way inside is {sheet.metres:.0f} m." if sheet.metres else ""
    stops = _counted(len(sheet.stops), "stop")
    end = f"{sheet.end[0].lower()}{sheet.end[1:]}"
    return f"{stops}, {long_time(sheet.minutes)}.{inside} It ends at the {end}."


def spoken_role(role: str) -> str:
    """A role as people say it: "site-manager" is "Site manager"."""
    return role.replace("-", " ").capitalize()


def heading(stop: Stop, number: int) -> str:
    floor = f", {stop.floor[0].lower()}{stop.floor[1:]}" if stop.floor else ""
    return f"{number}. {stop.title}{floor}"


def time_at(stop: Stop) -> str:
    return f"{ceil(stop.minutes)} min"


def of_thing(thing: Thing) -> str:
    """Where a thing is, and what the person who shows it has at hand."""
    told = [*filter(None, [thing.place]), *thing.details]
    if thing.serial:
        told.append(f"Serial number: {thing.serial}")
    return " ".join(f"{line[0].upper()}{line[1:].rstrip('.')}." for line in told)


def item_lines(item: Item) -> Iterator[tuple[str, str]]:
    """What is done with an item after the cautions: a word, and a text."""
    if item.as_at:
        yield "Again", f"shown in full at: {item.as_at}."
        return
    yield "Show", item.show
    if item.say:
        yield "Say", item.say
    if item.article:
        yield "Guide", item.article


def of_meter(meter: Meter) -> str:
    supplier = f" {meter.supplier}." if meter.supplier else ""
    return f"{meter.title}. {meter.where}.{supplier}"


def plain_sheet(sheet: RunSheet) -> dict[str, Any]:
    """The whole sheet as plain values in the wording of this module, for templates."""
    return {
        "title": sheet.title,
        "address": sheet.address,
        "plot": sheet.plot,
        "mark": sheet.mark,
        "builder": sheet.builder,
        "home": about_home(sheet),
        "walk": about_walk(sheet),
        "private": PRIVATE,
        "not_proof": NOT_PROOF,
        "digest": DIGEST_ON_PAPER,
        "before": [{"id": each.id, "text": each.text} for each in sheet.before],
        "stops": [_stop(stop, number) for number, stop in enumerate(sheet.stops, 1)],
        "meters": [
            {
                "id": each.id,
                "title": each.title,
                "text": of_meter(each),
                "serial": each.serial or "",
            }
            for each in sheet.meters
        ],
        "key_counts": [
            {"id": each.id, "name": each.name, "opens": each.opens, "count": each.count}
            for each in sheet.keys
        ],
        "alarms": [
            {"id": each.id, "title": each.title, "where": each.where} for each in sheet.alarms
        ],
        "documents": [{"id": each.id, "text": each.text} for each in sheet.documents],
        "outstanding": [
            {"id": each.id, "note": each.note, "due": each.due} for each in sheet.outstanding
        ],
        "open_lines": LINES_FOR_OPEN_ITEMS,
        "roles": [{"id": role, "name": spoken_role(role)} for role in get_args(Role)],
        "signers": [{"id": signer, "name": name} for signer, name in SIGNERS],
    }


def _stop(stop: Stop, number: int) -> dict[str, Any]:
    return {
        "id": stop.id,
        "number": number,
        "title": stop.title,
        "heading": heading(stop, number),
        "time": time_at(stop),
        "way": stop.way,
        "parts": [_item(item) for item in stop.items],
    }


def _item(item: Item) -> dict[str, Any]:
    return {
        "id": item.id,
        "heading": item.title if len(item.things) > 1 or item.things[0].above else "",
        "cautions": list(item.cautions),
        "things": [
            {"id": each.id, "title": each.title, "text": of_thing(each)} for each in item.things
        ],
        "lines": [{"word": word, "text": text} for word, text in item_lines(item)],
        "tries": item.tries or "",
    }
