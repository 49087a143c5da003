"""The pages of dates: what comes when and who puts what right, and the owner's record of care."""

from collections.abc import Iterator

from builder.guide.pages import Page
from builder.guide.schedule.entries import Schedule, ScheduleEntry
from builder.guide.schedule.wording import by_in
from builder.guide.schedule.year import year_of


def dates_page(schedule: Schedule) -> Page:
    """Windows, services, rhythms and seasons, the year as twelve months, and the cover clock."""
    rhythms, say = schedule.of_kind("rhythm"), schedule.language.say
    return Page(
        id="page:dates",
        path="dates",
        title=say("Dates and cover"),
        layout="dates",
        summary=say("What to do by when, what comes back each year, and who puts things right."),
        values={
            "completion": schedule.completion,
            "day": schedule.day,
            "by": by_in(schedule.language),
            "closes": schedule.of_kind("closes"),
            "opens": schedule.of_kind("opens"),
            "services": tuple(each for each in rhythms if each.by == "registered-person"),
            "rhythms": tuple(each for each in rhythms if each.by != "registered-person"),
            "seasons": schedule.of_kind("season"),
            "year": year_of(schedule),
            "clock": schedule.clock,
        },
    )


def care_page(schedule: Schedule, home: str) -> Page:
    """All that the owner does or has done, to be ticked on a device of their own. ``home``: its title."""
    say = schedule.language.say
    return Page(
        id="page:care",
        path="care",
        title=say("Your care record"),
        layout="care",
        summary=say("Tick what you have done, and print it as a service record."),
        values={
            "home": home,
            "by": by_in(schedule.language),
            "groups": tuple(_care_groups(schedule)),
        },
    )


def _care_groups(schedule: Schedule) -> Iterator[tuple[str, str, tuple[ScheduleEntry, ...]]]:
    """What can be ticked, under headings: services first, because cover asks for their records."""
    say = schedule.language.say
    tasks = [each for each in schedule.entries if not each.id.startswith("cover.")]
    services = [each for each in tasks if each.by == "registered-person"]
    yours = [each for each in tasks if each.by != "registered-person"]
    yield "services", say("Services"), tuple(services)
    yield "once", say("Once"), tuple(each for each in yours if each.kind in ("closes", "opens"))
    yield (
        "again-and-again",
        say("Again and again"),
        tuple(each for each in yours if each.kind == "rhythm"),
    )
    yield "by-season", say("By season"), tuple(each for each in yours if each.kind == "season")
