"""Changes a YAML file and leaves all else in it as it stands: comments, order, quotes and forms."""

import io
from collections.abc import Mapping, Sequence
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.comments import CommentedMap, CommentedSeq
from ruamel.yaml.error import YAMLError
from ruamel.yaml.scalarstring import DoubleQuotedScalarString

_WIDE = 1_000_000
_TIGHT = 8
"""Entries of a mapping that are written on one line at most."""


class ChangingFile:
    """One YAML file while values in it are changed. ``text`` is what it is by then.

    Raises ValueError for a text that is no mapping.
    """

    def __init__(self, text: str) -> None:
        self._yaml = YAML()
        self._yaml.preserve_quotes = True
        self._yaml.width = _WIDE
        self._yaml.indent(mapping=2, sequence=4, offset=2)
        self._yaml.representer.add_representer(type(None), _null)
        try:
            read = self._yaml.load(text)
        except YAMLError as error:
            raise ValueError(" ".join(str(error).split())) from error
        if read is None:
            read = CommentedMap()
        if not isinstance(read, CommentedMap):
            raise ValueError("it holds no mapping")  # noqa: TRY004  (a fault of the text, not of a caller)
        self._data: CommentedMap = read

    @property
    def text(self) -> str:
        """The file as it is now."""
        written = io.StringIO()
        self._yaml.dump(self._data, written)
        return written.getvalue()

    def at(self, path: Sequence[str]) -> Any:
        """What stands at a path, or None."""
        here: Any = self._data
        for step in path:
            if not isinstance(here, Mapping) or step not in here:
                return None
            here = here[step]
        return here

    def put(self, path: Sequence[str], value: Any, comment: str = "") -> None:
        """Write a value at a path; what is on the way there is made. ``comment`` stands beside it."""
        *way, last = path
        here = self._data
        for step in way:
            if not isinstance(here.get(step), CommentedMap):
                here[step] = CommentedMap()
                _open(here, step)
            here = here[step]
        here[last] = _for_the_library(value)
        if comment and not here.fa.flow_style():
            here.ca.items.pop(last, None)
            here.yaml_add_eol_comment(comment, last)

    def take_out(self, path: Sequence[str]) -> None:
        """Take an entry out."""
        *way, last = path
        here = self.at(way)
        if isinstance(here, CommentedMap) and last in here:
            del here[last]

    def add(self, path: Sequence[str], fields: Mapping[str, tuple[Any, str]]) -> None:
        """An entry with its fields, each a value and what stands beside it."""
        for name, (value, comment) in fields.items():
            self.put((*path, name), value, comment)


def _null(representer: Any, _: None) -> Any:
    return representer.represent_scalar("tag:yaml.org,2002:null", "null")


def _open(parent: CommentedMap, step: str) -> None:
    """A section that was empty, ``{}``, is written in lines from now on."""
    if parent.fa.flow_style() is not None and not parent:
        parent.fa.set_block_style()
    parent[step].fa.set_block_style()


def _for_the_library(value: Any) -> Any:
    """A value as the library writes it: lists and small mappings on one line, numbers in texts quoted."""
    if isinstance(value, Mapping):
        inner = CommentedMap({key: _for_the_library(each) for key, each in value.items()})
        flat = not any(isinstance(each, Mapping) for each in value.values())
        if flat and len(value) <= _TIGHT:
            inner.fa.set_flow_style()
        return inner
    if isinstance(value, list | tuple):
        row = CommentedSeq([_for_the_library(each) for each in value])
        row.fa.set_flow_style()
        return row
    if isinstance(value, str) and _looks_like_a_number(value):
        return DoubleQuotedScalarString(value)
    return value


def _looks_like_a_number(text: str) -> bool:
    return text.replace(".", "", 1).replace("-", "").isdigit()
