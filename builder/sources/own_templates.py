"""The templates and theme that a workspace brings along: which they are, and that they lie in it.

Templates of pages, stickers and run sheets run in a sandbox. So do those of a theme, but a theme is
still what a whole page is made of, scripts and styles included: whoever builds should know of it.
"""

from collections.abc import Iterator
from os.path import realpath
from pathlib import Path

from builder.disk import true_place
from builder.errors import Finding, Place, Severity
from builder.shipped import shipped
from builder.sources.folder import LARGEST_FILE, Folder

_ALL = "site_templates"
THEME = f"{_ALL}/theme"
_BROUGHT = (_ALL, "stickers")
_TEMPLATES = frozenset((".html", ".xml", ".txt", ".md"))
_SCRIPTS = frozenset((".js", ".mjs"))
_TEXTS = _TEMPLATES | _SCRIPTS | {".typ", ".css", ".yaml", ".svg"}


def own_templates(root: Path) -> Iterator[Finding]:
    """What there is to say of the templates of a workspace."""
    for name in _BROUGHT:
        folder = root / name
        if folder.is_symlink() or folder.is_dir():
            yield from _not_to_be_read(root, folder)
    templates = (f"{THEME}/{each}" for each in files_of_its_own(root, THEME, _TEMPLATES))
    scripts = (f"{_ALL}/{each}" for each in files_of_its_own(root, _ALL, _SCRIPTS))
    own = sorted({*templates, *scripts})
    if own:
        yield Finding(
            "site.own-theme",
            Place(own[0]),
            "This workspace has templates of a theme or scripts of its own, and these are code: "
            f"{', '.join(own[:5])}.",
            "Build it only if you trust whoever wrote it.",
            severity=Severity.WARNING,
            basis="house rule: nobody runs what they do not know of",
        )


def _not_to_be_read(root: Path, folder: Path) -> Iterator[Finding]:
    """One finding for each link that leads out of the workspace, and for each text that is no file or
    is larger than any text is."""
    home, files = true_place(root), Folder(root)
    for path in (folder, *sorted(folder.rglob("*"))):
        is_text = path.suffix.lower() in _TEXTS
        if is_text or (path.is_symlink() and not Path(realpath(path)).is_relative_to(home)):
            problem = files.refused(path, LARGEST_FILE if is_text else None)
            if problem is not None:
                yield problem


def templates_of_its_own(folder: Path | None) -> tuple[str, ...]:
    """The templates in a theme's folder that do not ship with the builder, by their paths in it."""
    return () if folder is None else _not_shipped(folder, shipped(THEME), _TEMPLATES)


def files_of_its_own(root: Path, name: str, suffixes: frozenset[str]) -> tuple[str, ...]:
    """The files of some kinds in a folder of a workspace that do not ship with the builder."""
    return _not_shipped(root / name, shipped(name), suffixes)


def _not_shipped(folder: Path, ours: Path, suffixes: frozenset[str]) -> tuple[str, ...]:
    if not folder.is_dir() or true_place(folder) == true_place(ours):
        return ()
    found = sorted(path for path in folder.rglob("*") if path.suffix.lower() in suffixes)
    names = [path.relative_to(folder).as_posix() for path in found if path.is_file()]
    return tuple(name for name in names if not _holds_the_same(folder / name, ours / name))


def _holds_the_same(one: Path, other: Path) -> bool:
    return other.is_file() and one.read_bytes() == other.read_bytes()
