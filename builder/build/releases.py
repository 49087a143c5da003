"""Releases: what a publishing replaces is kept beside the tree, so that it is taken back in one act.

Each guide that is replaced goes, with its sticker pages and its record, into a private folder of the
records. Taking a release back puts them in again, guide by guide as a build does. A guide that was
published then for the first time has nothing before it, and stays: no code ever leads nowhere.

What is kept is held against its records before anything is put in: a release that is damaged is left
where it is, and all guides stay.
"""

import json
import os
import re
import shutil
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from builder.build.manifest import (
    GuideRecord,
    guide_record_in,
    records_folder,
    write_private,
)
from builder.build.tree import linked
from builder.digests import digest_of
from builder.disk import for_the_owner, private_folder
from builder.errors import HandoverError

FOLDER: Final = "releases"
KEPT: Final = 5
"""Releases that can be taken back, one after the other."""
_FORM: Final = "handover-release"
_ABOUT: Final = "release.json"
RECORD: Final = "record.json"
REPLACED: Final = "replaced.txt"
"""The codes of the guides that a release replaces, one a line, and the SHA-256 of what guides share."""
GUIDE: Final = "g"
_NUMBER: Final = re.compile(r"[0-9]{6}")
_LINK: Final = re.compile(r'(href=")((?:\.\./)*g/[0-9A-Za-z_-]+/)([^"]*)(")')


@dataclass(frozen=True, slots=True)
class Release:
    """One publishing that can be taken back: its number, when it began and by whom, the plots whose
    guides it replaced, and those that it published for the first time."""

    number: str
    when: str
    by: str
    replaced: tuple[str, ...]
    new: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Former:
    """One guide as it was before a release, where it is kept."""

    folder: Path
    record: GuideRecord


class Keeping:
    """Keeps what one publishing replaces. ``when`` and ``by``: what is told of it."""

    def __init__(self, out: Path, when: str, by: str) -> None:
        self._out = out
        self._place = records_folder(out) / FOLDER
        self._when, self._by = when, by
        self._new: list[str] = []
        self._folder: Path | None = None

    def _begun(self) -> Path:
        if self._folder is None:
            private_folder(self._place)
            known = [int(each.name) for each in _folders(self._place)]
            self._folder = private_folder(self._place / f"{max(known, default=0) + 1:06}")
            self._tell()
            _drop_older(self._place)
        return self._folder

    def _tell(self) -> None:
        if self._folder is not None:
            told = {"form": _FORM, "when": self._when, "by": self._by, "new": self._new}
            write_private(self._folder / _ABOUT, json.dumps(told, indent=1) + "\n")

    def before(self, reference: str, former: GuideRecord | None, record: Path) -> Path | None:
        """Keep the record, the sticker pages and what hosts are told, before a guide is replaced. Where
        the guide goes then; nothing where it is its first edition. OSError where it cannot be kept."""
        folder = self._begun()
        if former is None:
            self._new.append(reference)
            self._tell()
            return None
        kept = private_folder(folder / former.code)
        for name in former.files:
            if not name.startswith("g/"):
                place = kept / name
                place.parent.mkdir(parents=True, exist_ok=True)
                linked(self._out / name, place)
        shutil.copyfile(record, kept / RECORD)
        self._shared(folder)
        _note(folder, former.code)
        return kept / GUIDE

    def _shared(self, folder: Path) -> None:
        """What guides of that time share, once for a release: the theme's files and the policies."""
        if (folder / "_headers").exists():
            return
        for path in [*(self._out / "assets").rglob("*"), self._out / "_headers"]:
            if path.is_file():
                place = folder / path.relative_to(self._out)
                place.parent.mkdir(parents=True, exist_ok=True)
                linked(path, place)
                name = place.relative_to(folder).as_posix()
                _note(folder, f"{name} {digest_of(path.read_bytes())}")


def _note(folder: Path, line: str) -> None:
    with open(folder / REPLACED, "a", encoding="utf-8", newline="\n", opener=for_the_owner) as file:
        file.write(f"{line}\n")


def _folders(place: Path) -> list[Path]:
    found = place.iterdir() if place.is_dir() else iter(())
    return sorted(each for each in found if _NUMBER.fullmatch(each.name))


def _drop_older(place: Path) -> None:
    for each in _folders(place)[:-KEPT]:
        shutil.rmtree(each, ignore_errors=True)


def releases(out: Path) -> tuple[Release, ...]:
    """The releases of a tree that can be taken back, the latest first. Below one that cannot be read
    nothing can: guides are taken back one step at a time."""
    found = (_release(each) for each in reversed(_folders(records_folder(out) / FOLDER)))
    known = []
    for each in found:
        if each is None:
            break
        known.append(each)
    return tuple(known)


def _release(folder: Path) -> Release | None:
    try:
        told = json.loads((folder / _ABOUT).read_text(encoding="utf-8"))
        new = tuple(map(str, told["new"]))
        replaced = tuple(sorted(each.record.reference for each in formers(folder)))
        return Release(folder.name, str(told["when"]), str(told["by"]), replaced, new)
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return None


def formers(folder: Path) -> Iterator[Former]:
    """The guides that a release replaced and whose records are kept whole."""
    for path in sorted(folder.glob(f"*/{RECORD}")):
        record = guide_record_in(path)
        if record is not None:
            yield Former(path.parent, record)


def folder_of(out: Path, release: Release) -> Path:
    """Where a release is kept. HandoverError where it is not there any more."""
    folder = records_folder(out) / FOLDER / release.number
    if not folder.is_dir():
        raise HandoverError("That release is not kept any more.")
    return folder


def stickers_to_put(former: Former, now: GuideRecord | None, out: Path) -> Mapping[str, bytes]:
    """The sticker pages that stand beside a former guide: its own as they were; and those that were
    issued since, whose links to pages that it has not lead to its first page."""
    own = {name: (former.folder / name).read_bytes() for name in former.record.files if not name.startswith("g/")}  # fmt: skip
    since = [name for name in (now.files if now else ()) if not name.startswith("g/") and name not in own]  # fmt: skip
    pages = {name for name in former.record.files if name.startswith("g/")}
    for name in since:
        text = (out / name).read_text(encoding="utf-8")
        own[name] = _LINK.sub(lambda found: _link_to_what_is_there(found, pages), text).encode()
    return own


def _link_to_what_is_there(found: re.Match[str], pages: set[str]) -> str:
    before, guide, page, after = found.groups()
    file = f"g/{guide.rsplit('g/', 1)[1]}{page.partition('#')[0]}"
    there = file in pages or os.path.join(file, "index.html") in pages
    return f"{before}{guide}{page if there else ''}{after}"


def record_of(former: Former, stickers: Mapping[str, bytes]) -> GuideRecord:
    """The record of a former guide with all its sticker pages."""
    files = {name: digest for name, digest in former.record.files.items() if name.startswith("g/")}
    return replace(former.record, files={**files, **{name: digest_of(each) for name, each in stickers.items()}})  # fmt: skip


def forget(out: Path, release: Release) -> None:
    """Keep a release no longer: it was taken back."""
    shutil.rmtree(folder_of(out, release), ignore_errors=True)
