"""What is printed for a plot: stickers, papers and the run sheet; and the record that came back."""

from pathlib import Path
from tempfile import TemporaryDirectory
from typing import get_args

from starlette.exceptions import HTTPException

from builder.board.looking import Looked, Looking
from builder.build.papers import FILES, PAPERS, Paper, PrintingHouse
from builder.demonstration.keeping import differences, keep, same_plot
from builder.demonstration.sheet import RunSheet, run_sheet
from builder.desk.accounts import RIGHTS
from builder.desk.answers import Answer, FileAnswer, GoTo, PageAnswer, done, refused
from builder.desk.asked import Asked
from builder.desk.desk import Desk
from builder.desk.forms.fields import spoken
from builder.desk.room import DeskRoom, form, page
from builder.desk.rooms.plots import PLOT, looked_at, named, path_of, plot_page
from builder.errors import Findings, FindingsError, HandoverError, UsageError, counted
from builder.guide.labels import Label
from builder.guide.walk.script import script_of
from builder.preparing import Preparation, Prepared
from builder.register.issuing import issue_stickers, wants_sticker
from builder.register.labelling import address_can_be_printed, labels_of
from builder.register.printing import print_sheet
from builder.register.stocks import stocks_of
from builder.shipped import layered, own_or_shipped
from builder.sources.records import LARGEST_RECORD, read_export, records_of
from builder.writers.demonstration.page import FOLDER, page_of
from builder.writers.demonstration.paper import TEMPLATE, paper_of
from builder.writers.stickers.stock import Stock, chosen, fitting

PDF = "application/pdf"
TITLES = {
    "run-sheet": "Run sheet of the demonstration",
    "book": "The guide as a book", "emergency": "Emergency card", "finishes": "Schedule of finishes",
    "keys": "Keys and documents, to sign for", "crack-gauge": "Crack gauge", "large-print": "The book in large print",
    "walk": "Show me round, as a booklet",
}  # fmt: skip


def show(desk: Desk, asked: Asked) -> PageAnswer:
    """What there is to print."""
    looked = looked_at(desk, asked)
    prepared, looking = looked.prepared, desk.board.looking()
    labels = _labels(looking, prepared) if prepared is not None else ()
    wanted = _wanting(prepared) if prepared is not None else 0
    stocks = stocks_of(desk.setting.root)
    records = records_of(looking.workspace.folder, looked.plot.references, Findings())
    values = {
        "labels": labels,
        "lacking": wanted - len(labels),
        "issuers": RIGHTS["stickers"],
        "stocks": [
            (each, sheet_in_words(stocks[each]))
            for each in fitting(stocks, {label.size for label in labels})
        ]
        if labels
        else (),
        "papers": [(each, TITLES.get(each, spoken(each))) for each in PAPERS],
        "records": [(each.entry.place.file, each.record) for each in records],
        "stopping": _stopping(looking, looked),
    }
    return plot_page("papers.html", looked, "papers", values)


def _wanting(prepared: Prepared) -> int:
    home = prepared.traced.home
    return sum(wants_sticker(home, piece) for piece in home.equipment.values())


def _labels(looking: Looking, prepared: Prepared) -> tuple[Label, ...]:
    return labels_of(prepared, looking.register(prepared.plot.development))


def _stopping(looking: Looking, looked: Looked) -> tuple[str, ...]:
    """Why no codes are issued and no stickers printed, where something stands in the way."""
    found = [f"{each.wrong} {each.right}" for each in looking.promises]
    if looked.prepared is not None:
        found += [f"{each.wrong} {each.right}" for each in address_can_be_printed(looked.prepared.traced)]  # fmt: skip
    return (*found, *(() if looked.sound else ("Something is wrong with the data of this plot.",)))


def issue(desk: Desk, asked: Asked) -> GoTo:
    """Give each piece that wants a sticker its code, once and for ever."""
    looked, looking = looked_at(desk, asked), desk.board.looking()
    back = path_of(named(asked), "papers")
    stopping = _stopping(looking, looked)
    if stopping or looked.prepared is None:
        return refused(back, " ".join(stopping))
    before = len(looking.register(looked.plot.development).codes)
    registers = issue_stickers(looking.workspace, [looked.prepared], desk.setting.today())
    desk.saves.record_codes(asked.who.role, f"Codes of {named(asked)}", desk.setting.now())
    new = len(registers[looked.plot.development].codes) - before
    publish = (
        " Publish the guide before you stick them on: then they lead to their pages." if new else ""
    )
    return done(back, f"{counted(new, 'new code')} issued.{publish}")


def stickers(desk: Desk, asked: Asked) -> FileAnswer:
    """The label sheets of a plot with their fixing list, read back before anybody gets them."""
    prepared, looking = _sound(desk, asked), desk.board.looking()
    labels = _labels(looking, prepared)
    if not labels:
        raise UsageError("There is no sticker to print. Issue the codes first.")
    stock = chosen(stocks_of(desk.setting.root), asked.query.get("stock", ""))
    first = first_label(asked.query.get("start", "1"), stock)
    with TemporaryDirectory() as folder:
        out = Path(folder) / "stickers.pdf"
        print_sheet(labels, stock, first, desk.setting.root, out)
        return FileAnswer(out.read_bytes(), PDF, _name(asked, "stickers.pdf"))


