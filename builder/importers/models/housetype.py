"""A house type from models: what the command line asks for, in one place."""

from dataclasses import dataclass
from pathlib import Path

from builder.errors import Findings, FindingsError
from builder.importers.models.doubts import wrong_unit
from builder.importers.models.making import MadeDraft, WantedHome, made, together
from builder.importers.models.reading import read_models
from builder.importers.models.record import ModelRecord, record_of, source_of
from builder.importers.models.request import ModelRequest
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
