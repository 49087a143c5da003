"""The papers that a buyer is given: those that ship with the builder, and the workspace's own."""

from collections.abc import Mapping
from functools import cache
from importlib.resources import files

from builder.errors import Findings
from builder.model.handover import Document, DocumentsFile
from builder.sources.checking import check
from builder.sources.folder import Folder
from builder.sources.yaml_reader import read_yaml

OWN = "content/documents.yaml"
_SHIPPED = "documents.yaml"


def documents_of(folder: Folder, findings: Findings) -> Mapping[str, Document]:
    """Every paper by its id. Maps merge by key, and ``null`` removes; mistakes go to ``findings``."""
    merged = {**_shipped().documents, **_own(folder, findings).documents}
    return {name: document for name, document in merged.items() if document is not None}


@cache
def _shipped() -> DocumentsFile:
    """The papers as they ship; they never change while the builder runs."""
    text = (files("builder.rules") / _SHIPPED).read_text(encoding="utf-8")
    found = Findings()
    entry = read_yaml(text, f"builder/rules/{_SHIPPED}", found)
    read = check(entry, DocumentsFile, found) if entry else None
    if not isinstance(read, DocumentsFile):
        raise TypeError("\n".join(map(str, found)))
    return read


def _own(folder: Folder, findings: Findings) -> DocumentsFile:
    path = folder.root / OWN
    text = folder.read(path, findings) if path.exists() else None
    entry = read_yaml(text, OWN, findings) if text is not None else None
    read = check(entry, DocumentsFile, findings) if entry else None
    return read if isinstance(read, DocumentsFile) else DocumentsFile()
