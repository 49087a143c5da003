"""Sets papers: the templates of a folder, the code of a paper and its files, all in memory."""

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from builder.craft.typesetting import set_files
from builder.errors import HandoverError
from builder.languages.foreign import foreign_pattern
from builder.shipped import Layered, is_shipped
from builder.writers.paper.book import Book
from builder.writers.paper.drawings import Drawings
from builder.writers.paper.guide_text import Printable

FOLDER = "site_templates/paper"
STYLE = "plan.css"
VALUES = "values.json"


class Press:
    """Sets papers with templates that are read once for many plots."""

    def __init__(self, folder: Layered) -> None:
        self._folder = folder
        self._templates = {name: path.read_bytes() for name, path in folder.files("*.typ").items()}
        self._own = (
            ""
            if folder.ours
            else next(
                (
                    f"{FOLDER}/{name}"
                    for name, path in folder.files("*.typ").items()
                    if not is_shipped(path)
                ),
                "",
            )
        )
        self._style = _read(folder.path(STYLE))

    def drawings(self) -> Drawings:
        """An empty collection of drawings in the style of print."""
        return Drawings(self._style)

    def book(self, book: Book) -> bytes:
        """A whole guide."""
        code = book.code().encode("utf-8")
        files = {
            "main": code,
            **book.drawings.files,
            **book.printable.pictures,
            **book.printable.look,
        }
        return self._set_paper(files, f"The book of {book.printable.guide.reference}", self._own)

    def paper(
        self,
        name: str,
        values: Mapping[str, Any],
        printable: Printable,
        drawings: Drawings | None = None,
    ) -> bytes:
        """A paper of its own template, which reads its values from one file, and which of them are in
        another language than the paper."""
        template = f"{name}.typ"
        if template not in self._templates:
            raise HandoverError(f"The paper's template '{self._folder.path(template)}' is missing.")
        told = {**values, "foreign": foreign_pattern(values, printable.guide.unsaid)}
        plain = json.dumps(told, ensure_ascii=False).encode("utf-8")
        given = {"main": self._templates[template], VALUES: plain, **printable.look}
        given |= drawings.files if drawings else {}
        own = (
            f"{FOLDER}/{template}"
            if self._own and not is_shipped(self._folder.path(template))
            else self._own
        )
        return self._set_paper(given, f"'{self._folder.path(template)}'", own)

    def _set_paper(self, files: Mapping[str, bytes], named: str, own: str) -> bytes:
        return set_files({**self._templates, **files}, named, own)


def _read(path: Path) -> str:
    if not path.is_file():
        raise HandoverError(f"The style of plans on paper '{path}' is missing.")
    return path.read_text(encoding="utf-8")
