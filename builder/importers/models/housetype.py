"""A house type from models: what the command line asks for, in one place."""

from dataclasses import dataclass, replace
from pathlib import Path

from builder.disk import save_inside
from builder.errors import Findings, FindingsError, UsageError
from builder.importers.models.doubts import wrong_unit
from builder.importers.models.making import MadeDraft, WantedHome, made, together
from builder.importers.models.reading import read_models
from builder.importers.models.record import (
    ModelRecord,
    place_of,
    read_record,
    record_of,
    source_of,
    text_of,
)
from builder.importers.models.request import ModelRequest
from builder.importers.models.updating import Change, renamed, updated
from builder.importers.models.walled import with_rooms
from builder.importers.models.words import Vocabulary
from builder.importers.models.writing import file_of
from builder.shipped import shipped
from builder.sources.folder import Folder
from builder.sources.workspace import STANDARD
from builder.sources.yaml_reader import read_yaml


@dataclass(frozen=True)
class Imported:
    """A house type as it was read: what was made of it, the text of its file, and the record."""

    made: MadeDraft
    text: str
    record: ModelRecord


def house_type_from(root: Path, title: str, asked: ModelRequest) -> Imported:
    """The house type that models show, for the workspace in a folder. Nothing is written.

    Raises FindingsError for models that cannot be used, UsageError for what was asked wrongly.
    """
    words = Vocabulary.of(root)
    drawings = read_models(asked, words)
    pairs = zip(asked.files, drawings, strict=True)
    if doubted := [found for path, each in pairs if (found := wrong_unit(each, path.name))]:
        raise FindingsError(doubted)
    drawing = with_rooms(together(drawings))
    wanted = WantedHome(title, asked.home, asked.front, kinds_of(root))
    result = made(drawing, wanted, words)
    sources = [source_of(path) for path in asked.files]
    record = record_of(result, sources, asked.kept)
    return Imported(result, file_of(result, [path.name for path in asked.files]), record)


def kinds_of(root: Path) -> frozenset[str]:
    """The kinds of equipment that a workspace knows: those that ship, and its own."""
    own = _kinds_in(Folder(root)) if (root / STANDARD).is_file() else frozenset()
    return own | _kinds_in(Folder(shipped("housetypes").parent))


def _kinds_in(folder: Folder) -> frozenset[str]:
    findings = Findings()
    text = folder.read(folder.root / STANDARD, findings)
    entry = read_yaml(text, STANDARD, findings) if text else None
    kinds = entry.child("kinds") if entry else None
    return frozenset(kinds.children) if kinds else frozenset()


@dataclass(frozen=True)
class Renewed:
    """The text of a house type with what a model changed, every difference, and the new record."""

    text: str
    changes: tuple[Change, ...]
    record: ModelRecord

    @property
    def made(self) -> int:
        """How many changes are made; of the others a person has the last word."""
        return sum(each.effect != "kept" for each in self.changes)


def renewed(root: Path, name: str, asked: ModelRequest) -> Renewed:
    """A house type brought up to date with newer models. Nothing is written.

    Raises FindingsError for models that cannot be used, UsageError for a house type that was not read
    from one.
    """
    file, earlier = root / "housetypes" / f"{name}.yaml", read_record(root, name)
    if not file.is_file():
        raise UsageError(
            f"There is no house type '{name}'. To begin it: handover new housetype {name} --from …"
        )
    if earlier is None:
        raise UsageError(
            f"House type '{name}' was not read from a model: nobody can tell what a person wrote in it."
        )
    title = earlier.values["house_type.name"].value if "house_type.name" in earlier.values else name
    asked = asked.as_before("" if earlier.home == "1" else earlier.home, earlier.asked)
    made = house_type_from(root, str(title), asked).made
    made = replace(made, draft=renamed(made.draft, earlier))
    try:
        text, changes = updated(file.read_text(encoding="utf-8"), earlier, made.draft)
    except ValueError as error:
        raise UsageError(
            f"'{file}' cannot be read: {error}. 'handover check' says more."
        ) from error
    sources = [source_of(path) for path in asked.files]
    return Renewed(text, changes, record_of(made, sources, asked.kept))


def keep_record(root: Path, name: str, record: ModelRecord) -> None:
    """Keep what a model said of a house type beside it."""
    save_inside(root, place_of(root, name), text_of(record).encode("utf-8"))
