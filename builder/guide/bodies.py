"""The finished bodies of articles, each rendered once for all homes alike in what it reads.

A template gives the same text wherever it is given the same values. The names that an article's
text mentions are a superset of those that it reads; where two homes have the very same for all of
them, the text of the one is the text of the other.
"""

from collections.abc import Iterator

from jinja2 import Environment, TemplateSyntaxError

from builder.guide.about import NAMES, About
from builder.guide.prose import Prose, Renderer
from builder.model.article import Article
from builder.model.home import Home

_NOTHING = ("", "")
"""What follows the last token of a template."""


def body_of(article: Article, about: About, renderer: Renderer) -> Prose:
    """The body of an article for a home, or what is wrong with it there."""
    names = about.kept.once(_names_in, article)
    parts = (part for name in names for part in about.parts(name))
    return about.kept.made_from(
        (body_of, renderer, article, *parts),
        lambda: renderer.render(article, about.values(article)),
    )


def _names_in(article: Article) -> tuple[str, ...]:
    """The names of values that a template has in its tags; ``home.<section>`` as one name, and so
    ``contacts.<role>``."""
    try:
        tokens = [
            (kind, text)
            for _, kind, text in Environment(autoescape=True).lex(article.body)
            if kind != "whitespace"
        ]
    except TemplateSyntaxError:
        return ()
    return tuple(dict.fromkeys(_named(tokens)))


def _contact(behind: list[tuple[str, str]]) -> str:
    """Which contact is named behind ``contacts``, as ``contacts.<role>``; where that is not plain, all."""
    opens, (kind, text), shuts = (*behind, _NOTHING, _NOTHING, _NOTHING)[:3]
    if opens == ("operator", "[") and kind == "string" and shuts == ("operator", "]"):
        return f"contacts.{text[1:-1]}"
    return "contacts"


def _named(tokens: list[tuple[str, str]]) -> Iterator[str]:
    for index, (kind, text) in enumerate(tokens):
        if kind == "name" and text == "contacts":
            yield _contact(tokens[index + 1 : index + 4])
        elif kind == "name" and text in NAMES:
            yield text
        elif kind == "name" and text == "home":
            dot, (_, section) = (*tokens[index + 1 : index + 3], _NOTHING, _NOTHING)[:2]
            known = dot == ("operator", ".") and section in Home.model_fields
            yield f"home.{section}" if known else "home"
