"""Digests of what parts of pages show. Knows no site engine."""

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from typing import Any

from pydantic import BaseModel

from builder.guide.plan.drawing import FloorPlan, Highlight
from builder.recent import RecentResults

WRITTEN = 3_000
"""Records of which a process keeps the digests."""


def digest_of(*texts: str) -> str:
    """A digest of texts, each with its length, so that no other texts come to the same."""
    whole = "".join(f"{len(text)}:{text}" for text in texts)
    return hashlib.sha256(whole.encode()).hexdigest()


class ValueDigests:
    """Digests of all that values hold. Many pages show the very same records: each is read once."""

    def __init__(self) -> None:
        self._known: RecentResults[int, tuple[object, str]] = RecentResults(WRITTEN)

    def of(self, values: Mapping[str, Any]) -> str:
        """A digest of values by name.

        Raises:
            TypeError: a value is neither a record nor plain data, and two of its kind that look
                alike need not be the same.
        """
        return digest_of(*(f"{name}={self._text(value)}" for name, value in values.items()))

    def _text(self, value: Any) -> str:
        if value is None or isinstance(value, str | int | float | date):
            return f"{type(value).__name__} {value!r}"
        if isinstance(value, Mapping):
            return f"{{{','.join(f'{name!r}:{self._text(each)}' for name, each in value.items())}}}"
        return self._record(value) if value else "()"

    def _record(self, value: Any) -> str:
        # What was read is kept beside its digest, so that nothing else takes its place in memory.
        found = self._known.get(id(value))
        if found is None or found[0] is not value:
            found = self._known.keep(id(value), (value, digest_of(*self._parts_of(value))))
        return found[1]

    def _parts_of(self, value: Any) -> Iterator[str]:
        if isinstance(value, tuple | list):
            yield from map(self._text, value)
            return
        yield type(value).__qualname__
        if isinstance(value, FloorPlan | Highlight):
            # A floor is drawn many times from the same lines.
            for each in fields(value):
                yield self._text(getattr(value, each.name))
        elif isinstance(value, BaseModel) or is_dataclass(value):
            yield repr(value)
        else:
            raise TypeError(f"'{type(value).__qualname__}' is no value that a page can show.")
