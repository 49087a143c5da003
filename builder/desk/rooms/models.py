"""House types from building models: what a model would make or change, then written, or nothing."""

from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from builder.desk.answers import Answer, PageAnswer, done, refused
from builder.desk.asked import Asked, Upload
from builder.desk.desk import Desk
from builder.desk.room import Way, form, page
from builder.errors import Finding, Findings, FindingsError, HandoverError, Severity, UsageError
from builder.importers.models.frame import SIDES
from builder.importers.models.housetype import ModelRequest, house_type_from
from builder.importers.models.record import ModelRecord, read_record
from builder.importers.models.renewing import keep_record, renewed
from builder.importers.models.report import report_text
from builder.importers.models.updating import Change
from builder.model.record import is_identifier
from builder.saving.changes import Save, Whole
from builder.sources.kept_files import KeptFiles
from builder.sources.workspace import with_other_files
from builder.trial import tried_house_type

HERE = "/house-types-from-models"
ENDINGS = (".ifc", ".dxf")
SHOWN = 300
_WRITTEN = {
    False: "Written.",
    True: "Written as it is. What the check says stands below: no plot of it is published before its mistakes are mended.",
}
_SETTINGS = ("name", "title", "home", "front", "layer")


@dataclass(frozen=True)
class Work:
    """What a model would do: the text and record of a house type, the report or the differences, and what
    a check would say of it. ``based_on``: the digest of the file as it was before this was worked out."""

    name: str
    based_on: str
    text: str
    record: ModelRecord
    lines: tuple[str, ...]
    changes: tuple[Change, ...]
    findings: tuple[Finding, ...]
    new: bool

    @property
    def errors(self) -> tuple[Finding, ...]:
        return tuple(each for each in self.findings if each.severity is Severity.ERROR)


def show(desk: Desk, asked: Asked) -> Answer:
    """The form to bring a model."""
    return _page(desk, asked, None, "")


def _page(desk: Desk, asked: Asked, work: Work | None, wrong: str, number: str = "") -> PageAnswer:
    settings = {each: asked.text(each) or asked.query.get(each, "") for each in _SETTINGS}
    values = {
        "settings": settings,
        "sides": sorted(SIDES),
        "known": [each for each in desk.board.looking().workspace.house_types if read_record(desk.setting.root, each)],
        "work": work,
        "wrong": wrong,
        "number": number,
        "shown": SHOWN,
        "may": asked.who.may("house-types"),
    }  # fmt: skip
    return PageAnswer("models.html", "A house type from a model", "house-types", values, 422 if wrong else 200)  # fmt: skip


def bring(desk: Desk, asked: Asked) -> Answer:
    """Look at a model that was sent, or write what was looked at."""
    number = asked.text("number")
    upload = asked.upload("model")
    if upload is None and (waiting := desk.uploads.of(number)) is not None:
        upload = waiting.upload
    if upload is None or not upload.content:
        return _page(desk, asked, None, "Choose a model, or bring it again: it may have waited too long. Nothing was written.")  # fmt: skip
    try:
        work = _worked_out(desk, asked, upload)
    except FindingsError as error:
        return _page(desk, asked, None, " ".join(f"{each.wrong} {each.right}" for each in error.findings))  # fmt: skip
    except HandoverError as error:
        return _page(desk, asked, None, str(error))
    if asked.text("act") != "save":
        return _page(desk, asked, work, "", desk.uploads.keep(upload, work.name))
    return _written(desk, asked, work, number)


def _worked_out(desk: Desk, asked: Asked, upload: Upload) -> Work:
    name = asked.text("name")
    if not is_identifier(name) or name in ("standard", "options"):
        raise UsageError("Write a short name for the file: lower-case words or numbers joined by hyphens, such as heron.")  # fmt: skip
    ending = Path(upload.name).suffix.lower()
    if ending not in ENDINGS:
        raise UsageError("A model is a file .ifc (a building model) or .dxf (a drawing).")
    with TemporaryDirectory() as folder:
        path = Path(folder) / f"model{ending}"
        path.write_bytes(upload.content)
        request = ModelRequest((path,), *(asked.text(each) or None for each in ("home", "front", "layer")))  # fmt: skip
        return _work(desk, asked, name, request)


def _work(desk: Desk, asked: Asked, name: str, request: ModelRequest) -> Work:
    root, opened = desk.setting.root, desk.saves.opened(_file(name))
    if opened.text is not None:
        done = renewed(root, name, request)
        return Work(name, opened.digest, done.text, done.record, (), done.changes, _check(desk, name, done.text), new=False)  # fmt: skip
    title = asked.text("title") or name.replace("-", " ").capitalize()
    imported = house_type_from(root, title, request)
    lines = tuple(report_text(imported.made))
    return Work(name, opened.digest, imported.text, imported.record, lines, (), _check(desk, name, imported.text), new=True)  # fmt: skip


def _file(name: str) -> str:
    return f"housetypes/{name}.yaml"


def _check(desk: Desk, name: str, text: str) -> tuple[Finding, ...]:
    """What a check would say of the house type, as the command says it."""
    found, file = Findings(), _file(name)
    workspace = with_other_files(desk.setting.root, {file: text.encode("utf-8")}, found, KeptFiles())  # fmt: skip
    listed = (*found, *tried_house_type(workspace, name, desk.setting.today()))
    own = (each for each in listed if each.place.file == file and each.severity >= Severity.WARNING)
    return tuple(sorted(own, key=lambda each: (-each.severity, each.place)))


def _written(desk: Desk, asked: Asked, work: Work, number: str) -> Answer:
    file = _file(work.name)
    reason = " ".join(asked.text("reason").split())[:300] or f"House type {work.name} from a model"
    save = Save(asked.who.signature, reason, {file: (Whole(work.text),)}, {file: work.based_on})
    saved = desk.saves.save(save, desk.setting.now())
    if isinstance(saved, tuple):
        return refused(HERE, "Somebody else has changed this house type meanwhile. Bring the model again; nothing was written.")  # fmt: skip
    keep_record(desk.setting.root, work.name, work.record)
    desk.uploads.drop(number)
    return done(f"/house-types/{work.name}", _WRITTEN[bool(work.errors)])


WAYS: tuple[Way, ...] = (page(HERE, show), form(HERE, bring, "house-types"))
