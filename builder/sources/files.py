"""The shape of each kind of source file: which sections of a home it may write."""

from collections.abc import Callable, Iterator, Mapping
from functools import cache
from typing import Any, Generic, TypeVar

from pydantic import Field, create_model

from builder.model.cover import LaterOwner
from builder.model.handover import Handover
from builder.model.home import Home
from builder.model.nation import Nation
from builder.model.people import Builder, Development, HouseType, Option
from builder.model.record import STANDS, ById, Day, FormerNumber, Prose, Record, Text, empty
from builder.model.shape import partial_fields
from builder.sources.entry import Entry

Shape = TypeVar("Shape", bound=Record)

_OWN_SECTIONS = frozenset(
    {"nation", "builder", "development", "house_type", "plot", "options", "later_owners"}
)
"""Sections that no layer but some write; every other section may stand in any layer."""
_SECTIONS = frozenset(Home.model_fields) - _OWN_SECTIONS


class FileKind(Generic[Shape]):
    """One kind of source file. ``make`` gives its record with some sections of a home, and ``written``
    names the sections that a file of this kind writes."""

    def __init__(
        self,
        make: Callable[[frozenset[str]], type[Shape]],
        written: Callable[[Entry], Iterator[str]],
    ) -> None:
        self._make, self._written = cache(make), written

    @property
    def whole(self) -> type[Shape]:
        """Its record with every section that it may have."""
        return self._make(_SECTIONS)

    def narrow(self, entry: Entry) -> type[Shape]:
        """Its record with the sections that one file writes. It accepts that file where the whole one
        does; it takes less time to make, and knows less to say of mistakes."""
        return self._make(_SECTIONS.intersection(self._written(entry)))


def _kind(name: str, read_as: Mapping[str, Any] | None = None, **own: Any) -> FileKind[Record]:
    def make(sections: frozenset[str]) -> type[Record]:
        made: type[Record] = create_model(name, __base__=Record, **own, **_sections(sections))
        made.read_as = read_as
        return made

    return FileKind(make, lambda entry: iter(entry.children))


def _sections(names: frozenset[str]) -> dict[str, Any]:
    return partial_fields(Home, names)


EVERY_NATION_FILE = _kind("EveryNationFile")
NATION_FILE = _kind("NationFile", nation=(Nation, ...))
PAPERS_FILE = _kind("PapersFile")
STANDARD_FILE = _kind("StandardFile", builder=(Builder, ...))
DEVELOPMENT_FILE = _kind(
    "DevelopmentFile",
    read_as=STANDS,
    development=(Development, ...),
    **_sections(frozenset({"builder"})),
)
"""A development may be sold under a name and a look of its own. No house type has drawn its site."""
HOUSE_TYPE_FILE = _kind("HouseTypeFile", house_type=(HouseType, ...))
OPTION_FILE = _kind("OptionFile", option=(Option, ...))


class PlotFile(Record):
    """``plots/<plot>.yaml``. Serial numbers and ``handover`` are private: nothing publishes them.

    ``registrations``: the day on which each piece of equipment was registered with its maker; its
    cover counts from then. ``later_owners``: since when the home is whose, after it was sold on.
    ``formerly`` lists numbers that the plot had before, in another development as ``mill-lane/07``:
    its codes stay its own.
    """

    serials: ById[Text] = Field(default_factory=empty)
    registrations: ById[Day] = Field(default_factory=empty)
    later_owners: ById[LaterOwner] = Field(default_factory=empty)
    formerly: tuple[FormerNumber, ...] = ()
    handover: Handover | None = None


class Departure(Record):
    """What differs on this one plot from all that its layers say, why, and since when."""

    note: Prose
    date: Day


def _plot_file(sections: frozenset[str]) -> type[PlotFile]:
    changes = create_model("Changes", __base__=Record, **_sections(sections))
    departure = create_model(
        "Departure", __base__=Departure, __doc__=Departure.__doc__, changes=(changes, ...)
    )
    departures = (ById[departure], Field(default_factory=empty))
    made: type[PlotFile] = create_model(
        "PlotFile", __base__=PlotFile, __doc__=PlotFile.__doc__, departures=departures
    )
    return made


def _changed_sections(entry: Entry) -> Iterator[str]:
    departures = entry.child("departures")
    for departure in departures.children.values() if departures else ():
        changes = departure.child("changes")
        yield from changes.children if changes else ()


PLOT_FILE = FileKind(_plot_file, _changed_sections)
