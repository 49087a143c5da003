"""What plots share, numbers of their own equipment apart: preparing takes 1.18 times as long without it.

A serial number or a day of registration shapes no page and no plan. Without them the equipment of many
plots is the very same, so that what is worked out from it is worked out once. (40 plots of the generated
portfolio, up to the parts of their pages, 28 November 2026.)
"""

from collections.abc import Mapping

from frozendict import frozendict

from builder.layers.memo import Memo
from builder.model.equipment import Equipment
from builder.model.home import Home

OWN = ("serial", "registered")
"""The fields of equipment that are one plot's own: read them of the whole home."""


def without_own(home: Home, kept: Memo) -> Home:
    """A home without what is one plot's own. Homes that differ in nothing else share its sections."""
    found = tuple(kept.once(_without_own, piece, kept) for piece in home.equipment.values())
    names = kept.same(tuple(home.equipment))
    alike = kept.made_from((frozendict, names, *found), lambda: frozendict(zip(names, found, strict=True)))  # fmt: skip
    return home.model_copy(update={"equipment": alike})


def with_own(home: Home, whole: Home) -> Home:
    """A home with what is one plot's own, as the ``whole`` one has it, before it was placed."""
    told = {
        name: {field: getattr(piece, field) for field in OWN}
        for name, piece in whole.equipment.items()
        if any(getattr(piece, field) is not None for field in OWN)
    }
    equipment: Mapping[str, Equipment] = frozendict(
        {
            name: piece.model_copy(update=told[name]) if name in told else piece
            for name, piece in home.equipment.items()
        }
    )
    return home.model_copy(update={"equipment": equipment})


def _without_own(piece: Equipment, kept: Memo) -> Equipment:
    if all(getattr(piece, field) is None for field in OWN):
        return piece
    return kept.alike(piece.model_copy(update=dict.fromkeys(OWN)))
