"""Puts equipment that options add where the house type has a place for it."""

from frozendict import frozendict

from builder.model.equipment import Equipment, Position
from builder.model.home import Home


def positioned(home: Home) -> Home:
    """The home, with each unplaced piece at the position that its house type keeps for it."""
    placed = {
        name: _at(piece, home.positions[name]) if name in home.positions else piece
        for name, piece in home.equipment.items()
    }
    return home.model_copy(update={"equipment": frozendict(placed)})


def _at(piece: Equipment, position: Position) -> Equipment:
    if piece.at is not None:
        return piece
    height = position.height if piece.height is None else piece.height
    return piece.model_copy(update={"at": position.at, "height": height})
