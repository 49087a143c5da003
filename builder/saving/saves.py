"""Saves of a workspace: opened files, saves laid over each other, history, and the way back."""

import secrets
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from difflib import unified_diff
from pathlib import Path

from builder.errors import UsageError
from builder.saving.changes import Change, Gone, Picture, Save, Whole
from builder.saving.merging import Contest, merged
from builder.saving.placing import (
    REGISTERS,
    digest_or_none,
    finish,
    is_text,
    on_disk,
    place,
    writable,
)
from builder.saving.repository import GitError, repository_of
from builder.saving.store import PENDING, JournalEntry, SaveStore, add_to_journal, journal_of
from builder.saving.yaml_text import UnchangeableError

_MARK = b"\xef\xbb\xbf"
_MOST, _ALL = 200, 5_000
"""Saves that are listed, and among which one is looked for."""


@dataclass(frozen=True, slots=True)
class Opened:
    """A file as somebody sees it; ``digest`` is what a save of it is based on, "" for no file."""

    file: str
    text: str | None
    digest: str


@dataclass(frozen=True, slots=True)
class Draft:
    """What the files of a save say now, and what they would say. Where two people changed the same, that
    is what the author of the save wants, to be looked at: nothing is written."""

    was: Mapping[str, bytes | None]
    becomes: Mapping[str, bytes | None]
    contests: tuple[Contest, ...] = ()

    @property
    def changed(self) -> Mapping[str, bytes | None]:
        """The files that would differ."""
        return {name: each for name, each in self.becomes.items() if each != self.was[name]}


@dataclass(frozen=True, slots=True)
class Saved:
    """A save that is on the disk: its entry in the history, or None where nothing differed."""

    entry: JournalEntry | None


