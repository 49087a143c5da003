"""Edits of a home's data that are tried out: one value set, or taken away, at an address."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

from builder.errors import Place
from builder.layers.merge import Merged, Saying
from builder.sources.entry import Address

_TRIAL = Saying("trial", Place("."), None, Place("."))
"""Who says what is only tried out."""


class _Gone:
    """Stands for what is taken away."""

    def __repr__(self) -> str:
        return "gone"


GONE: Final = _Gone()


@dataclass(frozen=True, slots=True)
class Edit:
    """One value set at an address, or taken away from it (``GONE``). A mapping may be set whole."""

    address: Address
    value: Any


Batch = tuple[Edit, ...]


def edited(merged: Merged, batch: Iterable[Edit]) -> Merged:
    """The merged layers of a home after some edits. What no edit touches is the very same."""
    for edit in batch:
        merged = _merged_with(merged, edit.address, edit.value)
    return merged


def _merged_with(merged: Merged, address: Address, value: Any) -> Merged:
    step, rest = str(address[0]), address[1:]
    children = dict(merged.children or {})
    if not rest and value is GONE:
        children.pop(step, None)
    elif not rest:
        children[step] = _as_merged(value, children.get(step))
    else:
        children[step] = _merged_with(children.get(step, Merged(None, {}, (_TRIAL,))), rest, value)
    return replace(merged, value=None, children=children)


def _as_merged(value: Any, before: Merged | None) -> Merged:
    sayings = before.sayings if before and not before.removed else (_TRIAL,)
    if not isinstance(value, Mapping):
        return Merged(value, None, sayings)
    return Merged(None, {key: _as_merged(each, None) for key, each in value.items()}, sayings)


def edited_plain(tree: Mapping[str, Any], batch: Iterable[Edit]) -> dict[str, Any]:
    """Plain data after some edits."""
    changed = dict(tree)
    for edit in batch:
        changed = _plain_with(changed, edit.address, edit.value)
    return changed


def _plain_with(tree: Mapping[str, Any], address: Address, value: Any) -> dict[str, Any]:
    step, rest = str(address[0]), address[1:]
    changed = dict(tree)
    if not rest and value is GONE:
        changed.pop(step, None)
    elif not rest:
        changed[step] = value
    else:
        changed[step] = _plain_with(changed.get(step, {}), rest, value)
    return changed
