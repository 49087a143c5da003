"""The calendar of one plot. What writes it takes long to load, so only its places are here."""

from builder.guide.pages import Guide

CALENDAR = "calendar.ics"
"""Its file, beside the pages of the guide."""


def by_places(guide: Guide) -> dict[str, Guide]:
    """A guide in each of its languages, by the path of that one's calendar in the guide. A home whose
    completion is not known has none."""
    if guide.schedule.completion is None:
        return {}
    return {f"{each.folder}/{CALENDAR}".lstrip("/"): each for each in (guide, *guide.others)}
