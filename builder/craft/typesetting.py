"""Sets a Typst template with plain values: the same input gives the same bytes on every machine.

Fonts are those inside Typst alone, nothing is read from a network, and no clock is asked. Templates that
ship are trusted; one that a workspace lays over them is set in a process with limits. Drawings of pages
become files of their own: no style sheet stands beside them.
"""

import re
from collections.abc import Mapping
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Literal

import typst

from builder.craft.glyphs import printable_on_paper
from builder.craft.pictures import FORMATS
from builder.craft.setting_apart import LIMITS, NotSetError, PaperLimits, set_apart
from builder.errors import HandoverError
from builder.shipped import is_shipped

DAY_OF_ALL_SHEETS = 946684800
"""1 January 2000 as Unix seconds: a clock would make every print of a sheet another file."""

MAIN = "main.typ"
_PICTURES = tuple(FORMATS)
_TEMPLATES = "site_templates"
_NO_PACKAGES = "no-packages"
"""No folder: what a machine has of packages is part of no paper."""
_FETCHES = "it imports a package, which would come from the network; put its files beside the template, and import those"

Standard = Literal["ua-1", "a-2a"]
ACCESSIBLE: tuple[Standard, ...] = ("ua-1",)
"""PDF/UA-1 (ISO 14289-1): tagged, with titles and alternative texts; Typst refuses what is not."""
ACCESSIBLE_AND_LASTING: tuple[Standard, ...] = ("ua-1", "a-2a")
"""PDF/UA-1 and PDF/A-2a (ISO 19005-2) at once: accessible, and the same in fifteen years."""
_WIDTH = re.compile(r'(<svg\b[^>]*?) width="[^"]*"')
_NAMESPACE = "http://www.w3.org/2000/svg"


def set_template(
    template: Path, inputs: Mapping[str, str], what: str, limits: PaperLimits = LIMITS
) -> bytes:
    """The PDF of a template that reads ``sys.inputs``. ``what`` names its paper in messages."""
    if not template.is_file():
        raise HandoverError(f"The {what}'s template '{template}' is missing.")
    shown = {name: printable_on_paper(text) for name, text in inputs.items()}
    try:
        if is_shipped(template):
            return _compiled(template, template.parent, shown)
        return set_apart(_compiled, template, template.parent, shown, name_of(template), limits)
    except NotSetError as error:
        raise HandoverError(f"'{template}' cannot be set: {error}") from error


def set_files(
    files: Mapping[str, bytes], named: str, own: str = "", limits: PaperLimits = LIMITS
) -> bytes:
    """The PDF of some files, of which ``main`` is the first. ``named`` is for messages, ``own`` the
    template among them that a workspace wrote.

    They are laid into a folder for the time, because files in memory may hold text alone.
    """
    with TemporaryDirectory() as laid:
        folder = Path(laid)
        for name, content in files.items():
            shown = content if name.endswith(_PICTURES) else _printable_text(content)
            (folder / (MAIN if name == "main" else name)).write_bytes(shown)
        try:
            if not own:
                return _compiled(folder / MAIN, folder, None)
            return set_apart(_compiled, folder / MAIN, folder, None, own, limits)
        except NotSetError as error:
            said = str(error).replace(f"{folder.name}/", "")
            raise HandoverError(f"{named} cannot be set: {said}") from error


def name_of(template: Path) -> str:
    """What a template is called in its workspace."""
    parts = template.parts
    start = parts.index(_TEMPLATES) if _TEMPLATES in parts else len(parts) - 1
    return "/".join(parts[start:])


def _compiled(main: Path, root: Path, inputs: dict[str, str] | None) -> bytes:
    """The PDF of a file. Sheets are accessible; papers, which have no inputs, last besides."""
    try:
        return typst.compile(
            main,
            format="pdf",
            ignore_system_fonts=True,
            root=root,
            pdf_standards=list(ACCESSIBLE_AND_LASTING if inputs is None else ACCESSIBLE),
            sys_inputs=inputs or {},
            timestamp=DAY_OF_ALL_SHEETS,
            package_path=root / _NO_PACKAGES,
            package_cache_path=root / _NO_PACKAGES,
        )
    except typst.TypstError as error:
        fetches = "failed to download package" in error.diagnostic
        raise NotSetError(_FETCHES if fetches else error.diagnostic) from error


def _printable_text(content: bytes) -> bytes:
    """A file of text with what stands for letters that the fonts do not have."""
    return content if content.isascii() else printable_on_paper(content.decode("utf-8")).encode()


def standing_alone(svg: str, style: str) -> str:
    """A whole document: the namespace that HTML leaves out, and the style inside."""
    spaced = svg if "xmlns=" in svg else svg.replace("<svg", f'<svg xmlns="{_NAMESPACE}"', 1)
    plain = _WIDTH.sub(r"\1", spaced, count=1)
    return plain.replace(">", f"><style>{style}</style>", 1)
