"""Photographs and logos are files of the workspace that can be shown."""

from collections.abc import Iterator
from functools import lru_cache
from os.path import realpath
from pathlib import Path, PurePosixPath

from builder.craft.logos import logo_can_be_read
from builder.craft.pictures import FORMATS, PictureError, read_through
from builder.errors import Finding, Severity
from builder.home.assemble import TracedHome
from builder.rules.rule import Rule
from builder.sources.folder import Folder

LARGEST_PHOTOGRAPH = 20 * 1024 * 1024
"""Bytes. A telephone's photograph has 2 to 6 million; the guide shows a smaller copy."""

_FORMS = tuple(FORMATS)
_BASIS = "house rule: a photograph is a file of the workspace that every browser shows"
PHOTOGRAPH_RULES = tuple(
    Rule(f"photos.{name}", says, Severity.ERROR, basis=_BASIS)
    for name, says in {
        "path": "The file of a photograph lies in the workspace.",
        "form": "A photograph is of a form that browsers show.",
        "missing": "The file of a photograph is there.",
        "too-large": "The file of a photograph is of sane size.",
        "content": "A photograph can be read.",
    }.items()
)


def photographs_can_be_shown(traced: TracedHome, folder: Folder) -> Iterator[Finding]:
    """Every photograph is a picture file inside the workspace, of sane size."""
    for name, photo in traced.home.photos.items():
        if folder.instead.get(photo.file) is not None:
            continue  # not on the disk yet: it was opened and copied by whoever brings it
        problem = picture_problem(photo.file, folder.root, _FORMS)
        if problem is not None:
            code, wrong, right = problem
            yield Finding(
                code,
                traced.merged.nearest(("photos", name, "file")).sayings[-1].place,
                wrong,
                right,
                path=f"photos.{name}.file",
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
    if not resolved.is_relative_to(root.resolve()):
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
