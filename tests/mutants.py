"""Broken copies of a rule: one change each, made in the rule's own source."""

import ast
import copy
import inspect
import sys
import textwrap
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

from builder.rules.rule import HomeRule

_TURNED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.GtE, ast.GtE: ast.Lt, ast.Gt: ast.LtE, ast.LtE: ast.Gt, ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq, ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}  # fmt: skip
_OTHER_SIGN: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult,
}  # fmt: skip


def mutants(rule: HomeRule) -> Iterator[tuple[str, HomeRule]]:
    """Each broken copy of a rule, and the words of its change."""
    tree = ast.parse(textwrap.dedent(inspect.getsource(rule.check)))
    function = tree.body[0]
    assert isinstance(function, ast.FunctionDef)
    function.decorator_list = []
    for index, node in enumerate(ast.walk(function)):
        for change in _changes(node):
            broken = copy.deepcopy(tree)
            target = list(ast.walk(broken.body[0]))[index]
            says = change(target)
            check = _compiled(broken, rule.check)
            yield f"line {getattr(node, 'lineno', 0)}: {says}", replace(rule, check=check)


def _changes(node: ast.AST) -> Iterator[Callable[[Any], str]]:
    if isinstance(node, ast.Compare):
        yield _turn
    if isinstance(node, ast.If):
        yield _never
        yield _always
    if isinstance(node, ast.BoolOp):
        yield _other_word
    if isinstance(node, ast.comprehension) and node.ifs:
        yield _unfiltered
    if isinstance(node, ast.BinOp) and type(node.op) in _OTHER_SIGN:
        yield _other_sign


def _turn(node: ast.Compare) -> str:
    before = ast.unparse(node)
    node.ops[0] = _TURNED[type(node.ops[0])]()
    return f"{before} → {ast.unparse(node)}"


def _never(node: ast.If) -> str:
    before = ast.unparse(node.test)
    node.test = ast.Constant(value=False)
    return f"if {before} → never"


def _always(node: ast.If) -> str:
    before = ast.unparse(node.test)
    node.test = ast.Constant(value=True)
    return f"if {before} → always"


def _other_word(node: ast.BoolOp) -> str:
    before = ast.unparse(node)
    node.op = ast.Or() if isinstance(node.op, ast.And) else ast.And()
    return f"{before} → {ast.unparse(node)}"


def _other_sign(node: ast.BinOp) -> str:
    before = ast.unparse(node)
    node.op = _OTHER_SIGN[type(node.op)]()
    return f"{before} → {ast.unparse(node)}"


def _unfiltered(node: ast.comprehension) -> str:
    before = " if ".join(ast.unparse(each) for each in node.ifs)
    node.ifs = []
    return f"if {before} → all"


def _compiled(tree: ast.Module, original: Callable[..., Any]) -> Callable[..., Any]:
    """The changed function, with the names of the module that it comes from."""
    ast.fix_missing_locations(tree)
    names = dict(vars(sys.modules[original.__module__]))
    exec(compile(tree, f"<mutant of {original.__name__}>", "exec"), names)
    return names[original.__name__]  # type: ignore[no-any-return]
