"""Sets a Typst template with plain values: the same input gives the same bytes on every machine.

Fonts are those inside Typst alone, nothing is read from a network, and no clock is asked.
"""

from collections.abc import Mapping
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Literal

import typst

from builder.craft.glyphs import printable_on_paper
from builder.craft.pictures import FORMATS
from builder.errors import HandoverError

DAY_OF_ALL_SHEETS = 946684800
"""1 January 2000 as Unix seconds: a clock would make every print of a sheet another file."""

MAIN = "main.typ"
_PICTURES = tuple(FORMATS)

Standard = Literal["ua-1", "a-2a"]
ACCESSIBLE: tuple[Standard, ...] = ("ua-1",)
"""PDF/UA-1 (ISO 14289-1): tagged, with titles and alternative texts; Typst refuses what is not."""
ACCESSIBLE_AND_LASTING: tuple[Standard, ...] = ("ua-1", "a-2a")
"""PDF/UA-1 and PDF/A-2a (ISO 19005-2) at once: accessible, and the same in fifteen years."""


def set_template(template: Path, inputs: Mapping[str, str], what: str) -> bytes:
    """The PDF of a template that reads ``sys.inputs``. ``what`` names its paper in messages."""
    if not template.is_file():
        raise HandoverError(f"The {what}'s template '{template}' is missing.")
    try:
        return typst.compile(
            template,
            format="pdf",
            ignore_system_fonts=True,
            root=template.parent,
            pdf_standards=list(ACCESSIBLE),
            sys_inputs={name: printable_on_paper(text) for name, text in inputs.items()},
            timestamp=DAY_OF_ALL_SHEETS,
        )
    except typst.TypstError as error:
        raise HandoverError(f"'{template}' cannot be set: {error.diagnostic}") from error


def set_files(files: Mapping[str, bytes], named: str) -> bytes:
    """The PDF of some files, of which ``main`` is the first. ``named`` is for messages.

    They are laid into a folder for the time, because files in memory may hold text alone.
    """
    with TemporaryDirectory() as laid:
        folder = Path(laid)
        for name, content in files.items():
            shown = content if name.endswith(_PICTURES) else _printable_text(content)
            (folder / (MAIN if name == "main" else name)).write_bytes(shown)
        try:
            return typst.compile(
                folder / MAIN,
                format="pdf",
                ignore_system_fonts=True,
                root=folder,
                pdf_standards=list(ACCESSIBLE_AND_LASTING),
                timestamp=DAY_OF_ALL_SHEETS,
            )
        except typst.TypstError as error:
            said = error.diagnostic.replace(f"{folder.name}/", "")
            raise HandoverError(f"{named} cannot be set: {said}") from error


def _printable_text(content: bytes) -> bytes:
    """A file of text with what stands for letters that the fonts do not have."""
    return content if content.isascii() else printable_on_paper(content.decode("utf-8")).encode()
