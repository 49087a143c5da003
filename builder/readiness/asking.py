"""What is asked of how ready plots are: up to which stage, and what whom owes; and the answer in a word."""

from collections import Counter
from dataclasses import dataclass
from typing import get_args

from builder.model.handover import OwedBy
from builder.readiness.assess import MissingNeed, Readiness
from builder.readiness.need import Stage


@dataclass(frozen=True, slots=True)
class NeedQuestion:
    """What was asked: up to which stage, and what whom owes (none named: what all owe)."""

    last: Stage = Stage.CLOSED
    owed_by: tuple[str, ...] = ()

    def lacks(self, plot: Readiness, stage: Stage) -> tuple[MissingNeed, ...]:
        """What one stage of a plot lacks, of those that were asked for."""
        wanted = self.owed_by or get_args(OwedBy)
        return tuple(each for each in plot.lacks(stage) if each.owed_by in wanted)

    def items(self, plot: Readiness) -> tuple[MissingNeed, ...]:
        """All that was asked for and that a plot lacks, stage by stage."""
        return tuple(each for stage in self.last.before for each in self.lacks(plot, stage))

    def answered(self, plot: Readiness) -> bool:
        """Whether nothing that was asked for is missing."""
        return not self.items(plot) if self.owed_by else plot.ready(self.last)


def in_a_word(plot: Readiness, stage: Stage, asked: NeedQuestion) -> str:
    """Ready, or how many are missing and who owes them; waits, where only an earlier stage lacks."""
    if plot.ready(stage):
        return "ready"
    owed = Counter(each.owed_by for each in asked.lacks(plot, stage))
    if not owed:
        return "nothing owed" if asked.owed_by else "waits"
    by = ", ".join(f"{spoken_owner(each)} {owed[each]}" for each in get_args(OwedBy) if owed[each])
    return f"{owed.total()} missing: {by}"


def spoken_owner(owed_by: str) -> str:
    """Who owes something, as people say it."""
    return owed_by.replace("-", " ")
