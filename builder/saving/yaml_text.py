"""Changes one value of a YAML text and leaves every other byte of it as it stands.

The new value is written into the text at the place of the old one. What cannot be written so is
changed by ruamel.yaml, which keeps comments and order and may set spaces anew. Either way the new text
is read again, and holds what was wanted and nothing else: or it is refused.
"""

import copy
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import Any

import yaml

from builder.errors import Findings
from builder.saving.changing import ChangingFile
from builder.saving.splicing import Nodes, NotSplicedError, spliced_out, spliced_over, spliced_under
from builder.saving.yaml_forms import entry_lines
from builder.sources.entry import Address, dotted, plain
from builder.sources.yaml_reader import read_yaml

ABSENT: Any = object()
"""What stands where nothing does; ``None`` is a value, which removes what a lower layer has."""


class UnchangeableError(ValueError):
    """A text in which this cannot be changed; the message says why, as a full sentence."""


def data_of(text: str) -> dict[str, Any]:
    """All that a YAML text holds. UnchangeableError for one with mistakes, which nobody changes blindly."""
    if _says_nothing(text):
        return {}
    findings = Findings()
    entry = read_yaml(text, "", findings)
    if entry is None:
        first = next(iter(findings))
        raise UnchangeableError(f"Line {first.place.line} cannot be read: {first.wrong}")
    found: dict[str, Any] = plain(entry)
    return found


def value_at(data: Any, path: Sequence[str | int]) -> Any:
    """What stands at a path, or ``ABSENT``."""
    for step in path:
        inside: Any = data if isinstance(data, Mapping) else {}
        if isinstance(data, list):
            inside = dict(enumerate(data))
        if step not in inside:
            return ABSENT
        data = inside[step]
    return data


def same(one: Any, other: Any) -> bool:
    """Whether two values are alike, true being no 1 and 1 no 1.0; the order of names does not count."""
    if one is ABSENT or other is ABSENT:
        return one is other
    return json.dumps(one, sort_keys=True) == json.dumps(other, sort_keys=True)


def put(text: str, path: Address, value: Any) -> str:
    """The text with a value at a path; what is missing on the way there is made.

    A mapping over a mapping changes the entries that differ, and so does a list over a list: comments
    beside the others stay.
    """
    if not path:
        raise UnchangeableError("The whole of a file is no value.")
    before = value_at(data_of(text), path)
    value = _plain_value(value)
    if same(before, value):
        return text
    if isinstance(before, dict) and isinstance(value, dict) and before and value:
        return _each_entry(text, path, before, value)
    if isinstance(before, list) and isinstance(value, list) and before and value:
        return _each_item(text, path, before, value)
    return _text_with(text, path, value)


def take_out(text: str, path: Address) -> str:
    """The text without what stands at a path; a mapping that is empty then stays, as ``{}``."""
    if value_at(data_of(text), path) is ABSENT:
        return text
    return _text_with(text, path, ABSENT)


def insert(text: str, path: Address, position: int, value: Any) -> str:
    """The text with one more item in the list at a path, before the item at a position."""
    data = data_of(text)
    here = value_at(data, path)
    if here is ABSENT or here in (None, []):
        return put(text, path, [value])
    if not isinstance(here, list):
        raise UnchangeableError(f"{dotted(path)} is no list.")
    wanted = copy.deepcopy(data)
    value_at(wanted, path).insert(position, _plain_value(value))
    return _by_first_way(text, _TextChange(wanted, path, value, position))


def _each_entry(text: str, path: Address, before: Mapping[str, Any], value: Mapping[str, Any]) -> str:  # fmt: skip
    for name, each in value.items():
        text = put(text, (*path, name), each)
    for name in before.keys() - value.keys():
        text = take_out(text, (*path, name))
    return text


