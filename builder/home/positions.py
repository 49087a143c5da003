"""Puts equipment that options add where the house type has a place for it."""

from collections.abc import Mapping

from frozendict import frozendict

from builder.layers.memo import Memo
from builder.model.equipment import Equipment, Position
from builder.model.home import Home


def positioned(home: Home, kept: Memo) -> Home:
    """The home, with each unplaced piece at the position that its house type keeps for it."""
    placed = kept.once(_placed, home.equipment, home.positions)
    return home.model_copy(update={"equipment": placed})


def _placed(
    equipment: Mapping[str, Equipment], positions: Mapping[str, Position]
) -> Mapping[str, Equipment]:
    return frozendict(
        {
            name: _at(piece, positions[name]) if name in positions else piece
            for name, piece in equipment.items()
        }
    )


def _at(piece: Equipment, position: Position) -> Equipment:
    if piece.at is not None:
        return piece
    height = position.height if piece.height is None else piece.height
    return piece.model_copy(update={"at": position.at, "height": height})
