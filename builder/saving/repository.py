"""The history of saves in a git repository: each save is one commit of exactly its files.

What is decided: git is run with fixed arguments and no shell, no hook and no filter of the repository
is run, nothing is signed, and no program named in its settings is started: what the repository lacks
is fetched from nowhere, because its settings say how. A commit is made of the
contents as they were saved, beside the index: what else the user has changed or staged stays as it
is. Author and committer are the role, never a person. Files that git ignores, a repository in the
middle of a merge or rebase, and a machine without git leave the save to the journal.
"""

import io
import os
import re
import subprocess
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from builder.disk import true_place
from builder.errors import in_short, printable
from builder.saving.store import JournalEntry

_FIXED = (
    "git", "--no-pager", "-c", "core.hooksPath=/dev/null", "-c", "core.fsmonitor=false",
    "-c", "commit.gpgSign=false", "-c", "gc.auto=0", "-c", "core.quotePath=false",
    "-c", "log.showSignature=false", "-c", "core.attributesFile=/dev/null",
)  # fmt: skip
_SECONDS = 30
_BUSY = ("MERGE_HEAD", "CHERRY_PICK_HEAD", "REVERT_HEAD", "rebase-merge", "rebase-apply")
_ADDRESS = "desk@workspace.invalid"
"""The address of every author: mail to it goes nowhere (RFC 2606)."""
_SEEN = 40
"""Commits among which a save that was cut off is looked for."""
_OUTSIDE = "Changed outside the desk"
_HEADING = 3
"""Words before each content that ``git cat-file --batch`` gives: its digest, its kind, its bytes."""
_LINK = "120000"
"""How git keeps a symbolic link."""
_FIELD, _RECORD = "\x1f", "\x1e"
_SAVE = re.compile(r"^(Save|Takes-back|Role): (.+)$", re.MULTILINE)


class GitError(Exception):
    """Git is not there, or did not do what it was asked."""


