"""What changed in a guide, kept in its record as plain data: what its pages say now, and the log."""

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any, get_args

from builder.build.manifest import GuideRecord
from builder.guide.changes import Content, How, compared, with_day
from builder.guide.pages import ChangedDay, ChangedPage

_HOW: tuple[How, ...] = get_args(How)


def log_after(
    before: GuideRecord | None, now: Mapping[str, Content], day: date
) -> tuple[ChangedDay, ...]:
    """The log of a guide that is published on a day with these pages; newest first.

    Where no page was recorded before, nothing can be said to have changed.
    """
    if before is None:
        return ()
    log, pages = kept_log(before), kept_contents(before)
    return with_day(log, day, compared(pages, now)) if pages else log


def contents_as_kept(contents: Mapping[str, Content]) -> Mapping[str, str]:
    """What pages say, as plain data: of each page a digest, a space, and its title."""
    return {page: f"{each.digest} {each.title}" for page, each in contents.items()}


def kept_contents(record: GuideRecord) -> Mapping[str, Content]:
    """What pages said when a guide was published."""
    parts = {page: text.partition(" ") for page, text in record.pages.items()}
    return {page: Content(digest, title) for page, (digest, _, title) in parts.items()}


def log_as_kept(changes: Iterable[ChangedDay]) -> tuple[Mapping[str, Any], ...]:
    """A log as plain data."""
    return tuple(
        {
            "day": each.day.isoformat(),
            "pages": [
                {"page": page.page, "title": page.title, "how": page.how} for page in each.pages
            ],
        }
        for each in changes
    )


def kept_log(record: GuideRecord) -> tuple[ChangedDay, ...]:
    """The log of a guide that was published; an entry that cannot be read is left out."""
    return tuple(day for each in record.changes if (day := _day(each)) is not None)


def _day(kept: Mapping[str, Any]) -> ChangedDay | None:
    try:
        pages = tuple(_page(each) for each in kept["pages"])
        return ChangedDay(date.fromisoformat(kept["day"]), pages)
    except (KeyError, TypeError, ValueError):
        return None


def _page(kept: Mapping[str, Any]) -> ChangedPage:
    return ChangedPage(str(kept["page"]), str(kept["title"]), _HOW[_HOW.index(kept["how"])])
