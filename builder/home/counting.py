"""What a kind takes over from the kinds that it counts as."""

from collections.abc import Iterator

from builder.layers.memo import Memo
from builder.model.equipment import FactDefinition, Kind
from builder.model.home import Home
from builder.model.record import ById


def with_work_of_others(home: Home, kept: Memo) -> Home:
    """The home in which a kind that counts as a stopcock turns off the water, whether it says so or not,
    and may state what a stopcock states."""
    kinds = kept.once(_kinds, home.kinds)
    return home if kinds is home.kinds else home.model_copy(update={"kinds": kinds})


def _kinds(kinds: ById[Kind]) -> ById[Kind]:
    taken = {name: _with_work(kind, kinds) for name, kind in kinds.items() if kind.counts_as}
    return type(kinds)({**kinds, **taken}) if taken else kinds  # type: ignore[call-arg]


def _with_work(kind: Kind, kinds: ById[Kind]) -> Kind:
    others = [kinds[each] for each in kind.counts_as if each in kinds]
    supply = next(filter(None, (other.turns_off for other in others)), None)
    facts = dict(_facts_of(others)) | dict(kind.facts)
    return kind.model_copy(
        update={"turns_off": kind.turns_off or supply, "facts": type(kind.facts)(facts)}  # type: ignore[call-arg]
    )


def _facts_of(others: list[Kind]) -> Iterator[tuple[str, FactDefinition]]:
    """What these kinds state; a kind that counts as them may state it, and has to only where it says so itself."""
    for other in others:
        for name, definition in other.facts.items():
            yield name, definition.model_copy(update={"required": False})
