"""What a kind takes over from the kinds that it counts as."""

from builder.layers.memo import Memo
from builder.model.equipment import Kind
from builder.model.home import Home
from builder.model.record import ById


def with_work_of_others(home: Home, kept: Memo) -> Home:
    """The home in which a kind that counts as a stopcock turns off the water, whether it says so or not."""
    kinds = kept.once(_kinds, home.kinds)
    return home if kinds is home.kinds else home.model_copy(update={"kinds": kinds})


def _kinds(kinds: ById[Kind]) -> ById[Kind]:
    taken = {
        name: kind.model_copy(update={"turns_off": supply})
        for name, kind in kinds.items()
        if kind.turns_off is None and (supply := _supply_of_others(kind, kinds))
    }
    return type(kinds)({**kinds, **taken}) if taken else kinds  # type: ignore[call-arg]


def _supply_of_others(kind: Kind, kinds: ById[Kind]) -> str | None:
    """What the first kind that it counts as, and that turns anything off, turns off."""
    others = (kinds[each].turns_off for each in kind.counts_as if each in kinds)
    return next(filter(None, others), None)
