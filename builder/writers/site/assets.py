"""The theme's files, which all guides of a published tree share. Knows no site engine.

They lie in ``assets/<digest>/``, named by what they hold, so that hosts and browsers may keep them
for good, and a new theme never changes the look of a guide that was published with an old one.

All that comes from mkdocs-material are the icons that the settings name (``from_material``). Its end of
life is 5 May 2027: where none is named, it need not be installed.
"""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from importlib.util import find_spec
from pathlib import Path, PurePosixPath
from urllib.parse import quote

from builder.disk import true_place
from builder.errors import HandoverError

FOLDER = "assets"
_DIGITS = 10
STYLE = "handover.css"
"""The style sheet, which draws the icon of each entry of the bar too, so that no page says it."""
_OF_MATERIAL = "templates/.icons"
_PLAIN = " /:=',.;()-"
"""What may stand within quotation marks in a style sheet as it is."""


@dataclass(frozen=True)
class Assets:
    """The theme files of one workspace's settings by their paths below ``assets``: where each lies on
    the disk, or what it holds."""

    files: Mapping[str, Path | bytes]

    @cached_property
    def digests(self) -> Mapping[str, str]:
        """The SHA-256 of each file, by its path in the published tree."""
        return {f"{self.folder}/{name}": digest for name, digest in sorted(self._digested.items())}

    @cached_property
    def _digested(self) -> Mapping[str, str]:
        return {name: hashlib.sha256(self.content(name)).hexdigest() for name in self.files}

    def content(self, name: str) -> bytes:
        """What a file holds."""
        file = self.files[name]
        return file.read_bytes() if isinstance(file, Path) else file

    @cached_property
    def folder(self) -> str:
        """Where they lie in the published tree."""
        digest = hashlib.sha256()
        for name, content in sorted(self._digested.items()):
            digest.update(f"{name}\0{content}\0".encode())
        return f"{FOLDER}/{digest.hexdigest()[:_DIGITS]}"

    def copy_to(self, folder: Path) -> None:
        """Write all of them into a folder that is not there yet."""
        for name in sorted(self.files):
            place = folder / name
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_bytes(self.content(name))


def found_in(folders: list[Path], icons: Mapping[str, str]) -> Assets:
    """The files below ``assets`` of a theme's folders; the first folder that has a file gives it. The
    style sheet draws the ``icons``, named by the entries of the bar.

    What only the theme's makers need is left out.
    """
    files: dict[str, Path | bytes] = {}
    for folder in folders:
        for path in sorted((folder / FOLDER).rglob("*")):
            name = path.relative_to(folder / FOLDER).as_posix()
            if path.is_file() and not _for_makers(PurePosixPath(name)):
                files.setdefault(name, path)
    style = files.get(STYLE)
    if isinstance(style, Path) and icons:
        files[STYLE] = style.read_bytes() + icon_style(icons)
    return Assets(files)


def _for_makers(name: PurePosixPath) -> bool:
    hidden = any(part.startswith(".") for part in name.parts)
    return hidden or name.suffix in (".map", ".py", ".pyc")


def icon_style(named: Mapping[str, str]) -> bytes:
    """The rules of all icons, each before the entry of the bar with its id. A drawing stands in them as
    it is, because a guide on a disk can ask for no part of a file.

    Raises:
        HandoverError: the package is not installed, or has no such icon.
    """
    before = ",".join(f".bar-{entry}::before" for entry in named)
    drawn = "".join(f".bar-{entry}{{--icon:{_drawn(_icon(str(name)))}}}\n" for entry, name in named.items())  # fmt: skip
    forced = f"@media (forced-colors:active){{{before}{{background:LinkText;forced-color-adjust:none}}}}\n"  # fmt: skip
    return f"{before}{{{_MASK}}}\n{forced}{drawn}".encode()


_MASK = (
    'background:currentColor;content:"";height:1.5rem;width:1.5rem;'
    "-webkit-mask:var(--icon) center/contain no-repeat;mask:var(--icon) center/contain no-repeat"
)
"""An icon has the colour of the words of its entry."""


def _drawn(drawing: str) -> str:
    return f'url("data:image/svg+xml,{quote(drawing, safe=_PLAIN)}")'


@cache
def _icon(name: str) -> str:
    package = find_spec("material")
    folder = Path(package.origin).parent / _OF_MATERIAL if package and package.origin else None
    if folder is None:
        raise HandoverError(
            "mkdocs.yml takes icons from mkdocs-material, which is not installed. "
            "Install it, or leave 'from_material' empty."
        )
    file = true_place(folder / f"{name}.svg")
    if not file.is_relative_to(true_place(folder)) or not file.is_file():
        raise HandoverError(f"mkdocs.yml: mkdocs-material has no icon '{name}'.")
    return file.read_text(encoding="utf-8").strip()
