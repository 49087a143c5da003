"""What the text of an article may do: ask, loop and print.

Authors' text is not trusted to run code, nor to end by itself. Templates are looked at when they are
read: only some of Jinja's language is there, no deeper and no longer than ``LIMITS`` allow.
"""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from jinja2 import Undefined, nodes
from jinja2.runtime import LoopContext
from jinja2.utils import Namespace

from builder.guide.budget import CountedEnvironment, Limits
from builder.guide.view import Empty, View

LONGEST_BODY = 30_000
"""Letters of a finished body. The longest of the demo has 2,226 (the shipped articles for its 24 homes,
28 November 2026)."""

LIMITS = Limits(
    units=1_000_000, text=20_000, list_=10_000, range_=1_000, source=60_000, parts=6_000, deep=60
)
"""The dearest body of the demo costs 14,399 units. The longest that ships has 601 parts, 10 deep."""

_USED = frozenset(
    ("Add", "And", "Assign", "AssignBlock", "Call", "CallBlock", "Compare", "Concat", "CondExpr",
     "Const", "Dict", "Div", "Filter", "FilterBlock", "FloorDiv", "For", "Getattr", "Getitem", "If",
     "Keyword", "List", "Macro", "Mod", "Mul", "NSRef", "Name", "Neg", "Not", "Operand", "Or", "Output",
     "Pair", "Pos", "Pow", "Slice", "Sub", "Template", "TemplateData", "Test", "Tuple", "With")
)  # fmt: skip
"""The parts of Jinja's language that articles may use."""

_TAGS = {"FromImport": "import", "ScopedEvalContextModifier": "autoescape"}
_OF_LOOPS = frozenset(("index", "index0", "first", "last", "length", "revindex", "revindex0", "depth",
                       "depth0", "previtem", "nextitem", "cycle", "changed"))  # fmt: skip
_OF_DAYS = frozenset(("year", "month", "day"))
_OF_TEXTS = frozenset(("startswith", "endswith"))


class SafeEnvironment(CountedEnvironment):
    """Renders authors' text. It can read views, loop, ask and print; nothing else."""

    def refused(self, node: nodes.Node) -> str | None:
        kind = type(node).__name__
        if kind not in _USED:
            return f"Articles cannot use '{_TAGS.get(kind, kind.lower())}'"
        if isinstance(node, nodes.For) and node.recursive:
            return "Articles cannot use 'recursive'"
        return None

    def getattr(self, obj: Any, attribute: str) -> Any:
        if isinstance(obj, View):
            return self._read(obj, attribute)
        if isinstance(obj, Undefined) or _may_be_read(obj, attribute):
            return super().getattr(obj, attribute)
        return self.undefined(obj=obj, name=attribute)

    def getitem(self, obj: Any, argument: Any) -> Any:
        if isinstance(obj, View):
            return self._read(obj, argument)
        if isinstance(obj, Undefined):
            return super().getitem(obj, argument)
        if isinstance(obj, Mapping | Sequence) and not isinstance(obj, View):
            try:
                return obj[argument]
            except (LookupError, TypeError, AttributeError):
                return self.undefined(obj=obj, name=str(argument))
        return self.getattr(obj, str(argument))

    def _read(self, holder: View, name: Any) -> Any:
        if name not in holder:
            return self.undefined(obj=holder, name=str(name))
        value = holder[name]
        return Empty(holder, str(name)) if value is None else value


def _may_be_read(obj: Any, attribute: str) -> bool:
    """Whether a template may read an attribute of something that is no view."""
    if isinstance(obj, LoopContext):
        return attribute in _OF_LOOPS
    if isinstance(obj, str):
        return attribute in _OF_TEXTS
    if isinstance(obj, date):
        return attribute in _OF_DAYS
    if isinstance(obj, Namespace):
        return not attribute.startswith("_")
    return isinstance(obj, tuple) and attribute in getattr(type(obj), "_fields", ())
