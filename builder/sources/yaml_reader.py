"""Reads YAML into entries with their places, and refuses what makes data unsafe or unclear.

Scalars follow the core schema of YAML 1.2 (yaml.org/spec/1.2.2, section 10.3.2, from memory): only ``true`` and
``false`` are booleans, ``07`` and ``no`` stay text, and a date stays text until its field reads it.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import yaml

from builder.errors import Finding, Findings, Place, printable
from builder.sources.entry import Address, Entry
from builder.sources.yaml_closely import Closely, TooDeepError
from builder.sources.yaml_plain import DEEPEST, NotPlainError, plain_entries

_QUOTE = "Put a text that holds braces in quotes, from its first letter to its last."
_LOOK = "Check the indentation, colons and quotes on this line and the one above."


@dataclass(frozen=True, slots=True)
class Read:
    """What a text holds as far as it could be read. ``lost``: the addresses of what was left out."""

    entry: Entry
    lost: tuple[Address, ...] = ()


def read_yaml(text: str, file: str, findings: Findings, first_line: int = 1) -> Entry | None:
    """The mapping that a YAML text without mistakes holds, or nothing and findings.

    ``first_line`` is the line of the file that the text begins on.
    """
    found = Findings()
    read = read_on(text, file, found, first_line)
    findings.extend(found)
    return read.entry if read and not len(found) else None


def read_on(text: str, file: str, findings: Findings, first_line: int = 1) -> Read | None:
    """The mapping that a text holds as far as it can be read, so that its other mistakes are found too.

    Whoever uses it as data asks whether there were findings.
    """
    return _Reader(file, first_line - 1, findings).read(text)


class _Reader:
    """One text on its way to entries. Places are those of the file, not of the text."""

    def __init__(self, file: str, offset: int, findings: Findings) -> None:
        self.file = file
        self.offset = offset
        self.findings = findings

    def read(self, text: str) -> Read | None:
        tabs = list(_indented_with_tabs(text))
        for line, column in tabs:
            self._refuse(
                "yaml.tab",
                Place(self.file, self.offset + line, column),
                "This line is indented with a tab.",
                "Indent with spaces.",
            )
        if tabs:
            return None
        try:
            return Read(plain_entries(text, self._place))
        except (NotPlainError, yaml.YAMLError):
            return self._closely(text)

    def _closely(self, text: str) -> Read | None:
        """The entries of a text that is not plain, and what is wrong with it."""
        reading = Closely(text, self._place, self.findings)
        try:
            entry = reading.document()
        except yaml.YAMLError as error:
            self._explain(text, error)
            return None
        except TooDeepError:
            return None
        if entry is None or not isinstance(entry.value, dict):
            self._no_mapping()
            return None
        return Read(entry, tuple(reading.lost))

    def _no_mapping(self) -> None:
        self._refuse(
            "yaml.not-a-mapping",
            Place(self.file, self.offset + 1),
            "This file does not hold a mapping.",
            "Begin with 'key: value' lines.",
        )

    def _explain(self, text: str, refused: yaml.YAMLError) -> None:
        """The library's fast half words its errors differently from the exact one, which is asked first."""
        try:
            _parse(text)
        except yaml.YAMLError as error:
            self._say(text, error)
        except RecursionError:
            self._unreadable(self._top, f"values are nested more than {DEEPEST} deep", _LOOK)
        else:
            self._say(text, refused)

    def _say(self, text: str, error: yaml.YAMLError) -> None:
        """What the library found, where it found it."""
        if not isinstance(error, yaml.MarkedYAMLError):
            self._unreadable(self._top, str(error), "Delete the characters that cannot be seen.")
            return
        mark = error.problem_mark or error.context_mark
        right = _QUOTE if mark and _opens_in_a_text(text, mark) else _LOOK
        self._unreadable(self._place(mark) if mark else self._top, str(error.problem), right)

    @property
    def _top(self) -> Place:
        return Place(self.file, self.offset + 1)

    def _unreadable(self, place: Place, why: str, right: str) -> None:
        self._refuse("yaml.syntax", place, f"The YAML cannot be read: {printable(why)}.", right)

    def _place(self, mark: Any) -> Place:
        return Place(self.file, self.offset + mark.line + 1, mark.column + 1)

    def _refuse(self, code: str, place: Place, wrong: str, right: str) -> None:
        self.findings.add(Finding(code, place, wrong, right))


def _parse(text: str) -> None:
    """Has the exact half look at a text; RecursionError where it is nested too deeply, which would take
    a time that grows with the square of the depth."""
    depth = 0
    for event in yaml.parse(text, Loader=yaml.SafeLoader):
        depth += isinstance(event, yaml.CollectionStartEvent)
        depth -= isinstance(event, yaml.CollectionEndEvent)
        if depth > DEEPEST:
            raise RecursionError


def _opens_in_a_text(text: str, mark: Any) -> bool:
    """Whether a brace opens here inside words that have no quotes, as in "{place: to the {left} of it}"."""
    line = text.split("\n")[mark.line] if mark.line <= text.count("\n") else ""
    before = line[: mark.column].rstrip()
    return line[mark.column : mark.column + 1] == "{" and before[-1:].isalnum()


def _indented_with_tabs(text: str) -> Iterator[tuple[int, int]]:
    """The line and column of each tab that a line is indented with."""
    for number, line in enumerate(text.split("\n") if "\t" in text else (), start=1):
        if "\t" in line[: len(line) - len(line.lstrip())] and line.strip():
            yield number, line.index("\t") + 1
