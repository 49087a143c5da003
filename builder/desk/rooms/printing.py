"""What is printed for a whole development: label sheets and papers, as long work beside the pages."""

from typing import get_args

from starlette.exceptions import HTTPException

from builder.board.standing import text_at
from builder.build.papers import PAPERS
from builder.desk.answers import Answer, GoTo, PageAnswer, refused
from builder.desk.asked import Asked
from builder.desk.desk import Desk
from builder.desk.printing import RUN_SHEET, SHEETS, Labels, printing_papers, printing_stickers
from builder.desk.room import DeskRoom, form, page
from builder.desk.rooms.papers import TITLES, first_label, sheet_in_words
from builder.errors import UsageError
from builder.guide.labels import LabelSize
from builder.register.stocks import stocks_of
from builder.writers.stickers.stock import fitting


def _development(desk: Desk, asked: Asked) -> tuple[str, str, int]:
    """Its id, its name, and how many plots it has."""
    workspace, id_ = desk.board.looking().workspace, asked.named["development"]
    found = workspace.developments.get(id_)
    if found is None:
        raise HTTPException(404)
    return id_, text_at(found.entry, "development", "name") or id_, len(found.plots)


def show(desk: Desk, asked: Asked) -> PageAnswer:
    """What there is to print for all plots of a development."""
    development, name, plots = _development(desk, asked)
    stocks = stocks_of(desk.setting.root)
    take_all = fitting(stocks, get_args(LabelSize))
    values = {
        "development": development,
        "plots": plots,
        "stocks": [
            (each, sheet_in_words(stocks[each]))
            for each in (*take_all, *(each for each in stocks if each not in take_all))
        ],
        "take_all": len(take_all),
        "papers": [(each, TITLES[each]) for each in (RUN_SHEET, *PAPERS)],
    }
    return PageAnswer("printing.html", f"Print for all of {name}", "today", values)


def stickers(desk: Desk, asked: Asked) -> Answer:
    """Begin to print the stickers."""
    development, name, plots = _development(desk, asked)
    here, stock, first = f"/printing/{development}", asked.text("stock"), asked.text("start")
    known, issue = stocks_of(desk.setting.root), bool(asked.text("issue"))
    if stock not in known:
        return refused(here, "Choose the label sheets that are in the printer.")
    try:
        start = first_label(first, known[stock])
    except UsageError as error:
        return refused(here, str(error))
    if issue and not asked.who.may("stickers"):
        return refused(here, "Your role may not give out codes. Print those that have been given.")
    wanted = Labels(stock, start, issue)
    setting = desk.setting
    arguments = (setting.root, development, wanted, setting.today(), desk.hour(), asked.who.role)
    job = desk.jobs.begin(f"Print the stickers of {name}", printing_stickers, arguments, back=here, by=asked.who.role, total=plots)  # fmt: skip
    return GoTo(f"/jobs/{job.id}")


def papers(desk: Desk, asked: Asked) -> Answer:
    """Begin to print papers."""
    development, name, plots = _development(desk, asked)
    wanted = tuple(each for each in SHEETS if each in asked.several("paper"))
    if not wanted:
        return refused(f"/printing/{development}", "Tick what is to be printed.")
    arguments = (desk.setting.root, development, wanted, desk.setting.today())
    job = desk.jobs.begin(f"Print papers of {name}", printing_papers, arguments, back=f"/printing/{development}", by=asked.who.role, total=plots * len(wanted))  # fmt: skip
    return GoTo(f"/jobs/{job.id}")


ROOM = DeskRoom(
    "printing", "", "",
    (
        page("/printing/{development}", show),
        form("/printing/{development}/stickers", stickers, "look"),
        form("/printing/{development}/papers", papers, "look"),
    ),
)  # fmt: skip
