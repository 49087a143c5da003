"""What a template may look at: names and values only, and a clear word for what is missing."""

from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from functools import cache
from typing import Any

from jinja2 import StrictUndefined, UndefinedError
from jinja2.exceptions import SecurityError
from pydantic import BaseModel

from builder.errors import suggestion
from builder.model.shape import private_fields


class View(Mapping[str, Any]):
    """A record or a mapping as a template sees it: entries by name, no methods, read only.

    ``names`` says what it is a view of, for messages about what it does not have.
    """

    __slots__ = ("_entries", "names")

    def __init__(self, names: str, entries: Mapping[str, Any]) -> None:
        self.names = names
        self._entries = entries

    def __getitem__(self, key: str) -> Any:
        return self._entries[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self._entries)

    def __len__(self) -> int:
        return len(self._entries)

    def __repr__(self) -> str:
        return f"<{self.names}>"


class _Unfolding(View):
    """A view whose entries become views when they are looked at: most of a home never is."""

    __slots__ = ("_seen",)

    def __init__(self, names: str, entries: Mapping[str, Any]) -> None:
        super().__init__(names, entries)
        self._seen: dict[str, Any] = {}

    def __getitem__(self, key: str) -> Any:
        if key not in self._seen:
            self._seen[key] = view(f"{self.names}.{key}", self._entries[key])
        return self._seen[key]


def view(names: str, value: Any) -> Any:
    """A value as templates may see it, at any depth."""
    if isinstance(value, BaseModel):
        return _Unfolding(names, {name: getattr(value, name) for name in _public(type(value))})
    if is_dataclass(value) and not isinstance(value, type):
        return _Unfolding(names, {each.name: getattr(value, each.name) for each in fields(value)})
    if isinstance(value, Mapping):
        return _Unfolding(names, value)
    if isinstance(value, tuple | list):
        return tuple(view(f"{names}[{index}]", each) for index, each in enumerate(value))
    return value


@cache
def _public(record: type[BaseModel]) -> tuple[str, ...]:
    """The fields of a record that templates may see, in its order."""
    private = private_fields(record)
    return tuple(name for name in record.model_fields if name not in private)


class MissingValueError(UndefinedError):
    """A template printed or used what this home does not have. First line wrong, second right."""


class UnknownNameError(MissingValueError):
    """A name that stands alone has no value: the template was given none like it."""


class Missing(StrictUndefined):
    """A name that does not exist: using it in any way is a mistake."""

    def __init__(self, hint: str | None = None, obj: Any = None, name: str | None = None,
                 exc: type[Exception] = MissingValueError) -> None:  # fmt: skip
        if exc is SecurityError:
            super().__init__(hint=hint, name=name, exc=exc)
            return
        wrong = hint or f"There is no '{name}' here."
        known: tuple[str, ...] = ()
        if isinstance(obj, View):
            wrong, known = f"'{obj.names}' has no '{name}'.", tuple(obj)
        right = suggestion(str(name), known, "It has") if known else "Check the name."
        alone = obj is None and hint is None
        what = UnknownNameError if alone else MissingValueError
        super().__init__(hint=f"{wrong}\n{right}", name=name, exc=what)


class Empty(Missing):
    """A name that exists, and that this home has no value for: it may be asked about, not printed."""

    def __init__(self, holder: View, name: str) -> None:
        super().__init__(hint=f"'{holder.names}.{name}' has no value in this home.", name=name)
        wrong = f"'{holder.names}.{name}' has no value in this home."
        right = f"Add the value, or ask first: {{% if … .{name} %}}."
        self._undefined_hint = f"{wrong}\n{right}"

    def __bool__(self) -> bool:  # type: ignore[override]
        return False

    def __eq__(self, other: object) -> bool:  # type: ignore[override]
        """Whether it has a certain value is a question too, and it has none."""
        return self is other

    def __ne__(self, other: object) -> bool:  # type: ignore[override]
        return self is not other

    def __hash__(self) -> int:  # type: ignore[override]
        raise self._undefined_exception(self._undefined_hint)
