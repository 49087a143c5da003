"""What the frame takes from mkdocs-material, and nothing else does: the icons that the settings name.

The theme package's end of life is 5 May 2027. Where the list is empty it need not be installed.
"""

from collections.abc import Mapping
from functools import cache
from importlib.util import find_spec
from pathlib import Path

from builder.errors import HandoverError

_FOLDER = "templates/.icons"


def icons(named: Mapping[str, str]) -> Mapping[str, str]:
    """The SVG of each icon, by the entry of the bar that it stands at.

    Raises:
        HandoverError: the package is not installed, or has no such icon.
    """
    return {entry: _icon(str(name)) for entry, name in named.items()}


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
    drawing = file.read_text(encoding="utf-8").strip()
    return drawing.replace("<svg ", '<svg aria-hidden="true" ', 1)
