"""A gate that a motor opens stands among the gates and among the equipment, and is one thing."""

from collections.abc import Mapping, Sequence

from builder.guide.pieces import Piece
from builder.model.outside import Gate

_KIND = "powered-gate"


def motors(gates: Mapping[str, Gate], pieces: Sequence[Piece]) -> dict[str, str]:
    """By the ids of gates, the ids of the pieces that are the same gate: those in the same place, and the
    only one of each that is left. A gate that no motor opens is none of them."""
    open_ = {name: gate for name, gate in gates.items() if gate.powered is not False}
    left = [piece for piece in pieces if _KIND in piece.does]
    found: dict[str, str] = {}
    for name, gate in open_.items():
        same = [each for each in left if each.place.casefold() == gate.place.casefold()]
        if same:
            found[name] = same[0].id
            left.remove(same[0])
    rest = [name for name in open_ if name not in found]
    if len(rest) == len(left) == 1:
        found[rest[0]] = left[0].id
    return found