@dataclass(frozen=True, slots=True)
class Repository:
    """The repository that a workspace is in, and the path from its top to the workspace."""

    root: Path
    prefix: str
    folder: Path

    def _git(self, *arguments: str, given: bytes = b"", index: str = "") -> bytes:
        return _run_git(self.root, arguments, given, index)

    def takes(self, names: Sequence[str]) -> bool:
        """Whether saves of these files are committed here today."""
        if any((self.folder / each).exists() for each in _BUSY):
            return False
        ignored = subprocess.run(  # noqa: S603 - fixed arguments
            [*_FIXED, "-C", str(self.root), "check-ignore", "-z", "--stdin"],
            input="\0".join(names).encode(), capture_output=True, env=_environment(), timeout=_SECONDS, check=False,
        )  # fmt: skip
        return ignored.returncode == 1

    def commit(self, entry: JournalEntry, was: Mapping[str, bytes | None], becomes: Mapping[str, bytes | None]) -> None:  # fmt: skip
        """One commit of exactly the files of a save. What stood there and was in no commit yet is
        committed first, as a change outside the desk: so that a save shows what it changed."""
        if self._has(entry.id):
            # A desk that was killed after the commit: the index has what stood there before, and whoever
            # commits by hand next would take the save back.
            kept = {name: each for name, each in becomes.items() if self._head(name) == each}
            self._stage(self._index_lines(kept))
            return
        other = {name: each for name, each in was.items() if self._head(name) != each}
        if other:
            self._one_commit(
                other, f"{_OUTSIDE}: {_names_in_short(other)}", "outside the desk", entry.when
            )
        told = {"Role": entry.role, "Save": entry.id, "Takes-back": entry.undoes}
        lines = "\n".join(f"{name}: {_on_one_line(value)}" for name, value in told.items() if value)
        self._one_commit(
            becomes, f"{_on_one_line(entry.reason)}\n\n{lines}\n", entry.role, entry.when
        )

    def _one_commit(
        self, contents: Mapping[str, bytes | None], message: str, role: str, when: str
    ) -> None:
        parent = self._parent()
        lines = self._index_lines(contents)
        with tempfile.TemporaryDirectory(dir=self.folder) as scratch:
            index = str(Path(scratch) / "index")
            if parent:
                self._git("read-tree", parent, index=index)
            self._git("update-index", "--index-info", given=lines, index=index)
            tree = self._git("write-tree", index=index).decode().strip()
        parents = ("-p", parent) if parent else ()
        made = _run_git(self.root, ("commit-tree", tree, *parents), message.encode(), "", role, when).decode().strip()  # fmt: skip
        self._git("update-ref", "-m", "desk: save", "HEAD", made, parent or "0" * 40)
        self._stage(lines)

    def _stage(self, lines: bytes) -> None:
        """Have the index say what was committed. Where the user's own git holds it, `git status` tells
        of it, and nothing is lost."""
        with suppress(GitError):
            self._git("update-index", "--index-info", given=lines)

    def _index_lines(self, contents: Mapping[str, bytes | None]) -> bytes:
        lines = []
        for name, content in contents.items():
            if content is None:
                lines.append(f"0 {'0' * 40}\t{self.prefix}{name}")
                continue
            made = self._git("hash-object", "-w", "--no-filters", "--stdin", given=content)
            lines.append(f"100644 {made.decode().strip()}\t{self.prefix}{name}")
        return "\n".join(lines).encode() + b"\n"

    def _parent(self) -> str:
        try:
            return self._git("rev-parse", "--verify", "--quiet", "HEAD^{commit}").decode().strip()
        except GitError:
            return ""

    def _has(self, save: str) -> bool:
        return any(each.id == save for each in self.entries((), _SEEN))

    def _head(self, name: str) -> bytes | None:
        return self.content("HEAD", name)

    def content(self, commit: str, name: str) -> bytes | None:
        """What a file said in a commit, or None where it was not there."""
        try:
            return self._git("cat-file", "blob", f"{commit}:{self.prefix}{name}")
        except GitError:
            return None

    def unpack(self, revision: str, folder: Path) -> str:
        """Lays the workspace as it stood at a revision into a folder; its commit's digest.

        Raises:
            GitError: there is no such revision, or the workspace was not in it.
        """
        asked = ("rev-parse", "--verify", "--end-of-options", f"{revision}^{{commit}}")
        commit = self._git(*asked).decode().strip()
        # Not by `git archive`, which runs the filters that the repository names.
        held = self._git("ls-tree", "-r", "-z", commit).decode("utf-8", "surrogateescape")
        members = [_Member.of(line) for line in held.split("\0") if line]
        # Links come last, so that nothing is written through one.
        files = sorted((each for each in members if each.kind == "blob"), key=_is_link)
        if not files:
            raise GitError("this workspace was not in it yet")
        try:
            for member, content in zip(files, self._contents(files), strict=True):
                _lay(member, content, folder)
        except OSError as error:
            raise GitError(f"'{printable(member.name)}' cannot be laid down") from error
        return commit

    def _contents(self, members: Sequence["_Member"]) -> Iterator[bytes]:
        """What each file of a revision held. GitError where the repository lacks one."""
        asked = "".join(f"{each.digest}\n" for each in members)
        told = io.BytesIO(self._git("cat-file", "--batch", given=asked.encode()))
        for each in members:
            heading = told.readline().split()
            if len(heading) != _HEADING:
                raise GitError(f"it lacks what '{printable(each.name)}' held")
            yield told.read(int(heading[2]))
            told.read(1)  # the line end after each

    def entries(self, names: Sequence[str], most: int) -> Iterator[JournalEntry]:
        """The newest commits of some files, or of all of the workspace, newest first. Of files they give
        commits as digests: ``commit^`` before and ``commit`` after."""
        form = f"{_RECORD}%H{_FIELD}%cI{_FIELD}%an{_FIELD}%s{_FIELD}%b{_FIELD}"
        paths = [f":(top,literal){self.prefix}{each}" for each in names]
        asked = ("log", f"-{most}", f"--format={form}", "--name-only", "--no-ext-diff", "--no-textconv", "-z", "--no-renames", "--",
                 *(paths or [f":(top,literal){self.prefix}"] if paths or self.prefix else []))  # fmt: skip
        try:
            told = self._git(*asked).decode("utf-8", "replace")
        except GitError:
            return
        for record in told.split(_RECORD)[1:]:
            yield self._entry(record)

    def _entry(self, record: str) -> JournalEntry:
        commit, when, author, subject, body, rest = record.split(_FIELD, 5)
        said = dict(_SAVE.findall(body))
        files = (each.strip("\n") for each in rest.split("\0"))
        inside = [each.removeprefix(self.prefix) for each in files if each and each.startswith(self.prefix)]  # fmt: skip
        return JournalEntry(
            said.get("Save", commit), when, said.get("Role", author), subject,
            dict.fromkeys(inside, (f"{commit}^", commit)), said.get("Takes-back", ""),
        )  # fmt: skip


