"""Has the templates of Jinja speak a language: ``_("…")`` and ``{% trans %}``."""

from jinja2 import Environment

from builder.languages.language import Language

SAYS = "jinja2.ext.i18n"
"""The extension of Jinja that says texts by a catalogue."""


def install_words(environment: Environment, language: Language) -> None:
    """Have the templates of an environment speak a language; values are escaped as it escapes them."""

    def several(one: str, more: str, count: int) -> str:
        return language.form_of(one, more, count)

    environment.install_gettext_callables(language.text, several, newstyle=True)  # type: ignore[attr-defined]
