"""What became of a try, and the table of all of them."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum


class Outcome(StrEnum):
    """How a try ended. The first two are as they should be, and none of the others may happen."""

    REFUSED = "refused"
    HARMLESS = "harmless"
    TRACEBACK = "traceback"
    EXECUTED = "executed"
    TORN = "torn"
    LOST = "lost"


BAD = (Outcome.TRACEBACK, Outcome.EXECUTED, Outcome.TORN, Outcome.LOST)


@dataclass(frozen=True, slots=True)
class Told:
    """One try that was made: its group, what it tried, how it ended, and what was seen."""

    group: str
    name: str
    outcome: Outcome
    seen: str = ""

    @property
    def bad(self) -> bool:
        return self.outcome in BAD


def table(told: Iterable[Told]) -> list[str]:
    """The lines of the table of groups against outcomes."""
    counts: dict[str, Counter[str]] = {}
    for each in told:
        counts.setdefault(each.group, Counter())[each.outcome.value] += 1
    rows = [_row(group, found) for group, found in counts.items()]
    rows.append(_row("in all", sum(counts.values(), Counter())))
    heads = ("group", "tried", *(each.value for each in Outcome))
    wide = max(len(row[0]) for row in rows)
    return [
        f"{row[0]:<{wide}}" + "".join(f"{value:>11}" for value in row[1:]) for row in (heads, *rows)
    ]


def _row(group: str, found: Mapping[str, int]) -> tuple[str, ...]:
    return (group, str(sum(found.values())), *(str(found.get(each.value, 0)) for each in Outcome))
