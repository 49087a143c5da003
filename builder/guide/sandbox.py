"""What the text of an article may do: ask, loop and print, within limits that no clock measures.

Authors' text is not trusted to run code, nor to end by itself. Templates are looked at when they are
read: only some of Jinja's language is there, no deeper and no longer than ``MOST_NODES`` and
``DEEPEST`` allow. While one is filled in, all that repeats or grows is charged to a budget: the same
text is stopped at the same place on every machine.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date
from typing import Any

from jinja2 import TemplateSyntaxError, Undefined, nodes, pass_context
from jinja2.exceptions import SecurityError
from jinja2.runtime import LoopContext
from jinja2.sandbox import ImmutableSandboxedEnvironment
from jinja2.utils import Namespace
from jinja2.visitor import NodeTransformer

from builder.guide.view import Empty, View

LONGEST_TEXT = 20_000
"""Letters of one value while a template is filled in."""

LONGEST_LIST = 10_000
LONGEST_RANGE = 1_000
LONGEST_BODY = 30_000
"""Letters of a finished body. The longest of the demo has 2,226 (the shipped articles for its 24 homes,
28 November 2026)."""

LONGEST_SOURCE = 60_000
"""Letters of a template."""

LARGEST_NUMBER = 10**12
MOST_NODES, DEEPEST = 6_000, 60
"""Parts of a template, and how deep they lie in each other. The longest that ships has 601, 10 deep."""

BUDGET = 1_000_000
"""What one body may cost: about a unit for each letter that is printed, each entry that is looked at,
and each part of the template that runs. The dearest of the demo costs 14,399."""

_A_CALL, _A_PART, _A_TURN = 100, 5, 20

_USED = frozenset(
    ("Add", "And", "Assign", "AssignBlock", "Call", "CallBlock", "Compare", "Concat", "CondExpr",
     "Const", "Dict", "Div", "Filter", "FilterBlock", "FloorDiv", "For", "Getattr", "Getitem", "If",
     "Keyword", "List", "Macro", "Mod", "Mul", "NSRef", "Name", "Neg", "Not", "Operand", "Or", "Output",
     "Pair", "Pos", "Pow", "Slice", "Sub", "Template", "TemplateData", "Test", "Tuple", "With")
)  # fmt: skip
"""The parts of Jinja's language that articles may use."""

_COUNTED, _CHARGED, _JOINED = " counted", " charged", " joined"
"""Filters that no template can name, because of the space."""

_OF_LOOPS = frozenset(("index", "index0", "first", "last", "length", "revindex", "revindex0", "depth",
                       "depth0", "previtem", "nextitem", "cycle", "changed"))  # fmt: skip
_OF_DAYS = frozenset(("year", "month", "day"))
_OF_TEXTS = frozenset(("startswith", "endswith"))


class ExhaustedError(SecurityError):
    """A template would take more than it may. The message says of what."""


class Budget:
    """What is left for the template that is being filled in."""

    def __init__(self) -> None:
        self.left = BUDGET

    def again(self) -> None:
        """Begin with another template."""
        self.left = BUDGET

    def charge(self, units: int) -> None:
        """Take from what is left. ExhaustedError: there is not enough."""
        self.left -= units
        if self.left < 0:
            raise ExhaustedError("it repeats or prints more than any article needs")


class SafeEnvironment(ImmutableSandboxedEnvironment):
    """Renders authors' text. It can read views, loop, ask and print; nothing else."""

    intercepted_binops = frozenset(("+", "-", "*", "/", "//", "%", "**"))

    def __init__(self, budget: Budget, **options: Any) -> None:
        super().__init__(**options)
        self.budget = budget
        self.globals.clear()
        self.globals.update(range=_bounded_range, namespace=Namespace)

    def _parse(self, source: str, name: str | None, filename: str | None) -> nodes.Template:
        """The parts of a template. TemplateSyntaxError: it is none, or more than an article may be."""
        if len(source) > LONGEST_SOURCE:
            wrong = f"It has {len(source):,} letters; at most {LONGEST_SOURCE:,} are read"
            raise TemplateSyntaxError(wrong, 1, name, filename)
        try:
            tree = super()._parse(source, name, filename)
        except (RecursionError, MemoryError):
            raise TemplateSyntaxError("It is nested too deeply", 1, name, filename) from None
        except (ValueError, OverflowError) as error:
            raise TemplateSyntaxError(str(error), 1, name, filename) from error
        _refuse_what_is_not_for_articles(tree, name, filename)
        charged: nodes.Template = _Charging().visit(tree)
        charged.set_environment(self)
        return charged

    def call_binop(self, context: Any, operator: str, left: Any, right: Any) -> Any:
        if operator == "+" and _can_be_joined(left, right):
            return self.grown(left, right)
        if isinstance(left, int | float) and isinstance(right, int | float) and operator != "**":
            return _sane(super().call_binop(context, operator, left, right))
        raise SecurityError(f"'{operator}' is for numbers only")

    def grown(self, left: Any, right: Any) -> Any:
        """Two texts or two lists as one."""
        size = size_of(left) + size_of(right)
        self.budget.charge(size)
        bounded(size, left)
        return left + right

    def call(self, __context: Any, __obj: Any, *given: Any, **named: Any) -> Any:
        self.budget.charge(_A_CALL)
        return super().call(__context, __obj, *given, **named)

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


