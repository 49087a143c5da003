"""What the trade rules find in a home that has other mistakes, and which references name nothing, so that one
mistake hides no other.

Only what is found however those mistakes are mended is said, so that nothing is said twice.
"""

import json
from collections.abc import Iterator
from datetime import date

from builder.errors import Finding
from builder.home.mending import Guesses, guesses
from builder.layers.merge import Merged
from builder.layers.stack import Stack
from builder.rules.checking import check_home
from builder.sources.entry import Address, plain

_OF_NO_PAGE = ("number", "address", "postcode")
"""What differs from plot to plot and no rule looks at."""
_RECORD = 2
"""Steps to a record with an id: ``equipment.stopcock``."""


class Despite:
    """Asks the rules about homes with mistakes; once for all plots that say the same."""

    def __init__(self, day: date) -> None:
        self._day = day
        self._found: dict[object, tuple[Finding, ...]] = {}

    def found(self, stack: Stack, merged: Merged, lost: frozenset[Address]) -> Iterator[Finding]:
        """What the rules find in the home of a plot, whatever it was meant to be."""
        key = _all_that_is_said(stack), lost
        if key not in self._found:
            guessed = guesses(stack.plot.reference, merged, lost)
            self._found[key] = tuple(self._found_in_both(guessed)) if guessed else ()
        for finding in self._found[key]:
            yield finding.for_plots(stack.plot.reference)

    def _found_in_both(self, guessed: Guesses) -> Iterator[Finding]:
        yield from guessed.broken
        without = {_identity_of(each) for each in check_home(guessed.without, self._day).findings}
        for finding in check_home(guessed.least, self._day).findings:
            specific = finding.path.count(".") >= _RECORD - 1
            if _identity_of(finding) in without and (specific or guessed.certain):
                yield finding


def _identity_of(finding: Finding) -> tuple[str, str, str]:
    return finding.code, finding.path, finding.wrong


def _all_that_is_said(stack: Stack) -> str:
    """All that the layers of a plot say that shapes its home."""
    own = [plain(layer.entry) for layer in stack.own]
    for said in own:
        for name in _OF_NO_PAGE:
            said.get("plot", {}).pop(name, None)
    return json.dumps([[layer.name for layer in stack.shared], own], default=str)
