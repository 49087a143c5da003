"""Renders the body of an article for one home: Markdown with this home's values in it."""

import re
import traceback
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from jinja2 import Template, TemplateSyntaxError
from jinja2.exceptions import SecurityError
from markupsafe import Markup

from builder.compiled import compiled, keep_compiled
from builder.errors import Finding, Place, near_miss
from builder.guide.pieces import words
from builder.guide.printing import PrintedAsFinalized
from builder.guide.view import Missing, MissingValueError, SafeEnvironment, UnknownNameError
from builder.model.article import Article
from builder.model.late import ASKING, PRINTING, LateText, LateValueError, refuse_late

_SPECIAL = re.compile(r"([\\`*_{}\[\]#|])")
_PERHAPS = re.compile(r"[\\`*_{}\[\]#|&<]|^[\d+-]")
"""Where anything may have to be escaped at all: most values have none of it."""
_NAMED = re.compile(r"'(.+)'")
_NOT_DIALLED = re.compile(r"[^0-9+]")
_LIST_MARK = re.compile(r"^(\d+)([.)])|^([-+])")


@dataclass(frozen=True, slots=True)
class Prose:
    """Finished Markdown, or nothing and the finding that stopped it.

    A template that cannot be read has no finding here: it is the same one for every home.
    """

    text: str | None
    finding: Finding | None = None


class Markdown(Markup):
    """Text that is Markdown already, and is printed as it stands."""

    __slots__ = ()


def escaped(value: Any) -> str:
    """A value as Markdown prints it letter by letter. Macros and blocks are finished already."""
    if isinstance(value, Markup):
        return value
    text = str(value)
    if not _PERHAPS.search(text):
        return text
    text = _SPECIAL.sub(r"\\\1", text)
    text = text.replace("&", "&amp;").replace("<", "&lt;")
    return _LIST_MARK.sub(lambda found: f"{found[1] or ''}\\{found[2] or found[3]}", text)


def dialled(telephone: str) -> Markdown:
    """A telephone number that dials when it is touched."""
    digits = (
        telephone.dialled if isinstance(telephone, LateText) else _NOT_DIALLED.sub("", telephone)
    )
    return Markdown(f"[{escaped(telephone)}](tel:{digits})")


class Renderer:
    """Compiles each article once and renders it for any number of homes."""

    def __init__(self) -> None:
        self._environment = SafeEnvironment(undefined=Missing, finalize=escaped, autoescape=True)
        self._environment.code_generator_class = PrintedAsFinalized
        # The same input gives the same bytes: nothing random is within an author's reach.
        del self._environment.globals["lipsum"], self._environment.filters["random"]
        keep_compiled(self._environment)
        self._environment.filters["words"] = words
        refuse_late(self._environment.filters, PRINTING)
        refuse_late(self._environment.tests, ASKING)
        self._compiled: dict[str, Template | Finding] = {}

    def render(self, article: Article, values: Mapping[str, Any]) -> Prose:
        """The body for the home that ``values`` speak of."""
        template = self._template(article)
        if isinstance(template, Finding):
            return Prose(None)
        try:
            return Prose(template.render(values))
        except LateValueError:
            raise
        except Exception as error:
            return Prose(None, _finding(error, article, values))

    def unreadable(self, articles: Iterable[Article]) -> Iterator[Finding]:
        """One finding for each article whose template cannot be read, whichever home gets it."""
        for article in articles:
            if isinstance(template := self._template(article), Finding):
                yield template

    def _template(self, article: Article) -> Template | Finding:
        if article.id not in self._compiled:
            self._compiled[article.id] = self._compile(article)
        return self._compiled[article.id]

    def _compile(self, article: Article) -> Template | Finding:
        try:
            code = compiled(self._environment, article.body, article.file, article.file)
        except TemplateSyntaxError as error:
            line = article.body_line + error.lineno - 1
            return _template_finding(
                Place(article.file, line),
                f"The template cannot be read: {str(error.message).rstrip('.')}.",
            )
        return Template.from_code(self._environment, code, self._environment.make_globals(None))


def _finding(error: Exception, article: Article, known: Iterable[str]) -> Finding:
    lines = [
        frame.lineno or 1
        for frame in traceback.extract_tb(error.__traceback__)
        if frame.filename == article.file
    ]
    place = Place(article.file, article.body_line + (lines[-1] if lines else 1) - 1)
    if isinstance(error, MissingValueError):
        wrong, _, right = str(error).partition("\n")
        if isinstance(error, UnknownNameError):
            right = _meant(wrong, known) or right
        return Finding("article.missing-value", place, wrong, right, path=article.id)
    if isinstance(error, SecurityError):
        return _template_finding(
            place, f"The template does what articles may not: {str(error).rstrip('.')}."
        )
    return _template_finding(place, f"The template cannot be filled in: {str(error).rstrip('.')}.")


def _meant(wrong: str, known: Iterable[str]) -> str | None:
    """What a name that nobody knows was meant to be, if one is close to it."""
    named = _NAMED.search(wrong)
    close = near_miss(named[1], known) if named else None
    return f"Did you mean '{close}'?" if close else None


def _template_finding(place: Place, wrong: str) -> Finding:
    return Finding("article.template", place, wrong, "Correct the braces on this line.")
