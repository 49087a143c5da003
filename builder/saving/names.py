"""Which files of a workspace the desk may write: those that somebody reads, and pictures.

Never: registers of codes, private records, anything hidden, anything that a link leads out to, and
templates, which are as good as code.
"""

from pathlib import Path, PurePosixPath

from builder.disk import true_place
from builder.errors import UsageError, printable
from builder.model.record import is_identifier
from builder.sources.belonging import READ

PICTURES = frozenset({".jpg", ".jpeg", ".png", ".webp"})
"""The endings of photographs that a page shows."""
_FOLDERS = {each: READ[each] for each in READ if each not in ("developments", "content/drawings")}
_NEVER = ("register.csv", "register.seal")
_SUFFIXES = (".yaml", ".csv", ".md")
_PHOTOS = "photos"


def writable(root: Path, name: str) -> Path:
    """Where a file lies that the desk may write. UsageError for any other name."""
    path = PurePosixPath(name)
    if name != path.as_posix() or not _is_plain(name, path) or not (_is_data(path) or _is_photo(path)):  # fmt: skip
        raise UsageError(f"'{printable(name)}' is no file that can be changed here.")
    place, home = root / path, true_place(root)
    parents = (each for each in place.parents if each != root and each.is_relative_to(root))
    if place.is_symlink() or any(each.is_symlink() for each in parents):
        raise UsageError(f"'{printable(name)}' is reached by a link, and is not changed here.")
    if not true_place(place).is_relative_to(home) or place.is_dir():
        raise UsageError(f"'{printable(name)}' is no file of this workspace.")
    return place


def _is_plain(name: str, path: PurePosixPath) -> bool:
    """Whether a name leads nowhere but down, and every folder on the way is an id."""
    if path.is_absolute() or "\\" in name or ":" in name or "\0" in name:
        return False
    return all(is_identifier(each) for each in path.parts[:-1]) and is_identifier(path.stem)


def _is_data(path: PurePosixPath) -> bool:
    if path.name in _NEVER or path.suffix not in _SUFFIXES:
        return False
    if path.is_relative_to("content/articles"):
        return path.suffix == ".md"
    return any(
        len(path.parts) == folder.count("/") + 2 and path.parent.match(folder) and _has_one_of_names(path, names)
        for folder, names in _FOLDERS.items()
    )  # fmt: skip


def _has_one_of_names(path: PurePosixPath, names: tuple[str, ...]) -> bool:
    return any(not each.endswith("/") and path.match(each) for each in names)


def _is_photo(path: PurePosixPath) -> bool:
    inside = path.parts[0] in ("developments", "housetypes", "content") and _PHOTOS in path.parts[1:-1]  # fmt: skip
    return inside and path.suffix in PICTURES
