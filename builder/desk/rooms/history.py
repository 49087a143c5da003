"""History: every save of every file, what it changed, and the way back, which is a save of its own."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import PurePosixPath
from typing import Literal
from urllib.parse import quote

from starlette.exceptions import HTTPException

from builder.desk.accounts import Right
from builder.desk.answers import Answer, PageAnswer, done
from builder.desk.asked import Asked, Who
from builder.desk.desk import Desk
from builder.desk.room import DeskRoom, form, page
from builder.errors import Severity, UsageError
from builder.saving.changes import Save
from builder.saving.merging import Contest
from builder.saving.placing import REGISTERS, is_text
from builder.saving.store import JournalEntry
from builder.saving.trying import Tried, tried
from builder.saving.yaml_text import UnchangeableError

ON_A_PAGE = 50
FEW = 4
"""Homes on which the way back is tried before it is taken."""
LINES = 600
"""Lines of a comparison that are shown."""
How = Literal["there", "taken out", "put in", "place"]
_HOW: Mapping[str, How] = {"+": "put in", "-": "taken out", "@": "place"}


_PLACE = re.compile(r"\+([0-9]+)")


@dataclass(frozen=True, slots=True)
class ComparedLine:
    """One line of a comparison, and what became of it."""

    how: How
    text: str


@dataclass(frozen=True, slots=True)
class Compared:
    """What a save changed in one file."""

    file: str
    lines: tuple[ComparedLine, ...]
    left_out: int
    word: str


def list_all(desk: Desk, asked: Asked) -> Answer:
    """All saves, those of one file, or those of the files of a plot, the newest first."""
    file, plot = (asked.query.get(each, "").strip() for each in ("file", "plot"))
    number = int(asked.query["page"]) if asked.query.get("page", "").isdecimal() else 1
    number = min(max(number, 1), 200)
    found = desk.saves.history(_files_of(desk, plot) if plot else file, ON_A_PAGE * number + 1)
    shown = found[ON_A_PAGE * (number - 1) : ON_A_PAGE * number]
    values = {"entries": shown, "file": file, "plot": plot, "number": number, "more": len(found) > ON_A_PAGE * number}  # fmt: skip
    title = f"History of {plot or file}" if plot or file else "History"
    return PageAnswer("history.html", title, "history", values)


def _files_of(desk: Desk, plot: str) -> tuple[str, ...]:
    """The files in which a plot is written: its own, and the table with its row."""
    source = desk.board.looking().workspace.plots.get(plot)
    if source is None:
        raise HTTPException(404)
    return source.file, source.row.place.file


def show(desk: Desk, asked: Asked) -> Answer:
    """One save: who, when, why, and what it changed."""
    return _page(desk, asked, _entry(desk, asked.named["save"], asked))


def _entry(desk: Desk, identifier: str, asked: Asked) -> JournalEntry:
    try:
        return desk.saves.entry(identifier, asked.query.get("file", ""))
    except UsageError as error:
        raise HTTPException(404) from error


def _page(
    desk: Desk, asked: Asked, entry: JournalEntry, contests: tuple[Contest, ...] = (), trial: Tried | None = None,
    wrong: str = "",
) -> PageAnswer:  # fmt: skip
    errors = _errors(trial) if trial else ()
    values = {
        "entry": entry,
        "compared": tuple(_compared(desk, entry)),
        "contests": contests,
        "errors": errors,
        "wrong": wrong,
        "may": asked.who.may("undo") and not _never_taken_back(asked.who, entry),
    }
    status = 200 if not (contests or errors or wrong) else 409
    return PageAnswer("save.html", entry.reason or "A save", "history", values, status)


def _compared(desk: Desk, entry: JournalEntry) -> Iterator[Compared]:
    for file in entry.files:
        before, after = desk.saves.before_and_after(entry, file)
        word = "new" if before is None else "taken away" if after is None else "changed"
        if not is_text(file):
            yield Compared(file, (), 0, f"{word}: a picture")
            continue
        try:
            lines = [each for each in desk.saves.compared(entry, file) if not each.startswith(("---", "+++"))]  # fmt: skip
        except UnchangeableError as error:
            lines, word = [], str(error)
        told = tuple(map(_line, lines[:LINES]))
        yield Compared(file, told, max(0, len(lines) - LINES), word)


def _line(difference: str) -> ComparedLine:
    """One line of a unified difference; its mark of a place is told as the number of the line now."""
    how = _HOW.get(difference[:1], "there")
    if how == "place":
        found = _PLACE.search(difference)
        return ComparedLine(how, f"from line {found[1]}" if found else difference)
    return ComparedLine(how, difference[1:])


def _errors(trial: Tried) -> tuple[object, ...]:
    return tuple(each for each in trial.new if each.severity is Severity.ERROR)


def take_back(desk: Desk, asked: Asked) -> Answer:
    """Take a save back by another one: tried first, and refused where a check would refuse it."""
    entry = _entry(desk, asked.named["save"], asked)
    kept = _never_taken_back(asked.who, entry)
    if kept:
        return _page(desk, asked, entry, wrong=kept)
    reason = asked.reason(f"Taken back: {entry.reason}")
    try:
        save = desk.saves.undoing(entry, asked.who.role, reason)
        refusal = _page_of_refusal(desk, asked, entry, save)
        saved = refusal or desk.saves.save(save, desk.setting.now())
    except (UnchangeableError, UsageError) as error:
        return _page(desk, asked, entry, wrong=str(error))
    if isinstance(saved, PageAnswer):
        return saved
    if isinstance(saved, tuple):
        return _page(desk, asked, entry, saved)
    if saved.entry is None:
        return _page(desk, asked, entry, wrong="The files say so already: there is nothing to take back.")  # fmt: skip
    return done(f"/history/{saved.entry.id}", "Taken back, by a save of its own.")


def _page_of_refusal(
    desk: Desk, asked: Asked, entry: JournalEntry, save: Save
) -> PageAnswer | None:
    """Why a save is not taken back: two people changed the same, or a check would refuse it."""
    draft = desk.saves.draft(save)
    if draft.contests:
        return _page(desk, asked, entry, draft.contests)
    if asked.text("even-so"):
        return None
    trial = tried(desk.setting.root, draft.becomes, desk.setting.today(), most=FEW)
    return _page(desk, asked, entry, trial=trial) if _errors(trial) else None


_NEEDS: tuple[tuple[str, tuple[Right, ...]], ...] = (
    (r"content/.+", ("articles",)),
    (r"(origins/)?housetypes/.+", ("house-types",)),
    (r"developments/[^/]+/plots\.csv", ("options", "dates", "import")),
    (r"developments/[^/]+/photos/.+", ("photographs",)),
    (r"developments/[^/]+/plots/[^/]+\.yaml", ("departures", "record", "photographs")),
    (r"developments/.+", ("import",)),
)
"""Who may change a file: whoever has one of the rights whose forms write it. The first pattern holds."""


def may_change(who: Who, entry: JournalEntry) -> bool:
    """Whether somebody may change all files of a save."""
    return all(any(who.may(right) for right in rights_over(file)) for file in entry.files)


def _never_taken_back(who: Who, entry: JournalEntry) -> str:
    """Why somebody cannot take a save back, whatever has become of its files; nothing where they can."""
    if any(PurePosixPath(file).name in REGISTERS for file in entry.files):
        return "A code is for ever: what was issued is not taken back."
    return "" if may_change(who, entry) else "Your role may not change these files."


def rights_over(file: str) -> tuple[Right, ...]:
    """The rights of which one is needed to change a file; none where no form of the desk writes it."""
    return next((rights for pattern, rights in _NEEDS if re.fullmatch(pattern, file)), ())


def history_of(file: str) -> str:
    """The address of the history of a file, for pages that show it."""
    return f"/history?file={quote(file)}"


ROOM = DeskRoom(
    "history", "History", "/history",
    (page("/history", list_all), page("/history/{save}", show), form("/history/{save}", take_back, "undo")),
)  # fmt: skip
