"""What spaces of a model are besides rooms: whole homes, gross areas, gardens; and which are on one floor."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

import ifcopenshell
import ifcopenshell.util.element as elements

from builder.importers.models.drawn import Space, Storey

_ONE_FLOOR = 0.25
"""Metres that floors of rooms differ by and are one floor: screed, thresholds."""
_NEXT_FLOOR = 1.5
"""Metres from one floor to the next at least, where no storeys tell them apart."""


def is_no_room(entity: Any) -> bool:
    """Whether a space is drawn over others: a gross area, or a home of which the rooms are drawn too."""
    return _kind(entity) == "GFA" or _is_whole(entity)


def _is_whole(entity: Any) -> bool:
    return any(each.is_a("IfcSpace") for each in elements.get_parts(entity))


def _kind(entity: Any) -> str:
    return str(getattr(entity, "PredefinedType", None) or getattr(entity, "InteriorOrExteriorSpace", None) or "")  # fmt: skip


def is_outside(entity: Any) -> bool:
    """Whether a space is said to be outside of the building."""
    return _kind(entity) == "EXTERNAL"


def zones_of(entity: Any) -> Iterator[str]:
    """The names of the zones that a space is in, and of the space that it is a part of."""
    for relation in getattr(entity, "HasAssignments", ()) or ():
        if relation.is_a("IfcRelAssignsToGroup"):
            group = relation.RelatingGroup
            if group is not None and group.is_a("IfcZone"):
                yield str(getattr(group, "LongName", None) or group.Name or "")
    whole = elements.get_aggregate(entity)
    if whole is not None and whole.is_a("IfcSpace"):
        yield str(whole.LongName or whole.Name or whole.GlobalId)


def said_of_spaces(model: ifcopenshell.file) -> Iterator[str]:
    """What a person should know of a model's spaces and of its GlobalIds, in sentences."""
    for entity in model.by_type("IfcSpace"):
        if _kind(entity) == "GFA" and not _is_whole(entity):
            yield f"IfcSpace '{entity.LongName or entity.Name}' ({entity.GlobalId}) is a gross area, and no room."
    seen = Counter(each.GlobalId for each in model.by_type("IfcProduct"))
    twice = [identifier for identifier, count in seen.items() if count > 1]
    if twice:
        yield (
            f"{len(twice)} GlobalIds stand for several things each ({', '.join(twice[:3])}{', …' if len(twice) > 3 else ''}):"
            " an update cannot tell these things apart."
        )


def levelled(
    spaces: Sequence[Space], storeys: Sequence[Storey]
) -> tuple[tuple[Space, ...], tuple[Storey, ...]]:
    """Spaces with one storey for all whose floors are level, and storeys where a model has none."""
    if not storeys:
        storeys = tuple(_storeys_by_height(spaces))
        heights = [each.height for each in storeys]
        spaces = [replace(each, storey=sum(each.low >= height - _ONE_FLOOR for height in heights) - 1) for each in spaces]  # fmt: skip
    lows = {storey: min(each.low for each in spaces if each.storey == storey)
            for storey in sorted({each.storey for each in spaces})}  # fmt: skip
    same: dict[int, int] = {}
    for storey, low in sorted(lows.items(), key=lambda each: (each[1], each[0])):
        near = [each for each in same.values() if abs(lows[each] - low) <= _ONE_FLOOR]
        same[storey] = near[0] if near else storey
    return tuple(replace(each, storey=same[each.storey]) for each in spaces), tuple(storeys)


def _storeys_by_height(spaces: Sequence[Space]) -> Iterator[Storey]:
    height: float | None = None
    for space in sorted(spaces, key=lambda each: each.low):
        if height is None or space.low > height + _NEXT_FLOOR:
            height = space.low
            yield Storey("", height, space.origin, height)
