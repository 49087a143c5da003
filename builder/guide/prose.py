"""Renders the body of an article for one home: Markdown with this home's values in it."""

import re
import traceback
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from jinja2 import Template, TemplateSyntaxError
from jinja2.exceptions import SecurityError
from markupsafe import Markup

from builder.compiled import PrintedAsFinalized, compiled, keep_compiled
from builder.errors import Finding, Place, near_miss
from builder.guide.budget import Budget, ExhaustedError
from builder.guide.filters import UnprintableError, article_filters, text_of
from builder.guide.plain_markdown import RefusedInBody, refused_in
from builder.guide.sandbox import LIMITS, LONGEST_BODY, SafeEnvironment
from builder.guide.view import Missing, MissingValueError, UnknownNameError
from builder.languages.language import FIRST, Language
from builder.model.article import Article

_SPECIAL = re.compile(r"([\\`*_{}\[\]#|])")
_PERHAPS = re.compile(r"[\\`*_{}\[\]#|&<]|^[\d+-]")
"""Where anything may have to be escaped at all: most values have none of it."""
_NAMED = re.compile(r"'(.+)'")
MISSING_VALUE = "article.missing-value"
_NOT_DIALLED = re.compile(r"[^0-9+]")
_TWO_STOPS = re.compile(r"(?<!\.)\.\.(?=\s|\Z)")
"""A value that ends its own sentence, in a sentence that ends there."""
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
    """A value as Markdown prints it letter by letter. Macros and blocks are finished already.

    UnprintableError: it is no text, number or day.
    """
    if isinstance(value, Markup):
        return value
    text = str(text_of(value))
    if not _PERHAPS.search(text):
        return text
    text = _SPECIAL.sub(r"\\\1", text)
    text = text.replace("&", "&amp;").replace("<", "&lt;")
    return _LIST_MARK.sub(lambda found: f"{found[1] or ''}\\{found[2] or found[3]}", text)


def dialled(telephone: str) -> Markdown:
    """A telephone number that dials when it is touched."""
    return Markdown(f"[{escaped(telephone)}](tel:{_NOT_DIALLED.sub('', telephone)})")


def with_dialling(entry: Mapping[str, Any]) -> dict[str, Any]:
    """An entry whose telephone number dials when it is touched."""
    telephone = entry["telephone"]
    return {**entry, "telephone": None if telephone is None else dialled(telephone)}


def _side_by_side(texts: Sequence[str]) -> Markdown:
    return Markdown("".join(map(escaped, texts)))


@dataclass(frozen=True, slots=True)
class _Chunk:
    """A part of a finished body, and the line of the template's code that printed it, where that is
    known."""

    begins: int
    code_line: int | None


class Renderer:
    """Compiles each article once and renders it for any number of homes, one at a time."""

    def __init__(self, language: Language = FIRST) -> None:
        self._budget = Budget(LIMITS)
        self._environment = SafeEnvironment(
            self._budget, undefined=Missing, finalize=self._printed, autoescape=True
        )
        self._environment.code_generator_class = PrintedAsFinalized
        keep_compiled(self._environment)
        self._environment.filters = article_filters(self._budget, _side_by_side, language)
        self._compiled: dict[str, tuple[Article, Template | Finding]] = {}

    def render(self, article: Article, values: Mapping[str, Any]) -> Prose:
        """The body for the home that ``values`` speak of."""
        template = self._template(article)
        if isinstance(template, Finding):
            return Prose(None)
        self._budget.again()
        try:
            text, chunks = _body_and_lines(template, values)
        except Exception as error:
            place = _place(error, article, template)
            return Prose(None, _finding(error, article, place, values))
        refused = next(refused_in(text), None)
        return (
            Prose(None, _forbidden(refused, article, template, text, chunks))
            if refused
            else Prose(_TWO_STOPS.sub(".", text))
        )

    def unreadable(self, articles: Iterable[Article]) -> Iterator[Finding]:
        """One finding for each article whose template cannot be read, whichever home gets it."""
        for article in articles:
            if isinstance(template := self._template(article), Finding):
                yield template

    def _printed(self, value: Any) -> str:
        text = escaped(value)
        self._budget.charge(len(text))
        return text

    def _template(self, article: Article) -> Template | Finding:
        known = self._compiled.get(article.id)
        if known is None or known[0] is not article:
            known = self._compiled[article.id] = (article, self._compile(article))
        return known[1]

    def _compile(self, article: Article) -> Template | Finding:
        self._budget.again()
        try:
            code = compiled(self._environment, article.body, article.file, article.file)
        except (TemplateSyntaxError, SyntaxError, RecursionError, MemoryError) as error:
            line = article.body_line + (getattr(error, "lineno", None) or 1) - 1
            said = getattr(error, "message", None) or "It is nested too deeply"
            return _template_finding(
                Place(article.file, line), f"The template cannot be read: {said.rstrip('.')}."
            )
        return Template.from_code(self._environment, code, self._environment.make_globals(None))


