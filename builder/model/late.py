"""Values that are filled in late: the plots of an edition differ in them, and in nothing else.

While the pages of an edition are made, a mark stands for each late value. A mark can be printed
and refuses all else: nothing in a page may depend on what the value is, or the page would be right
for one plot of the edition and wrong for the next. Whatever tries raises LateValueError.

A mark is ``name`` between two characters of Unicode's private use area, which no text of a
workspace holds. The name says how the value is found and printed: ``plot.number``,
``contacts.office.telephone:dialled``, ``plot.completion+2 years:spoken``.
"""

import re
from collections.abc import Callable, Iterable, MutableMapping
from datetime import date
from functools import wraps
from typing import Any, NoReturn

OPENS, CLOSES = "\ue000", "\ue001"
MARK = re.compile(f"{OPENS}([^{OPENS}{CLOSES}]+){CLOSES}")
IN_JSON = {f"\\u{ord(each):04x}": each for each in (OPENS, CLOSES)}
"""How JSON that is all ASCII writes the two characters."""

_PLAIN = re.compile(r"[A-Z0-9][A-Za-z0-9 ,.@/-]*(?<! )")
_LIST_MARK = re.compile(r"\d+[.)]")


class LateValueError(TypeError):
    """A page tried to look at a value that is filled in late. The message says which, and how."""


class _Late:
    """What marks refuse: every question about the value."""

    name: str

    def _refuse(self, asked: str) -> NoReturn:
        raise LateValueError(
            f"'{self.name}' is filled in late, so a page can print it and do nothing else "
            f"with it; this one asked for {asked}."
        )


def _refusing(asked: str) -> Any:
    def refuse(self: _Late, *_: Any, **__: Any) -> NoReturn:
        self._refuse(asked)

    return refuse


class LateText(_Late, str):
    """The mark of a text. It is there and not empty: that much a page may ask."""

    __slots__ = ("name",)

    def __new__(cls, name: str) -> "LateText":
        mark = str.__new__(cls, f"{OPENS}{name}{CLOSES}")
        mark.name = name
        return mark

    @property
    def dialled(self) -> str:
        """The mark of the digits of this telephone number, and nothing else of it."""
        return f"{OPENS}{self.name}:dialled{CLOSES}"

    def __bool__(self) -> bool:
        return True

    def __eq__(self, other: object) -> bool:
        return self is other or self._refuse("whether it equals something")

    def __ne__(self, other: object) -> bool:
        return not self == other

    def __format__(self, form: str) -> str:
        return str(self) if not form else self._refuse(f"the form '{form}'")

    def __str__(self) -> str:
        return str.__str__(self)

    def __add__(self, more: str) -> str:
        return f"{self}{more}"

    def __copy__(self) -> "LateText":
        return self

    def __deepcopy__(self, memo: Any) -> "LateText":
        return self

    __hash__ = _refusing("its place in a mapping")


_KEPT = {"__str__", "__repr__", "__new__", "__init__", "__bool__", "__eq__", "__ne__", "__format__",
         "__class__", "__getattribute__", "__setattr__", "__delattr__", "__doc__", "__dir__",
         "__hash__", "__add__", "__init_subclass__", "__subclasshook__", "__reduce__", "__reduce_ex__",
         "__getnewargs__", "__sizeof__", "__getstate__", "__html__"}  # fmt: skip
for _method in dir(str):
    if _method not in _KEPT:
        setattr(LateText, _method, _refusing(f"'{_method.strip('_')}'"))


class Unprinted(LateText):
    """The mark of a text that pages have no use for: a page that prints it is no page of an
    edition."""

    __slots__ = ()

    __str__ = _refusing("its text")
    __format__ = _refusing("its text")
    __html__ = _refusing("its text")


class LateDay(_Late):
    """The mark of a day, and of days that are counted from it; which day it is, nobody may ask."""

    __slots__ = ("name",)

    def __init__(self, name: str) -> None:
        self.name = name

    def after(self, term: str) -> "LateDay":
        """The day that a term ends on, counted from this one."""
        return LateDay(f"{self.name}+{term}")

    @property
    def spoken(self) -> str:
        """The mark of this day in words."""
        return f"{OPENS}{self.name}:spoken{CLOSES}"

    def __str__(self) -> str:
        return f"{OPENS}{self.name}{CLOSES}"

    def __repr__(self) -> str:
        return str(self)

    def __format__(self, form: str) -> str:
        return str(self) if not form else self._refuse(f"the form '{form}'")

    def __getattr__(self, asked: str) -> NoReturn:
        if asked.startswith("__"):
            raise AttributeError(asked)
        self._refuse(f"its {asked}")

    __eq__ = _refusing("whether it equals something")
    __hash__ = _refusing("its place in a mapping")
    __lt__ = __le__ = __gt__ = __ge__ = _refusing("its order")
    __add__ = __radd__ = __sub__ = __rsub__ = _refusing("a sum")


class LateNumber(_Late):
    """The mark of a number that is printed in one form or another, and never counted with."""

    __slots__ = ("name",)

    def __init__(self, name: str) -> None:
        self.name = name

    def printed(self, form: str) -> str:
        """The mark of this number in a form that values know."""
        return f"{OPENS}{self.name}:{form}{CLOSES}"

    def __getattr__(self, asked: str) -> NoReturn:
        if asked.startswith("__"):
            raise AttributeError(asked)
        self._refuse(f"its {asked}")

    __str__ = __repr__ = __float__ = __int__ = _refusing("its digits")
    __format__ = _refusing("its digits")
    __bool__ = _refusing("whether it is nought")
    __eq__ = _refusing("whether it equals something")
    __hash__ = _refusing("its place in a mapping")
    __lt__ = __le__ = __gt__ = __ge__ = _refusing("its order")
    __add__ = __radd__ = __sub__ = __rsub__ = __mul__ = __rmul__ = __mod__ = __neg__ = _refusing(
        "a sum"
    )


Late = LateText | LateDay | LateNumber
Day = date | LateDay
"""A day that is known, or that is filled in late."""


def can_be_late(text: str) -> bool:
    """Whether a text prints the same in Markdown, HTML, JSON and addresses: no letter of it is
    escaped anywhere, and it begins with a capital or a digit, as sentences do."""
    return bool(_PLAIN.fullmatch(text)) and "  " not in text and not _LIST_MARK.match(text)


def refuse_late(called: MutableMapping[str, Any], allowed: Iterable[str]) -> None:
    """Make a template language's filters or tests refuse late values, but for the ``allowed``."""
    for name in called.keys() - set(allowed):
        called[name] = _refusing_late(name, called[name])


PRINTING = ("e", "escape", "safe", "words", "join", "d", "default", "dial", "telephone", "day",
            "moment", "dated", "list", "string", "attr", "map", "first", "last", "dialled")  # fmt: skip
"""Filters that print a value as it stands, or hand it on."""

ASKING = ("defined", "undefined", "none", "string", "mapping", "sequence", "iterable", "boolean",
          "number", "filter", "test")  # fmt: skip
"""Tests that ask what sort of value there is, and not which."""


def _refusing_late(name: str, called: Callable[..., Any]) -> Callable[..., Any]:
    @wraps(called)
    def refusing(*values: Any, **named: Any) -> Any:
        for value in (*values, *named.values()):
            if isinstance(value, _Late):
                value._refuse(f"'{name}'")  # noqa: SLF001 - the refusal is this module's own
        return called(*values, **named)

    return refusing
