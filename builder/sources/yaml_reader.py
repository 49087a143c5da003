"""Reads YAML into entries with their places, and refuses what makes data unsafe or unclear.

Scalars follow the core schema of YAML 1.2 (yaml.org/spec/1.2.2, section 10.3.2, from memory): only ``true`` and
``false`` are booleans, ``07`` and ``no`` stay text, and a date stays text until its field reads it.
"""

import re
from typing import Any, ClassVar

import yaml

from builder.errors import Finding, Findings, Place
from builder.sources.entry import Entry, Scalar
from builder.sources.yaml_plain import (
    DEEPEST,
    FAST_LOADER,
    INTEGER,
    LONGEST_INTEGER,
    NUMBER,
    NotPlainError,
    plain_entries,
)

_CORE = "tag:yaml.org,2002:"


class _FastLoader(FAST_LOADER):  # type: ignore[misc, valid-type]
    yaml_implicit_resolvers: ClassVar[dict[str, Any]] = {}


class _ExactLoader(yaml.SafeLoader):
    yaml_implicit_resolvers: ClassVar[dict[str, Any]] = {}  # type: ignore[misc]


for _loader in (_FastLoader, _ExactLoader):
    for _tag, _pattern, _first in (
        ("bool", re.compile(r"(true|false)$"), "tf"),
        ("null", re.compile(r"(null|~|)$"), ["n", "~", ""]),
        ("int", INTEGER, "-+0123456789"),
        ("float", NUMBER, "-+0123456789"),
    ):
        _loader.add_implicit_resolver(_CORE + _tag, _pattern, list(_first))


def read_yaml(text: str, file: str, findings: Findings, first_line: int = 1) -> Entry | None:
    """The mapping that a YAML text holds, or nothing and findings.

    ``first_line`` is the line of the file that the text begins on.
    """
    reader = _Reader(file, first_line - 1, findings)
    return reader.read(text)


