"""The first page of a plot: how it stands, what is missing, what is wrong, and its guide beside it."""

from collections.abc import Mapping
from typing import get_args

from builder.board.looking import Looked
from builder.board.standing import text_at
from builder.desk.answers import GoTo, PageAnswer, refused
from builder.desk.asked import Asked
from builder.desk.desk import Desk
from builder.desk.room import DeskRoom, form, page
from builder.desk.rooms.live import address_of
from builder.desk.rooms.plots import PLOT, looked_at, named, path_of, plot_page
from builder.desk.rooms.release import begin_publishing
from builder.errors import Finding, Severity
from builder.model.handover import OwedBy
from builder.readiness.assess import MissingNeed, NeedQuestion, in_a_word
from builder.readiness.need import HAND_IN, Stage


def show(desk: Desk, asked: Asked) -> PageAnswer:
    """How a plot stands."""
    looked = looked_at(desk, asked)
    readiness, known = looked.standing.readiness, desk.board.looking().workspace.options
    values = {
        "stages": [(each.words, in_a_word(readiness, each, NeedQuestion())) for each in Stage] if readiness else [],
        "owed": owed(looked, asked.who.role),
        "write_at": write_at,
        "errors": _found(looked, Severity.ERROR),
        "warnings": _found(looked, Severity.WARNING),
        "live": address_of(looked.plot.reference) if looked.prepared else "",
        "busy": desk.jobs.busy,
        "options": [text_at(known[each], "option", "name") if each in known else each for each in looked.standing.facts.options],
    }  # fmt: skip
    return plot_page("overview.html", looked, "", values)


def owed(looked: Looked, role: str) -> Mapping[str, tuple[MissingNeed, ...]]:
    """What is missing by who owes it, whoever looks first."""
    owners = sorted(get_args(OwedBy), key=lambda each: each != role)
    found = {each: looked.standing.owed_by(each) for each in owners}
    return {each: missing for each, missing in found.items() if missing}


def write_at(item: MissingNeed, reference: str) -> str:
    """The page of the desk on which something missing is written; none where no page of a plot does."""
    sections = (HAND_IN, "serials", "registrations")
    if item.path and item.path[0] in sections:
        return f"{path_of(reference, 'record')}#{'.'.join(item.path)}"
    if item.need == "plot.completion":
        return f"{path_of(reference, 'changes')}#completion"
    return path_of(reference, "papers") if "sticker" in item.need else ""


def _found(looked: Looked, severity: Severity) -> tuple[Finding, ...]:
    found = (each for each in looked.findings if each.severity is severity)
    return tuple(each for each in found if not each.plots or looked.plot.reference in each.plots)


def publish(desk: Desk, asked: Asked) -> GoTo:
    """Publish the guide of a plot, beside the pages."""
    looked = looked_at(desk, asked)
    reference = named(asked)
    if not looked.sound:
        return refused(path_of(reference), "Something is wrong with this plot. Its mistakes are listed here; nothing was published.")  # fmt: skip
    title = f"Publish {reference}"
    return begin_publishing(desk, title, (reference,), 1, path_of(reference), asked.who.role)


ROOM = DeskRoom("overview", "", "", (page(PLOT, show), form(f"{PLOT}/publish", publish, "publish")))
