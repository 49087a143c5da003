"""Which plots a change of files concerns, so that only those are looked at again."""

from collections.abc import Collection, Iterator

from builder.board.looking import Looking
from builder.board.stamps import RECORDS
from builder.layers.stack import files_of
from builder.register.codes import REGISTER, SEAL

_PARTS = 3
"""Steps of the shortest path of a file that is one development's alone."""


def plots_reached(names: Collection[str], before: Looking, now: Looking) -> frozenset[str]:
    """The plots of today's workspace that have to be looked at again after these files changed."""
    every = frozenset(now.workspace.plots)
    found = {each for each in every if each not in before.workspace.plots}
    for name in names:
        reached = _plots_of_file(name, before, now)
        if reached is None:
            return every
        found |= reached
    return frozenset(found & every)


def _plots_of_file(name: str, before: Looking, now: Looking) -> set[str] | None:
    """The plots that one file concerns; nothing where it may concern all of them."""
    top, *inside = name.split("/")
    if top == RECORDS:
        return set(_plots_with_code(inside[0].removesuffix(".json"), now))
    if top == "housetypes" and name.endswith(".yaml"):
        return {each for each, plot in now.workspace.plots.items() if name in files_of(now.workspace, plot)}  # fmt: skip
    if top != "developments" or len(inside) + 1 < _PARTS:
        return None
    return _plots_of_development(inside[0], inside[1:], before, now)


def _plots_of_development(
    development: str, within: list[str], before: Looking, now: Looking
) -> set[str] | None:
    """The plots that a file in the folder of a development concerns."""
    if within[0] in ("plots", "records") and len(within) > 1:
        return {f"{development}/{within[1].removesuffix('.yaml')}"}
    if within[0] == "plots.csv":
        return set(_other_rows(development, before, now))
    if within[0] in (REGISTER, SEAL):
        return set(_other_codes(development, before, now))
    if within[0] == "development.yaml" and development in now.workspace.developments:
        return {each.reference for each in now.workspace.developments[development].plots.values()}
    return None


def _plots_with_code(code: str, now: Looking) -> Iterator[str]:
    for plot in now.workspace.plots.values():
        if now.register(plot.development).guide(plot.numbers) == code:
            yield plot.reference


def _other_rows(development: str, before: Looking, now: Looking) -> Iterator[str]:
    own = now.workspace.developments.get(development)
    for plot in own.plots.values() if own else ():
        earlier = before.workspace.plots.get(plot.reference)
        if earlier is None or (earlier.row, earlier.lost) != (plot.row, plot.lost):
            yield plot.reference


def _other_codes(development: str, before: Looking, now: Looking) -> Iterator[str]:
    for plot in now.workspace.plots.values():
        if development not in {each.partition("/")[0] for each in plot.references}:
            continue
        old, new = before.codes.get(plot.development), now.register(plot.development)
        numbers = plot.numbers
        if old is None or (old.guide(numbers), old.stickers(numbers), old.void) != (
            new.guide(numbers), new.stickers(numbers), new.void,
        ):  # fmt: skip
            yield plot.reference
