"""The values of a page, of which some are worked out only when somebody looks at them.

A check composes the guide of every home and draws none of its plans.
"""

from collections.abc import Callable, Iterator, Mapping
from functools import partial
from typing import Any


class Values(Mapping[str, Any]):
    """Values by name; each of ``later`` is made once, when it is first asked for.

    ``made_from``: all that those are made from, besides the values that are known. The same gives the
    same, so that a page that has not changed is known by it, with nothing drawn.
    """

    __slots__ = ("_known", "_later", "_made", "_made_from")

    def __init__(
        self,
        known: Mapping[str, Any],
        made_from: tuple[object, ...] | None = None,
        **later: Callable[[], Any],
    ) -> None:
        self._known, self._later, self._made_from = known, later, made_from
        self._made: dict[str, Any] = {}

    def __getitem__(self, name: str) -> Any:
        if name not in self._later:
            return self._known[name]
        if name not in self._made:
            self._made[name] = self._later[name]()
        return self._made[name]

    def __iter__(self) -> Iterator[str]:
        yield from self._known
        yield from self._later

    def __len__(self) -> int:
        return len(self._known) + len(self._later)

    def __eq__(self, other: object) -> bool:
        """Values that are made from the same are the same, and those of which one differs are others,
        with no more worked out than it takes to tell."""
        if not isinstance(other, Values) or self._later.keys() != other._later.keys():
            return super().__eq__(other)
        if self._known != other._known:
            return False
        same = self._made_from is not None and self._made_from == other._made_from
        return same or all(self[name] == other[name] for name in self._later)

    __hash__ = None  # type: ignore[assignment]  # as of all mappings that are compared by what they hold

    def __repr__(self) -> str:
        return repr(dict(self))

    def beside(self, **more: Any) -> "Values":
        """The same and some more: what nobody has looked at is worked out once for both."""
        later = {name: partial(self.__getitem__, name) for name in self._later}
        return Values({**self._known, **more}, self._made_from, **later)

    def __reduce__(self) -> tuple[Any, ...]:
        """Another process gets the values, not the way to them."""
        return dict, (dict(self),)


def origin_of(values: Mapping[str, Any]) -> Mapping[str, Any]:
    """What values come from: those that are known, and what all others are made from, if that is said."""
    if not isinstance(values, Values) or values._made_from is None:  # noqa: SLF001
        return values
    return {**values._known, "": values._made_from}  # noqa: SLF001
