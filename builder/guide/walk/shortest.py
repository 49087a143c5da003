"""The shortest order in which to visit some places, each once, between a start and an end.

Up to a dozen places the best of all orders is found (Held and Karp, 1962). Beyond that two ways are
begun, one that grows by the place that lengthens it least, and one on to the nearest place; each is
mended until no piece of it turned round, and no place moved, makes it shorter. Lengths are whole numbers, so that the answer is the same everywhere;
of ways of one length, the one with the lower numbers first is taken.
"""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

EXACT = 12
"""Places up to which every order is weighed; a floor of a house seldom has more rooms."""

Lengths = Sequence[int]
_Ways = dict[tuple[int, int], tuple[int, tuple[int, ...]]]
"""For the places met, as bits of a number, and the last of them: the least length, and its order."""


@dataclass(frozen=True, slots=True)
class Tour:
    """An order of the places by number, and the length of the whole way."""

    order: tuple[int, ...]
    length: int


def shortest_tour(
    from_start: Lengths,
    between: Sequence[Lengths],
    to_end: Lengths,
    after: Sequence[Collection[int]],
) -> Tour:
    """The shortest way past every place; ``after`` names, for each, those that must come before."""
    if not from_start:
        return Tour((), 0)
    needs = tuple(sum(1 << each for each in before) for before in after)
    plan = _Plan(from_start, between, to_end, needs)
    return plan.best() if len(from_start) <= EXACT else plan.good()


@dataclass(frozen=True, slots=True)
class _Plan:
    """``needs``: for each place, the places before it as bits of a number."""

    from_start: Lengths
    between: Sequence[Lengths]
    to_end: Lengths
    needs: tuple[int, ...]

    def allowed(self, place: int, met: int) -> bool:
        """Whether a place may come next, where ``met`` holds a bit for each place before it."""
        return not met >> place & 1 and self.needs[place] & ~met == 0

    def keeps(self, order: Sequence[int]) -> bool:
        """Whether each place of an order, or of a part of one, comes after all that it must."""
        whole = sum(1 << each for each in order)
        met = 0
        for each in order:
            if self.needs[each] & whole & ~met:
                return False
            met |= 1 << each
        return True

    def length(self, order: Sequence[int]) -> int:
        steps = sum(self.between[one][two] for one, two in pairwise(order))
        return self.from_start[order[0]] + steps + self.to_end[order[-1]]

    def best(self) -> Tour:
        """The best of all orders: for each set of places and each last one, the best way so far."""
        places = range(len(self.from_start))
        begins = (each for each in places if self.allowed(each, 0))
        ways: _Ways = {(1 << each, each): (self.from_start[each], (each,)) for each in begins}
        for _ in places[1:]:
            longer: _Ways = {}
            for (met, last), (length, order) in ways.items():
                for each in places:
                    if self.allowed(each, met):
                        way = (length + self.between[last][each], (*order, each))
                        state = (met | 1 << each, each)
                        longer[state] = min(way, longer.get(state, way))
            ways = longer
        whole = ((length + self.to_end[order[-1]], order) for length, order in ways.values())
        length, order = min(whole)
        return Tour(order, length)

    def good(self) -> Tour:
        """A good order of many places, from two beginnings."""
        return min(map(self._better, (self._grown(), self._nearest())), key=_length_first)

    def _better(self, order: tuple[int, ...]) -> Tour:
        """An order mended step by step, always by what shortens it most."""
        length = self.length(order)
        while True:
            mended = min(
                ((self.length(each), each) for each in self._near_orders(order)), default=None
            )
            if mended is None or mended[0] >= length:
                return Tour(order, length)
            length, order = mended

    def _nearest(self) -> tuple[int, ...]:
        """Always on to the nearest place that may come next."""
        order: tuple[int, ...] = ()
        away, met = self.from_start, 0
        while len(order) < len(self.from_start):
            free = ((away[each], each) for each in range(len(away)) if self.allowed(each, met))
            _, place = min(free)
            order, away, met = (*order, place), self.between[place], met | 1 << place
        return order

    def _grown(self) -> tuple[int, ...]:
        order: tuple[int, ...] = ()
        places = set(range(len(self.from_start)))
        while places:
            grown = (
                (self.length(way), way, place)
                for place in sorted(places)
                if self.needs[place] & ~sum(1 << each for each in order) == 0
                for way in self._orders_with(order, place)
            )
            _, order, placed = min(grown)
            places.remove(placed)
        return order

    def _orders_with(self, order: tuple[int, ...], place: int) -> Iterator[tuple[int, ...]]:
        ways = ((*order[:at], place, *order[at:]) for at in range(len(order) + 1))
        yield from (way for way in ways if self.keeps(way))

    def _near_orders(self, order: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
        """Every order that comes of turning a piece round, or of moving one place."""
        for start in range(len(order)):
            for end in range(start + 2, len(order) + 1):
                turned = (*order[:start], *reversed(order[start:end]), *order[end:])
                if self.keeps(turned):
                    yield turned
            yield from self._orders_with((*order[:start], *order[start + 1 :]), order[start])


def _length_first(tour: Tour) -> tuple[int, tuple[int, ...]]:
    return tour.length, tour.order
