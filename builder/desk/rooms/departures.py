"""What differs on one plot from all that its layers say: added thing by thing, and taken back."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from starlette.exceptions import HTTPException

from builder.board.looking import Looked
from builder.desk.answers import Answer, PageAnswer, done, refused
from builder.desk.asked import Asked
from builder.desk.desk import Desk
from builder.desk.editing import Attempt, ShownForm, attempt, save_of, with_findings
from builder.desk.forms.fields import Field, fields_of, titles_of
from builder.desk.forms.reading import as_sent, changes_of, id_from, under
from builder.desk.room import form, page
from builder.desk.rooms.changes import (
    IN,
    NEW,
    SECTIONS,
    addable,
    changes_page,
    departures_of,
)
from builder.desk.rooms.plots import PLOT, looked_at, named, path_of, plot_page
from builder.errors import Finding
from builder.layers.merge import plain_value
from builder.model.home import Home
from builder.model.shape import child_type, type_at
from builder.saving.changes import Change, Put, TakeOut


@dataclass(frozen=True, slots=True)
class DepartingThing:
    """One thing of a home that is another on this plot: its section, its id, and what people call it.
    ``new``: no layer has it, and its id is made from what its author says."""

    section: str
    id: str
    title: str
    new: bool = False

    @property
    def path(self) -> tuple[str, str]:
        return self.section, self.id


def _thing(looked: Looked, name: str) -> tuple[DepartingThing, Home]:
    """The thing that a page names, looked up in the home; or a new one of a section."""
    section, _, identifier = name.partition(".")
    home = looked.prepared.traced.home if looked.prepared is not None else None
    if home is None or section not in SECTIONS:
        raise HTTPException(404)
    if identifier == NEW and section in dict(addable()):
        return DepartingThing(section, NEW, f"Something new: {dict(addable())[section].lower()}", new=True), home  # fmt: skip
    titles = titles_of(home, section)
    if identifier not in titles:
        raise HTTPException(404)
    return DepartingThing(section, identifier, titles[identifier]), home


def begin(desk: Desk, asked: Asked) -> PageAnswer:
    """The form of one thing, with what its layers say: its author writes what is another here."""
    looked = looked_at(desk, asked)
    thing, home = _thing(looked, asked.query.get("thing", ""))
    return _departure_page(desk, looked, thing, ShownForm(_fields(looked, thing, home)))


def _fields(looked: Looked, thing: DepartingThing, home: Home) -> tuple[Field, ...]:
    """The fields of a thing, as authors drew it."""
    merged = looked.prepared.traced.merged.nearest(thing.path) if looked.prepared else None
    annotation = child_type(type_at(Home, (thing.section,)), thing.id)
    now = plain_value(merged) if merged and not thing.new else {}
    found = fields_of(annotation, thing.path, now, home, {}, required=True)
    return tuple(each for each in found if each.path[-1] not in ("serial", "registered"))


def _departure_page(
    desk: Desk, looked: Looked, thing: DepartingThing, form: ShownForm
) -> PageAnswer:
    _, home = _thing(looked, f"{thing.section}.{thing.id}")
    first = {each.name: each.value for each in _fields(looked, thing, home)}
    sent, today = form.sent, desk.setting.today().isoformat()
    values = {
        **form.values(desk, looked, looked.plot.file),
        "thing": thing,
        "fields": form.fields,
        "first": first,
        "note": sent.text("note") if sent else "",
        "day": sent.text("day") if sent else today,
        "away": sent is not None and sent.text("away") == "yes",
    }
    return plot_page("departure.html", looked, "changes", values, form.status)


def add(desk: Desk, asked: Asked) -> Answer:
    """Try or save a departure: only what differs is written."""
    looked = looked_at(desk, asked)
    thing, home = _thing(looked, asked.text("thing"))
    sent = as_sent(_fields(looked, thing, home), asked)
    written = _under_its_id(sent, thing, home)
    changes = changes_of(written, asked)
    away = asked.text("away") == "yes" and not thing.new
    if not changes and not away:
        nothing = Attempt(unmakeable="Write what is different here: nothing on the page differs from what the layers say.")  # fmt: skip
        return _departure_page(desk, looked, thing, ShownForm(sent, nothing, (), asked))
    name = _free_id(looked, written[0].path[1])
    base = (IN, name, "changes")
    inside = (Put((*base, *thing.path), None),) if away else (_inside(base, each) for each in changes)  # fmt: skip
    departure = (Put((IN, name, "note"), asked.text("note")), Put((IN, name, "date"), asked.text("day")), *inside)  # fmt: skip
    save = save_of(asked, {looked.plot.file: departure}, f"{thing.title} differs on {named(asked)}")
    result = attempt(desk, named(asked), save, only_try=asked.text("act") == "try")
    if result.saved:
        return done(path_of(named(asked), "changes"), f"The departure is saved in {looked.plot.file}.")  # fmt: skip
    found, left = with_findings(written, looked.plot.file, base, _as_in_the_home(result, base))
    shown = under(found, thing.id, at=1)
    return _departure_page(desk, looked, thing, ShownForm(shown, result, left, asked))


def _under_its_id(sent: tuple[Field, ...], thing: DepartingThing, home: Home) -> tuple[Field, ...]:
    """The fields of a new thing under an id that the home has not yet: from its name or its kind."""
    if not thing.new:
        return sent
    said = {each.path[-1]: each.value for each in sent if len(each.path) == len(thing.path) + 1}
    called = said.get("name") or said.get("kind") or thing.section
    return under(sent, id_from(called, getattr(home, thing.section)), at=1)


def _inside(base: tuple[str, ...], change: Put | TakeOut | Any) -> Change:
    """A change of the home as one of the departure: what is emptied there is taken away here."""
    value = change.value if isinstance(change, Put) else None
    return Put((*base, *change.path), value)


def _as_in_the_home(result: Attempt, base: tuple[str, ...]) -> Iterator[Finding]:
    """The findings with the paths of a home, where they name one inside the departure."""
    inside = ".".join(base) + "."
    for each in result.findings:
        yield replace(each, path=each.path.removeprefix(inside))


def _free_id(looked: Looked, thing: str) -> str:
    """An id for a departure that the file has not yet."""
    return id_from(f"{thing[:50]}-differs", {each.id for each in departures_of(looked)})


def take_back(desk: Desk, asked: Asked) -> Answer:
    """Take a departure back: its layers hold again."""
    looked = looked_at(desk, asked)
    name = asked.text("departure")
    listed = departures_of(looked)
    if name not in {each.id for each in listed}:
        return refused(path_of(named(asked), "changes"), "There is no such departure any more.")
    path = (IN,) if len(listed) == 1 else (IN, name)
    save = save_of(asked, {looked.plot.file: (TakeOut(path),)}, f"Took back '{name}' of {named(asked)}")  # fmt: skip
    result = attempt(desk, named(asked), save, only_try=asked.text("act") == "try")
    if result.saved:
        return done(path_of(named(asked), "changes"), f"'{name}' is taken back.")
    return changes_page(desk, looked, ShownForm((), result, result.findings, asked))


WAYS = (
    page(f"{PLOT}/departure", begin),
    form(f"{PLOT}/departure", add, "departures"),
    form(f"{PLOT}/departure/back", take_back, "departures"),
)
