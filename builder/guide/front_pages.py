"""The pages that come first: this home, in an emergency, the first weeks."""

from collections.abc import Iterator
from datetime import date
from typing import Any

from builder.guide.about import About
from builder.guide.pages import Link, Page, looked_for
from builder.guide.part_ways import PartWay, ways_to_parts
from builder.guide.pieces import Piece, inner, shuts_off
from builder.guide.plan.drawing import Highlight
from builder.guide.schedule.entries import Period, Schedule
from builder.guide.schedule.sold import asking_notice, owner_now
from builder.guide.schedule.wording import call_of, in_months
from builder.guide.terms import every, not_before, within
from builder.guide.urgent import urgent_contacts
from builder.home.lengths import after
from builder.languages.language import to_say
from builder.model.article import Article, FrontMatter, Task
from builder.model.cover import Cover, LaterOwner

_TURN_OFF = {
    "water": to_say("Turn off the water"),
    "reused-water": to_say("Turn off the water that is used again"),
    "gas": to_say("Turn off the gas"),
    "oil": to_say("Turn off the oil"),
    "electricity": to_say("Turn off the electricity"),
    "heating": to_say("Turn off the heating"),
}
FIRST_WEEKS = "8 weeks"
"""How long the first weeks last: the longest of their windows, new turf (common practice)."""
SETTLED = "6 months"
"""How long after completion the first page leads to what matters in the first weeks."""

_ANY_DAY = date(2001, 1, 1)
"""Terms are compared by the days they end on, counted from one and the same day."""


def home_page(
    about: About,
    systems: tuple[Link, ...],
    rooms: tuple[Link, ...],
    schedule: Schedule,
    stops: int = 0,
) -> Page:
    """The first page: what cannot wait, what is due, where things are, and then everything else.

    ``stops``: of the walk round this home, none where there is no walk.
    """
    home = about.home
    return Page(
        id="page:home",
        path="",
        title=about.say("This home"),
        layout="home",
        summary=about.say("The first page of your guide."),
        values={
            **_facts(about),
            "off": tuple(_off(about)),
            "wrong": "page:wrong",
            "completed": home.plot.completion,
            "entries": schedule.entries if home.plot.completion else (),
            "who": puts_faults_right(schedule),
            "plan": _bare_plan(about),
            "stops": stops,
            "first_weeks": first_links(about),
            "settled": _settled(about),
            "sold": owner_now(about) is not None,
            "deadlines": tuple(each for each in _early_tasks(about) if each["closes"]),
            "systems": systems,
            "rooms": rooms,
            "room_pictures": {
                f"room:{name}": room.photo for name, room in home.rooms.items() if room.photo
            },
        },
    )


def _settled(about: About) -> str:
    """The last day on which the first page leads to what matters in the first weeks, where it is known."""
    completion = about.home.plot.completion
    return after(completion, SETTLED).isoformat() if completion else ""


def _facts(about: About) -> dict[str, Any]:
    """What stands last on the first page: which home this is."""
    home = about.home
    return {
        "builder": home.builder.name,
        "development": home.development.name,
        "plot": home.plot.number,
        "address": home.plot.address,
        "postcode": home.plot.postcode,
        "house_type": home.house_type.name,
        "house_type_summary": home.house_type.summary,
        "options": tuple(option.name for option in home.options.values()),
        "completion": home.plot.completion and about.language.day(home.plot.completion),
        "completion_day": home.terms["completion-day"],
    }


_OFF = {
    "water": to_say("Water off"),
    "electricity": to_say("Power off"),
    "gas": to_say("Gas off"),
    "oil": to_say("Oil off"),
    "heating": to_say("Heating off"),
}
"""The supplies in the order in which they cannot wait, and what is written large for each."""
MOST_OFF = 3
"""Supplies on the first page: with the way out of a fire they are four, two by two."""


def _off(about: About) -> Iterator[dict[str, str]]:
    """What cannot wait: where each supply is turned off, in one line, and what to do in a fire."""
    groups = {each["supply"]: each["pieces"] for each in turn_off(about)}
    for supply in [each for each in _OFF if each in groups][:MOST_OFF]:
        first, *others = groups[supply]
        # Two of one kind each turn off a part of the home: which, is said on the emergency page.
        several = any(other.kind == first.kind for other in others) or not first.has_page
        yield {
            "supply": supply,
            "title": about.language.text(_OFF[supply]),
            "place": f"{first.room}: {first.place}",
            "target": "page:emergency" if several else f"equipment:{first.id}",
        }
    yield {
        "supply": "fire",
        "title": about.say("Fire or smell of gas")
        if may_smell_of_gas(about)
        else about.say("Fire"),
        "place": about.say("What to do, in order"),
        "target": "page:emergency",
    }


