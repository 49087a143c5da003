"""Has the templates of Jinja speak a language: ``_("…")`` and ``{% trans %}``."""

import re
from collections.abc import Callable, Mapping
from typing import Any

from jinja2 import Environment, pass_eval_context
from jinja2.nodes import EvalContext
from markupsafe import Markup

from builder.languages.language import Language

SAYS = "jinja2.ext.i18n"
"""The extension of Jinja that says texts by a catalogue."""
_MARK_OR_QUOTE = re.compile(r'<[^<>]*>|"')
Values = Mapping[str, Any]
"""What stands in a text, by the names that it has there."""


def install_words(
    environment: Environment,
    language: Language,
    allowed: Callable[[str, Values], Values] | None = None,
) -> None:
    """Have the templates of an environment speak a language; values are escaped as it escapes them.

    ``allowed`` gives the values that may stand in a text, or raises what the environment raises.
    """

    @pass_eval_context
    def said(context: EvalContext, message: str, /, **values: Any) -> str:
        return _filled_in(context, _fit_for_attribute(language.text(message)), values, allowed)

    @pass_eval_context
    def counted(context: EvalContext, one: str, several: str, count: int, /, **values: Any) -> str:
        text = _fit_for_attribute(language.form_of(one, several, count))
        return _filled_in(context, text, {"num": count, **values}, allowed)

    environment.newstyle_gettext = True  # type: ignore[attr-defined]
    environment.globals.update(_=said, gettext=said, ngettext=counted)


def _fit_for_attribute(text: str) -> str:
    """A text with no quotation mark that would end the attribute that it stands in; marks keep theirs."""
    if '"' not in text:
        return text
    return _MARK_OR_QUOTE.sub(lambda found: found.group() if found.group() != '"' else "&#34;", text)  # fmt: skip


def _filled_in(
    context: EvalContext, text: str, values: Values, allowed: Callable[[str, Values], Values] | None
) -> str:
    finished = Markup(text) if context.autoescape else text  # noqa: S704 - a text of a catalogue that was checked
    return finished % (allowed(text, values) if allowed else values)
