"""What the frame takes from mkdocs-material, and nothing else does: the icons that the settings name.

The theme package's end of life is 5 May 2027. Where the list is empty it need not be installed.
"""

from collections.abc import Mapping
from functools import cache
from importlib.util import find_spec
from pathlib import Path

from builder.errors import HandoverError

ICONS = "icons.svg"
"""The file of the theme that holds all icons, which every page shows from there."""
_FOLDER = "templates/.icons"


def icon_files(named: Mapping[str, str]) -> Mapping[str, bytes]:
    """One file of all icons, each a symbol with the id of the entry of the bar that it stands at; none
    where none is named.

    Raises:
        HandoverError: the package is not installed, or has no such icon.
    """
    symbols = "".join(_symbol(entry, _icon(str(name))) for entry, name in named.items())
    whole = f'<svg xmlns="http://www.w3.org/2000/svg">{symbols}</svg>\n'
    return {ICONS: whole.encode()} if named else {}


def _symbol(entry: str, drawing: str) -> str:
    opened = drawing.replace('<svg xmlns="http://www.w3.org/2000/svg"', f'<symbol id="{entry}"', 1)
    return opened.replace("</svg>", "</symbol>")


@cache
def _icon(name: str) -> str:
    package = find_spec("material")
    folder = Path(package.origin).parent / _FOLDER if package and package.origin else None
    if folder is None:
        raise HandoverError(
            "mkdocs.yml takes icons from mkdocs-material, which is not installed. "
            "Install it, or leave 'from_material' empty."
        )
    file = (folder / f"{name}.svg").resolve()
    if not file.is_relative_to(folder.resolve()) or not file.is_file():
        raise HandoverError(f"mkdocs.yml: mkdocs-material has no icon '{name}'.")
    return file.read_text(encoding="utf-8").strip()
