"""The files of one plot before they are written, and those that are taken as they are published."""

import os
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field, replace
from pathlib import Path

from builder.build.manifest import GuideRecord
from builder.build.tree import linked
from builder.errors import Finding
from builder.guide.changes import Content
from builder.guide.pages import ChangedDay
from builder.writers.calendar import CALENDAR
from builder.writers.site.edition import Closed
from builder.writers.site.refilling import Gaps
from builder.writers.site.standing import Standing


@dataclass(frozen=True, slots=True)
class Made:
    """The files of one plot by their paths in the published tree, or where they are published
    already, and the SHA-256 of those whose it is known; the pieces that its new pages are made of, by
    their paths in the guide; what its guide says now and has said before, and what its pages are made
    from; where the values stand in them; the shapes of the pages that stood, where some were taken; what
    the engine warned of; the pages of stickers with marks in them, by code."""

    files: Mapping[str, bytes | Path]
    digests: Mapping[str, str]
    pieces: Mapping[str, tuple[str, ...]]
    contents: Mapping[str, Content]
    changes: tuple[ChangedDay, ...]
    made: Mapping[str, str] = field(default_factory=dict)
    gaps: Gaps = field(default_factory=Gaps)
    stood: Mapping[str, str] = field(default_factory=dict)
    warned: tuple[Finding, ...] = ()
    marked: Mapping[str, str] = field(default_factory=dict)


def of_closed(
    code: str, closed: Closed, contents: Mapping[str, Content], changes: tuple[ChangedDay, ...]
) -> Made:
    """The files of a finished site."""
    inside = f"g/{code}"
    return Made(
        {f"{inside}/{name}": content for name, content in closed.files.items()},
        {f"{inside}/{name}": digest for name, digest in closed.digests.items()},
        closed.pieces, contents, changes, closed.made, closed.gaps, closed.stood,
    )  # fmt: skip


def with_calendar(made: Made, code: str, standing: Standing) -> Made | None:
    """The same with the calendar that is published, if there is one; nothing where it was altered."""
    if CALENDAR not in standing.digests:
        return made
    if not standing.holds(CALENDAR):
        return None
    name = f"g/{code}/{CALENDAR}"
    return replace(
        made,
        files={**made.files, name: standing.folder / CALENDAR},
        digests={**made.digests, name: standing.digests[CALENDAR]},
    )


def standing_guide(folder: Path, record: GuideRecord) -> Standing:
    """A guide as it is published in a folder, by its record."""
    inside = f"g/{record.code}/"
    files = {
        name.removeprefix(inside): digest
        for name, digest in record.files.items()
        if name.startswith(inside)
    }
    return Standing(folder, record.made, Gaps(record.gaps, record.values), files)


def content_of(file: bytes | Path) -> bytes:
    """What a file holds."""
    return file.read_bytes() if isinstance(file, Path) else file


def write_files(files: Mapping[str, bytes | Path], root: Path) -> None:
    """Write files into a folder by their paths there; what is published already is not copied where
    the file system allows."""
    for folder in sorted(_folders(files)):
        with suppress(FileExistsError):
            os.mkdir(f"{root}/{folder}")
    for name, content in files.items():
        if isinstance(content, Path):
            linked(content, root / name)
        else:
            with open(f"{root}/{name}", "wb") as file:
                file.write(content)


def _folders(files: Iterable[str]) -> set[str]:
    """Every folder that files lie in, at any depth, and the one that holds them all."""
    found = {""}
    for name in files:
        folder = name.rpartition("/")[0]
        while folder not in found:
            found.add(folder)
            folder = folder.rpartition("/")[0]
    return found
