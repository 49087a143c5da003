"""The published tree while a build changes it: one build at a time, guides swapped in whole.

A guide is exchanged with its new edition in one step where the system can, so that a build that is
killed leaves it old or new. What a killed build left behind is put right by the next.
"""

import ctypes
import os
import shutil
import sys
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from filelock import FileLock, Timeout

from builder.errors import HandoverError
from builder.publish.manifest import GuideRecord, Records, records_folder
from builder.publish.plot_writing import Written, unwritable
from builder.publish.redirects import sticker_paths
from builder.publish.sources import digest_of
from builder.publish.tree import Policies, headers, missing_page, policies_in, robots, write_whole
from builder.writers.site.assets import FOLDER as ASSETS
from builder.writers.site.assets import Assets

LOCK = ".build.lock"
_WORKPLACE, _OLD = ".building-", ".old"
_EXCHANGE = 2
_HERE = -100


class Tree:
    """A published tree that one build changes. ``workplace``: a folder on the same disk to write in."""

    def __init__(self, out: Path) -> None:
        self.out = out
        self.workplace = out / f"{_WORKPLACE}{os.getpid()}"
        self._lock = FileLock(records_folder(out) / LOCK, timeout=0)
        self._policies = Policies()
        self._codes: set[str] = set()
        self._assets: Assets | None = None

    def __enter__(self) -> "Tree":
        try:
            self.out.mkdir(parents=True, exist_ok=True)
            records_folder(self.out).mkdir(parents=True, exist_ok=True)
            self._lock.acquire()
            self._heal()
            self.workplace.mkdir()
        except Timeout:
            raise HandoverError(
                f"Another build is writing to '{self.out}'. Try again when it has ended."
            ) from None
        except OSError as error:
            self._lock.release()
            raise HandoverError(f"'{self.out}' cannot be written: {error.strerror}.") from error
        return self

    def __exit__(self, *_: object) -> None:
        shutil.rmtree(self.workplace, ignore_errors=True)
        self._lock.release()

    def _heal(self) -> None:
        """Put back guides that a killed build had taken out, and clear away what it left."""
        for left in self.out.glob(f"{_WORKPLACE}*"):
            for old in left.glob(f"*{_OLD}"):
                place = self.out / "g" / old.name.removesuffix(_OLD)
                if not place.exists():
                    old.rename(place)
            shutil.rmtree(left, ignore_errors=True)

    def assets(self, assets: Assets) -> None:
        """Put the theme's files in their place, if they are not there."""
        self._assets = assets
        place = self.out / assets.folder
        if place.is_dir():
            return
        draft = self.workplace / ASSETS
        try:
            assets.copy_to(draft)
            place.parent.mkdir(parents=True, exist_ok=True)
            draft.rename(place)
        except OSError as error:
            raise HandoverError(f"'{place}' cannot be written: {error.strerror}.") from error

    def stands(self, record: GuideRecord) -> bool:
        """Whether the guide of a record is there, with the theme's files that it shows."""
        return (self.out / "g" / record.code / "index.html").is_file()

    def names(self, written: Written) -> Mapping[str, str]:
        """All files of a plot in the published tree: a sticker page lies in two places."""
        files = dict(written.files)
        for code in written.stickers:
            printed, typed = sticker_paths(code)
            files[f"{typed}/index.html"] = files[f"{printed}/index.html"]
        return files

    def swap_in(self, written: Written, record: GuideRecord, records: Records) -> None:
        """The guide first, then the stickers that lead to it, then the record of both."""
        order = written.order
        place = self.out / "g" / order.code
        try:
            _exchange(
                order.folder / "g" / order.code, place, self.workplace / f"{order.code}{_OLD}"
            )
            for code in written.stickers:
                self._put_sticker(order.folder, code)
            records.write(record)
            shutil.rmtree(order.folder, ignore_errors=True)
        except OSError as error:
            raise unwritable(order.reference, error) from error
        self._policies = self._policies.also(written.policies)
        self._codes.add(order.code)

    def _put_sticker(self, folder: Path, code: str) -> None:
        printed, typed = sticker_paths(code)
        finished = folder / printed / "index.html"
        for path in (typed, printed):
            place = self.out / path
            place.mkdir(parents=True, exist_ok=True)
            draft = place / ".index.new"
            draft.unlink(missing_ok=True)
            _linked(finished, draft)
            draft.replace(place / "index.html")

    def finish(self, records: Records) -> None:
        """Write what a static host reads, and take out the theme's files that no guide shows."""
        if not self._codes:
            return
        policies = self._policies
        guides = {path.name for path in (self.out / "g").iterdir()}
        if guides - self._codes and (self.out / "_headers").is_file():
            text = (self.out / "_headers").read_text(encoding="utf-8")
            policies = policies.also(policies_in(text))
        for name, text in (
            ("robots.txt", robots()),
            ("404.html", missing_page()),
            ("_headers", headers(policies)),
        ):
            write_whole(self.out / name, text, self.workplace)
        if guides == self._codes:
            self._drop_old_assets()
        records.write_shared(dict(self._shared()))

    def _drop_old_assets(self) -> None:
        for path in (self.out / ASSETS).iterdir():
            if self._assets is not None and path.name != Path(self._assets.folder).name:
                shutil.rmtree(path, ignore_errors=True)

    def _shared(self) -> Iterator[tuple[str, str]]:
        for name in ("robots.txt", "404.html", "_headers"):
            yield name, digest_of((self.out / name).read_bytes())
        for folder in (ASSETS, "redirects"):
            for path in sorted((self.out / folder).rglob("*")):
                if path.is_file():
                    name = path.relative_to(self.out).as_posix()
                    yield name, digest_of(path.read_bytes())


def _linked(finished: Path, place: Path) -> None:
    """The same file in another place, stored once where the file system allows."""
    try:
        place.hardlink_to(finished)
    except OSError:
        shutil.copyfile(finished, place)


def _exchange(finished: Path, place: Path, aside: Path) -> None:
    """Put a finished folder in its place; what stood there is gone with the workplace."""
    place.parent.mkdir(parents=True, exist_ok=True)
    if not place.exists():
        finished.rename(place)
        return
    if _at_once(finished, place):
        return
    place.rename(aside)
    try:
        finished.rename(place)
    except OSError:
        aside.rename(place)
        raise


def _at_once(first: Path, second: Path) -> bool:
    """Exchange two folders in one step; false where the system or the disk cannot."""
    rename = _renameat2()
    if rename is None:
        return False
    return bool(rename(_HERE, os.fsencode(first), _HERE, os.fsencode(second), _EXCHANGE) == 0)


@cache
def _renameat2() -> Any:
    """Linux's call that exchanges two names (man page renameat2(2), from memory)."""
    if sys.platform != "linux":
        return None
    return getattr(ctypes.CDLL(None, use_errno=True), "renameat2", None)
