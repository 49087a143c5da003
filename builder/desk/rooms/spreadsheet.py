"""Plots from the sales team's spreadsheet: what each row would do, then all of them or none."""

from collections.abc import Mapping
from pathlib import Path
from tempfile import TemporaryDirectory

from builder.board.standing import text_at
from builder.desk.answers import Answer, PageAnswer, done, refused
from builder.desk.asked import Asked, Upload
from builder.desk.desk import Desk
from builder.desk.room import DeskRoom, form, page
from builder.digests import digest_of_file
from builder.errors import HandoverError, counted, in_words
from builder.importers.spreadsheets.confirmed import REMEMBERED, remembered_text
from builder.importers.spreadsheets.plots import PlotsImport, plots_from
from builder.importers.spreadsheets.sheets import LARGEST
from builder.saving.changes import Save, Whole
from builder.sources.table import COLUMNS

HERE = "/spreadsheet"
SHOWN = 400
_COLUMN = "column."
_ZIP = b"PK\x03\x04"


def show(desk: Desk, asked: Asked) -> PageAnswer:
    """The form to bring a spreadsheet."""
    return _page(desk, {})


def _page(desk: Desk, more: Mapping[str, object], status: int = 200) -> PageAnswer:
    workspace = desk.board.looking().workspace
    names = {
        name: text_at(each.entry, "development", "name") or name
        for name, each in workspace.developments.items()
    }
    values = {"developments": names, "done": None, "wrong": "", "number": "", "fields": COLUMNS, "shown": SHOWN, "development": "", **more}  # fmt: skip
    return PageAnswer("spreadsheet.html", "Plots from a spreadsheet", "spreadsheet", values, status)


def bring(desk: Desk, asked: Asked) -> Answer:
    """Look at a spreadsheet that was sent: nothing is written."""
    development, upload = asked.text("development"), asked.upload("spreadsheet")
    if upload is None or not upload.content or len(upload.content) > LARGEST:
        return refused(HERE, f"Choose a spreadsheet of at most {LARGEST // (1024 * 1024)} MB, as XLSX or CSV. Nothing was read.")  # fmt: skip
    number = desk.uploads.keep(upload)
    return _page_of_plan(desk, number, upload, development, {})


def again(desk: Desk, asked: Asked) -> Answer:
    """Look at it again with what its sender says of its columns, or write what it does."""
    number, development = asked.text("number"), asked.text("development")
    waiting = desk.uploads.of(number)
    if waiting is None:
        return refused(HERE, "The spreadsheet has waited too long. Bring it again; nothing was written.")  # fmt: skip
    said = {name.removeprefix(_COLUMN): values[-1] for name, values in asked.form.items() if name.startswith(_COLUMN)}  # fmt: skip
    if asked.text("act") != "save":
        return _page_of_plan(desk, number, waiting, development, said)
    return _write_plots(desk, asked, number, waiting, development, said)


def _page_of_plan(
    desk: Desk, number: str, upload: Upload, development: str, said: Mapping[str, str]
) -> PageAnswer:
    try:
        found = _worked_out(desk, upload, development, said)
    except HandoverError as error:
        return _page(desk, {"wrong": in_words(error), "development": development}, 422)
    return _page(desk, {"done": found, "number": number, "said": said, "development": development})


def _worked_out(
    desk: Desk, upload: Upload, development: str, said: Mapping[str, str]
) -> PlotsImport:
    ending = "xlsx" if upload.content.startswith(_ZIP) else "csv"
    with TemporaryDirectory() as folder:
        path = Path(folder) / f"spreadsheet.{ending}"
        path.write_bytes(upload.content)
        return plots_from(desk.setting.root, development, path, None, said)


def _write_plots(
    desk: Desk, asked: Asked, number: str, upload: Upload, development: str, said: Mapping[str, str]
) -> Answer:  # fmt: skip
    before = _digests(desk, development)
    try:
        found = _worked_out(desk, upload, development, said)
    except HandoverError as error:
        return _page(desk, {"wrong": in_words(error), "development": development}, 422)
    if found.plan.refused:
        return _page_of_plan(desk, number, upload, development, said)
    texts = {**found.plan.files, REMEMBERED: remembered_text(found.columns.remembered)}
    files = {f"developments/{development}/{name}": text for name, text in texts.items()}
    save = Save(
        asked.who.role,
        asked.reason(f"Plots of {development} from a spreadsheet"),
        {name: (Whole(text),) for name, text in files.items()},
        {name: before.get(name, "") for name in files},
    )
    result = desk.saves.save(save, desk.setting.now())
    if isinstance(result, tuple):
        return _page(desk, {"wrong": "Somebody else has changed the same plots meanwhile. Look at it again.", "development": development}, 409)  # fmt: skip
    desk.uploads.drop(number)
    changed = [each for each in found.plan.effects if each.effect in ("new", "changed")]
    return done(f"/?development={development}#board", f"{counted(len(changed), 'plot')} of {development} written, in {counted(len(found.plan.files), 'file')}.")  # fmt: skip


def _digests(desk: Desk, development: str) -> Mapping[str, str]:
    """The digests of all files that a spreadsheet may change, before it is worked out what it does."""
    if development not in desk.board.looking().workspace.developments:
        return {}
    folder = desk.setting.root / "developments" / development
    files = [folder / "plots.csv", folder / REMEMBERED, *(folder / "plots").glob("*.yaml")]
    there = [each for each in files if each.is_file()]
    return {each.relative_to(desk.setting.root).as_posix(): digest_of_file(each) for each in there}


ROOM = DeskRoom(
    "spreadsheet", "Spreadsheet", HERE,
    (
        page(HERE, show),
        form(HERE, bring, "import"),
        form(f"{HERE}/again", again, "import"),
    ),
)  # fmt: skip
