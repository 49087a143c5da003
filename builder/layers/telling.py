"""What each layer of a home says in one place: the answer to "why is it so?"."""

from collections.abc import Iterator

from builder.layers.merge import REMOVED, Layer, Merged, Saying, leaves
from builder.layers.stack import Stack
from builder.sources.entry import Address, Entry, plain


def told(stack: Stack, address: Address) -> tuple[Saying, ...]:
    """Each layer's say at an address, lowest first; the last one holds."""
    return tuple(
        saying for layer in stack.layers if (saying := _saying_of_layer(layer, address)) is not None
    )


def _saying_of_layer(layer: Layer, address: Address) -> Saying | None:
    entry = layer.entry
    for step in address:
        if entry.value is None:
            break
        inner = entry.child(step)
        if inner is None:
            return None
        entry = inner
    return Saying(layer.name, entry.place, _value(entry), entry.named_at)


def _value(entry: Entry) -> object:
    return REMOVED if entry.value is None else plain(entry)


def leaves_below(merged: Merged, address: Address) -> Iterator[Address]:
    """The addresses of all leaves at or below an address; none where nothing stands there."""
    here = merged
    for step in address:
        inner = here.child(step)
        if inner is None:
            return
        here = inner
    yield from ((*address, *path) for path, _ in leaves(here))
