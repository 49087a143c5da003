"""Which plots are one edition: all that their layers say is the same, but for late values.

The key of a plot is a digest of its layers with a blank in place of each late value. Two plots with
one key get the same pages with other values in them.
"""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from builder.editions.values import (
    CONTACT,
    DEVELOPMENT,
    EQUIPMENT,
    HOST,
    NUMBER,
    PLOT,
    UTILITY,
    late_value,
)
from builder.layers.merge import Layer
from builder.layers.stack import Stack
from builder.sources.entry import plain

_RECORDS: Mapping[str, tuple[str, ...]] = {"plot": (*PLOT, NUMBER), "development": DEVELOPMENT}
_BY_ID: Mapping[str, tuple[str, ...]] = {
    "contacts": CONTACT,
    "utilities": UTILITY,
    "equipment": EQUIPMENT,
}


@dataclass(slots=True)
class Keys:
    """The keys of plots. What a layer says is digested once for all plots that share it."""

    _digests: dict[int, tuple[Layer, str]] = field(default_factory=dict)

    def of(self, stack: Stack) -> str:
        """The key of a plot by its layers."""
        digests = [self._shared(layer) for layer in stack.shared]
        digests += [said_in(layer) for layer in stack.own]
        return hashlib.sha256("\n".join(digests).encode()).hexdigest()

    def _shared(self, layer: Layer) -> str:
        # The layer is kept beside its digest, so that no other takes its place in memory.
        if id(layer) not in self._digests:
            self._digests[id(layer)] = layer, said_in(layer)
        return self._digests[id(layer)][1]


def said_in(layer: Layer) -> str:
    """A digest of all that a layer says and that shapes pages."""
    said = plain(layer.entry)
    for section, fields in _RECORDS.items():
        _blank(said.get(section), fields)
    if isinstance(development := said.get("development"), dict):
        development.pop(HOST, None)
    for section, fields in _BY_ID.items():
        records = said.get(section)
        for record in (records if isinstance(records, dict) else {}).values():
            _blank(record, fields)
    return hashlib.sha256(json.dumps(said, default=str).encode()).hexdigest()


def _blank(record: Any, fields: tuple[str, ...]) -> None:
    """Put what sort of value a late one is in its place."""
    for name in fields if isinstance(record, dict) else ():
        value = late_value(record.get(name))
        if value is not None:
            record[name] = {"late": type(value).__name__}
