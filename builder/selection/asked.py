"""What a condition names and is not there: a kind, a form, a fuel, another condition, a path of the home."""

from collections.abc import Iterator
from typing import NamedTuple, get_args

from builder.model.building import Form
from builder.model.condition import Condition
from builder.model.home import Home
from builder.model.shape import allowed_values, child_type, known_keys
from builder.selection.conditions import WORKED_OUT
from builder.sources.entry import Address


class NamesThere(NamedTuple):
    """What conditions may name."""

    kinds: set[str]
    fuels: set[str]
    conditions: set[str]

    @property
    def in_conditions(self) -> dict[str, tuple[str, set[str]]]:
        """For each field of a condition that names something: what that is, and all there are."""
        return {
            "kind": ("kind", self.kinds),
            "form": ("form", set(get_args(Form))),
            "fuel": ("fuel", self.fuels),
            "is_": ("condition", self.conditions),
        }


class NamedInVain(NamedTuple):
    """A name that leads nowhere: where it stands, what it is meant to be, and all of these there are."""

    address: Address
    name: str
    what: str
    known: set[str]


def missing_in(condition: Condition, address: Address, names: NamesThere) -> Iterator[NamedInVain]:
    """Every name in a condition that leads nowhere."""
    for field, (what, known) in names.in_conditions.items():
        for index, name in enumerate(getattr(condition, field) or ()):
            if name not in known:
                yield NamedInVain((*address, field.strip("_"), index), name, what, known)
    for index, path in enumerate(condition.has or ()):
        yield from _path(path, (*address, "has", index))
    for path in condition.worded or ():
        yield from _path(path, (*address, "worded", path))
    for path, wanted in (condition.equals or {}).items():
        yield from _equals(path, wanted, (*address, "equals", path))
    for name in ("any", "all"):
        for index, inner in enumerate(getattr(condition, name) or ()):
            yield from missing_in(inner, (*address, name, index), names)
    if condition.not_ is not None:
        yield from missing_in(condition.not_, (*address, "not"), names)


def _path(path: str, address: Address) -> Iterator[NamedInVain]:
    """Where a dotted path leaves the model; what is worked out of a home is no part of it."""
    here: object = Home
    if path.partition(".")[0] in WORKED_OUT:
        return
    for step in path.split("."):
        below = child_type(here, step)
        if below is None:
            yield NamedInVain(address, step, "field", set(known_keys(here)))
            return
        here = below


def _equals(path: str, wanted: tuple[str, ...], address: Address) -> Iterator[NamedInVain]:
    found = list(_path(path, address))
    yield from found
    if found or path.partition(".")[0] in WORKED_OUT:
        return
    here: object = Home
    for step in path.split("."):
        here = child_type(here, step)
    choices = allowed_values(here)
    for index, value in enumerate(wanted):
        if choices and value not in choices:
            yield NamedInVain((*address, index), value, "choice", set(choices))
