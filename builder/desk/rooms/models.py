"""House types from building models: what a model would make or change, then written, or nothing."""

from collections.abc import Mapping
from dataclasses import asdict, fields
from pathlib import Path
from urllib.parse import urlencode

from starlette.exceptions import HTTPException

from builder.desk.answers import Answer, GoTo, PageAnswer, done, refused
from builder.desk.asked import Asked, Upload
from builder.desk.desk import Desk
from builder.desk.modelling import ENDINGS, STEPS, Brought, WantedHouseType, reading_model
from builder.desk.room import Way, form, page
from builder.errors import UsageError
from builder.importers.models.frame import SIDES
from builder.importers.models.record import file_of, read_record, text_of
from builder.importers.models.request import UNITS
from builder.model.record import is_identifier
from builder.saving.changes import Save, Whole

HERE = "/house-types-from-models"
SHOWN = 300
LONGEST = 200
"""Characters of what is said of a model."""
_WRITTEN = {
    False: "Written.",
    True: "Written as it is. What the check says stands below: no plot of it is published before its mistakes are mended.",
}
_AGAIN = "Bring the model again: it may have waited too long. Nothing was written."


def show(desk: Desk, asked: Asked) -> Answer:
    """The form to bring a model."""
    return _page(desk, asked, _wanted_house_type(asked.query), asked.query.get("number", ""))


def look(desk: Desk, asked: Asked) -> Answer:
    """What a model that was read would make or change."""
    brought = _brought(desk, asked.named["job"])
    if brought is None:
        raise HTTPException(404)
    return _page(desk, asked, brought.wanted, brought.number, brought)


def _brought(desk: Desk, number: str) -> Brought | None:
    """What came of reading a model, by the number of that work."""
    job = desk.jobs.of(number)
    return job.told.found if job is not None and isinstance(job.told.found, Brought) else None


def _wanted_house_type(said: Mapping[str, str]) -> WantedHouseType:
    return WantedHouseType(
        *(" ".join(said.get(each.name, "").split())[:LONGEST] for each in fields(WantedHouseType))
    )


def _page(
    desk: Desk, asked: Asked, wanted: WantedHouseType, number: str, work: Brought | None = None, wrong: str = ""
) -> PageAnswer:  # fmt: skip
    waiting = desk.uploads.of(number)
    types = desk.board.looking().workspace.house_types
    values = {
        "settings": wanted,
        "sides": sorted(SIDES),
        "units": list(UNITS),
        "known": [each for each in types if read_record(desk.setting.root, each)],
        "work": work,
        "job": asked.named.get("job", ""),
        "wrong": wrong,
        "number": number if waiting is not None else "",
        "waiting": waiting.name if waiting is not None else "",
        "shown": SHOWN,
        "may": asked.who.may("house-types"),
    }
    return PageAnswer("models.html", "A house type from a model", "house-types", values, 422 if wrong else 200)  # fmt: skip


def bring(desk: Desk, asked: Asked) -> Answer:
    """Begin to read a model that was sent, beside the pages; or write what was looked at."""
    if asked.text("act") == "save":
        return _write_house_type(desk, asked)
    wanted = _wanted_house_type({name: asked.text(name) for name in asked.form})
    number = asked.text("number")
    try:
        number, upload = _waiting_model(desk, asked.upload("model"), number)
        _refuse_name(wanted.name)
    except UsageError as error:
        return _page(desk, asked, wanted, number, wrong=str(error))
    back = f"{HERE}?{urlencode({**asdict(wanted), 'number': number})}"
    arguments = (desk.setting.root, wanted, upload, number, desk.setting.today())
    job = desk.jobs.begin(f"Read the model of {wanted.name}", reading_model, arguments, back=back, by=asked.who.role, total=STEPS, leads=HERE)  # fmt: skip
    return GoTo(f"/jobs/{job.id}")


def _waiting_model(desk: Desk, sent: Upload | None, number: str) -> tuple[str, Upload]:
    """The model that was sent, else the one that waits under a number; from now on both wait, so that
    whatever else is wrong, nobody brings it twice. UsageError for what is no model."""
    upload = sent or desk.uploads.of(number)
    if upload is None or not upload.content:
        raise UsageError(f"Choose a model. {_AGAIN}")
    if Path(upload.name).suffix.lower() not in ENDINGS:
        raise UsageError("A model is a file .ifc (a building model) or .dxf (a drawing).")
    return (desk.uploads.keep(upload) if sent else number), upload


def _refuse_name(name: str) -> None:
    """UsageError for what no house type is called."""
    if not is_identifier(name) or name in ("standard", "options"):
        raise UsageError("Write a short name for the file: lower-case words or numbers joined by hyphens, such as heron.")  # fmt: skip


def _write_house_type(desk: Desk, asked: Asked) -> Answer:
    """Write what was looked at, and nothing else: the model is not read again."""
    brought = _brought(desk, asked.text("job"))
    if brought is None:
        return refused(HERE, _AGAIN)
    wanted, record = brought.wanted, file_of(brought.wanted.name)
    reason = asked.reason(f"House type {wanted.name} from a model")
    texts = {wanted.file: brought.text, record: text_of(brought.record)}
    based_on = {wanted.file: brought.based_on, record: desk.saves.opened(record).digest}
    changes = {name: (Whole(text),) for name, text in texts.items()}
    save = Save(asked.who.role, reason, changes, based_on)
    saved = desk.saves.save(save, desk.setting.now())
    if isinstance(saved, tuple):
        return refused(HERE, "Somebody else has changed this house type meanwhile. Bring the model again; nothing was written.")  # fmt: skip
    desk.uploads.drop(brought.number)
    return done(f"/house-types/{wanted.name}", _WRITTEN[bool(brought.errors)])


WAYS: tuple[Way, ...] = (
    page(HERE, show),
    page(f"{HERE}/{{job}}", look),
    form(HERE, bring, "house-types"),
)
