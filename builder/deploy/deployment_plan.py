"""Works out what a deployment sends and deletes, and in which order, before anything is touched.

At no moment may a page that a reader can reach point at what is not there yet:

1. assets of the theme, which pages name by their content;
2. each guide by itself: files and pages that are new, which nobody can reach so far; then files and
   pages that change, deeper pages first and the front page last; then the script that keeps pages
   on a device, so that it keeps the new ones; then the guide's sticker pages;
3. what a host reads, such as its headers;
4. deletions, when no page names what is deleted.

Links alone give no order: through its menu, every page of a guide leads to every other. Where the
destination is a folder, all that lies in a guide's own folder is exchanged at once, in place of 2.

A run may be cut off, and the guides built again before the next. What it had sent of the new files
may then lead to others that were never sent; nothing leads to it, so that it still counts as new.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import IntEnum
from pathlib import Path
from typing import Final

from builder.build.manifest import GuideRecord
from builder.deploy.deployed import FOUND, content_of, is_loose
from builder.deploy.serving import is_guide_script
from builder.deploy.verifying import SHARED

_FRONT: Final = 3
"""Steps of the path of a front page: g/CODE/index.html."""
_MAY_NAME_ASSETS: Final = (".html", ".css", ".js", ".json", ".webmanifest")


@dataclass(frozen=True, slots=True)
class Parcel:
    """One file to send: its path, its SHA-256, the plot it is about, and whether it is new there."""

    path: str
    digest: str
    about: str
    new: bool


@dataclass(frozen=True, slots=True)
class Deletion:
    """One file to delete at the destination, and the plot it was about."""

    path: str
    about: str


@dataclass(frozen=True, slots=True)
class GuideParcels:
    """What is sent of one guide: first what nothing leads to yet, then all else.

    In between, ``settled`` is complete: files with their SHA-256 to which pages may lead from now on.
    """

    new: tuple[Parcel, ...]
    settled: tuple[tuple[str, str], ...]
    others: tuple[Parcel, ...]

    @property
    def parcels(self) -> tuple[Parcel, ...]:
        return (*self.new, *self.others)


@dataclass(frozen=True, slots=True)
class Unknown:
    """Guides and pages of stickers at a destination that no record here names: nobody brings them up to
    date, and whoever has their codes reads what they said once."""

    guides: int
    stickers: int


NOTHING_UNKNOWN: Final = Unknown(0, 0)


@dataclass(frozen=True, slots=True)
class DeploymentPlan:
    """All that a deployment does: each group waits for the one before; guides do not for another."""

    assets: tuple[Parcel, ...]
    guides: tuple[GuideParcels, ...]
    last: tuple[Parcel, ...]
    deletions: tuple[Deletion, ...]
    unchanged: int
    unknown: Unknown

    @property
    def parcels(self) -> Iterator[Parcel]:
        """Everything that is sent, guides in the order of their plots."""
        yield from self.assets
        for guide in self.guides:
            yield from guide.parcels
        yield from self.last


class _DeploymentTurn(IntEnum):
    NEW_FILE = 1
    NEW_PAGE = 2
    FILE = 3
    PAGE = 4
    FRONT = 5
    SCRIPT = 6
    STICKER = 7


def plan_of(
    tree: Path,
    guides: Sequence[GuideRecord],
    shared: Mapping[str, str],
    held: Mapping[str, str],
) -> DeploymentPlan:
    """What turns ``held``, the files of a destination, into the files of these records."""
    ordered = sorted(guides, key=lambda each: (each.reference, each.code))
    sending = [_parcels_of_guide(each, held) for each in ordered]
    common = list(_parcels(shared, SHARED, held))
    assets = tuple(each for each in common if _is_asset(each.path))
    last = tuple(each for each in common if not _is_asset(each.path))
    wanted = {path for each in guides for path in each.files if may_be_sent(path)}
    wanted.update(path for path in shared if may_be_sent(path))
    sent = sum(len(each.parcels) for each in sending) + len(common)
    return DeploymentPlan(
        assets,
        tuple(each for each in sending if each.parcels),
        last,
        (*_left_over(guides, wanted, held), *_old_assets(tree, guides, shared, wanted, held)),
        len(wanted) - sent,
        _unknown(wanted, held),
    )


def _unknown(wanted: set[str], held: Mapping[str, str]) -> Unknown:
    steps = (path.split("/") for path in held.keys() - wanted if not is_loose(held[path]))
    fronts = Counter(each[0] for each in steps if len(each) == _FRONT and each[-1] == "index.html")
    return Unknown(fronts["g"], fronts["Q"])


def may_be_sent(path: str) -> bool:
    """Whether a file is one to publish: nothing whose name, or whose folder's, begins with a dot."""
    return not any(step.startswith(".") for step in path.split("/"))


