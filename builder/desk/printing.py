"""What is printed for many homes at once, beside the pages: letters to owners, label sheets, papers.

Each piece of work gives one file, which waits in the private folder of the desk for whoever asked for it.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from builder.build.papers import FILES, PAPERS, Paper, print_papers
from builder.build.promises import check_promises
from builder.demonstration.sheet import run_sheet
from builder.desk.jobs import Say
from builder.desk.kept_work import MadeFile, WorkReport
from builder.errors import Findings, FindingsError, counted
from builder.guide.labels import Label
from builder.guide.walk.script import script_of
from builder.preparing import Preparation, prepare
from builder.register.issuing import issue_stickers, wants_sticker
from builder.register.labelling import address_can_be_printed, labels_of
from builder.register.moving import register_of
from builder.register.printing import print_sheet
from builder.register.stocks import stocks_of
from builder.saving.saves import Saves
from builder.shipped import own_or_shipped
from builder.writers.demonstration.paper import TEMPLATE, paper_of
from builder.writers.letters import Letter, letters_pdf
from builder.writers.stickers.stock import chosen

PDF, ZIP = "application/pdf", "application/zip"
RUN_SHEET = "run-sheet"
SHEETS: Mapping[str, str] = {RUN_SHEET: "run-sheet.pdf", **dict[str, str](FILES.items())}
"""What can be printed of a home besides stickers, and the name of its file."""
SHOWN = 40
"""Plots that are told of one by one."""
_EARLIEST = (1980, 1, 1, 0, 0, 0)
"""The day of every file in an archive, so that the same papers are the same bytes."""


@dataclass(frozen=True, slots=True)
class Labels:
    """Which label sheets: the ``stock``, the ``first`` free label of the first of them, and whether pieces
    without a code are given one before (``issue``)."""

    stock: str
    first: int
    issue: bool


def setting_letters(
    root: Path, letters: tuple[Letter, ...], builder: str, day: date, name: str, say: Say
) -> WorkReport:
    """Letters to owners as one PDF, each on a page of its own."""
    pdf = letters_pdf(root, letters, builder, "Letters to owners", day)
    say(counted(len(letters), "letter"))
    return WorkReport((f"{counted(len(letters), 'letter')}, one for each home.",), made=MadeFile(name, PDF, pdf))  # fmt: skip


def printing_stickers(
    root: Path, development: str, wanted: Labels, day: date, when: str, by: str, say: Say
) -> WorkReport:
    """The stickers of all plots of a development that can be published, plot after plot, as one PDF.
    New codes are in the history before anything is printed, ``by`` a role at an hour (``when``, ISO)."""
    preparation = _prepared(root, development, day)
    stock = chosen(stocks_of(root), wanted.stock)
    if wanted.issue:
        issue_stickers(preparation.workspace, preparation.plots.values(), day)
        Saves(root).record_codes(by, f"Codes of {development}", datetime.fromisoformat(when))
    labels, without = _labels(preparation, development, say)
    left = tuple(_unprinted(preparation))
    if not labels:
        return WorkReport(
            ("There is no sticker to print: no piece has a code.", *left), failed=True
        )
    with TemporaryDirectory() as folder:
        out = Path(folder) / "stickers.pdf"
        placed = print_sheet(labels, stock, wanted.first, root, out)
        made = MadeFile(f"{development}-stickers.pdf", PDF, out.read_bytes())
    sheets = counted(placed[-1].page, "sheet")
    lines = (f"{counted(len(placed), 'sticker')} on {sheets}, every code read back.", *without, *left)  # fmt: skip
    return WorkReport(lines, failed=bool(left), made=made)


def _prepared(root: Path, development: str, day: date) -> Preparation:
    preparation, promises = prepare(root, (development,), day), Findings()
    check_promises(preparation.workspace, promises)
    broken = list(promises.errors)
    for prepared in preparation.plots.values():
        broken += address_can_be_printed(prepared.traced)
    if broken:
        raise FindingsError(broken)
    return preparation


def _labels(
    preparation: Preparation, development: str, say: Say
) -> tuple[tuple[Label, ...], tuple[str, ...]]:
    """The stickers in the order of plots, and which plots have pieces without a code."""
    register = register_of(preparation.workspace, development)
    labels, without = list[Label](), list[str]()
    for reference, prepared in preparation.plots.items():
        own, home = labels_of(prepared, register), prepared.traced.home
        lacking = sum(wants_sticker(home, piece) for piece in home.equipment.values()) - len(own)
        if lacking > 0:
            without.append(f"{reference}: {counted(lacking, 'piece')} without a code.")
        labels += own
        say(reference)
    return tuple(labels), _some(without)


def printing_papers(
    root: Path, development: str, papers: tuple[str, ...], day: date, say: Say
) -> WorkReport:
    """Papers of all plots of a development that can be published, as one archive with a folder a plot."""
    preparation = prepare(root, (development,), day)
    check_promises(preparation.workspace, preparation.findings)
    with TemporaryDirectory() as folder:
        out = Path(folder) / "papers"
        wanted: tuple[Paper, ...] = tuple(each for each in PAPERS if each in papers)
        for _ in print_papers(preparation, wanted, out, day, say):
            pass
        if RUN_SHEET in papers:
            _run_sheets(preparation, out, say)
        files = tuple(sorted(each for each in out.rglob("*.pdf")))
        content = _archive(out, files)
    left = tuple(_unprinted(preparation))
    lines = (f"{counted(len(files), 'paper')} printed.", *left)
    if not files:
        return WorkReport(lines, failed=True)
    return WorkReport(lines, bool(left), made=MadeFile(f"{development}-papers.zip", ZIP, content))


def _run_sheets(preparation: Preparation, out: Path, say: Say) -> None:
    workspace, findings = preparation.workspace, Findings()
    script = script_of(workspace, findings)
    if findings.errors:
        raise FindingsError(findings.errors)
    template = own_or_shipped(workspace.folder.root, TEMPLATE)
    for reference, prepared in preparation.plots.items():
        folder = out / prepared.plot.development / prepared.plot.number
        folder.mkdir(parents=True, exist_ok=True)
        (folder / SHEETS[RUN_SHEET]).write_bytes(paper_of(run_sheet(prepared, script), template))
        say(reference)


def _archive(out: Path, files: tuple[Path, ...]) -> bytes:
    written = BytesIO()
    with ZipFile(written, "w") as archive:
        for each in files:
            about = ZipInfo(each.relative_to(out).as_posix(), _EARLIEST)
            archive.writestr(about, each.read_bytes(), ZIP_DEFLATED)
    return written.getvalue()


def _unprinted(preparation: Preparation) -> Iterator[str]:
    """The plots of which nothing is printed."""
    left = [each for each in preparation.asked if each not in preparation.plots]
    yield from _some([f"{each}: not printed, because something is wrong with it: see its page." for each in left])  # fmt: skip


def _some(lines: list[str]) -> tuple[str, ...]:
    more = len(lines) - SHOWN
    return (*lines[:SHOWN], *((f"The same of {more} more.",) if more > 0 else ()))
