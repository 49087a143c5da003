"""Puts all files of a save in their places, or none; and finishes what a killed process began.

The desk may write files that somebody reads, and pictures. Never: registers of codes, private records,
anything hidden, anything that a link leads out to, and templates, which are as good as code.
"""

from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path, PurePosixPath

from builder.digests import digest_of
from builder.disk import save, true_place
from builder.errors import UnwritableError, UsageError, printable
from builder.model.record import is_identifier
from builder.saving.store import JournalEntry, SaveStore
from builder.sources.belonging import READ

Contents = Mapping[str, bytes | None]
"""What files say, by their names; None for no file."""
PICTURES = frozenset({".jpg", ".jpeg", ".png", ".webp"})
"""The endings of photographs that a page shows."""
_FOLDERS = {each: READ[each] for each in READ if each not in ("developments", "content/drawings")}
REGISTERS = ("register.csv", "register.seal")
_SUFFIXES = (".yaml", ".csv", ".md")
_ORIGINS = PurePosixPath("origins/housetypes")
"""Where what a model said of a house type lies, as JSON."""
_TEXTS = (*_SUFFIXES, ".json")
_PHOTOS = "photos"


def digest_or_none(content: bytes | None) -> str:
    """A digest, or "" for no file."""
    return "" if content is None else digest_of(content)


def on_disk(root: Path, name: str) -> bytes | None:
    """What a file says, or None where there is none. UnwritableError where it cannot be read."""
    try:
        return (root / name).read_bytes()
    except FileNotFoundError:
        return None
    except OSError as error:
        raise UnwritableError(f"'{name}' cannot be read: {error.strerror}.") from error


def place(
    root: Path, store: SaveStore, entry: JournalEntry, was: Contents, becomes: Contents
) -> None:
    """Put the files of a save in place. The lock of the store must be held.

    Everything is on the disk before the save is decided on. Raises UnwritableError where the disk
    cannot take it: then every file is as it was.
    """
    for content in (*was.values(), *becomes.values()):
        if content is not None:
            store.keep(content)
    store.decide(entry)
    try:
        finish(root, store, entry)
    except UnwritableError:
        for name, content in was.items():
            _write(root, name, content)
        store.finished()
        raise


def finish(root: Path, store: SaveStore, entry: JournalEntry) -> None:
    """Write the files of a save that was decided on. A file that is neither as before nor as wanted has
    been changed by somebody since, and stays."""
    for name, (before, after) in entry.files.items():
        _sweep(root / name)
        if digest_or_none(on_disk(root, name)) == before:
            _write(root, name, store.content(after) if after else None)


def _write(root: Path, name: str, content: bytes | None) -> None:
    path = root / name
    try:
        if content is None:
            path.unlink(missing_ok=True)
            return
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise UnwritableError(f"'{name}' cannot be written: {error.strerror}.") from error
    mode = path.stat().st_mode & 0o777 if path.exists() else None
    save(path, content)
    if mode is not None:
        with suppress(OSError):
            path.chmod(mode)


def _sweep(path: Path) -> None:
    """Take away the drafts that a killed process left beside a file."""
    with suppress(OSError):
        for draft in path.parent.glob(f".{path.name}.*.part"):
            draft.unlink()


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


def is_text(name: str) -> bool:
    """Whether a file that the desk may write is a text, by its name; the others are pictures."""
    return name.endswith(_TEXTS)


def _is_data(path: PurePosixPath) -> bool:
    if path.parent == _ORIGINS:
        return path.suffix == ".json"
    if path.name in REGISTERS or path.suffix not in _SUFFIXES:
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
