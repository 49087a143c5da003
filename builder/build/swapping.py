"""The published tree while a build changes it: one build at a time, guides swapped in whole.

What is promised when a build is killed, fails, or finds no room, at any moment:

- A guide is the old one or the new one, whole, and each sticker page too. None goes missing.
- The guide goes in before the stickers that lead to it, so that no sticker leads to nothing. The
  theme's files and the policies in ``_headers`` are there before the guide that needs them.
- What was half done is done again by the next build, whichever edition that builds: a mark beside
  the records stands from before a guide is swapped until its record is written.

What is not promised:

- A guide and its sticker pages are swapped one after the other. For an instant, or after a killed
  build until the next, one may be of the new edition and the other of the old one.
- Guides are swapped one after the other too: neighbours may be of two editions for as long.
- Where the system or the disk cannot exchange two folders in one step, a guide is taken out and the
  new one put in by two renames. A build that is killed between them leaves the guide out until
  the next build puts it back.
- Nothing is forced to the disk: after a power cut, ``handover verify`` tells what was lost.
"""

import os
import shutil
from collections.abc import Iterator, Mapping
from contextlib import suppress
from pathlib import Path

from filelock import FileLock, Timeout

from builder.build.exchanging import exchange
from builder.build.manifest import GuideRecord, Records, begin_records, records_folder
from builder.build.plot_writing import WrittenPlot, unwritable
from builder.build.releases import Keeping
from builder.build.tree import (
    Policies,
    cleared,
    headers,
    linked,
    missing_page,
    policies_in,
    robots,
    write_whole,
)
from builder.build.unchanged import WORKPLACE
from builder.digests import digest_of
from builder.disk import private_folder
from builder.errors import HandoverError
from builder.register.redirects import sticker_paths
from builder.writers.site.assets import FOLDER as ASSETS
from builder.writers.site.assets import Assets

_SERVED = ("robots.txt", "404.html", "_headers")
LOCK = ".build.lock"
_OLD, _MARKS = ".old", "swapping"


