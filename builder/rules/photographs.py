"""Photographs and logos are files of the workspace that can be shown."""

import re
from collections.abc import Iterator
from functools import lru_cache
from os.path import realpath
from pathlib import Path, PurePosixPath

from builder.craft.logos import logo_can_be_read
from builder.craft.pictures import COPY_SIDE, FORMATS, PictureError, published_copy, read_through
from builder.disk import true_place
from builder.errors import Finding, Severity
from builder.home.assemble import TracedHome
from builder.model.home import Home, Photo
from builder.rules.rule import Rule
from builder.sources.folder import Folder

LARGEST_PHOTOGRAPH = 20 * 1024 * 1024
"""Bytes. A telephone's photograph has 2 to 6 million; the guide shows a smaller copy."""

_FORMS = tuple(FORMATS)
_BASIS = "house rule: a photograph is a file of the workspace that every browser shows"
HEAVIEST_COPY = 150_000
"""Bytes of the copy that stands on a page: a second on a slow mobile network of 1.6 Mbit a second
(the throttled telephone of Lighthouse, from memory)."""
FEWEST_WORDS = 2
"""Words of what a photograph shows: one word is its name and no description."""
WORDS = Rule(
    "photos.words", "A photograph says in words what is to be seen on it.",
    basis="WCAG 2.2 (W3C Recommendation, 5 October 2023), success criterion 1.1.1",
)  # fmt: skip
WEIGHT = Rule(
    "photos.weight", "The copy of a photograph for pages is light enough for a telephone.",
    basis="house rule: at most 150,000 bytes, a second on a slow mobile network",
)  # fmt: skip
UNSEEN = Rule(
    "photos.unseen", "Each photograph is shown somewhere.", Severity.NOTE,
    basis="house rule: what nobody shows is a slip, or may go",
)  # fmt: skip
_NO_WORDS = re.compile(r"^(?:(?:a |the )?(?:photo|photograph|picture|image)(?: of\b|$)|\S+\.\w{3,4}$|(?:IMG|DSC)[_-]?\d+)", re.IGNORECASE)  # fmt: skip
_FORM_RULES = tuple(
    Rule(f"photos.{name}", says, Severity.ERROR, basis=_BASIS)
    for name, says in {
        "path": "The file of a photograph lies in the workspace.",
        "form": "A photograph is of a form that browsers show.",
        "missing": "The file of a photograph is there.",
        "too-large": "The file of a photograph is of sane size.",
        "content": "A photograph can be read.",
    }.items()
)


PHOTOGRAPH_RULES = (*_FORM_RULES, WORDS, WEIGHT, UNSEEN)


def photographs_can_be_shown(traced: TracedHome, folder: Folder) -> Iterator[Finding]:
    """Every photograph is a picture file inside the workspace, of sane size, said in words and shown."""
    for name, photo in traced.home.photos.items():
        if folder.instead.get(photo.file) is not None:
            continue  # not on the disk yet: it was opened and copied by whoever brings it
        problem = picture_problem(photo.file, folder.root, _FORMS)
        if problem is not None:
            yield _finding(traced, (name, "file"), problem)
        else:
            yield from _lesser_problems(traced, name, photo, folder.root)


def _lesser_problems(traced: TracedHome, name: str, photo: Photo, root: Path) -> Iterator[Finding]:
    """What keeps nobody from seeing a photograph, and is to be mended."""
    if _NO_WORDS.search(photo.shows) or len(photo.shows.split()) < FEWEST_WORDS:
        wrong = f"'{photo.shows}' does not say what is to be seen on '{photo.file}'."
        right = "Say it as to somebody who cannot see: The round brass handle under the sink, at the back."
        yield _finding(traced, (name, "shows"), (WORDS.id, wrong, right), WORDS)
    about = (root / photo.file).stat()
    weight = _weight(root / photo.file, about.st_mtime_ns, about.st_size)
    if weight > HEAVIEST_COPY:
        wrong = f"The copy of '{photo.file}' for pages has {weight:,} bytes; at most {HEAVIEST_COPY:,} come quickly."
        yield _finding(traced, (name, "file"), (WEIGHT.id, wrong, "Save it as a JPEG."), WEIGHT)
    if name not in _photographs_named(traced.home):
        wrong = f"No room and no piece of this home shows '{name}'."
        right = "Name it: 'photo' of a room or piece, or one of its 'photos'. Or take it out."
        yield _finding(traced, (name,), (UNSEEN.id, wrong, right), UNSEEN)


def _photographs_named(home: Home) -> frozenset[str]:
    """The photographs that rooms and pieces name."""
    rooms, pieces = home.rooms.values(), home.equipment.values()
    return frozenset(
        {each.photo for each in rooms if each.photo}
        | {each.photo for each in pieces if each.photo}
        | {each.photo for piece in pieces for each in piece.photos.values()}
    )


def _finding(
    traced: TracedHome,
    inside: tuple[str, ...],
    problem: tuple[str, str, str],
    of: Rule | None = None,
) -> Finding:
    code, wrong, right = problem
    address = ("photos", *inside)
    return Finding(
        code,
        traced.said(*address).place,
        wrong,
        right,
        severity=of.severity if of else Severity.ERROR,
        path=".".join(address),
        plots=(traced.reference,),
    )


def picture_problem(file: str, root: Path, forms: tuple[str, ...]) -> tuple[str, str, str] | None:
    """What is wrong with the file of a picture: the rule, what is wrong, and what would be right."""
    path = PurePosixPath(file)
    if path.is_absolute() or ".." in path.parts or "\\" in file or ":" in file:
        return (
            "photos.path",
            f"'{file}' leads out of the workspace.",
            "Write the path from the workspace: developments/<name>/photos/<file>.",
        )
    if path.suffix.lower() not in forms:
        return (
            "photos.form",
            f"'{file}' is not a picture that browsers show.",
            f"Use one of {', '.join(forms)}.",
        )
    resolved = Path(realpath(root / path))
    if not resolved.is_relative_to(true_place(root)):
        return (
            "photos.path",
            f"'{file}' is a link out of the workspace.",
            "Copy the file into the workspace.",
        )
    if not resolved.is_file():
        return "photos.missing", f"There is no file '{file}'.", "Correct the path, or add the file."
    return _content_problem(file, resolved)


def _content_problem(file: str, resolved: Path) -> tuple[str, str, str] | None:
    about = resolved.stat()
    if about.st_size > LARGEST_PHOTOGRAPH:
        return (
            "photos.too-large",
            f"'{file}' has {about.st_size:,} bytes; at most {LARGEST_PHOTOGRAPH:,} are read.",
            "Save a smaller copy.",
        )
    problem = _read_problem(resolved, about.st_mtime_ns, about.st_size)
    return None if problem is None else ("photos.content", f"'{file}' {problem[0]}", problem[1])


@lru_cache(maxsize=10_000)
def _read_problem(resolved: Path, _changed: int, _size: int) -> tuple[str, str] | None:
    """What a picture has wrong, and what would be right, found out once for all homes that show it."""
    try:
        (logo_can_be_read if resolved.suffix.lower() == ".svg" else read_through)(resolved)
    except PictureError as error:
        return error.says, error.right
    return None


@lru_cache(maxsize=10_000)
def _weight(path: Path, _changed: int, size: int) -> int:
    """The bytes of the copy of a picture for pages; a picture that is light itself need not be copied."""
    return size if size <= HEAVIEST_COPY else len(published_copy(path, COPY_SIDE))