def charging_filters(budget: Budget) -> dict[str, Callable[..., Any]]:
    """The filters by which templates are charged for what they repeat."""

    @pass_context
    def counted(_: Any, items: Iterable[Any], cost: int) -> Iterator[Any]:
        for item in items:
            budget.charge(cost)
            yield item

    @pass_context
    def charged(_: Any, __: None, cost: int) -> None:
        budget.charge(cost)

    return {_COUNTED: counted, _CHARGED: charged}


def joining_filter(joined: Callable[[Sequence[Any]], Any]) -> dict[str, Callable[..., Any]]:
    """The filter that makes one text of what '~' stands between."""
    return {_JOINED: joined}


def size_of(value: Any) -> int:
    """How much a value holds: letters or entries."""
    return len(value) if isinstance(value, str | list | tuple | dict | View) else 1


def bounded(size: int, value: Any) -> None:
    """ExhaustedError: a text or list of this size is more than a template may hold."""
    text = isinstance(value, str)
    most = LONGEST_TEXT if text else LONGEST_LIST
    if size > most:
        what = "letters in one text" if text else "entries in one list"
        raise ExhaustedError(f"{size:,} {what} are more than {most:,}")


def _can_be_joined(left: Any, right: Any) -> bool:
    texts = isinstance(left, str) and isinstance(right, str)
    return texts or any(
        isinstance(left, each) and isinstance(right, each) for each in (list, tuple)
    )


def _sane(number: Any) -> Any:
    if abs(number) > LARGEST_NUMBER:
        raise ExhaustedError(f"its numbers are larger than {LARGEST_NUMBER:,}")
    return number


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


def _bounded_range(*bounds: int) -> range:
    numbers = range(*bounds)
    if numbers[LONGEST_RANGE:]:
        raise ExhaustedError(f"range() counts to {LONGEST_RANGE:,} at most")
    return numbers


def _refuse_what_is_not_for_articles(
    tree: nodes.Template, name: str | None, filename: str | None
) -> None:
    """TemplateSyntaxError: a part of the language that articles do not have, or too many parts."""
    waiting: list[tuple[nodes.Node, int]] = [(tree, 0)]
    count = 0
    while waiting:
        node, depth = waiting.pop()
        count += 1
        wrong = _what_is_wrong_with(node, depth, count)
        if wrong is not None:
            raise TemplateSyntaxError(wrong, node.lineno or 1, name, filename)
        waiting.extend((each, depth + 1) for each in node.iter_child_nodes())


def _what_is_wrong_with(node: nodes.Node, depth: int, count: int) -> str | None:
    if depth > DEEPEST:
        return "It is nested too deeply"
    if count > MOST_NODES:
        return f"It has more than {MOST_NODES:,} parts"
    kind = type(node).__name__
    if kind not in _USED:
        return f"Articles cannot use '{_TAGS.get(kind, kind.lower())}'"
    if isinstance(node, nodes.For) and node.recursive:
        return "Articles cannot use 'recursive'"
    return None


_TAGS = {"FromImport": "import", "ScopedEvalContextModifier": "autoescape"}


class _Charging(NodeTransformer):
    """Has loops and macros charge for each turn, '~' look at what it makes, and each part of the text
    know its line."""

    def visit_Output(self, node: nodes.Output) -> list[nodes.Output]:  # noqa: N802 - the library's name
        self.generic_visit(node)
        return [nodes.Output([each], lineno=each.lineno) for each in node.nodes]

    def visit_For(self, node: nodes.For) -> nodes.For:  # noqa: N802 - the library's name
        cost = _cost(node)
        self.generic_visit(node)
        node.iter = _filtered(node.iter, _COUNTED, cost)
        return node

    def visit_Macro(self, node: nodes.Macro) -> nodes.Macro:  # noqa: N802 - the library's name
        self._charge(node)
        return node

    def visit_CallBlock(self, node: nodes.CallBlock) -> nodes.CallBlock:  # noqa: N802 - the library's name
        self._charge(node)
        return node

    def visit_Concat(self, node: nodes.Concat) -> nodes.Filter:  # noqa: N802 - the library's name
        self.generic_visit(node)
        joined = nodes.List(node.nodes, lineno=node.lineno)
        return nodes.Filter(joined, _JOINED, [], [], None, None, lineno=node.lineno)

    def _charge(self, node: nodes.Macro | nodes.CallBlock) -> None:
        cost = _cost(node)
        self.generic_visit(node)
        charge = _filtered(nodes.Const(None, lineno=node.lineno), _CHARGED, cost)
        node.body.insert(0, nodes.ExprStmt(charge, lineno=node.lineno))


def _filtered(node: nodes.Node, name: str, cost: int) -> nodes.Filter:
    return nodes.Filter(
        node, name, [nodes.Const(cost, lineno=node.lineno)], [], None, None, lineno=node.lineno
    )


def _cost(node: nodes.Node) -> int:
    """What one turn of a loop or macro costs: its own text, and its parts."""
    text = sum(len(each.data) for each in node.find_all(nodes.TemplateData))
    text += sum(size_of(each.value) for each in node.find_all(nodes.Const))
    return _A_TURN + text + _A_PART * sum(1 for _ in node.find_all(nodes.Node))
