"""The home is sold on: whose it is from then, what was handed on, and a new address for its guide."""

from dataclasses import replace

from builder.board.looking import Looked
from builder.desk.answers import Answer, PageAnswer, done, refused
from builder.desk.asked import Asked
from builder.desk.desk import Desk
from builder.desk.editing import ShownForm, attempt, save_of, with_findings
from builder.desk.forms.fields import Choices, Field, fields_of
from builder.desk.forms.reading import as_sent, changes_of, under
from builder.desk.room import DeskRoom, form, page
from builder.desk.rooms.plots import PLOT, looked_at, named, path_of, plot_page
from builder.errors import HandoverError, Severity
from builder.guide.about import About
from builder.guide.pieces import inner
from builder.model.cover import Cover, LaterOwner
from builder.register.register import replace_guide
from builder.sources.entry import plain

IN = "later_owners"
NEW = (IN, "new")
TAB = "owner"


def show(desk: Desk, asked: Asked) -> PageAnswer:
    """Whose the home was and is, and the form for one more owner."""
    looked = looked_at(desk, asked)
    return _page(desk, looked, ShownForm(_fields(looked)))


def _fields(looked: Looked) -> tuple[Field, ...]:
    """What is recorded of an owner who bought the home from the one before."""
    if looked.prepared is None:
        return ()
    about = looked.prepared.about
    told, papers = _covers_to_tell(about), _papers(about)
    found = fields_of(LaterOwner, NEW, {}, about.home, {}, required=True)
    offered = {"notice_given": told, "documents": papers}
    chosen = (replace(each, choices=offered.get(each.path[-1], each.choices)) for each in found)
    return tuple(each for each in chosen if each.choices or each.path[-1] not in offered)


def _covers_to_tell(about: About) -> Choices:
    """The covers that a new owner keeps only where they are told in time, each with what it is of."""
    covers = about.home.covers.items()
    asking = ((name, each) for name, each in covers if each.asks_notice and about.applies(each))
    return tuple((name, _called(each, about)) for name, each in asking)


def _called(cover: Cover, about: About) -> str:
    matters = about.language.listed(inner(about.home.matters[each].name) for each in cover.matters)
    return f"{cover.name}, for {matters}, within {cover.notice}"


def _papers(about: About) -> Choices:
    """The papers that this home has."""
    papers = about.home.documents.items()
    return tuple((name, each.name) for name, each in papers if about.applies(each))


def _page(desk: Desk, looked: Looked, form: ShownForm) -> PageAnswer:
    home = looked.prepared.traced.home if looked.prepared is not None else None
    values = {
        **form.values(desk, looked, looked.plot.file),
        "owners": tuple(home.later_owners.values()) if home is not None else (),
        "home": home,
        "fields": form.fields,
        "first": {},
    }
    return plot_page("owner.html", looked, TAB, values, form.status)


def add(desk: Desk, asked: Asked) -> Answer:
    """Record that the home was sold on. Nobody is named."""
    looked, reference = looked_at(desk, asked), named(asked)
    sent = as_sent(_fields(looked), asked)
    own = plain(looked.plot.own).get(IN) if looked.plot.own is not None else None
    name = f"owner-{len(own or {}) + 2}"
    renamed = under(sent, name, at=1)
    changes = changes_of(renamed, asked)
    if not changes:
        return refused(path_of(reference, TAB), "Write since when the home is another's.")
    save = save_of(asked, {looked.plot.file: changes}, f"{reference} was sold on")
    result = attempt(desk, reference, save, only_try=asked.text("act") == "try")
    if result.saved:
        return done(path_of(reference, TAB), "Recorded. Publish the guide again: it is the next owner's then.")  # fmt: skip
    found, left = with_findings(renamed, looked.plot.file, (), result.findings)
    return _page(desk, looked, ShownForm(under(found, NEW[1], at=1), result, left, asked))


def new_address(desk: Desk, asked: Asked) -> Answer:
    """Give the guide another address. Its stickers lead to the new one; the old one leads nowhere."""
    looked, back = looked_at(desk, asked), path_of(named(asked), TAB)
    if asked.text("sure") != "yes":
        return refused(back, "Tick that the old address is to lead nowhere.")
    looking = desk.board.looking()
    broken = [each for each in looking.promises if each.severity is Severity.ERROR]
    if broken:
        return refused(back, " ".join(f"{each.wrong} {each.right}" for each in broken))
    try:
        replace_guide(looking.workspace.folder, looked.plot, desk.setting.today())
    except HandoverError as error:
        return refused(back, str(error))
    desk.saves.record_codes(asked.who.role, f"Another address of {named(asked)}", desk.setting.now())  # fmt: skip
    return done(path_of(named(asked)), "The guide has another address. Publish it now, and send it: from then on its stickers lead there, and the old address leads nowhere.")  # fmt: skip


ROOM = DeskRoom(
    "owner", "", "",
    (
        page(f"{PLOT}/owner", show),
        form(f"{PLOT}/owner", add, "record"),
        form(f"{PLOT}/address", new_address, "publish"),
    ),
)  # fmt: skip