def _each_item(text: str, path: Address, before: list[Any], value: list[Any]) -> str:
    old, new = ([json.dumps(each, sort_keys=True) for each in items] for items in (before, value))
    steps = SequenceMatcher(None, old, new, autojunk=False).get_opcodes()
    for kind, first, end, first_new, end_new in reversed(steps):
        if kind == "equal":
            continue
        paired = min(end - first, end_new - first_new)
        for place in reversed(range(first + paired, end)):
            text = take_out(text, (*path, place))
        for each in reversed(value[first_new + paired : end_new]):
            text = insert(text, path, first + paired, each)
        for offset in range(paired):
            text = put(text, (*path, first + offset), value[first_new + offset])
    return text


@dataclass(frozen=True, slots=True)
class _TextChange:
    """One change of a text: what the file is ``wanted`` to say as a whole, and the ``value`` at a path that
    makes it so (ABSENT: it goes), or an item that comes into the list there at a ``position``."""

    wanted: Any
    path: Address
    value: Any
    position: int | None = None


def _text_with(text: str, path: Address, value: Any) -> str:
    return _by_first_way(text, _TextChange(_data_with(data_of(text), path, value), path, value))


def _by_first_way(text: str, change: _TextChange) -> str:
    """The text by the first way that gives what is wanted."""
    for way in (_spliced, _by_library):
        try:
            changed = way(text, change)
            if same(data_of(changed), change.wanted):
                return changed
        except (NotSplicedError, UnchangeableError, yaml.YAMLError, ValueError, TypeError):
            continue
    raise UnchangeableError(
        f"{dotted(change.path)} cannot be changed here. Change the file by hand."
    )


def _spliced(text: str, change: _TextChange) -> str:
    if _says_nothing(text):
        return _begun_text(text, change.wanted)
    nodes = Nodes(text)
    if change.position is not None:
        return spliced_under(nodes, change.path, change.position, change.value)
    if change.value is not ABSENT:
        return spliced_over(nodes, change.path, change.value)
    changed = spliced_out(nodes, change.path)
    return (
        changed if change.wanted or not _says_nothing(changed) else changed + "{}" + nodes.line_end
    )


def _by_library(text: str, change: _TextChange) -> str:
    """By ruamel.yaml: the whole top section that the path is in."""
    file, section = ChangingFile(text), str(change.path[0])
    if section in change.wanted:
        file.put([section], change.wanted[section])
    else:
        file.take_out([section])
    return file.text


def _begun_text(text: str, wanted: Mapping[str, Any]) -> str:
    """A text that says nothing yet, with its comments, and its first entries."""
    lines = [line for name, each in wanted.items() for line in entry_lines(name, each, 0)]
    above = text.rstrip("\n").removesuffix("{}").rstrip("\n")
    return "\n".join([*([above, ""] if above else []), *lines]) + "\n"


def _says_nothing(text: str) -> bool:
    lines = (line.strip() for line in text.removeprefix("\ufeff").splitlines())
    return all(not line or line.startswith("#") or line in ("{}", "---") for line in lines)


def _data_with(data: Any, path: Address, value: Any) -> Any:
    """The data with a value at a path, or without it."""
    made = copy.deepcopy(data)
    here: Any = made
    for step in path[:-1]:
        inside = value_at(here, (step,))
        if not isinstance(inside, dict | list):
            if not isinstance(here, dict):
                raise UnchangeableError(f"{dotted(path)} is not there.")
            here[step] = {}
        here = here[step]
    if value is ABSENT:
        del here[path[-1]]
    elif isinstance(here, list) and not (isinstance(path[-1], int) and path[-1] < len(here)):
        raise UnchangeableError(f"{dotted(path)} is not there.")
    else:
        here[path[-1]] = copy.deepcopy(value)
    return made


def _plain_value(value: Any) -> Any:
    """A value as ordinary dictionaries, lists and scalars; a day as its text."""
    if isinstance(value, Mapping):
        return {str(key): _plain_value(each) for key, each in value.items()}
    if isinstance(value, str | int | float) or value is None:
        return value
    if isinstance(value, Sequence):
        return [_plain_value(each) for each in value]
    return str(value)
