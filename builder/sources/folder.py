"""Reads files of a workspace safely: inside the folder, of sane size, in UTF-8."""

import os
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from itertools import islice
from pathlib import Path, PurePosixPath
from stat import S_ISREG

from builder.disk import true_place
from builder.errors import Finding, Findings, Place, printable
from builder.model.characters import hidden_characters, without_hidden

LARGEST_FILE = 2 * 1024 * 1024
"""Bytes. A house type takes about 30,000; anything near this limit is the wrong file."""

LONGEST_NAME = 4_096
"""Characters of a path."""
_UTF16 = (b"\xff\xfe", b"\xfe\xff")
_EACH = 10
"""How many characters that cannot be printed are reported one by one."""


@dataclass(frozen=True)
class Folder:
    """A workspace on disk. Every file is named by its path from here, with forward slashes."""

    root: Path
    layer: str = ""
    """What stands before the names of its files, where they are not the workspace's own."""
    instead: Mapping[str, bytes | None] = field(default_factory=dict, hash=False)
    """What some files hold in place of what is on the disk, by their names: a change on trial. None: no
    such file."""

    @cached_property
    def _home(self) -> Path:
        """Where the workspace lies, whatever links lead to it."""
        return true_place(self.root)

    @cached_property
    def _before(self) -> str:
        """What stands before the name of a file in its path."""
        return f"{self.root.as_posix()}/"

    def name(self, path: Path) -> str:
        """A file's path from the workspace, as findings print it."""
        written = path.as_posix()
        # As texts: this is done for thousands of files, and paths are slow.
        inside = written.startswith(self._before) and written.removeprefix(self._before)
        return self.layer + printable(
            inside or path.relative_to(self.root).as_posix(), LONGEST_NAME
        )

    def matching(self, pattern: str) -> list[Path]:
        """The files that match, in the order of their names."""
        found = {path for path in self.root.glob(pattern) if not path.name.startswith(".")}
        if self.instead:
            form = _form_of(pattern)
            found -= {self.root / name for name, content in self.instead.items() if content is None}
            found |= {self.root / name for name in self._added_names() if form.fullmatch(name)}
        return sorted(found)

    def _added_names(self) -> Iterator[str]:
        """The files on trial, and the folders that hold them."""
        for name, content in self.instead.items():
            if content is not None:
                yield name
                yield from (each.as_posix() for each in PurePosixPath(name).parents)

    def folders(self, name: str) -> list[Path]:
        """The folders inside a folder, in the order of their names."""
        added = set(self._added_names()) - set(self.instead)
        return [
            path
            for path in self.matching(f"{name}/*")
            if path.is_dir() or path.relative_to(self.root).as_posix() in added
        ]

    def holds(self, path: Path) -> bool:
        """Whether anything stands at a path, be it a link that leads nowhere."""
        name = self.name(path)
        if name in self.instead:
            return self.instead[name] is not None
        return path.is_symlink() or path.exists()

    def read(self, path: Path, findings: Findings) -> str | None:
        """The text of a file that has no mistake as a file, or nothing and findings."""
        found = Findings()
        text = self.read_on(path, found)
        findings.extend(found)
        return None if len(found) else text

    def read_on(self, path: Path, findings: Findings) -> str | None:
        """The text of a file as far as it can be made out, so that its other mistakes are found too.

        Whoever uses it as data asks whether there were findings.
        """
        content = self.content(path, findings)
        return None if content is None else _decoded(content, Place(self.name(path)), findings)

    def content(
        self, path: Path, findings: Findings, largest: int | None = LARGEST_FILE
    ) -> bytes | None:
        """What a file holds, or nothing and a finding; ``largest`` in bytes, none for any size."""
        name = self.name(path)
        if name in self.instead:
            return self._content_on_trial(name, findings, largest)
        problem = self.refused(path, largest)
        if problem is None:
            try:
                return path.read_bytes()
            except OSError as error:
                problem = Finding("file.unreadable", Place(name), f"This file cannot be read: {error.strerror}.",
                                  "Give yourself the right to read it.")  # fmt: skip
        findings.add(problem)
        return None

    def _content_on_trial(self, name: str, findings: Findings, largest: int | None) -> bytes | None:
        content = self.instead[name]
        if content is None:
            findings.add(Finding("file.missing", Place(name), "This file is missing.", "Put it back."))  # fmt: skip
        elif largest is not None and len(content) > largest:
            findings.add(_too_large(Place(name), len(content), largest))
        else:
            return content
        return None

    def refused(self, path: Path, largest: int | None = LARGEST_FILE) -> Finding | None:
        """Why a file is not read: it is missing, leads out, is no file, or has more bytes than this."""
        place = Place(self.name(path))
        try:
            resolved = Path(os.path.realpath(path, strict=True))
            about = resolved.stat()
        except OSError:
            wrong, right = "This file is missing.", "Put it back."
            if path.is_symlink():
                wrong, right = "This link leads to no file.", "Put the file itself here."
            return Finding("file.missing", place, wrong, right)
        if not resolved.is_relative_to(self._home):
            return Finding(
                "file.outside-workspace",
                place,
                "This is a link to a file outside the workspace.",
                "Copy the file into the workspace.",
            )
        if not S_ISREG(about.st_mode):
            return Finding("file.not-a-file", place, "This is not a file.", "Put a file here.")
        size = about.st_size
        return None if largest is None or size <= largest else _too_large(place, size, largest)


