"""What a building model would make of a house type, worked out beside the pages and not written yet."""

import re
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

from builder.desk.asked import Upload
from builder.desk.jobs import Say
from builder.desk.kept_work import WorkReport
from builder.errors import Finding, Findings, FindingsError, HandoverError, Severity, in_words
from builder.importers.models.housetype import house_type_from, renewed
from builder.importers.models.record import ModelRecord
from builder.importers.models.report import report_text
from builder.importers.models.request import KEPT, ModelRequest
from builder.importers.models.updating import Change
from builder.saving.saves import Saves
from builder.sources.kept_files import KeptFiles
from builder.sources.workspace import with_other_files
from builder.trial import tried_house_type

ENDINGS = (".ifc", ".dxf")
STEPS = 3
"""Steps that reading a model tells of."""
_PLAIN = re.compile(r"\w[\w ()+,.-]{0,80}")
"""A name of a file that says what the model is, and no place on a disk."""


@dataclass(frozen=True)
class WantedHouseType:
    """Which house type a model is for: the name of its file and what it is called; and of the model the
    home, the side of the front, and what else a request may say."""

    name: str
    title: str = ""
    home: str = ""
    front: str = ""
    layer: str = ""
    doors: str = ""
    windows: str = ""
    unit: str = ""

    @property
    def file(self) -> str:
        return f"housetypes/{self.name}.yaml"


@dataclass(frozen=True)
class Brought:
    """What a model would do: the text and record of a house type, the report of a new one or the
    differences, and what a check would say of it. ``based_on``: the digest of the file before this was
    worked out. ``number``: where the model itself waits."""

    wanted: WantedHouseType
    number: str
    based_on: str
    text: str
    record: ModelRecord
    lines: tuple[str, ...] = ()
    changes: tuple[Change, ...] = ()
    findings: tuple[Finding, ...] = ()
    new: bool = True

    @property
    def errors(self) -> tuple[Finding, ...]:
        return tuple(each for each in self.findings if each.severity is Severity.ERROR)


def reading_model(
    root: Path, wanted: WantedHouseType, upload: Upload, number: str, day: date, say: Say
) -> WorkReport:
    """Read a model, and see what it would make or change: nothing is written."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / _name_of_model(upload.name)
        path.write_bytes(upload.content)
        say("the model is here")
        said = {name: getattr(wanted, name) or None for name in ("home", *KEPT)}
        try:
            return WorkReport(
                found=_brought(root, wanted, ModelRequest((path,), **said), number, day, say)
            )
        except FindingsError as error:
            raise HandoverError(in_words(error)) from error


def _name_of_model(name: str) -> str:
    """What a model is called while it is read: as its sender calls it, where that is a plain name."""
    last = name.replace("\\", "/").rpartition("/")[2]
    ending = Path(last).suffix
    return last if _PLAIN.fullmatch(last) else f"model{ending.lower()}"


def _brought(
    root: Path, wanted: WantedHouseType, asked: ModelRequest, number: str, day: date, say: Say
) -> Brought:
    opened = Saves(root).opened(wanted.file)
    if opened.text is not None:
        again = renewed(root, wanted.name, asked)
        say("the model is read")
        found = _check(root, wanted, again.text, day)
        told = Brought(wanted, number, opened.digest, again.text, again.record, (), again.changes, found, new=False)  # fmt: skip
    else:
        title = wanted.title or wanted.name.replace("-", " ").capitalize()
        made = house_type_from(root, title, asked)
        say("the model is read")
        found = _check(root, wanted, made.text, day)
        told = Brought(wanted, number, opened.digest, made.text, made.record, tuple(report_text(made.made)), (), found)  # fmt: skip
    say("the house type is checked")
    return told


def _check(root: Path, wanted: WantedHouseType, text: str, day: date) -> tuple[Finding, ...]:
    """What a check would say of the house type, as the command says it."""
    found = Findings()
    workspace = with_other_files(root, {wanted.file: text.encode("utf-8")}, found, KeptFiles())
    listed = (*found, *tried_house_type(workspace, wanted.name, day))
    own = (each for each in listed if each.place.file == wanted.file and each.severity >= Severity.WARNING)  # fmt: skip
    return tuple(sorted(own, key=lambda each: (-each.severity, each.place)))
