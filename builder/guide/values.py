"""The values of a page, of which some are worked out only when somebody looks at them.

A check composes the guide of every home and draws none of its plans.
"""

from collections.abc import Callable, Iterator, Mapping
from functools import partial
from typing import Any


class Values(Mapping[str, Any]):
    """Values by name; each of ``later`` is made once, when it is first asked for."""

    __slots__ = ("_known", "_later")

    def __init__(self, known: Mapping[str, Any], **later: Callable[[], Any]) -> None:
        self._known = {**known, **later}
        self._later = set(later)

    def __getitem__(self, name: str) -> Any:
        if name in self._later:
            self._known[name] = self._known[name]()
            self._later.discard(name)
        return self._known[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._known)

    def __len__(self) -> int:
        return len(self._known)

    def __repr__(self) -> str:
        return repr(dict(self))

    def beside(self, **more: Any) -> "Values":
        """The same and some more: what nobody has looked at is worked out once for both."""
        return Values(more, **{name: partial(self.__getitem__, name) for name in self})

    def __reduce__(self) -> tuple[Any, ...]:
        """Another process gets the values, not the way to them."""
        return dict, (dict(self),)
