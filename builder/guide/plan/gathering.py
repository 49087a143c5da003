"""Marks for a plan on a telephone: as large as a finger needs, gathered where they crowd.

A plan is shown as wide as its page. On the narrowest telephone a mark must still be 24 pixels
wide (WCAG 2.2, success criterion 2.5.8), so that a wide home has room for few of them: those that
would touch are shown as one, which says how many it stands for.
"""

import math
from collections.abc import Iterable, Sequence

from builder.guide.plan.drawing import Gathered, PlacedPiece, Spot

TARGET, NARROWEST = 24, 288
"""Pixels: the least size of what is touched, and the width of a plan on a telephone of 320."""


def target_of(width: float) -> int:
    """Units that a mark takes on a drawing so many units wide."""
    return math.ceil(TARGET * width / NARROWEST)


def gathered(placed: Sequence[PlacedPiece], size: int) -> tuple[Gathered, ...]:
    """The marks, none nearer to another than ``size`` units; the nearest two are joined first."""
    groups = [Gathered(*each.spot, (each,)) for each in placed]
    while (pair := _nearest(groups)) and pair[0] < size:
        _, first, second = pair
        joined = _joined(groups[first], groups[second])
        groups = [each for index, each in enumerate(groups) if index not in (first, second)]
        groups.append(joined)
    order = {each.piece: index for index, each in enumerate(placed)}
    return tuple(sorted(groups, key=lambda group: order[group.members[0].piece]))


def _nearest(groups: Sequence[Gathered]) -> tuple[float, int, int] | None:
    pairs = (
        (math.dist((one.x, one.y), (other.x, other.y)), first, second)
        for first, one in enumerate(groups)
        for second, other in enumerate(groups[first + 1 :], first + 1)
    )
    return min(pairs, default=None)


def _joined(one: Gathered, other: Gathered) -> Gathered:
    """Both together, in the middle of all their spots."""
    members = tuple(sorted((*one.members, *other.members), key=lambda each: each.mark.text))
    return Gathered(*_middle(each.spot for each in members), members)


def _middle(spots: Iterable[Spot]) -> Spot:
    across, down = zip(*spots, strict=True)
    return round(sum(across) / len(across)), round(sum(down) / len(down))
