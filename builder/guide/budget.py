"""What templates may take that somebody else wrote, within limits that no clock measures.

While a template is filled in, all that repeats or grows is charged to a budget: the same text is stopped
at the same place on every machine. What its language may say is up to the environments made of this one:
``sandbox`` for articles, ``fence`` for the templates of a workspace.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import wraps
from typing import Any

from jinja2 import TemplateSyntaxError, nodes, pass_context
from jinja2.exceptions import SecurityError
from jinja2.filters import FILTERS
from jinja2.sandbox import ImmutableSandboxedEnvironment
from jinja2.utils import Namespace
from jinja2.visitor import NodeTransformer

LARGEST_NUMBER = 10**12
FINEST = 6
"""Places behind the point that a number is rounded to."""
_A_CALL, _A_PART, _A_TURN = 100, 5, 20
_COUNTED, _CHARGED, _JOINED = " counted", " charged", " joined"
"""Filters that no template can name, because of the space."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What one template may take: ``units`` (about one for each letter that is printed, each entry that
    is looked at, and each part of the template that runs), letters of one ``text`` and entries of one
    ``list_`` while it is filled in, numbers of one ``range_``, letters of its ``source``, its ``parts``,
    and how ``deep`` they lie in each other."""

    units: int
    text: int
    list_: int
    range_: int
    source: int
    parts: int
    deep: int

    def bounded(self, size: int, value: Any) -> None:
        """ExhaustedError: a text or list of this size is more than a template may hold."""
        is_text = isinstance(value, str)
        most = self.text if is_text else self.list_
        if size > most:
            what = "letters in one text" if is_text else "entries in one list"
            raise ExhaustedError(f"{size:,} {what} are more than {most:,}")


class ExhaustedError(SecurityError):
    """A template would take more than it may. The message says of what."""


class Budget:
    """What is left for the template that is being filled in."""

    def __init__(self, limits: Limits) -> None:
        self.limits = limits
        self.left = limits.units

    def again(self) -> None:
        """Begin with another template."""
        self.left = self.limits.units

    def charge(self, units: int) -> None:
        """Take from what is left. ExhaustedError: there is not enough."""
        self.left -= units
        if self.left < 0:
            raise ExhaustedError("it repeats or prints more than any page needs")


class CountedEnvironment(ImmutableSandboxedEnvironment):
    """Renders templates that others wrote, and counts what they take."""

    intercepted_binops = frozenset(("+", "-", "*", "/", "//", "%", "**"))

    def __init__(self, budget: Budget, **options: Any) -> None:
        super().__init__(**options)
        self.budget = budget
        self.globals.clear()
        self.globals.update(range=self._range, namespace=Namespace)

    def refused(self, node: nodes.Node) -> str | None:
        """Why a part of the language may not be used, or nothing."""
        return None

    def _parse(self, source: str, name: str | None, filename: str | None) -> nodes.Template:
        """The parts of a template. TemplateSyntaxError: it is none, or more than one may be."""
        most = self.budget.limits.source
        if len(source) > most:
            wrong = f"It has {len(source):,} letters; at most {most:,} are read"
            raise TemplateSyntaxError(wrong, 1, name, filename)
        try:
            tree = super()._parse(source, name, filename)
        except (RecursionError, MemoryError):
            raise TemplateSyntaxError("It is nested too deeply", 1, name, filename) from None
        except (ValueError, OverflowError) as error:
            raise TemplateSyntaxError(str(error), 1, name, filename) from error
        self._look_through(tree, name, filename)
        charged: nodes.Template = _Charging().visit(tree)
        charged.set_environment(self)
        return charged

    def _look_through(self, tree: nodes.Template, name: str | None, filename: str | None) -> None:
        """TemplateSyntaxError: a part of the language that is not to be had, or too many parts."""
        waiting: list[tuple[nodes.Node, int]] = [(tree, 0)]
        count = 0
        while waiting:
            node, depth = waiting.pop()
            count += 1
            wrong = self._too_much(depth, count) or self.refused(node)
            if wrong is not None:
                raise TemplateSyntaxError(wrong, node.lineno or 1, name, filename)
            waiting.extend((each, depth + 1) for each in node.iter_child_nodes())

    def _too_much(self, depth: int, count: int) -> str | None:
        if depth > self.budget.limits.deep:
            return "It is nested too deeply"
        most = self.budget.limits.parts
        return f"It has more than {most:,} parts" if count > most else None

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
        self.budget.limits.bounded(size, left)
        return left + right

    def call(self, __context: Any, __obj: Any, *given: Any, **named: Any) -> Any:
        self.budget.charge(_A_CALL)
        return super().call(__context, __obj, *given, **named)

    def _range(self, *bounds: int) -> range:
        numbers = range(*bounds)
        most = self.budget.limits.range_
        if numbers[most:]:
            raise ExhaustedError(f"range() counts to {most:,} at most")
        return numbers


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
    counted = isinstance(value, str | list | tuple | Mapping) and hasattr(value, "__len__")
    return len(value) if counted else 1


def _can_be_joined(left: Any, right: Any) -> bool:
    texts = isinstance(left, str) and isinstance(right, str)
    return texts or any(
        isinstance(left, each) and isinstance(right, each) for each in (list, tuple)
    )


def _sane(number: Any) -> Any:
    if abs(number) > LARGEST_NUMBER:
        raise ExhaustedError(f"its numbers are larger than {LARGEST_NUMBER:,}")
    return number


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

    def visit_Include(self, node: nodes.Include) -> list[nodes.Node]:  # noqa: N802 - the library's name
        return [_charge_of(node), node]

    def visit_Import(self, node: nodes.Import) -> list[nodes.Node]:  # noqa: N802 - the library's name
        return [_charge_of(node), node]

    def visit_FromImport(self, node: nodes.FromImport) -> list[nodes.Node]:  # noqa: N802 - the library's name
        return [_charge_of(node), node]

    def visit_Concat(self, node: nodes.Concat) -> nodes.Filter:  # noqa: N802 - the library's name
        self.generic_visit(node)
        joined = nodes.List(node.nodes, lineno=node.lineno)
        return nodes.Filter(joined, _JOINED, [], [], None, None, lineno=node.lineno)

    def _charge(self, node: nodes.Macro | nodes.CallBlock) -> None:
        cost = _cost(node)
        self.generic_visit(node)
        node.body.insert(0, _charge_of(node, cost))


def _charge_of(node: nodes.Node, cost: int = _A_CALL) -> nodes.ExprStmt:
    charge = _filtered(nodes.Const(None, lineno=node.lineno), _CHARGED, cost)
    return nodes.ExprStmt(charge, lineno=node.lineno)


def _filtered(node: nodes.Node, name: str, cost: int) -> nodes.Filter:
    return nodes.Filter(
        node, name, [nodes.Const(cost, lineno=node.lineno)], [], None, None, lineno=node.lineno
    )


def _cost(node: nodes.Node) -> int:
    """What one turn of a loop or macro costs: its own text, and its parts."""
    text = sum(len(each.data) for each in node.find_all(nodes.TemplateData))
    text += sum(size_of(each.value) for each in node.find_all(nodes.Const))
    return _A_TURN + text + _A_PART * sum(1 for _ in node.find_all(nodes.Node))


def charging(function: Callable[..., Any], budget: Budget) -> Callable[..., Any]:
    """A filter that is charged for what it looks at and makes."""

    @wraps(function)
    def charged(*given: Any, **named: Any) -> Any:
        budget.charge(10 + sum(map(size_of, given)))
        made = function(*given, **named)
        if isinstance(made, Iterator):
            return _counting(made, budget)
        budget.limits.bounded(size_of(made), made)
        budget.charge(size_of(made))
        return made

    return charged


def _counting(items: Iterator[Any], budget: Budget) -> Iterator[Any]:
    for item in items:
        budget.charge(10)
        yield item


def rounded(number: Any, places: int = 0, method: str = "common") -> Any:
    """Jinja's filter ``round``, for as many places as anybody reads."""
    if not isinstance(places, int) or not 0 <= places <= FINEST:
        raise SecurityError(f"'round' keeps 0 to {FINEST} places")
    return FILTERS["round"](number, places, method)
