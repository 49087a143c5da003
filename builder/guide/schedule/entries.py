"""The dates of one home as plain values: its schedule, and the clock of who puts right what."""

from dataclasses import dataclass
from datetime import date
from typing import Literal, NamedTuple, get_args

from builder.languages.language import FIRST, Language
from builder.model.article import Month

MONTHS: tuple[Month, ...] = get_args(Month)
EntryKind = Literal["closes", "opens", "rhythm", "season"]
By = Literal["you", "registered-person", "builder", "keeper"]
"""Who does it; the ``keeper`` is whoever looks after a piece that is not the owner's to have serviced."""
LASTS = "10 years"
"""How long the dates of a schedule are listed from legal completion: as long as cover of the structure."""


class Span(NamedTuple):
    """A day, or the days of a season from the first through the last. A schedule has hundreds."""

    first: date
    last: date

    def __repr__(self) -> str:
        """The numbers of its days alone: schedules are told apart by what they write out, and a number is
        written out ten times as fast as a day."""
        return f"{self.first.toordinal()}/{self.last.toordinal()}"


@dataclass(frozen=True, slots=True)
class Call:
    """Whom to call: the name, the number and the e-mail address of a contact of this home."""

    name: str
    telephone: str | None
    email: str | None = None


@dataclass(frozen=True, slots=True)
class ScheduleEntry:
    """One line of a schedule.

    ``id`` stays the same for as long as the task, the cover or the equipment has its id.
    ``closes`` is the last day of a window and ``opens`` the first day of one; a ``rhythm`` comes
    back after the term ``every``, a ``season`` in each of its ``months``, both not before ``opens`` and
    not after ``closes``. ``spans`` are its dates of the first ten years, the earliest first, and none
    while completion is not known: what has no ``closes`` comes back for as long as the home stands. ``when`` says it in words,
    ``basis`` where it comes from; ``target`` is the page to read, by its id, and ``read`` its title.
    ``note`` warns of an office that is closed on the last day of a window.
    """

    id: str
    kind: EntryKind
    what: str
    when: str
    basis: str
    by: By = "you"
    every: str | None = None
    months: tuple[Month, ...] = ()
    spans: tuple[Span, ...] = ()
    opens: date | None = None
    closes: date | None = None
    target: str | None = None
    read: str = ""
    call: Call | None = None
    note: str | None = None

    @property
    def first(self) -> date | None:
        """Its earliest date, where completion is known and the ten years hold one."""
        return self.spans[0].first if self.spans else None

    @property
    def comes_back(self) -> bool:
        return self.kind in ("rhythm", "season")

    @property
    def month_numbers(self) -> tuple[int, ...]:
        """Its months in the order of the year, January as 1."""
        return tuple(sorted(MONTHS.index(each) + 1 for each in self.months))

    @property
    def days(self) -> tuple[date, ...]:
        """The first day of each of its spans."""
        return tuple(span.first for span in self.spans)


@dataclass(frozen=True, slots=True)
class RepeatedTask:
    """What comes back, without its days: the id of its entry, what to do, when and by whom in words, and
    the term after which it comes back."""

    id: str
    do: str
    when: str
    every: str | None


@dataclass(frozen=True, slots=True)
class Period:
    """Who puts a matter right for a time; ``first`` and ``last`` are days of that time.

    No ``last``: for good. Neither: the day that it counts from is not known, and ``when`` says so.
    ``yours``: nobody else does, so that whoever lives there has it put right.
    """

    who: str
    call: Call | None
    first: date | None
    last: date | None
    when: str
    basis: str
    yours: bool = False


@dataclass(frozen=True, slots=True)
class CoverLine:
    """One matter of the cover clock, and who puts it right, one after the other."""

    id: str
    name: str
    includes: str
    periods: tuple[Period, ...]


@dataclass(frozen=True, slots=True)
class Schedule:
    """All dates of one home: entries by their earliest date, and the cover clock.

    ``day`` is what the home's nation calls the day that they are counted from.
    """

    completion: date | None
    entries: tuple[ScheduleEntry, ...]
    clock: tuple[CoverLine, ...]
    day: str = ""
    language: Language = FIRST

    def of_kind(self, kind: EntryKind) -> tuple[ScheduleEntry, ...]:
        return tuple(entry for entry in self.entries if entry.kind == kind)