class _Reader:
    """One text on its way to entries. Places are those of the file, not of the text."""

    def __init__(self, file: str, offset: int, findings: Findings) -> None:
        self.file = file
        self.offset = offset
        self.findings = findings
        self._aliased: set[str | None] = set()

    def read(self, text: str) -> Entry | None:
        if self._indented_with_tabs(text):
            return None
        try:
            return plain_entries(text, self._place)
        except (NotPlainError, yaml.YAMLError):
            return self._closely(text)

    def _closely(self, text: str) -> Entry | None:
        """The entries of a text that is not plain, or nothing and what is wrong with it."""
        before = len(self.findings)
        if not self._events_are_safe(text):
            return None
        try:
            node = yaml.compose(text, Loader=_FastLoader)
        except yaml.YAMLError:
            self._explain(text)
            return None
        if not isinstance(node, yaml.MappingNode):
            self._refuse(
                "yaml.not-a-mapping",
                Place(self.file, self.offset + 1),
                "This file does not hold a mapping.",
                "Begin with 'key: value' lines.",
            )
            return None
        entry = self._entry(node, None)
        return entry if len(self.findings) == before else None

    def _indented_with_tabs(self, text: str) -> bool:
        tabs = [
            (number, line.index("\t") + 1)
            for number, line in enumerate(text.split("\n") if "\t" in text else (), start=1)
            if "\t" in line[: len(line) - len(line.lstrip())] and line.strip()
        ]
        for number, column in tabs:
            self._refuse(
                "yaml.tab",
                Place(self.file, self.offset + number, column),
                "This line is indented with a tab.",
                "Indent with spaces.",
            )
        return bool(tabs)

    def _events_are_safe(self, text: str) -> bool:
        """Whether a tree of it stays small; what cannot be read at all is explained later."""
        depth, safe = 0, True
        try:
            for event in yaml.parse(text, Loader=_FastLoader):
                depth += isinstance(event, yaml.CollectionStartEvent)
                depth -= isinstance(event, yaml.CollectionEndEvent)
                if depth > DEEPEST:
                    return self._too_deep(self._place(event.start_mark))
                if isinstance(event, yaml.AliasEvent):
                    safe = self._alias(event)
        except yaml.YAMLError:
            return safe
        return safe

    def _too_deep(self, place: Place) -> bool:
        self._refuse(
            "yaml.too-deep",
            place,
            f"Values are nested more than {DEEPEST} deep here.",
            "Check the brackets and the indentation.",
        )
        return False

    def _alias(self, event: yaml.AliasEvent) -> bool:
        """One finding for each anchor that aliases name, at the first of them."""
        if event.anchor not in self._aliased:
            self._aliased.add(event.anchor)
            self._refuse(
                "yaml.alias",
                self._place(event.start_mark),
                f"'*{event.anchor}' is an alias, and aliases are not read.",
                "Write the value out; what repeats belongs in a lower layer.",
            )
        return False

    def _explain(self, text: str) -> None:
        """The library's fast half words its errors differently from the exact one, which is asked."""
        try:
            yaml.compose(text, Loader=_ExactLoader)
        except yaml.MarkedYAMLError as error:
            mark = error.problem_mark or error.context_mark
            place = self._place(mark) if mark else Place(self.file, self.offset + 1)
            self._refuse(
                "yaml.syntax",
                place,
                f"The YAML cannot be read: {error.problem}.",
                "Check the indentation, colons and quotes on this line and the one above.",
            )
        except yaml.YAMLError as error:
            self._refuse(
                "yaml.syntax",
                Place(self.file, self.offset + 1),
                f"The YAML cannot be read: {error}.",
                "Delete the characters that cannot be seen.",
            )
        except RecursionError:
            self._too_deep(Place(self.file, self.offset + 1))
        else:
            self._refuse(
                "yaml.syntax",
                Place(self.file, self.offset + 1),
                "The YAML cannot be read.",
                "Check it against yaml.org, or write it in a plainer way.",
            )

    def _entry(self, node: yaml.Node, key_place: Place | None) -> Entry:
        place = self._place(node.start_mark)
        if isinstance(node, yaml.MappingNode):
            return Entry(self._mapping(node), place, key_place)
        if isinstance(node, yaml.SequenceNode):
            return Entry(tuple(self._entry(child, None) for child in node.value), place, key_place)
        return Entry(self._scalar(node, place), place, key_place)

    def _mapping(self, node: yaml.MappingNode) -> dict[str, Entry]:
        entries: dict[str, Entry] = {}
        for key_node, value_node in node.value:
            place = self._place(key_node.start_mark)
            if not isinstance(key_node, yaml.ScalarNode):
                self._refuse(
                    "yaml.key", place, "This key is not plain text.", "Write 'key: value'."
                )
            elif key_node.value in entries:
                first = entries[key_node.value].named_at
                self._refuse(
                    "yaml.duplicate-key",
                    place,
                    f"'{key_node.value}' stands here twice; the first is on line {first.line}.",
                    "Keep one of them.",
                )
            else:
                entries[key_node.value] = self._entry(value_node, place)
        return entries

    def _scalar(self, node: yaml.Node, place: Place) -> Scalar:
        kind = node.tag.removeprefix(_CORE)
        text: str = node.value
        if kind == "null":
            return None
        if kind == "bool":
            return text == "true"
        if kind == "int":
            return int(text) if len(text) <= LONGEST_INTEGER else text
        if kind == "float":
            return float(text)
        if kind not in ("str", "!"):
            self._refuse(
                "yaml.tag",
                place,
                f"'{node.tag.replace(_CORE, '!!')}' is a type tag, and tags are not read.",
                "Write the value without it.",
            )
        return text

    def _place(self, mark: Any) -> Place:
        return Place(self.file, self.offset + mark.line + 1, mark.column + 1)

    def _refuse(self, code: str, place: Place, wrong: str, right: str) -> None:
        self.findings.add(Finding(code, place, wrong, right))