def first_label(said: str, stock: Stock) -> int:
    """The first free label of a sheet, as it was said. UsageError where the sheet has none of that number."""
    known = said.isascii() and said.isdecimal() and len(said) <= len(str(stock.count))
    if not known or not 1 <= int(said) <= stock.count:
        raise UsageError(f"The first free label is a number from 1 to {stock.count}.")
    return int(said)


def sheet_in_words(stock: Stock) -> str:
    """A label sheet as the box of it says."""
    return f"{counted(stock.count, 'label')} of {stock.label_width:g} by {stock.label_height:g} mm"


def _sound(desk: Desk, asked: Asked) -> Prepared:
    """The plot, if it can be published: of any other nothing is printed."""
    looked = looked_at(desk, asked)
    if looked.prepared is None or not looked.sound:
        raise FindingsError(each for each in looked.findings if each.severity.word == "error")
    return looked.prepared


def _name(asked: Asked, name: str) -> str:
    # No id holds this sign, so that no two plots share a name.
    return f"{named(asked).replace('/', '_')}-{name}"


def paper(desk: Desk, asked: Asked) -> FileAnswer:
    """One paper of a plot."""
    wanted = next((each for each in get_args(Paper) if each == asked.named["paper"]), None)
    if wanted is None:
        raise HTTPException(404)
    prepared, looking = _sound(desk, asked), desk.board.looking()
    reference = prepared.plot.reference
    preparation = Preparation(looking.workspace, (reference,), {reference: prepared}, {reference: prepared}, Findings())  # fmt: skip
    with desk.press:
        house = PrintingHouse(preparation, desk.setting.today())
        ((_, content),) = house.set(prepared, (wanted,))
    return FileAnswer(content, PDF, _name(asked, FILES[wanted]))


def _sheet(desk: Desk, asked: Asked) -> RunSheet:
    findings = Findings()
    script = script_of(desk.board.looking().workspace, findings)
    if findings.errors:
        raise FindingsError(findings.errors)
    return run_sheet(_sound(desk, asked), script)


def sheet_as_paper(desk: Desk, asked: Asked) -> FileAnswer:
    """The run sheet on paper."""
    with desk.press:
        content = paper_of(_sheet(desk, asked), own_or_shipped(desk.setting.root, TEMPLATE))
    return FileAnswer(content, PDF, _name(asked, "run-sheet.pdf"))


def sheet_as_page(desk: Desk, asked: Asked) -> FileAnswer:
    """The run sheet for a tablet: one file, saved and opened there."""
    text = page_of(_sheet(desk, asked), layered(desk.setting.root, FOLDER))
    return FileAnswer(text.encode(), "text/html; charset=utf-8", _name(asked, "run-sheet.html"))


def keep_record(desk: Desk, asked: Asked) -> Answer:
    """Keep the record that a tablet exported: whatever is found, because it was signed."""
    looked, back = looked_at(desk, asked), path_of(named(asked), "papers")
    upload = asked.upload("record")
    if upload is None or not upload.content:
        return refused(back, "Choose the file that the tablet exported. Nothing was kept.")
    if len(upload.content) > LARGEST_RECORD:
        return refused(back, f"That file is too large to be a record: at most {LARGEST_RECORD // (1024 * 1024)} MB. Nothing was kept.")  # fmt: skip
    findings, workspace = Findings(), desk.board.looking().workspace
    export = read_export(upload.content, "the record", findings)
    if export is None:
        return refused(back, " ".join(f"{each.wrong} {each.right}" for each in findings))
    try:
        same_plot(workspace, export, named(asked))
        kept = keep(workspace, export, named(asked))
    except HandoverError as error:
        return refused(back, str(error))
    findings.extend(kept.findings)
    if export.source is not None:
        findings.extend(differences(export.source, workspace, looked.plot, looked.prepared, desk.setting.today()))  # fmt: skip
    told = [f"{each.wrong} {each.right}" for each in findings]
    word = "The record is kept" if kept.new else "The record was kept already"
    damaged = "" if export.source else ", as it came, though it is damaged"
    return done(back, " ".join((f"{word}{damaged}. It is private.", *told)))


ROOM = DeskRoom(
    "papers", "", "",
    (
        page(f"{PLOT}/papers", show),
        form(f"{PLOT}/stickers", issue, "stickers"),
        page(f"{PLOT}/stickers.pdf", stickers),
        page(f"{PLOT}/paper/{{paper}}", paper),
        page(f"{PLOT}/run-sheet.pdf", sheet_as_paper),
        page(f"{PLOT}/run-sheet.html", sheet_as_page),
        form(f"{PLOT}/returned", keep_record, "record"),
    ),
)  # fmt: skip
