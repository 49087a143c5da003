"""Makes the schedule of one home: tasks, covers and appliances in one order, with closed offices."""

from dataclasses import replace
from datetime import date

from builder.guide.about import About
from builder.guide.schedule.appliances import appliance_entries
from builder.guide.schedule.clock import clock, covers_of
from builder.guide.schedule.cover_entries import cover_entries
from builder.guide.schedule.entries import Schedule, ScheduleEntry
from builder.guide.schedule.offices import closed_note
from builder.guide.schedule.sold import owner_now
from builder.guide.schedule.tasks import task_entries
from builder.guide.schedule.wording import call_of
from builder.home.lengths import after
from builder.layers.memo import Memo
from builder.model.people import Contact

_ANY_DAY = date(2001, 1, 1)
"""While completion is not known, entries stand in the order that they have from one and the same day."""


def schedule_of(about: About) -> Schedule:
    """The schedule of a home. While completion is not known it is all in words, with no date."""
    completion = about.home.plot.completion
    entries = (*cover_entries(about), *task_entries(about), *appliance_entries(about))
    offices = _offices(about, completion) if completion else {}
    told = _reported_on(about)
    noted = [_noted(entry, offices, about, told) for entry in entries]
    if completion is None:
        order = _order(about)
        noted.sort(key=lambda entry: order[entry.id])
    else:
        noted.sort(key=lambda entry: entry.first or date.max)
    mine = tuple(each for each in noted if not _was_before(each, about))
    return Schedule(
        completion, mine, clock(about), about.home.terms["completion-day"], about.language
    )


def _was_before(entry: ScheduleEntry, about: About) -> bool:
    """Whether a window was an earlier owner's: it was over, or had opened, when the home was sold on."""
    owner = owner_now(about)
    window = entry.kind in ("closes", "opens")
    return bool(owner and window and entry.first and entry.first < owner.since)


def _order(about: About) -> dict[str, int]:
    """The order that the entries would have, counted from any day."""
    plot = about.home.plot.model_copy(update={"completion": _ANY_DAY})
    supposed = replace(
        about.plainly,
        home=about.plainly.home.model_copy(update={"plot": plot}),
        kept=Memo(),
        without_own=None,
        as_drawn=None,
    )
    return {entry.id: index for index, entry in enumerate(schedule_of(supposed).entries)}


def _offices(about: About, completion: date) -> dict[date, Contact]:
    """Which office to tell on which day: that of the cover whose last day it is."""
    return {
        after(completion, cover.ends): about.home.contacts[cover.contact]
        for cover in reversed(covers_of(about).values())
        if cover.ends and cover.anchor == "completion" and cover.contact in about.contacts
    }


def _reported_on(about: About) -> frozenset[str]:
    """The entries on whose last day something is reported, by their ids: their words say so."""
    plainly = about.plainly
    entries = (*cover_entries(plainly), *task_entries(plainly))
    return frozenset(each.id for each in entries if "report" in each.what.lower())


def _noted(
    entry: ScheduleEntry, offices: dict[date, Contact], about: About, told: frozenset[str]
) -> ScheduleEntry:
    """A last day to report, with whom to call, and a warning where that office is closed on it."""
    completion = about.home.plot.completion
    if entry.kind != "closes" or entry.first is None or completion is None:
        return entry
    contact = offices.get(entry.first)
    if contact is None or entry.id not in told:
        return entry
    note = closed_note(contact, entry.first, completion, about)
    return replace(entry, note=note, call=entry.call or call_of(contact))
