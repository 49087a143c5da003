"""All mistakes that are seeded into generated homes, one rule at a time."""

import random
import zlib
from collections.abc import Collection, Iterator
from dataclasses import dataclass

from tests.generated_homes import Generated, form_of, generated
from tests.mistake_table import Tally
from tests.seeded_air import AIR
from tests.seeded_climate import CLIMATE
from tests.seeded_dates import DATES
from tests.seeded_draft import Draft, Made, Mistake, NotInThisHomeError
from tests.seeded_fire import FIRE
from tests.seeded_openings import OPENINGS
from tests.seeded_plan import PLAN
from tests.seeded_records import RECORDS
from tests.seeded_supplies import SUPPLIES
from tests.seeded_together import TOGETHER

MISTAKES: tuple[Mistake, ...] = (
    *PLAN, *OPENINGS, *RECORDS, *DATES, *FIRE, *SUPPLIES, *CLIMATE, *AIR, *TOGETHER,
)  # fmt: skip
SEEDED_RULES = tuple(dict.fromkeys(each.rule for each in MISTAKES))
EACH, FURTHER, SOUND = 3, 2, 100
"""So many mistakes of each rule at least, so many more in a home at most, and so many sound homes."""
HOMES = max(500, EACH * len(SEEDED_RULES) + SOUND)
_TRIES, _OTHERS = 1000, 12
FAR = 15.0
"""Metres on foot from a stopcock of which the rule says a word."""


@dataclass(frozen=True)
class Seeded:
    """A home with its mistakes: none for a sound one."""

    home: Generated
    made: tuple[tuple[Mistake, Made], ...] = ()

    @property
    def names(self) -> str:
        return ", ".join(f"{mistake.rule} ({mistake.name})" for mistake, _ in self.made) or "sound"


def seeded(number: int) -> Seeded:
    """The home of a number: with a mistake of each rule in its turn and others that leave it alone.

    After so many for each rule, homes are sound.

    Raises:
        AssertionError: the mistake fits no home of many.
    """
    if number >= EACH * len(SEEDED_RULES):
        return Seeded(generated(number))
    wanted = _wanted(number)
    for seed in range(number, number + _TRIES * HOMES, HOMES):
        drafted = _with(generated(seed), wanted) if form_of(seed) in wanted.forms else None
        if drafted is not None:
            return _with_more(*drafted)
    raise AssertionError(f"no home for the mistake '{wanted.name}' of {wanted.rule}")


def _wanted(number: int) -> Mistake:
    """The rules in turn; of one with several mistakes these in turn."""
    turn, index = divmod(number, len(SEEDED_RULES))
    mistakes = [each for each in MISTAKES if each.rule == SEEDED_RULES[index]]
    return mistakes[turn % len(mistakes)]


def _with(home: Generated, wanted: Mistake) -> tuple[Generated, Mistake, Made] | None:
    """The home with a mistake, or none where it cannot be made there."""
    draft = Draft(home, random.Random(zlib.crc32(f"{home.seed} {wanted.name}".encode())))
    try:
        made = wanted.make(draft)
    except NotInThisHomeError:
        return None
    return draft.generated, wanted, made


def _with_more(home: Generated, first: Mistake, made: Made) -> Seeded:
    """The home with further mistakes that do not disturb those that it has."""
    rng = random.Random(home.seed)
    found = [(first, made)]
    for other in rng.sample(MISTAKES, _OTHERS):
        if len(found) > FURTHER or not all(other.may_join(each) for each, _ in found):
            continue
        drafted = _with(home, other)
        if drafted is not None:
            home = drafted[0]
            found.append((other, drafted[2]))
    return Seeded(home, tuple(found))


def _of_size(home: Generated) -> Iterator[str]:
    """What may be said of a home that is only large: a walk along its sides is over 15 m."""
    outlines = [room["outline"] for room in home.data["rooms"].values() if "outline" in room]
    spots = [spot for outline in outlines for spot in outline]
    across, along = ([spot[axis] for spot in spots] or [0.0] for axis in (0, 1))
    if max(across) - min(across) + max(along) - min(along) > FAR:
        yield "water.stopcock-far"


def compared(each: Seeded, findings: Collection[tuple[str, str]]) -> Tally:
    """What became of the mistakes of a home; ``findings`` are rules with their paths."""
    tally = Tally()
    expected = {(mistake.rule, path) for mistake, made in each.made for path in made.paths}
    also = {rule for _, made in each.made for rule in made.also} | set(_of_size(each.home))
    for mistake, made in each.made:
        tally.seeded[mistake.rule] += 1
        found = any((mistake.rule, path) in findings for path in made.paths)
        tally.missed[mistake.rule] += not found
    for rule, path in findings:
        tally.false[rule] += (rule, path) not in expected and rule not in also
    return Tally() + tally
