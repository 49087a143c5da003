"""Find and recall: which homes have this product, and a letter to the owner of each."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from urllib.parse import urlencode

from builder.board.board import BoardView
from builder.board.standing import Standing, text_at
from builder.desk.answers import Answer, FileAnswer, GoTo, PageAnswer
from builder.desk.asked import Asked
from builder.desk.desk import Desk
from builder.desk.printing import setting_letters
from builder.desk.room import DeskRoom, form, page
from builder.errors import UsageError, counted, printable, suggestion
from builder.guide.terms import spoken_day
from builder.model.people import Contact
from builder.questions.having import Having, Sought
from builder.sources.workspace import Workspace
from builder.tables import for_a_spreadsheet
from builder.writers.letters import Letter, check_text, filled, recall_text

SHOWN = 200
"""Homes that one page lists; the table and the letters hold all of them."""
CARE = "customer-care"
MARKERS = (
    "day", "address", "postcode", "plot", "development", "thing", "list", "guide", "contact",
    "telephone", "email", "hours", "builder",
)  # fmt: skip
"""What may stand in braces in the text of a letter."""
_NOT_WHOLE = "Some plots are still to be looked at since files changed. Wait a moment, and do it again: else somebody would be left out."
COLUMNS = (
    "plot", "address", "postcode", "completion", "equipment", "kind", "make", "model", "serial",
    "where", "page", "layer", "file", "line",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class RecalledHome:
    """One plot and what it has of what is sought."""

    standing: Standing
    pieces: tuple[Having, ...]

    def address_of(self, piece: Having) -> str:
        """The published page of a piece, "" where none is published."""
        publication = self.standing.publication
        if publication is None or not publication.address or not piece.page:
            return ""
        return f"{publication.address}{piece.page}/"


def sought_by(values: Mapping[str, str]) -> Sought:
    """What a query or a form asks for."""
    return Sought(*(" ".join(values.get(each, "").split())[:200] for each in ("make", "model", "kind", "room")))  # fmt: skip


def _homes(plots: Iterable[Standing], development: str) -> list[Standing]:
    return [each for each in plots if development in ("", each.facts.development)]


def found(plots: Iterable[Standing], sought: Sought) -> tuple[RecalledHome, ...]:
    """The homes that have what is sought."""
    homes = (RecalledHome(each, tuple(filter(sought.takes, each.pieces))) for each in plots)
    return tuple(each for each in homes if each.pieces)


def show(desk: Desk, asked: Asked) -> Answer:
    """The page: the question, the homes, what may be meant too, and the letter."""
    return _page(desk, asked, asked.query, recall_text(desk.setting.root), "")


def _page(desk: Desk, asked: Asked, values: Mapping[str, str], text: str, wrong: str) -> PageAnswer:
    view = desk.board.view()
    sought, development = sought_by(values), values.get("development", "")
    plots = _homes(view.plots, development)
    every = [piece for each in plots for piece in each.pieces]
    homes = () if sought.empty else found(plots, sought)
    unsure = [] if sought.empty else [each for each in plots if any(map(sought.may_take, each.pieces))]  # fmt: skip
    query = {name: each for name, each in (("make", sought.make), ("model", sought.model), ("kind", sought.kind), ("room", sought.room), ("development", development)) if each}  # fmt: skip
    shown = {
        "sought": sought,
        "development": development,
        "developments": [(name, _name(view.workspace, name)) for name in view.workspace.developments],
        "homes": homes[:SHOWN],
        "count": len(homes),
        "pieces": sum(len(each.pieces) for each in homes),
        "asked_plots": len(plots),
        "waiting": view.waiting,
        "unread": [each.reference for each in plots if each.readiness is not None and not each.pieces],
        "unsure": unsure[:SHOWN],
        "lookalikes": sought.lookalikes(every),
        "no_kind": _no_kind(sought.kind, {each.kind for each in every}),
        "makes": sorted({each.make for each in every} - {""}),
        "models": sorted({each.model for each in every if sought.make in ("", each.make)} - {""}),
        "kinds": sorted({(each.kind_name, each.kind) for each in every}),
        "room_names": sorted({each.room for each in every}),
        "question": urlencode(query),
        "hidden": query,
        "text": text,
        "markers": MARKERS,
        "wrong": wrong,
    }  # fmt: skip
    return PageAnswer("recall.html", "Find and recall", "recall", shown, 422 if wrong else 200)


def _no_kind(kind: str, known: set[str]) -> str:
    """What to say of a kind that no home has: a slip is not to look like an answer."""
    if not kind or kind in known:
        return ""
    return (
        f"No home has anything of kind '{printable(kind)}'. {suggestion(kind, known, 'Kinds are')}"
    )


def _name(workspace: Workspace, development: str) -> str:
    entry = workspace.developments[development].entry
    return text_at(entry, "development", "name") or development


def table(desk: Desk, asked: Asked) -> Answer:
    """The same homes as a table for a spreadsheet."""
    view = desk.board.view()
    if view.waiting:
        return _page(desk, asked, asked.query, recall_text(desk.setting.root), _NOT_WHOLE)
    plots = _homes(view.plots, asked.query.get("development", ""))
    rows = [row for each in found(plots, sought_by(asked.query)) for row in _rows(each)]
    rows += [_not_asked(each) for each in plots if not each.pieces]
    text = for_a_spreadsheet([COLUMNS, *rows])
    return FileAnswer(text.encode("utf-8"), "text/csv; charset=utf-8", "recall.csv")


def _not_asked(plot: Standing) -> tuple[str, ...]:
    """The row of a plot of which nobody knows what it has: whoever acts on the table must see it."""
    facts = plot.facts
    head = (facts.reference, facts.address, facts.postcode, str(facts.completion or ""))
    return (*head, "not asked: its data makes no home", *[""] * (len(COLUMNS) - len(head) - 1))


def _rows(home: RecalledHome) -> Iterator[tuple[str, ...]]:
    facts = home.standing.facts
    for piece in home.pieces:
        place = piece.origin.place
        yield (
            facts.reference, facts.address, facts.postcode, str(facts.completion or ""), piece.title,
            piece.kind, piece.make, piece.model, piece.serial, piece.where, home.address_of(piece),
            piece.origin.layer, place.file if place else "", str(place.line) if place else "",
        )  # fmt: skip


def letters(desk: Desk, asked: Asked) -> Answer:
    """Begin to make a letter to the owner of each home, as one PDF."""
    values = {name: asked.text(name) for name in ("make", "model", "kind", "room", "development")}
    text = asked.form.get("text", ("",))[-1]
    view = desk.board.view()
    homes = found(_homes(view.plots, values["development"]), sought_by(values))
    if view.waiting:
        return _page(desk, asked, values, text, _NOT_WHOLE)
    if not homes:
        wrong = "No home has it, so there is nobody to write to."
        return _page(desk, asked, values, text, wrong)
    try:
        check_text(text, MARKERS)
    except UsageError as error:
        return _page(desk, asked, values, text, str(error))
    contacts = {each.standing.facts.development: each for each in reversed(homes)}
    called = {name: _contact(desk, each.standing.reference) for name, each in contacts.items()}
    made = [_letter(view, each, text, called) for each in homes]
    builder = text_at(view.workspace.standard, "builder", "name")
    arguments = (desk.setting.root, tuple(made), builder, view.day, "recall-letters.pdf")
    back = f"/recall?{urlencode({name: each for name, each in values.items() if each})}"
    title = f"Make {counted(len(made), 'letter')} to owners"
    job = desk.jobs.begin(title, setting_letters, arguments, back=back, by=asked.who.role)
    return GoTo(f"/jobs/{job.id}")


def _letter(
    view: BoardView, home: RecalledHome, text: str, called: Mapping[str, Contact | None]
) -> Letter:
    facts = home.standing.facts
    contact = called[facts.development]
    values = {
        "day": spoken_day(view.day),
        "address": facts.address,
        "postcode": facts.postcode,
        "plot": facts.reference,
        "development": _name(view.workspace, facts.development),
        "thing": " and ".join(
            dict.fromkeys(each.kind_name[:1].lower() + each.kind_name[1:] for each in home.pieces)
        ),
        "list": "\n".join(map(_piece_in_a_line, home.pieces)),
        "guide": home.standing.publication.address if home.standing.publication else "",
        "contact": contact.name if contact else "",
        "telephone": (contact.telephone if contact else None) or "",
        "email": (contact.email if contact else None) or "",
        "hours": (contact.hours if contact else None) or "",
        "builder": text_at(view.workspace.standard, "builder", "name"),
    }
    return filled(text, facts.address, values)


def _piece_in_a_line(piece: Having) -> str:
    """A piece in a line: what it is, its make and model, its serial number, where it is."""
    named = " ".join(filter(None, (piece.make, piece.model)))
    parts = (named, f"serial number {piece.serial}" if piece.serial else "", piece.where)
    return f"{piece.kind_name}: {'; '.join(filter(None, parts))}"


def _contact(desk: Desk, reference: str) -> Contact | None:
    """Whom the owner of a home calls: customer care, as its own data says."""
    prepared = desk.board.plot(reference).prepared
    contacts = prepared.traced.home.contacts if prepared else {}
    return contacts.get(CARE) or next((each for each in contacts.values() if CARE in each.roles), None)  # fmt: skip


ROOM = DeskRoom(
    "recall", "Find and recall", "/recall",
    (page("/recall", show), page("/recall/table.csv", table), form("/recall/letters", letters, "look")),
)  # fmt: skip
