"""The calendars of one plot: made, or taken from where they are published and would say the same."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from builder.digests import of_texts
from builder.guide.pages import Guide
from builder.writers.calendar import by_places
from builder.writers.site.sites import PublishedGuide


def made_from(guide: Guide, code: str, dates: Mapping[str, str]) -> dict[str, str]:
    """A digest of all that each calendar of a guide is made from, by its path in the guide. ``dates``:
    those of the dates of the guide, by the codes of its languages."""
    return {
        name: of_texts(code, each.title, each.language.digest, dates[each.language.code])
        for name, each in by_places(guide).items()
    }


@dataclass(frozen=True, slots=True)
class Calendars:
    """Writes the calendars of a guide by its ``code``, for a ``day``. ``place``: the folder that it is
    published in, and ``published`` what stands there, if any of it may be taken."""

    code: str
    day: date
    place: Path
    published: PublishedGuide | None

    def files(self, guide: Guide, made: Mapping[str, str]) -> dict[str, bytes | Path]:
        """The calendars, or where they are published, by their paths in the guide. ``made``: what each
        is made from, by the same paths."""
        return {
            name: self._file(name, each, made.get(name)) for name, each in by_places(guide).items()
        }

    def _file(self, name: str, guide: Guide, made: str | None) -> bytes | Path:
        if self.published and self.published.stands(name, made):
            return self.place / name
        # What writes calendars takes long to load, and not every home has dates.
        from builder.writers.calendar.writing import next_edition  # noqa: PLC0415

        earlier = self._earlier(name)
        text = next_edition(guide, self.code, self.day, earlier)
        return self.place / name if self.published and text == earlier else text

    def _earlier(self, name: str) -> bytes | None:
        place = self.place / name
        return place.read_bytes() if place.is_file() else None
