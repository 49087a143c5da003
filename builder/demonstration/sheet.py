"""The run sheet of one home: the stops, the readings, keys, alarms, papers, and what is still open.

A run sheet is private: it holds serial numbers, and later what was read, counted and signed. It is
never part of the published tree.
"""

import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil

from builder.guide.about import About
from builder.guide.walk.script import Script
from builder.guide.walk.stops import Item, Stop, Stops
from builder.guide.walk.things import Contents, Thing
from builder.home import meters as numbered
from builder.home.roles import builder_name
from builder.home.survey import Survey
from builder.model.home import Home
from builder.preparing import Prepared
from builder.selection.conditions import judge
from builder.sources.entry import Entry, plain
from builder.sources.files import PLOT_FILE, PlotFile


@dataclass(frozen=True, slots=True)
class Check:
    """Something to tick, by its id."""

    id: str
    text: str


@dataclass(frozen=True, slots=True)
class Meter:
    """A meter to read: where it is, its serial number where it is known, and who supplies."""

    id: str
    title: str
    where: str
    serial: str | None
    supplier: str | None


@dataclass(frozen=True, slots=True)
class KeyCount:
    """Keys of one sort, and how many the schedule says there are."""

    id: str
    name: str
    opens: str
    count: int


@dataclass(frozen=True, slots=True)
class Alarm:
    """An alarm that is sounded on the day."""

    id: str
    title: str
    where: str


@dataclass(frozen=True, slots=True)
class Open:
    """What was known to be outstanding before the day."""

    id: str
    note: str
    due: str


@dataclass(frozen=True, slots=True)
class RunSheet:
    """One plot's demonstration. ``metres`` is the way inside, ``minutes`` all that it takes."""

    plot: str
    title: str
    address: str
    development: str
    builder: str
    house_type: str
    options: tuple[str, ...]
    before: tuple[Check, ...]
    stops: tuple[Stop, ...]
    meters: tuple[Meter, ...]
    keys: tuple[KeyCount, ...]
    alarms: tuple[Alarm, ...]
    documents: tuple[Check, ...]
    outstanding: tuple[Open, ...]
    end: str
    metres: float
    minutes: int

    @property
    def mark(self) -> str:
        """Twelve hexadecimal digits that change when stops, meters, keys, alarms or papers do.

        A record names it, so that one can tell which state of the home it was written on.
        """
        told = {
            "stops": [
                [stop.id, [_what_it_asks(item) for item in stop.items]] for stop in self.stops
            ],
            "meters": [each.id for each in self.meters],
            "keys": [[each.id, each.count] for each in self.keys],
            "alarms": [each.id for each in self.alarms],
            "documents": [each.id for each in self.documents],
        }
        return hashlib.sha256(json.dumps(told).encode("utf-8")).hexdigest()[:12]


def _what_it_asks(item: Item) -> list[object]:
    return [item.id, item.tries is not None, [thing.id for thing in item.things]]


def run_sheet(prepared: Prepared, script: Script, about: About | None = None) -> RunSheet:
    """The run sheet of a plot, from its home and what is said of things. ``about``: the home in another
    language than the first; its sheet has the same mark."""
    about = about or prepared.about
    home, own = about.home, _plot_file(prepared.plot.own)
    script = script.worded_for(home, language=about.language)
    survey = Survey(prepared.traced.drawn)
    contents = Contents(about, survey, _serials(prepared, own))
    stops = Stops(contents, script)
    halts, meters = stops.stops(), tuple(_meters(contents, script))
    return RunSheet(
        plot=prepared.plot.reference,
        title=about.say(
            "Plot %(plot)s, %(development)s", plot=home.plot.number, development=home.plot.address
        ),
        address=f"{home.plot.address}, {home.plot.postcode}",
        development=home.development.name,
        builder=builder_name(home, about.language),
        house_type=home.house_type.name,
        options=tuple(option.name for option in home.options.values()),
        before=tuple(
            Check(name, about.language.text(text)) for name, text in script.before.items()
        ),
        stops=halts,
        meters=meters,
        keys=tuple(_keys(home)),
        alarms=tuple(_alarms(contents, script)),
        documents=tuple(_papers(home)),
        outstanding=tuple(_open(own)),
        end=_end(stops),
        metres=round(stops.walk.metres, 1),
        minutes=_minutes(halts, len(meters), stops, script),
    )


def _plot_file(entry: Entry | None) -> PlotFile:
    """The plot's own file, whose shape was checked when it was read."""
    return PLOT_FILE.narrow(entry).model_validate(plain(entry)) if entry else PlotFile()


def _serials(prepared: Prepared, own: PlotFile) -> dict[str, str]:
    """Serial numbers by the ids of equipment: those of the plot's own file over those of layers."""
    said = {name: piece.serial for name, piece in prepared.traced.home.equipment.items()}
    return {name: serial for name, serial in (said | dict(own.serials)).items() if serial}


def _meters(contents: Contents, script: Script) -> Iterator[Meter]:
    """Every meter of the home, and whatever else the script asks to read the figures of."""
    home, about = contents.about.home, contents.about
    suppliers = {each.meter: each.supplier for each in about.utilities if each.meter}
    counted = numbered.meters(home)
    for thing in _equipment(contents):
        name = _id(thing)
        if name in counted or script.of_kind(thing.key, home).reading:
            yield Meter(name, thing.title, thing.where, thing.serial, suppliers.get(name))


def _alarms(contents: Contents, script: Script) -> Iterator[Alarm]:
    for thing in _equipment(contents):
        if script.of_kind(thing.key, contents.about.home).tested:
            yield Alarm(_id(thing), thing.title, thing.where)


def _equipment(contents: Contents) -> Iterator[Thing]:
    return (each for each in contents.things if each.id.startswith("equipment."))


def _id(thing: Thing) -> str:
    return thing.id.removeprefix("equipment.")


def _keys(home: Home) -> Iterator[KeyCount]:
    for name, key in home.keys.items():
        yield KeyCount(name, key.name, key.opens, key.count)


def _papers(home: Home) -> Iterator[Check]:
    """The papers that this home needs."""
    for name, document in home.documents.items():
        if document.when is None or judge(document.when, home).holds:
            yield Check(name, document.name)


def _open(own: PlotFile) -> Iterator[Open]:
    """What is still to be done, of what the plot's own file records."""
    for name, each in (own.handover.outstanding if own.handover else {}).items():
        if each.done is None:
            due = each.due.isoformat() if each.due else ""
            yield Open(name, each.note or _words_of_id(name), due)


def _words_of_id(name: str) -> str:
    """What is outstanding, by its id alone: the words stand in an earlier record of the plot."""
    words = name.replace("-", " ")
    return f"{words[0].upper()}{words[1:]}"


def _end(stops: Stops) -> str:
    """Where the walk ends: at the front door, by its name."""
    entrance = stops.walk.entrance
    return (
        stops.contents.about.home.doors[entrance].name
        if entrance
        else stops.contents.about.say("Front door")
    )


def _minutes(halts: tuple[Stop, ...], meters: int, stops: Stops, script: Script) -> int:
    """All that the demonstration takes, in whole minutes."""
    changes = max(len(stops.walk.floors) - 1, 0)
    fixed = sum(script.minutes(each) for each in ("greeting", "keys", "papers", "signing"))
    floors = changes * script.minutes("floor")
    shown = sum(stop.minutes for stop in halts)
    return ceil(shown + fixed + floors + meters * script.minutes("reading"))