def may_smell_of_gas(about: About) -> bool:
    """Whether a fuel of this home is a gas."""
    known = (about.home.fuels.get(each) for each in about.fuels)
    return any(fuel.gas for fuel in known if fuel)


def puts_faults_right(schedule: Schedule) -> tuple[Period, ...]:
    """Who puts faults right, one after the other: of all matters, the one that somebody answers
    for longest from the first day on."""
    ending = {line.id: line.periods[0].last for line in schedule.clock if line.periods}
    lines = [line for line in schedule.clock if ending.get(line.id) and line.periods[0].call]
    longest = max(lines, key=lambda line: ending[line.id] or date.min, default=None)
    return longest.periods if longest else ()


def _bare_plan(about: About) -> Highlight | None:
    """The floor of the front door without marks, small enough to be a picture of the home."""
    plans = about.plans
    return plans.bare(plans.entrance) if plans.entrance else None


def emergency_page(about: About) -> Page:
    return Page(
        id="page:emergency",
        path="emergency",
        title=about.say("In an emergency"),
        layout="emergency",
        summary=about.say("Where to turn things off in this home, and whom to call."),
        values={
            "turn_off": turn_off(about),
            "ways": ways_that_are_known(about),
            "contacts": urgent_contacts(about),
            "urgent": urgent_links(about),
            "address": about.home.plot.address,
            "postcode": about.home.plot.postcode,
            "way_in": way_in(about),
            "by_text": by_text(about),
        },
    )


def way_in(about: About) -> str:
    """What whoever comes to help is told of the way in, or nothing."""
    building = about.home.building
    return (building and building.help_gets_in) or ""


def by_text(about: About) -> str:
    """How whoever does not hear on the telephone calls for help, in a home that was built for somebody
    who does not hear well (West Yorkshire Police, on the text service of the emergency services)."""
    if "hard-hearing" not in about.true_names:
        return ""
    return about.say(
        "You do not hear on the telephone? Send a text to 999: what has happened, and this address."
        " It works only once you have texted the word register to 999."
    )


def first_weeks_page(about: About) -> Page:
    """What matters first, in order: for the first owner."""
    return Page(
        id="page:first-weeks",
        path="first-weeks",
        title=about.say("Your first weeks"),
        layout="first-weeks",
        summary=about.say("What matters first, in order, and by when."),
        values={"links": first_links(about), "tasks": tuple(_early_tasks(about))},
    )


def turn_off(about: About) -> tuple[dict[str, Any], ...]:
    """For each supply of this home: where it is turned off."""
    return tuple(
        {
            "supply": supply,
            "title": about.language.text(title),
            "pieces": pieces,
            "effects": {piece.id: _effect(piece, supply, about) for piece in pieces},
        }
        for supply, title in _TURN_OFF.items()
        if (pieces := _turning_off(supply, about))
    )


_OF_A_PART = {"electricity": "garage-consumer-unit"}
"""Kinds that turn a supply off in a part of a home alone."""


def _turning_off(supply: str, about: About) -> tuple[Piece, ...]:
    """What turns a supply off; last, and never alone, what does so in a part of the home."""
    whole = tuple(piece for piece in about.pieces if piece.turns_off == supply)
    parts = (piece for piece in about.pieces if _OF_A_PART.get(supply) in piece.does)
    return (*whole, *(piece for piece in parts if piece not in whole)) if whole else ()


def ways_that_are_known(about: About) -> tuple[PartWay, ...]:
    """How one gets to each part that is lived in by itself, where something is known of it."""
    return tuple(each for each in ways_to_parts(about.home, about.language) if each.says)


def _effect(piece: Piece, supply: str, about: About) -> str:
    """What a piece turns off where that is said, and what stops with it."""
    told = [piece.what] if piece.turns_off == "reused-water" else []
    if piece.serves:
        told = [shuts_off(supply, piece.serves, about.language)]
    if piece.turns_off == "water" and stops_sprinklers(piece, about):
        mist = "mist" in about.true_names
        stops = to_say("The mist nozzles stop too.") if mist else to_say("The sprinklers stop too.")
        told.append(about.language.text(stops))
    if piece.turns_off == "electricity":
        told.extend(
            about.say("The battery goes on feeding %(what)s.", what=inner(what))
            for what in fed_by_batteries(about)
        )
    return " ".join(told)


