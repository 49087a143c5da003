"""All mistakes that are seeded into generated homes, one rule at a time."""

import math
import random
import zlib
from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from tests.generated_homes import Generated, form_of, generated
from tests.mistake_table import Tally
from tests.seeded_air import AIR
from tests.seeded_building import BUILDING
from tests.seeded_climate import CLIMATE
from tests.seeded_dates import DATES
from tests.seeded_draft import Draft, Made, Mistake, NotInThisHomeError
from tests.seeded_fire import FIRE
from tests.seeded_openings import OPENINGS
from tests.seeded_plan import PLAN
from tests.seeded_records import RECORDS
from tests.seeded_said import SAID
from tests.seeded_supplies import SUPPLIES
from tests.seeded_together import TOGETHER

MISTAKES: tuple[Mistake, ...] = (
    *PLAN, *OPENINGS, *RECORDS, *DATES, *FIRE, *SUPPLIES,
    *SAID, *BUILDING, *CLIMATE, *AIR, *TOGETHER,
)  # fmt: skip
EACH, FURTHER, SOUND = 2, 2, 60
"""So many homes for each rule at least, so many more mistakes in a home at most, and sound homes."""
_TRIES, _JOINING = 1000, 0.04
FAR = 15.0
"""Metres on foot from a stopcock of which the rule says a word."""


@dataclass(frozen=True)
class Wanted:
    """What one home of the tests is for: one mistake, or none in a sound one, and the how manieth.

    It is drawn from a seed of its own, so that a mistake more or less changes no other home.
    """

    mistake: Mistake | None
    turn: int

    @property
    def key(self) -> str:
        about = f"{self.mistake.rule} {self.mistake.name}" if self.mistake else "sound"
        return f"{about} {self.turn}"

    def seeds(self) -> Iterator[int]:
        """The seeds that are tried in turn, until one gives a home that the mistake fits."""
        return (_number(f"{self.key} {attempt}") for attempt in range(_TRIES))


def all_wanted(mistakes: Sequence[Mistake] = MISTAKES) -> tuple[Wanted, ...]:
    """The homes of the tests: each rule has its share of them, whatever other rules there are."""
    of_rule = Counter(each.rule for each in mistakes)
    made = [
        Wanted(each, turn)
        for each in mistakes
        for turn in range(math.ceil(EACH / of_rule[each.rule]))
    ]
    return (*made, *(Wanted(None, turn) for turn in range(SOUND)))


def further(wanted: Wanted, mistakes: Sequence[Mistake] = MISTAKES) -> list[Mistake]:
    """The mistakes that may come beside the one that is wanted: each is in it or not by itself."""
    drawn = {_number(f"{wanted.key} and {each.rule} {each.name}"): each for each in mistakes}
    return [drawn[number] for number in sorted(drawn) if number < _JOINING * 2**32]


def _number(text: str) -> int:
    """A number below 2**32 that a text gives, the same on any machine."""
    return zlib.crc32(text.encode())


@dataclass(frozen=True)
class Seeded:
    """A home with its mistakes: none for a sound one."""

    home: Generated
    made: tuple[tuple[Mistake, Made], ...] = ()

    @property
    def names(self) -> str:
        return ", ".join(f"{mistake.rule} ({mistake.name})" for mistake, _ in self.made) or "sound"


def seeded(wanted: Wanted, mistakes: Sequence[Mistake] = MISTAKES) -> Seeded:
    """The home for a mistake, with others beside it that leave it alone.

    Raises:
        AssertionError: the mistake fits no home of many.
    """
    if wanted.mistake is None:
        return Seeded(generated(next(wanted.seeds())))
    for seed in wanted.seeds():
        fits = form_of(seed) in wanted.mistake.forms
        drafted = _with(generated(seed), wanted.mistake) if fits else None
        if drafted is not None:
            return _with_more(*drafted, further(wanted, mistakes))
    raise AssertionError(
        f"no home for the mistake '{wanted.mistake.name}' of {wanted.mistake.rule}"
    )


def _with(home: Generated, wanted: Mistake) -> tuple[Generated, Mistake, Made] | None:
    """The home with a mistake, or none where it cannot be made there."""
    draft = Draft(home, random.Random(_number(f"{home.seed} {wanted.name}")))
    try:
        made = wanted.make(draft)
    except NotInThisHomeError:
        return None
    return draft.generated, wanted, made


def _with_more(home: Generated, first: Mistake, made: Made, others: Sequence[Mistake]) -> Seeded:
    """The home with further mistakes that do not disturb those that it has."""
    found = [(first, made)]
    for other in others:
        fits = home.form in other.forms and all(other.may_join(each) for each, _ in found)
        if len(found) > FURTHER or not fits:
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
