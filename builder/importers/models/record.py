"""What a model said, kept beside a house type: ``origins/housetypes/<name>.json`` of a workspace.

It lets ``handover why`` name the model, and an update tell what the model changed from what a person
wrote. Guides are never made from it.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any

from builder.importers.models.making import MadeDraft
from builder.importers.models.request import KEPT
from builder.importers.models.writing import plain_of

FORM = 1
_ALWAYS = ("front", "layer")
"""What every record has of what was asked, said or not."""
_FOLDER = "origins/housetypes"


@dataclass(frozen=True, slots=True)
class ModelSource:
    """One model file: its name and the SHA-256 of its bytes."""

    file: str
    digest: str


@dataclass(frozen=True, slots=True)
class ModelValue:
    """What a model said of one value. ``entity``, ``attribute`` and ``identifier`` name where."""

    value: Any
    entity: str = ""
    attribute: str = ""
    identifier: str = ""
    file: str = ""
    guess: str = ""

    @property
    def told(self) -> str:
        """Where it came from, in one line."""
        where = f"{self.entity}{'.' if self.attribute else ''}{self.attribute} {self.identifier}".strip()
        came = f"{self.file}: {where}" if where else "no model"
        return f"{came}; guessed: {self.guess}" if self.guess else came


@dataclass(frozen=True)
class ModelRecord:
    """All that was read for one house type. Values by their dotted path in its file; ``asked`` is what
    a person said of the models."""

    home: str
    asked: Mapping[str, str]
    sources: tuple[ModelSource, ...]
    values: Mapping[str, ModelValue]


def file_of(name: str) -> str:
    """The file of the record of a house type, in its workspace."""
    return f"{_FOLDER}/{name}.json"


def place_of(root: Path, name: str) -> Path:
    """Where the record of a house type lies."""
    return root / file_of(name)


def source_of(path: Path) -> ModelSource:
    """A model file by its name and contents."""
    return ModelSource(path.name, sha256(path.read_bytes()).hexdigest())


def record_of(
    made: MadeDraft, sources: Sequence[ModelSource], asked: Mapping[str, str]
) -> ModelRecord:
    """What a draft says, to be kept."""
    values = {}
    for address, said in made.draft.values():
        origin = said.origin
        values[".".join(address)] = ModelValue(
            plain_of(said.value),
            origin.entity if origin else "",
            origin.says(said.attribute) if origin else said.attribute,
            origin.identifier if origin else "",
            origin.file if origin else "",
            said.guess,
        )
    return ModelRecord(made.home.name, dict(asked), tuple(sources), values)


def text_of(record: ModelRecord) -> str:
    """The record as the text of its file: the same record gives the same bytes."""
    values = {
        path: {key: value for key, value in _fields(said).items() if value != ""}
        for path, said in record.values.items()
    }
    whole = {
        "form": FORM,
        "home": record.home,
        **{name: record.asked.get(name, "") for name in _ALWAYS},
        **{name: value for name, value in record.asked.items() if name not in _ALWAYS},
        "models": [{"file": each.file, "sha256": each.digest} for each in record.sources],
        "values": values,
    }
    return json.dumps(whole, ensure_ascii=False, indent=1) + "\n"


def _fields(said: ModelValue) -> dict[str, Any]:
    return {
        "value": said.value, "entity": said.entity, "attribute": said.attribute, "id": said.identifier,
        "file": said.file, "guess": said.guess,
    }  # fmt: skip


def read_record(root: Path, name: str) -> ModelRecord | None:
    """The record of a house type; none where it was not read from a model, or its file is no record."""
    path = place_of(root, name)
    try:
        whole = json.loads(path.read_text(encoding="utf-8"))
        values = {
            key: ModelValue(
                said["value"], said.get("entity", ""), said.get("attribute", ""), said.get("id", ""),
                said.get("file", ""), said.get("guess", ""),
            )
            for key, said in whole["values"].items()
        }  # fmt: skip
        sources = tuple(ModelSource(each["file"], each["sha256"]) for each in whole["models"])
        asked = {name: str(whole[name]) for name in KEPT if whole.get(name)}
        return ModelRecord(whole["home"], asked, sources, values)
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return None
