"""Which files of a workspace anybody reads: a file that nobody reads is reported, never passed over.

A departure in a file of the wrong name would be missing from a guide, and nobody would know.
"""

import os
from collections.abc import Collection, Iterator, Mapping
from pathlib import Path, PurePosixPath

from builder.errors import Finding, Place, Severity, alike, printable, suggestion
from builder.sources.folder import LONGEST_NAME

READ: Mapping[str, tuple[str, ...]] = {
    "housetypes": ("*.yaml", "options/"),
    "housetypes/options": ("*.yaml",),
    "developments": ("*/",),
    "developments/*": (
        "development.yaml",
        "columns.yaml",
        "plots.csv",
        "register.csv",
        "register.seal",
        "plots/",
        "records/",
    ),
    "developments/*/plots": ("*.yaml",),
    "content": (
        "documents.yaml",
        "library.yaml",
        "articles/",
        "demonstration/",
        "symptoms/",
        "languages/",
        "drawings/",
        "model-words/",
    ),
    "content/model-words": ("*.yaml",),
    "content/languages": ("*/",),
    "content/languages/*": ("*.po", "articles/", "symptoms/"),
    "content/languages/*/articles": ("*.md",),
    "content/languages/*/symptoms": ("*.yaml",),
    "content/symptoms": ("*.yaml",),
    "content/drawings": ("*.svg",),
    "content/articles": ("*.md", "*/"),
    "content/demonstration": ("*.yaml",),
    "stickers": ("stock.yaml",),
}
"""What is read in each folder: names of files, and folders with a stroke. A stage that reads another
file adds it here. The folders of articles may have folders inside."""
_FREE = ("content/articles",)
"""Folders that are read to any depth."""
_UNSEEN = ("developments/*/records",)
"""Folders that are private: what lies in them is not looked at here."""
_PRIVATE = (*_UNSEEN, "records", ".handover")
"""Folders that the builder keeps for itself: what is written there lies there, and nowhere else."""
_PICTURES = frozenset({".jpg", ".jpeg", ".png", ".webp", ".gif", ".svg", ".pdf"})
"""Photographs may lie in any folder. Whether a page shows them is asked elsewhere."""
_DATA = frozenset({".yaml", ".yml", ".csv", ".md", ".markdown", ".json", ".txt", ".tsv", ".xlsx", ".ods"})  # fmt: skip
_HARMLESS = frozenset({"readme", "readme.md", "readme.txt", "license", "license.txt", "license.md"})
PLOTS = "developments/*/plots"


def unread_files(root: Path, plots: Mapping[str, Collection[str]]) -> Iterator[Finding]:
    """One finding for each file that nobody reads, and one for a whole folder of such files.

    ``plots``: the numbers of each development.
    """
    for top in dict.fromkeys(pattern.split("/")[0] for pattern in READ):
        for folder, folders, files in os.walk(root / top):
            inside = PurePosixPath(Path(folder).relative_to(root).as_posix())
            pattern = _pattern(inside)
            if pattern is None:
                folders.clear()
                yield from _unread_folder(root, inside)
                continue
            folders[:] = sorted(each for each in folders if _is_looked_into(inside / each))
            for name in sorted(files):
                if not _is_read(name, READ[pattern]):
                    yield from _unread(inside / name, pattern, plots)


def linked_private_folders(root: Path) -> Iterator[Finding]:
    """One finding for each private folder that is a link: it may lead into what is published."""
    for pattern in _PRIVATE:
        for path in sorted(root.glob(pattern)):
            if path.is_symlink():
                yield Finding(
                    "file.private-link", _place(PurePosixPath(path.relative_to(root).as_posix())),
                    "This is a link, and what is private would lie elsewhere.",
                    "Put a folder in its place, and what the link led to into that folder.",
                )  # fmt: skip


def _unread_folder(root: Path, folder: PurePosixPath) -> Iterator[Finding]:
    """A folder that nobody reads, unless it holds pictures alone."""
    held = [path for path in (root / folder).rglob("*") if path.is_file()]
    others = [each for each in held if not _is_of_no_concern(PurePosixPath(each))]
    if others:
        data = sum(each.suffix.lower() in _DATA for each in others)
        known = [
            each[:-1] for each in READ.get(_pattern(folder.parent) or "", ()) if each[-1] == "/"
        ]
        yield Finding(
            "file.unread",
            _place(folder),
            f"Nothing reads this folder, which holds {len(others)} file{'s' * (len(others) > 1)}.",
            suggestion(folder.name, set(known) - {"*"}, "Folders here are"),
            severity=Severity.WARNING if data else Severity.NOTE,
        )


def _is_of_no_concern(file: PurePosixPath) -> bool:
    """Hidden files and pictures are no one's mistake."""
    return file.name.startswith(".") or file.suffix.lower() in _PICTURES


def _place(path: PurePosixPath) -> Place:
    return Place(printable(path.as_posix(), LONGEST_NAME))


def _pattern(folder: PurePosixPath) -> str | None:
    """The entry of ``READ`` that a folder is of."""
    free = next((each for each in _FREE if folder.is_relative_to(each)), None)
    return free or next((each for each in READ if _fits(folder, each)), None)


def _fits(folder: PurePosixPath, pattern: str) -> bool:
    return len(folder.parts) == pattern.count("/") + 1 and folder.match(pattern)


def _is_looked_into(folder: PurePosixPath) -> bool:
    return not folder.name.startswith(".") and not any(_fits(folder, each) for each in _UNSEEN)


def _is_read(name: str, known: tuple[str, ...]) -> bool:
    return any(not each.endswith("/") and PurePosixPath(name).match(each) for each in known)


def _unread(
    file: PurePosixPath, pattern: str, plots: Mapping[str, Collection[str]]
) -> Iterator[Finding]:
    """What to say of a file that nobody reads."""
    place, suffix = _place(file), file.suffix.lower()
    if _is_of_no_concern(file):
        return
    if pattern == PLOTS:
        yield _beside_plots(file, place, plots.get(file.parts[1], ()))
    elif suffix in _DATA and file.name.lower() not in _HARMLESS:
        right = f"Read here: {_quoted_names(pattern)}. Rename it, or move it out of the workspace."
        yield Finding("file.unread", place, _WRONG, right, severity=Severity.WARNING)
    else:
        right = "Leave it, or keep it in a folder that is not the builder's."
        yield Finding("file.unread", place, _WRONG, right, severity=Severity.NOTE)


def _quoted_names(pattern: str) -> str:
    return "'" + "', '".join(READ[pattern]) + "'"


_WRONG = "Nothing reads this file."


def _beside_plots(file: PurePosixPath, place: Place, numbers: Collection[str]) -> Finding:
    """A file among those of plots that is not one of them: nobody may take its departures for read."""
    number = alike(file.name.split(".")[0], numbers)
    right = "Name it by its plot, such as '07.yaml', or move it out of this folder."
    if number:
        right = f"Rename it to '{number}.yaml', or move it out of this folder."
    wrong = f"Nothing reads this file, and plot '{number}' does not have what it says."
    finding = Finding("file.unread", place, wrong if number else _WRONG, right)
    return finding.for_plots(f"{file.parts[1]}/{number}") if number else finding