def repository_of(root: Path) -> Repository | None:
    """The git repository that a workspace is in, or None."""
    try:
        told = _run_git(
            root, ("rev-parse", "--show-prefix", "--absolute-git-dir"), b"", ""
        ).decode()
    except GitError:
        return None
    prefix, folder = told.split("\n")[:2]
    return Repository(root, prefix, Path(folder))


@dataclass(frozen=True, slots=True)
class _Member:
    """A line of ``git ls-tree``: how git keeps a file (``mode``, ``kind``, ``digest``), and its path from the
    workspace."""

    mode: str
    kind: str
    digest: str
    name: str

    @classmethod
    def of(cls, line: str) -> "_Member":
        about, _, name = line.partition("\t")
        mode, kind, digest = about.split(" ")
        return cls(mode, kind, digest, name)


def _is_link(member: _Member) -> bool:
    return member.mode == _LINK


def _lay(member: _Member, content: bytes, folder: Path) -> None:
    """One file of a revision, or a link that stays inside."""
    path = Path(os.path.normpath(folder / member.name))
    if not path.is_relative_to(folder) or not true_place(path.parent).is_relative_to(true_place(folder)):  # fmt: skip
        return
    path.parent.mkdir(parents=True, exist_ok=True)
    if not _is_link(member):
        path.write_bytes(content)
        return
    target = os.fsdecode(content)
    if Path(os.path.normpath(path.parent / target)).is_relative_to(folder):
        path.symlink_to(target)


def _run_git(
    root: Path, arguments: Sequence[str], given: bytes, index: str, role: str = "", when: str = ""
) -> bytes:
    try:
        done = subprocess.run(  # noqa: S603 - fixed arguments, no shell
            [*_FIXED, "-C", str(root), *arguments], input=given, capture_output=True,
            env=_environment(index, role, when), timeout=_SECONDS, check=False,
        )  # fmt: skip
    except (OSError, subprocess.SubprocessError) as error:
        raise GitError(str(error)) from error
    if done.returncode:
        raise GitError(done.stderr.decode("utf-8", "replace").strip())
    return done.stdout


def _environment(index: str = "", role: str = "", when: str = "") -> dict[str, str]:
    """The environment without what would send git elsewhere, and with the role as author."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("GIT_")}
    kept |= {"GIT_TERMINAL_PROMPT": "0", "LC_ALL": "C", "GIT_OPTIONAL_LOCKS": "0"}
    kept |= {"GIT_ALLOW_PROTOCOL": "none", "GIT_NO_LAZY_FETCH": "1"}
    if index:
        kept["GIT_INDEX_FILE"] = index
    if role:
        for who in ("AUTHOR", "COMMITTER"):
            kept |= {
                f"GIT_{who}_NAME": _on_one_line(role),
                f"GIT_{who}_EMAIL": _ADDRESS,
                f"GIT_{who}_DATE": when,
            }
    return kept


def _on_one_line(text: str) -> str:
    """A text on one line, without what would end a field of a commit."""
    return " ".join(re.sub(r"[\x00-\x1f\x7f<>]", " ", text).split()) or "no reason given"


def _names_in_short(contents: Mapping[str, bytes | None]) -> str:
    return in_short(tuple(contents), 1)
