"""Pairs: each thing with one of those that could serve it, none serving two."""

from collections.abc import Mapping, Sequence


def unmatched(wanted: Mapping[str, Sequence[str]]) -> tuple[str, ...]:
    """Those that stay without a partner when as many as can be have one (Kuhn, 1955).

    ``wanted`` names for each thing the partners that could serve it, the likeliest first.
    """
    partner_of: dict[str, str] = {}

    def served(thing: str, tried: set[str]) -> bool:
        for each in wanted[thing]:
            if each not in tried:
                tried.add(each)
                if each not in partner_of or served(partner_of[each], tried):
                    partner_of[each] = thing
                    return True
        return False

    return tuple(thing for thing in wanted if not served(thing, set()))