def _form_of(pattern: str) -> re.Pattern[str]:
    """A pattern of ``Path.glob``, for names: ``*`` is any part of a name, ``**/`` any folders."""
    parts = re.split(r"(\*\*/|\*)", pattern)
    forms = {"**/": "(?:[^/]+/)*", "*": "[^/]*"}
    return re.compile("".join(forms.get(each, re.escape(each)) for each in parts))


def _too_large(place: Place, size: int, limit: int) -> Finding:
    return Finding(
        "file.too-large",
        place,
        f"This file has {size:,} bytes; at most {limit:,} are read.",
        "Check that it is the right file, or split it.",
    )


def text_of(content: bytes, file: str, findings: Findings) -> str | None:
    """What a file says, with one form of line end, or nothing and findings."""
    found = Findings()
    text = _decoded(content, Place(file), found)
    findings.extend(found)
    return None if len(found) else text


def _decoded(content: bytes, place: Place, findings: Findings) -> str | None:
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        text = _text_in_another_encoding(content, error, place, findings)
        if any(hidden_characters(text)):
            return None
    return _printable(text.replace("\r\n", "\n").replace("\r", "\n"), place, findings)


def _text_in_another_encoding(
    content: bytes, error: UnicodeDecodeError, place: Place, findings: Findings
) -> str:
    """The text in the encoding that it most likely has: that of a spreadsheet on Windows."""
    if content.startswith(_UTF16):
        findings.add(_encoding(place, "This file is in UTF-16, not in UTF-8."))
        return content.decode("utf-16", errors="replace")
    before = content[: error.start].decode("utf-8", errors="replace")
    byte = content[error.start]
    findings.add(_encoding(_end(place, before), f"The byte 0x{byte:02X} here is not UTF-8."))
    return content.decode("cp1252", errors="replace")


def _printable(text: str, place: Place, findings: Findings) -> str:
    """The text without the characters that cannot be printed, each of which is a finding."""
    found = list(islice(hidden_characters(text), _EACH))
    if not found:
        return text
    left = without_hidden(text)
    more = len(text) - len(left) - len(found)
    for each in found:
        findings.add(
            Finding(
                "file.control-character",
                _end(place, text[: each.start()]),
                f"The character U+{ord(each.group()):04X} here cannot be seen or printed.",
                f"Delete it, and {more} more in this file." if more else "Delete it.",
            )
        )
    return left


def _encoding(place: Place, wrong: str) -> Finding:
    return Finding("file.encoding", place, wrong, "Save the file again as UTF-8.")


def _end(place: Place, before: str) -> Place:
    lines = before.split("\n")
    return Place(place.file, len(lines), len(lines[-1]) + 1)