def _body_and_lines(
    template: Template, values: Mapping[str, Any]
) -> tuple[str, tuple[_Chunk, ...]]:
    """A finished body, and which line of the template's code printed each part of it."""
    parts, chunks, size = list[str](), list[_Chunk](), 0
    writing = template.root_render_func(template.new_context(dict(values)))
    for part in writing:
        frame = getattr(writing, "gi_frame", None)
        chunks.append(_Chunk(size, frame.f_lineno if frame else None))
        parts.append(part)
        size += len(part)
        if size > LONGEST_BODY:
            raise ExhaustedError(f"it prints more than {LONGEST_BODY:,} letters")
    return "".join(parts), tuple(chunks)


def _forbidden(
    refused: RefusedInBody,
    article: Article,
    template: Template,
    text: str,
    chunks: tuple[_Chunk, ...],
) -> Finding:
    """The finding for what Markdown may not hold, at the line of the article that printed it."""
    chunk = max(
        (each for each in chunks if each.begins <= refused.place), key=lambda each: each.begins
    )
    begins = template.get_corresponding_lineno(chunk.code_line) if chunk.code_line else 1
    line = begins + text.count("\n", chunk.begins, refused.place)
    place = Place(article.file, article.body_line + line - 1)
    return Finding(refused.code, place, refused.wrong, refused.right, path=article.id)


def _place(error: Exception, article: Article, template: Template) -> Place:
    """The last line of the article that an error passed through."""
    lines = [
        template.get_corresponding_lineno(frame.lineno or 1)
        for frame in traceback.extract_tb(error.__traceback__)
        if frame.filename == article.file
    ]
    return Place(article.file, article.body_line + (lines[-1] if lines else 1) - 1)


def _finding(error: Exception, article: Article, place: Place, known: Iterable[str]) -> Finding:
    if isinstance(error, MissingValueError):
        wrong, _, right = str(error).partition("\n")
        if isinstance(error, UnknownNameError):
            right = _near_name(wrong, known) or right
        code = "article.unprintable" if isinstance(error, UnprintableError) else MISSING_VALUE
        return Finding(code, place, wrong, right, path=article.id)
    said = str(error).rstrip(".")
    if isinstance(error, ExhaustedError | RecursionError | MemoryError):
        said = said if isinstance(error, ExhaustedError) else "it calls itself too deeply"
        wrong = f"The template takes more than it may: {said}."
        return Finding("article.too-much", place, wrong, _LESS, path=article.id)
    if isinstance(error, SecurityError):
        return _template_finding(place, f"The template does what articles may not: {said}.")
    return _template_finding(place, f"The template cannot be filled in: {said}.")


_LESS = "Say it with fewer loops and shorter texts."


def _near_name(wrong: str, known: Iterable[str]) -> str | None:
    """What a name that nobody knows was meant to be, if one is close to it."""
    named = _NAMED.search(wrong)
    close = near_miss(named[1], known) if named else None
    return f"Did you mean '{close}'?" if close else None


def _template_finding(place: Place, wrong: str) -> Finding:
    return Finding("article.template", place, wrong, "Correct the braces on this line.")
