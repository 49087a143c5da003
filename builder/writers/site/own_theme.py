"""A theme that a workspace brings along: its templates run where they reach values and nothing else.

The templates that ship with the builder are its own code.
"""

from collections.abc import Mapping
from types import BuiltinMethodType
from typing import Any

from jinja2 import Environment
from jinja2.exceptions import SecurityError
from jinja2.runtime import BlockReference, LoopContext, Macro
from jinja2.sandbox import ImmutableSandboxedEnvironment
from jinja2.utils import Cycler, Joiner, Namespace
from markupsafe import Markup

_VALUES = (str, list, tuple, dict, int, float, bool, Markup)
_OF_TEMPLATES = (Macro, LoopContext, BlockReference, Namespace, Cycler, Joiner, type)


class ThemeEnvironment(ImmutableSandboxedEnvironment):
    """Renders templates of a workspace. They call what Jinja gives them and methods of plain values;
    the objects of the site engine can be read, and none of them does anything."""

    def is_safe_callable(self, obj: Any) -> bool:
        """Whether a template may call this."""
        if isinstance(obj, _OF_TEMPLATES):
            return super().is_safe_callable(obj) and (obj is Namespace or not isinstance(obj, type))
        holder = getattr(obj, "__self__", None)
        of_a_value = isinstance(holder, _VALUES) and isinstance(obj, BuiltinMethodType)
        of_a_value = of_a_value or getattr(obj, "__func__", None) is Mapping.get
        of_a_value = of_a_value or type(holder) in (Cycler, Joiner, LoopContext, Markup)
        return super().is_safe_callable(obj) and (of_a_value or obj in self.globals.values())

    def call(self, __context: Any, __obj: Any, *given: Any, **named: Any) -> Any:
        if not self.is_safe_callable(__obj):
            name = getattr(__obj, "__qualname__", type(__obj).__qualname__)
            raise SecurityError(f"a theme of a workspace may not call '{name}'")
        return super().call(__context, __obj, *given, **named)


def fenced(environment: Environment) -> Environment:
    """An environment with the same templates and filters, from which no template gets out."""
    made = ThemeEnvironment(
        loader=environment.loader, extensions=list(environment.extensions), auto_reload=False
    )
    made.filters.update(environment.filters)
    made.tests.update(environment.tests)
    return made