def fed_by_batteries(about: About) -> Iterator[str]:
    """What goes on without the mains, and behind a main switch that is off, because a battery feeds it."""
    for piece in about.pieces:
        if "home-battery" in piece.does and "feeds" in dict(piece.facts_by_id):
            yield dict(piece.facts_by_id)["feeds"]


def stops_sprinklers(piece: Piece, about: About) -> bool:
    """Whether the sprinklers get no more water when a piece is shut."""
    if "external-stop-tap" in piece.does:
        return "sprinklers-from-mains" in about.true_names
    return "sprinklers-after-stopcock" in about.true_names and not piece.serves


def urgent_links(about: About) -> tuple[Link, ...]:
    return tuple(
        article_link(article) for article in about.selection.articles if article.front.urgent
    )


def first_links(about: About) -> tuple[Link, ...]:
    if owner_now(about) is not None:
        return ()
    first = [article for article in about.selection.articles if article.front.first_weeks]
    ordered = sorted(first, key=lambda article: (article.front.first_weeks or 0, article.id))
    return tuple(article_link(article) for article in ordered)


def article_link(article: Article) -> Link:
    return Link(article.front.title, f"article:{article.id}", article.front.summary)


def _early_tasks(about: About) -> Iterator[dict[str, Any]]:
    """What is to be done in the first weeks, in the order of the days it ends or begins on."""
    completion = about.home.plot.completion
    if owner_now(about) is not None:
        return
    found = [
        (after(_ANY_DAY, task.closes or task.opens or FIRST_WEEKS), article, task)
        for article in about.selection.articles
        for task in article.front.tasks.values()
        if _early(task) and about.applies(task)
    ]
    for _, article, task in sorted(found, key=lambda each: (each[0], each[1].id, each[2].do)):
        yield {
            "do": task.do,
            "when": task_time(task, about),
            "link": article_link(article),
            "dated": completion is not None,
            "closes": task.closes is not None,
        }


def _early(task: Task) -> bool:
    term = task.closes or task.opens
    return term is not None and after(_ANY_DAY, term) <= after(_ANY_DAY, FIRST_WEEKS)


def task_time(task: Task, about: About) -> str:
    """When a task is due in this home, in words."""
    completion, language = about.home.plot.completion, about.language
    parts = []
    if task.opens:
        parts.append(not_before(task.opens, completion, about.counted_from, language))
    if task.closes:
        parts.append(within(task.closes, completion, about.counted_from, language))
    if task.every:
        parts.append(every(task.every, language))
    if task.months:
        parts.append(in_months(task.months, language))
    return ", ".join(parts)


def cautions_of(front: FrontMatter, about: About) -> tuple[dict[str, str], ...]:
    return tuple(
        {
            "danger": caution.danger,
            "stop": caution.stop,
            "call": caution.call,
        }
        for caution in front.cautions.values()
        if about.applies(caution)
    )


def owner_page(about: About) -> Page | None:
    """What a later owner reads first, or no page while the first owner has the home."""
    owner = owner_now(about)
    if owner is None:
        return None
    return Page(
        # It stands where the first weeks stood: what led there leads to what a later owner reads first.
        id="page:first-weeks",
        path="first-weeks",
        title=about.say("Now that this home is yours"),
        layout="next-owner",
        summary=about.say(
            "What was handed on to you, whom to tell, and who puts things right from now on."
        ),
        values={
            "since": owner.since,
            "tell": tuple(_tell(about)),
            "documents": tuple(_handed(about, owner)),
            "keys": tuple(
                {"name": key.name, "opens": key.opens, "count": key.count, "handed": name in owner.keys}
                for name, key in about.home.keys.items()
            ),
        },
        called=looked_for(about.say("bought|new owner|moved in|previous owner|seller")),
    )  # fmt: skip


def _tell(about: About) -> Iterator[dict[str, Any]]:
    for _, cover, last in asking_notice(about):
        yield {"name": cover.name, "by": last, "call": _call(cover, about),
               "matters": tuple(about.home.matters[each].name for each in cover.matters)}  # fmt: skip


def _call(cover: Cover, about: About) -> Any:
    contact = about.home.contacts[cover.contact] if cover.contact in about.contacts else None
    return call_of(contact) if contact else None


def _handed(about: About, owner: LaterOwner) -> Iterator[dict[str, Any]]:
    for name, document in about.home.documents.items():
        if about.applies(document):
            yield {"name": document.name, "handed": name in owner.documents}