def _parcels(files: Mapping[str, str], about: str, held: Mapping[str, str]) -> Iterator[Parcel]:
    for path in sorted(files):
        mark = held.get(path, "")
        if may_be_sent(path) and content_of(mark) != files[path]:
            yield Parcel(path, files[path], about, is_loose(mark))


def _parcels_of_guide(record: GuideRecord, held: Mapping[str, str]) -> GuideParcels:
    front = f"g/{record.code}/index.html"
    parcels = sorted(
        _parcels(record.files, record.reference, held),
        key=lambda each: (_turn(each, front), -each.path.count("/"), each.path),
    )
    new = tuple(each for each in parcels if _turn(each, front) <= _DeploymentTurn.NEW_PAGE)
    loose = {each.path: each.digest for each in new}
    for path, digest in record.files.items():
        mark = held.get(path, "")
        if is_loose(mark) and content_of(mark) == digest:
            loose[path] = digest
    return GuideParcels(new, tuple(sorted(loose.items())), tuple(parcels[len(new) :]))


def _turn(parcel: Parcel, front: str) -> _DeploymentTurn:
    page = parcel.path.endswith(".html")
    if parcel.path == front:
        return _DeploymentTurn.FRONT
    if parcel.path.startswith(("Q/", "q/")):
        return _DeploymentTurn.STICKER
    if parcel.new:
        return _DeploymentTurn.NEW_PAGE if page else _DeploymentTurn.NEW_FILE
    if is_guide_script(parcel.path):
        return _DeploymentTurn.SCRIPT
    return _DeploymentTurn.PAGE if page else _DeploymentTurn.FILE


def _left_over(
    guides: Iterable[GuideRecord], wanted: set[str], held: Mapping[str, str]
) -> Iterator[Deletion]:
    """Files inside a recorded guide that its record names no longer.

    A guide without a record, its front page and sticker pages stay: an issued code leads there.
    """
    plots = {each.code: each.reference for each in guides}
    for path in sorted(held):
        first, _, rest = path.partition("/")
        code, _, inner = rest.partition("/")
        deletable = first == "g" and code in plots and inner not in ("", "index.html")
        if deletable and path not in wanted and may_be_sent(path):
            yield Deletion(path, plots[code])


def _old_assets(
    tree: Path,
    guides: Sequence[GuideRecord],
    shared: Mapping[str, str],
    wanted: set[str],
    held: Mapping[str, str],
) -> Iterator[Deletion]:
    """Folders of assets that were sent once and that no guide at the destination names."""
    kept = {_folder(path) for path in wanted if _is_asset(path)}
    kept.update(_folder(path) for path in held if _is_asset(path) and held[path] == FOUND)
    old = {_folder(path) for path in held if _is_asset(path)} - kept
    known = {each.code for each in guides}
    strangers = any(path.startswith("g/") and path.split("/")[1] not in known for path in held)
    if not old or strangers:
        return
    old -= _folders_named(tree, [*(path for each in guides for path in each.files), *shared], old)
    for path in sorted(held):
        if _is_asset(path) and _folder(path) in old:
            yield Deletion(path, SHARED)


def _folders_named(tree: Path, files: Iterable[str], folders: set[str]) -> set[str]:
    """Which folders of assets these files still name. Pages are read only when a theme changes."""
    sought = {folder: folder.encode("utf-8") for folder in folders}
    found: set[str] = set()
    for path in files:
        if path.endswith(_MAY_NAME_ASSETS) and (tree / path).is_file():
            content = (tree / path).read_bytes()
            found.update(folder for folder, name in sought.items() if name in content)
    return found


def _is_asset(path: str) -> bool:
    """Whether a file lies in a folder of assets: assets/<hash>/…"""
    return path.startswith("assets/") and path.count("/") > 1


def _folder(path: str) -> str:
    """The folder of assets that a file lies in, with its last stroke: "assets/<hash>/"."""
    first, second, _ = path.split("/", 2)
    return f"{first}/{second}/"
