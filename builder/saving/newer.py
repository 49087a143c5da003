"""What a later version of the builder ships, put into a file that was begun with an earlier one."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from builder.saving.yaml_text import ABSENT, data_of, put, value_at
from builder.sources.entry import Address


def lacking(data: Any, ships: Mapping[str, Any], sections: Sequence[str]) -> Iterator[Address]:
    """The entries of these sections that ship, in their order, and are not in the data.

    One that stands there as null was taken out by somebody, and is not lacking.
    """
    for section in sections:
        for name in ships[section]:
            if value_at(data, (section, name)) is ABSENT:
                yield section, name


def with_newer(
    text: str, ships: Mapping[str, Any], sections: Sequence[str]
) -> tuple[str, tuple[Address, ...]]:
    """A YAML text with what it lacks of these sections, and the entries that came. All else stays as it is.

    UnchangeableError for a text with mistakes, which nobody changes blindly.
    """
    added = tuple(lacking(data_of(text), ships, sections))
    for address in added:
        text = put(text, address, value_at(ships, address))
    return text, added
