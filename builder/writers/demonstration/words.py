"""What the run sheet says on paper, on a tablet and on a terminal: one wording for all three."""

from collections.abc import Iterator
from math import ceil
from typing import Any, get_args

from builder.demonstration.sheet import Meter, RunSheet
from builder.guide.walk.stops import Item, Stop
from builder.guide.walk.things import Thing
from builder.languages.language import FIRST, Language, to_say
from builder.model.handover import Role

PRIVATE = to_say(
    "Private: it holds serial numbers and, once filled in, readings and names. Keep it off the web."
)
NOT_PROOF = to_say(
    "The digest of an exported record shows damage and changes after the export. It does not prove who wrote it."
)  # fmt: skip
SIGNERS = (
    ("buyer", to_say("Buyer")),
    ("second-buyer", to_say("Second buyer")),
    ("builder", to_say("For the builder")),
)
DIGEST_ON_PAPER = to_say(
    "If a tablet kept the record, copy the first eight characters of its digest here, so that this "
    "sheet and that file belong together:"
)
LINES_FOR_OPEN_ITEMS = 8
"""Empty lines for what is found on the day: more than most walks need."""


def long_time(minutes: float, language: Language = FIRST) -> str:
    """Minutes as people say them: "2 hours 28 minutes"."""
    hours, rest = divmod(round(minutes), 60)
    parts = [language.say_number("1 hour", "%(count)d hours", hours)] if hours else []
    if rest or not hours:
        parts.append(language.say_number("1 minute", "%(count)d minutes", rest))
    return " ".join(parts)


def about_home(sheet: RunSheet, language: Language = FIRST) -> str:
    """One line that says which home this is."""
    home = {"development": sheet.development, "house_type": sheet.house_type}
    if not sheet.options:
        return language.say("%(development)s. House type %(house_type)s.", **home)
    options = ", ".join(sheet.options)
    return language.say(
        "%(development)s. House type %(house_type)s, with %(options)s.", **home, options=options
    )


def about_walk(sheet: RunSheet, language: Language = FIRST) -> str:
    """How long it takes, how far it goes, and where it ends."""
    say = language.say
    time = long_time(sheet.minutes, language)
    stops = language.say_number("1 stop", "%(count)d stops", len(sheet.stops))
    parts = [f"{stops}, {time}."]
    if sheet.metres:
        parts.append(say("The way inside is %(metres)s m.", metres=f"{sheet.metres:.0f}"))
    end = f"{sheet.end[0].lower()}{sheet.end[1:]}"
    return " ".join([*parts, say("It ends at the %(door)s.", door=end)])


_ROLES = (
    to_say("Site manager"), to_say("Plumber"), to_say("Heating engineer"), to_say("Gas engineer"),
    to_say("Electrician"), to_say("Ventilation engineer"), to_say("Solar installer"),
    to_say("Sprinkler engineer"), to_say("Technical"), to_say("Sales"), to_say("Customer care"),
)  # fmt: skip
"""All roles as people say them."""


def spoken_role(role: str, language: Language = FIRST) -> str:
    """A role as people say it: "site-manager" is "Site manager"."""
    return language.text(role.replace("-", " ").capitalize())


def heading(stop: Stop, number: int) -> str:
    floor = f", {stop.floor[0].lower()}{stop.floor[1:]}" if stop.floor else ""
    return f"{number}. {stop.title}{floor}"


def time_at(stop: Stop, language: Language = FIRST) -> str:
    return language.say("%(minutes)s min", minutes=ceil(stop.minutes))


def of_thing(thing: Thing, language: Language = FIRST) -> str:
    """Where a thing is, and what the person who shows it has at hand."""
    told = [*filter(None, [thing.place]), *thing.details]
    if thing.serial:
        told.append(language.say("Serial number: %(number)s", number=thing.serial))
    return " ".join(f"{line[0].upper()}{line[1:].rstrip('.')}." for line in told)


def item_lines(item: Item, language: Language = FIRST) -> Iterator[tuple[str, str]]:
    """What is done with an item after the cautions: a word, and a text."""
    say = language.say
    if item.as_at:
        yield say("Again"), say("shown in full at: %(stop)s.", stop=item.as_at)
        return
    yield say("Show"), item.show
    if item.say:
        yield say("Say"), item.say
    if item.article:
        yield say("Guide"), item.article


def of_meter(meter: Meter) -> str:
    supplier = f" {meter.supplier}." if meter.supplier else ""
    return f"{meter.title}. {meter.where}.{supplier}"


def plain_sheet(sheet: RunSheet, language: Language = FIRST) -> dict[str, Any]:
    """The whole sheet as plain values in the wording of this module, for templates."""
    return {
        "language": language.code,
        "title": sheet.title,
        "address": sheet.address,
        "plot": sheet.plot,
        "mark": sheet.mark,
        "builder": sheet.builder,
        "home": about_home(sheet, language),
        "walk": about_walk(sheet, language),
        "private": language.text(PRIVATE),
        "not_proof": language.text(NOT_PROOF),
        "digest": language.text(DIGEST_ON_PAPER),
        "before": [{"id": each.id, "text": each.text} for each in sheet.before],
        "stops": [_stop(stop, number, language) for number, stop in enumerate(sheet.stops, 1)],
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
        "roles": [{"id": role, "name": spoken_role(role, language)} for role in get_args(Role)],
        "signers": [{"id": signer, "name": language.text(name)} for signer, name in SIGNERS],
    }


def _stop(stop: Stop, number: int, language: Language) -> dict[str, Any]:
    return {
        "id": stop.id,
        "number": number,
        "title": stop.title,
        "heading": heading(stop, number),
        "time": time_at(stop, language),
        "way": stop.way,
        "parts": [_item(item, language) for item in stop.items],
    }


def _item(item: Item, language: Language) -> dict[str, Any]:
    return {
        "id": item.id,
        "heading": item.title if len(item.things) > 1 or item.things[0].above else "",
        "cautions": list(item.cautions),
        "things": [
            {"id": each.id, "title": each.title, "text": of_thing(each, language)}
            for each in item.things
        ],
        "lines": [{"word": word, "text": text} for word, text in item_lines(item, language)],
        "tries": item.tries or "",
    }
