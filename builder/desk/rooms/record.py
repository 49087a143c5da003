"""The record of handing over a plot: serial numbers, meters, keys, papers, commissioning and days."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from builder.board.looking import Looked
from builder.desk.answers import Answer, PageAnswer, done, refused
from builder.desk.asked import Asked
from builder.desk.desk import Desk
from builder.desk.editing import ShownForm, attempt, save_of, with_findings
from builder.desk.forms.fields import Field, Known, fields_of, grouped, spoken
from builder.desk.forms.reading import as_it_stands, as_sent, changes_of, id_from
from builder.desk.room import DeskRoom, form, page
from builder.desk.rooms.plots import PLOT, looked_at, named, path_of, plot_page
from builder.home.assemble import TracedHome
from builder.home.meters import boost_rates, design_rates, meters
from builder.model.handover import Handover, Outstanding
from builder.model.home import Home
from builder.model.record import Day, Text
from builder.readiness.need import HAND_IN
from builder.selection.conditions import judge
from builder.sources.entry import plain

_NEW = ("handover", "outstanding", "new")
"""Where the fields of one more outstanding matter stand in the form; its id is made from its note."""
_FREE: Mapping[str, str] = {
    "alarms_tested": "Days", "signed": "Days", "care_call": "Days", "snags_closed": "Days",
}  # fmt: skip


def show(desk: Desk, asked: Asked) -> PageAnswer:
    """The form as the file of the plot is now."""
    looked = looked_at(desk, asked)
    return _page(desk, looked, ShownForm(_fields(looked)))


def change(desk: Desk, asked: Asked) -> Answer:
    """Try or save what was changed."""
    looked = looked_at(desk, asked)
    reference, file = named(asked), looked.plot.file
    sent = as_sent(_fields(looked), asked)
    changes = changes_of(_fields_with_new(sent), asked)
    if not changes:
        return refused(path_of(reference, "record"), "Nothing was changed on the page.")
    save = save_of(asked, {file: changes}, f"Handover record of {reference}")
    result = attempt(desk, reference, save, only_try=asked.text("act") == "try")
    if result.saved or result.nothing:
        return done(path_of(reference, "record"), f"Saved in {file}.")
    shown, left = with_findings(as_it_stands(_fields(looked), asked), file, (), result.findings)
    return _page(desk, looked, ShownForm(shown, result, left, asked))


def _page(desk: Desk, looked: Looked, form: ShownForm) -> PageAnswer:
    values = {
        **form.values(desk, looked, looked.plot.file),
        "groups": grouped(form.fields),
        "first": {each.name: each.value for each in _fields(looked)},
    }
    return plot_page("record.html", looked, "record", values, form.status)


def _fields_with_new(sent: tuple[Field, ...]) -> tuple[Field, ...]:
    """The fields, with those of one more outstanding matter under an id of its own."""
    note = next((each.value for each in sent if each.path == (*_NEW, "note")), "")
    taken = {each.path[2] for each in sent if each.path[:2] == _NEW[:2] and each.path[2] != "new"}
    name = id_from(" ".join(note.split()[:4]), taken)
    return tuple(
        replace(each, path=(*_NEW[:2], name, each.path[3])) if each.path[:3] == _NEW else each
        for each in sent
    )


def _fields(looked: Looked) -> tuple[Field, ...]:
    """All that can be recorded of this home, with what is written now."""
    if looked.prepared is None:
        return ()
    traced = looked.prepared.traced
    own = looked.plot.own
    written: Mapping[str, Any] = plain(own) if own is not None else {}
    return tuple(_named_by(each) for each in _parts_of_record(traced, written, _titles(looked)))


def _titles(looked: Looked) -> Mapping[str, str]:
    pieces = looked.prepared.about.pieces if looked.prepared is not None else ()
    return {piece.id: piece.title for piece in pieces}


def _parts_of_record(
    traced: TracedHome, written: Mapping[str, Any], titles: Mapping[str, str]
) -> Iterator[Field]:
    home = traced.home
    told = written.get(HAND_IN) or {}
    known = _known_ids(home, titles)
    for section, annotation in (("serials", Text), ("registrations", Day)):
        inside = written.get(section) or {}
        for name in dict.fromkeys((*_numbered(home), *inside)):
            yield from fields_of(annotation, (section, name), inside.get(name), home, known, titles.get(name, name), _GROUPS[section])  # fmt: skip
    yield from fields_of(Handover, (HAND_IN,), told, home, known, "Days")
    yield from fields_of(Outstanding, _NEW, {}, home, known, "One more outstanding matter")


_GROUPS = {"serials": "Serial numbers", "registrations": "Registered with the maker on"}


def _numbered(home: Home) -> tuple[str, ...]:
    """The pieces of which a serial number is asked for: meters, what is serviced, what has a maker."""
    measuring = meters(home)
    return tuple(
        name
        for name, piece in home.equipment.items()
        if name in measuring or piece.make or home.kinds[piece.kind].service_every
    )


def _known_ids(home: Home, titles: Mapping[str, str]) -> Known:
    """The ids that each part of the record is expected to have."""
    papers = {
        name: each.name
        for name, each in home.documents.items()
        if each.when is None or judge(each.when, home).holds
    }
    air = (HAND_IN, "commissioning", "ventilation")
    return {
        (HAND_IN, "meters"): {name: titles.get(name, name) for name in meters(home)},
        (HAND_IN, "keys"): {name: each.name for name, each in home.keys.items()},
        (HAND_IN, "documents"): papers,
        (*air, "rates"): {name: _rated(titles, name, "l/s") for name in design_rates(home)},
        (*air, "boost_rates"): {name: _rated(titles, name, "l/s on boost") for name in boost_rates(home)},
    }  # fmt: skip


def _rated(titles: Mapping[str, str], name: str, unit: str) -> str:
    return f"{titles.get(name, spoken(name))}, {unit}"


def _named_by(each: Field) -> Field:
    """A field in the group that people look for it in."""
    path, group = each.path, each.group
    if path[:2] == (HAND_IN, "commissioning"):
        group = f"Commissioning: {spoken(path[2]).lower()}"
    elif path[:2] == (HAND_IN, "meters"):
        group = f"Meter: {group}"
    elif path[:2] == (HAND_IN, "outstanding") and path[:3] != _NEW:
        group = f"Outstanding: {group}"
    elif path[:2] in ((HAND_IN, "stickers"), (HAND_IN, "demonstration")):
        group = spoken(path[1])
    return replace(each, group=_FREE.get(path[-1], group))


ROOM = DeskRoom(
    "record", "", "",
    (page(f"{PLOT}/record", show), form(f"{PLOT}/record", change, "record")),
)  # fmt: skip