class Tree:
    """A published tree that one build changes. ``workplace``: a folder on the same disk to write in;
    ``keeping``: keeps what is replaced, so that it can be taken back."""

    def __init__(self, out: Path, keeping: Keeping | None = None) -> None:
        self.out = out
        self._keeping = keeping
        self.workplace = out / f"{WORKPLACE}{os.getpid()}"
        self._lock = FileLock(records_folder(out) / LOCK, timeout=0, mode=0o600)
        self._records = Records(out)
        self._marks = records_folder(out) / _MARKS
        self._policies = Policies()
        self._codes: set[str] = set()
        self._standing: set[str] = set()
        self._told: Policies | None = None
        self._in_place = ""

    def __enter__(self) -> "Tree":
        try:
            self.out.mkdir(parents=True, exist_ok=True)
            begin_records(self._records.folder)
            self._lock.acquire()
            self._heal()
            self.workplace.mkdir()
            private_folder(self._marks)
        except Timeout:
            raise HandoverError(
                f"Another build is writing to '{self.out}'. Try again when it has ended."
            ) from None
        except OSError as error:
            self._lock.release()
            raise HandoverError(f"'{self.out}' cannot be written: {error.strerror}.") from error
        return self

    def __exit__(self, error: type[BaseException] | None, *_: object) -> None:
        if error is not None:
            with suppress(OSError, HandoverError):
                self._record_shared()
        shutil.rmtree(self.workplace, ignore_errors=True)
        self._lock.release()

    def _heal(self) -> None:
        """Put back guides that a killed build had taken out, and clear away what it left."""
        for left in self.out.glob(f"{WORKPLACE}*"):
            for old in left.glob(f"*{_OLD}"):
                place = self.out / "g" / old.name.removesuffix(_OLD)
                if not place.exists():
                    old.rename(place)
            shutil.rmtree(left, ignore_errors=True)

    def assets(self, assets: Assets) -> None:
        """Put the theme's files in their place, unless they are there, whole."""
        place, draft = self.out / assets.folder, self.workplace / ASSETS
        if assets.folder == self._in_place:
            return
        try:
            if not all(_holds(self.out / name, digest) for name, digest in assets.digests.items()):
                assets.copy_to(draft)
                exchange(draft, place, self.workplace / f"{ASSETS}{_OLD}")
                shutil.rmtree(draft, ignore_errors=True)
            self._in_place = assets.folder
        except OSError as error:
            raise HandoverError(f"'{place}' cannot be written: {error.strerror}.") from error

    def stands(self, record: GuideRecord, *, seen: bool) -> bool:
        """Whether the guide of a record was swapped in to the end and has all its files still, and
        hosts are told how to serve it. ``seen``: it was, and its first page and what it shares with
        others has been looked for."""
        files = () if seen else (*record.files, "_headers")
        whole = not (self._marks / record.code).exists() and all(
            os.path.isfile(f"{self.out}/{name}") for name in files
        )
        if whole:
            self._standing.add(record.code)
        return whole

    def names(self, written: WrittenPlot) -> Mapping[str, str]:
        """All files of a plot in the published tree: a sticker page lies in two places."""
        files = dict(written.files)
        for code in written.stickers:
            printed, typed = sticker_paths(code)
            files[f"{typed}/index.html"] = files[f"{printed}/index.html"]
        return files

    def swap_in(self, written: WrittenPlot, record: GuideRecord) -> None:
        """The guide first, then the stickers that lead to it, then the record of both."""
        order = written.order
        mark = self._marks / order.code
        try:
            self._tell(written.policies)
            kept = self._kept_before(record)
            mark.touch(mode=0o600)
            self._exchange(order.folder / "g" / order.code, order.code, kept)
            for code in written.stickers:
                self._put_sticker(order.folder, code)
            self._records.write(record)
            mark.unlink()
            cleared(order.folder)
        except OSError as error:
            raise unwritable(order.reference, error) from error
        self._policies = self._policies.also(written.policies)
        self._codes.add(order.code)

    def _kept_before(self, record: GuideRecord) -> Path | None:
        """Where the guide that is replaced is to go, if it is kept."""
        if self._keeping is None:
            return None
        before = self._records.read(record.code)
        file = self._records.file(record.code)
        return self._keeping.before(record.reference, before, file)

    def _exchange(self, finished: Path, code: str, kept: Path | None) -> None:
        """Put a finished guide in its place; what stood there is kept, or goes with the workplace."""
        aside = self.workplace / f"{code}{_OLD}"
        exchange(finished, self.out / "g" / code, aside)
        old = finished if finished.exists() else aside
        if kept is not None and old.exists():
            shutil.move(old, kept)

    def put_back(
        self, guide: Path | None, stickers: Mapping[str, bytes], record: GuideRecord
    ) -> None:
        """A guide as it was before a release, if it does not stand there again; then its sticker pages,
        then the record of both. OSError where one cannot be put."""
        mark = self._marks / record.code
        mark.touch(mode=0o600)
        if guide is not None:
            self._exchange(guide, record.code, None)
        for name, content in stickers.items():
            place, draft = self.out / name, self.workplace / "sticker.html"
            place.parent.mkdir(parents=True, exist_ok=True)
            draft.write_bytes(content)
            draft.replace(place)
        self._records.write(record)
        mark.unlink()

    def put_shared(self, folder: Path) -> None:
        """What the guides of a former release share: the theme's files, and what hosts are told."""
        for path in (folder / ASSETS).rglob("*"):
            place = self.out / path.relative_to(folder)
            if path.is_file() and not place.exists():
                place.parent.mkdir(parents=True, exist_ok=True)
                linked(path, place)
        told = folder / "_headers"
        if told.is_file():
            self._tell(policies_in(told.read_text(encoding="utf-8")))

    def record_shared(self) -> None:
        """Keep what is no one guide's in the records."""
        self._record_shared()

    def _put_sticker(self, folder: Path, code: str) -> None:
        printed, typed = sticker_paths(code)
        finished = folder / printed / "index.html"
        second = finished.with_name("typed.html")
        linked(finished, second)
        for page, path in ((second, typed), (finished, printed)):
            place = self.out / path
            place.mkdir(parents=True, exist_ok=True)
            page.replace(place / "index.html")

    def _tell(self, policies: Policies) -> None:
        """Have hosts told of a guide's policies, and still of those of all other guides."""
        told = self._served() if self._told is None else self._told
        wanted = told.also(policies)
        if wanted != self._told:
            self._serve(wanted)
        self._told = wanted

    def _served(self) -> Policies:
        """The policies that hosts are told of now."""
        path = self.out / "_headers"
        return policies_in(path.read_text(encoding="utf-8")) if path.is_file() else Policies()

    def _serve(self, policies: Policies) -> None:
        """Write what a static host reads, where it is not there or says something else."""
        for name, text in zip(_SERVED, (robots(), missing_page(), headers(policies)), strict=True):
            if not _holds(self.out / name, digest_of(text.encode())):
                write_whole(self.out / name, text, self.workplace)

    def finish(self, assets: Assets) -> None:
        """Put right what hosts read and what guides share, and take out the theme's files that no
        guide shows. Also after a build that changed no guide: the one before may have been killed."""
        place = self.out / "g"
        guides = {path.name for path in place.iterdir()} if place.is_dir() else set()
        current = self._codes | self._standing
        try:
            if current:
                self._serve(self._policies if guides <= self._codes else self._served())
                self.assets(assets)
                if guides <= current:
                    self._drop_others(assets)
            # Earlier versions kept what old hosts serve here, where anyone could read all codes.
            shutil.rmtree(self.out / "redirects", ignore_errors=True)
            self._record_shared()
        except OSError as error:
            raise HandoverError(f"'{self.out}' cannot be written: {error.strerror}.") from error

    def _drop_others(self, assets: Assets) -> None:
        for path in (self.out / ASSETS).iterdir():
            if path.name != Path(assets.folder).name:
                shutil.rmtree(path, ignore_errors=True)

    def _record_shared(self) -> None:
        shared = dict(self._shared())
        if shared != self._records.shared():
            self._records.write_shared(shared)

    def _shared(self) -> Iterator[tuple[str, str]]:
        files = [self.out / name for name in _SERVED]
        files += sorted((self.out / ASSETS).rglob("*"))
        for path in files:
            if path.is_file():
                yield path.relative_to(self.out).as_posix(), digest_of(path.read_bytes())


def _holds(path: Path, digest: str) -> bool:
    """Whether a file is there with that SHA-256."""
    return path.is_file() and digest_of(path.read_bytes()) == digest