class Saves:
    """All saving in one workspace."""

    def __init__(self, root: Path) -> None:
        self.root = root
        self._store = SaveStore(root)

    def recover(self) -> JournalEntry | None:
        """Finish the save that a killed process had decided on, if there is one."""
        if self._store.pending is None:
            return None
        with self._store.locked():
            return self._recovered()

    def _recovered(self) -> JournalEntry | None:
        entry = self._store.pending
        if entry is None:
            return None
        self._refuse_other_files(entry)
        finish(self.root, self._store, entry)
        self._record(entry)
        return entry

    def _refuse_other_files(self, entry: JournalEntry) -> None:
        """UsageError for a save of files that no desk writes: a workspace may come from anybody."""
        try:
            for name in entry.files:
                writable(self.root, name)
        except UsageError as error:
            wrong = f"'{PENDING}' holds a save that no desk began: {error}"
            raise UsageError(f"{wrong} Delete it, and look for who put it there.") from error

    def opened(self, file: str) -> Opened:
        """A file to be changed. It is kept as it is now, so that a save of it can be merged later."""
        writable(self.root, file)
        content = on_disk(self.root, file)
        if content is None:
            return Opened(file, None, "")
        return Opened(file, _text(file, content), self._store.keep(content, seen=True))

    def draft(self, save: Save) -> Draft:
        """What a save would make of the files as they are now. Nothing is written.

        Raises UnchangeableError and UsageError for changes that cannot be made.
        """
        was: dict[str, bytes | None] = {}
        becomes: dict[str, bytes | None] = {}
        contests: list[Contest] = []
        for file, changes in save.changes.items():
            writable(self.root, file)
            was[file] = on_disk(self.root, file)
            becomes[file], found = self._laid_over(file, was[file], save.based_on.get(file, ""), changes)  # fmt: skip
            contests += found
        return Draft(was, becomes, tuple(contests))

    def _laid_over(
        self, file: str, now: bytes | None, based_on: str, changes: tuple[Change, ...]
    ) -> tuple[bytes | None, tuple[Contest, ...]]:
        if any(isinstance(each, Picture) for each in changes) or not is_text(file):
            return self._picture(file, now, based_on, changes[-1])
        base = now if digest_or_none(now) == based_on else self._store.content(based_on)
        if base is None and based_on:
            wanted = "This page was opened too long ago."
            return now, (Contest(file, "whole", None, _text(file, now), wanted),)
        done = merged(file, _text(file, base), _text(file, now), changes)
        mark = _MARK if (now or base or b"").startswith(_MARK) else b""
        return (None if done.text is None else mark + done.text.encode("utf-8")), done.contests

    def _picture(
        self, file: str, now: bytes | None, based_on: str, change: Change
    ) -> tuple[bytes | None, tuple[Contest, ...]]:
        if digest_or_none(now) != based_on:
            return now, (Contest(file, "whole", based_on or None, digest_or_none(now), "another"),)
        if isinstance(change, Gone):
            return None, ()
        if not isinstance(change, Picture):
            raise UnchangeableError(f"'{file}' is a picture.")
        return change.content, ()

    def save(self, save: Save, now: datetime) -> Saved | tuple[Contest, ...]:
        """Write all that a save changes, or nothing and what two people changed.

        Raises UnwritableError where the disk cannot take it: then nothing was changed.
        """
        with self._store.locked():
            self._recovered()
            draft = self.draft(save)
            if draft.contests:
                return draft.contests
            if not draft.changed:
                return Saved(None)
            digests = {name: (digest_or_none(draft.was[name]), digest_or_none(each)) for name, each in draft.changed.items()}  # fmt: skip
            when = now.astimezone().isoformat(timespec="seconds")
            entry = JournalEntry(
                secrets.token_hex(8), when, save.role, save.reason, digests, save.undoes
            )
            place(self.root, self._store, entry, {n: draft.was[n] for n in digests}, draft.changed)
            self._record(entry)
            return Saved(entry)

    def _record(self, entry: JournalEntry) -> None:
        """Write a save into the history; a repository that cannot take it leaves it to the journal."""
        was, becomes = (
            {name: self._store.content(each[n]) for name, each in entry.files.items()} for n in (0, 1)
        )  # fmt: skip
        if not self._committed(entry, was, becomes):
            add_to_journal(self.root, entry)
        self._store.finished()

    def _committed(
        self,
        entry: JournalEntry,
        was: Mapping[str, bytes | None],
        becomes: Mapping[str, bytes | None],
    ) -> bool:
        repository = repository_of(self.root)
        if repository is None or not repository.takes(tuple(entry.files)):
            return False
        with suppress(GitError):
            repository.commit(entry, was, becomes)
            return True
        return False

    def record_codes(self, role: str, reason: str, now: datetime) -> None:
        """Have the repository keep the registers of codes as they stand: who issues codes writes them
        itself, and a code on a wall that is in no commit is soon in no file."""
        repository = repository_of(self.root)
        files = (each for name in REGISTERS for each in self.root.glob(f"developments/*/{name}"))
        names = tuple(sorted(each.relative_to(self.root).as_posix() for each in files))
        if repository is None or not names or not repository.takes(names):
            return
        with self._store.locked(), suppress(GitError):
            becomes = {name: on_disk(self.root, name) for name in names}
            was = {name: repository.content("HEAD", name) for name in names}
            changed = {name: each for name, each in becomes.items() if each != was[name]}
            when = now.astimezone().isoformat(timespec="seconds")
            entry = JournalEntry(secrets.token_hex(8), when, role, reason, {})
            if changed:
                repository.commit(entry, {name: was[name] for name in changed}, changed)

    def history(
        self, file: str | tuple[str, ...] = "", most: int = _MOST
    ) -> tuple[JournalEntry, ...]:
        """The newest saves of a file, of any of several, or of all files, newest first."""
        files = (file,) if isinstance(file, str) and file else tuple(file)
        repository = repository_of(self.root)
        committed = repository.entries(files, most) if repository else ()
        told = [each for each in journal_of(self.root) if not files or not each.files.keys().isdisjoint(files)]  # fmt: skip
        both = [*reversed(told), *committed]
        return tuple(sorted(both, key=lambda each: _moment(each.when), reverse=True)[:most])

    def entry(self, identifier: str, file: str = "") -> JournalEntry:
        """One save by its id. UsageError where there is none."""
        for each in self.history(file, _ALL):
            if each.id == identifier:
                return each
        raise UsageError(f"There is no save '{identifier}'.")

    def before_and_after(self, entry: JournalEntry, file: str) -> tuple[bytes | None, bytes | None]:
        """What a file said before and after a save."""
        before, after = entry.files[file]
        return self._kept_content(before, file), self._kept_content(after, file)

    def _kept_content(self, digest: str, file: str) -> bytes | None:
        content = self._store.content(digest)
        repository = repository_of(self.root) if content is None and digest else None
        return repository.content(digest, file) if repository else content

    def compared(self, entry: JournalEntry, file: str) -> Iterator[str]:
        """The lines that a save changed in a file, with those around them, as a unified difference."""
        before, after = self.before_and_after(entry, file)
        old, new = ((_text(file, each) or "").splitlines() for each in (before, after))
        return unified_diff(old, new, "before", "after", lineterm="")

    def undoing(self, entry: JournalEntry, role: str, reason: str) -> Save:
        """A save that takes another one back, and leaves what was changed since as it is."""
        changes: dict[str, tuple[Change, ...]] = {}
        based_on = {}
        for file in entry.files:
            before, after = self.before_and_after(entry, file)
            based_on[file] = self._store.keep(after, seen=True) if after is not None else ""
            changes[file] = (_back_to(file, before),)
        return Save(role, reason, changes, based_on, entry.id)


def _back_to(file: str, content: bytes | None) -> Change:
    if content is None:
        return Gone()
    return Whole(_text(file, content) or "") if is_text(file) else Picture(content)


def _text(file: str, content: bytes | None) -> str | None:
    """What a text file says, with the line ends that it has and without a byte order mark."""
    if content is None:
        return None
    try:
        return content.removeprefix(_MARK).decode("utf-8")
    except UnicodeDecodeError as error:
        raise UnchangeableError(f"'{file}' is not in UTF-8. Save it again as UTF-8 first.") from error  # fmt: skip


def _moment(when: str) -> float:
    with suppress(ValueError):
        return datetime.fromisoformat(when).timestamp()
    return 0.0
