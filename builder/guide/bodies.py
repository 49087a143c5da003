"""The finished bodies of articles, each rendered once for all homes that show the same in it.

A template gives the same text wherever it is given the same values. The names in an article's text are
all that it can read; where two homes have the very same for each of them, the text of the one is the
text of the other. A question with plain words in it, such as ``has_article('x')``, is a name of its own:
homes with other articles share the text where they have the same answer.
"""

from collections.abc import Iterator, Mapping

from jinja2 import Environment, TemplateSyntaxError

from builder.guide.about import NAMES, QUESTIONS, About
from builder.guide.prose import Prose, Renderer
from builder.home.spoken import speaks_otherwise, spoken
from builder.model.article import Article
from builder.model.home import Home

_NOTHING = ("", "")
"""What follows the last token of a template."""
_SHUTS = ("operator", ")")
_GOES_ON = [("operator", each) for each in (".", "[", "(", "|")]
"""What may stand behind a name so that it is not all of a value."""


def body_of(article: Article, about: About, renderer: Renderer) -> Prose:
    """The body of an article for a home, or what is wrong with it there."""
    if article.id not in about.bodies:
        about.bodies[article.id] = _body_of(article, about, renderer)
    return about.bodies[article.id]


def _body_of(article: Article, about: About, renderer: Renderer) -> Prose:
    names = about.kept.once(_names_in, article)
    parts = (part for name in names for part in about.parts(*name))
    prose = about.kept.made_from(
        (body_of, renderer, article, *parts),
        lambda: renderer.render(article, about.values(article)),
    )
    return about.kept.once(_in_own_words, prose, about.home.terms)


def _in_own_words(prose: Prose, terms: Mapping[str, str]) -> Prose:
    """A finished body in the words of the home's nation."""
    if prose.text is None or not speaks_otherwise(terms):
        return prose
    return Prose(spoken(prose.text, terms), prose.finding)


Token = tuple[str, str]
"""What sort of thing a template's text says, and how it is written."""
Named = tuple[str] | tuple[str, tuple[str, ...]]
"""The name of a value, with the words that a question is asked with."""


def _names_in(article: Article) -> tuple[Named, ...]:
    """The names of values that a template has in its tags; ``home.<section>`` and ``contacts.<role>`` as
    one name."""
    try:
        tokens = [
            (kind, text)
            for _, kind, text in Environment(autoescape=True).lex(article.body)
            if kind != "whitespace"
        ]
    except TemplateSyntaxError:
        return ()
    return tuple(dict.fromkeys(_names(tokens, article)))


def _names(tokens: list[Token], article: Article) -> Iterator[Named]:
    for index, (kind, text) in enumerate(tokens):
        if kind != "name":
            continue
        behind = tokens[index + 1 :]
        if text == "contacts":
            yield (_contact(tokens[:index], behind),)
        elif text == "equipment":
            yield from [("pieces", tuple(serves))] if (serves := article.front.serves) else []
        elif text == "whom_to_call" and behind[1:2] == [_SHUTS]:
            yield text, tuple(article.front.serves)
        elif text in QUESTIONS and (words := _plain_words(behind)):
            yield text, words
        elif text in NAMES:
            yield (text,)
        elif text == "home":
            yield (_section(behind),)


def _contact(before: list[Token], behind: list[Token]) -> str:
    """Which contact is named, as ``contacts.<role>``: behind ``contacts`` or, where it is asked for,
    before it. Where that is not plain, all."""
    opens, (kind, text), shuts = (*behind[:3], _NOTHING, _NOTHING, _NOTHING)[:3]
    if opens == ("operator", "[") and kind == "string" and shuts == ("operator", "]"):
        return f"contacts.{text[1:-1]}"
    (kind, text), asks = (_NOTHING, _NOTHING, *before)[-2:]
    if kind == "string" and asks[1] == "in" and opens not in _GOES_ON:
        return f"contacts.{text[1:-1]}"
    return "contacts"


def _section(behind: list[Token]) -> str:
    """Which section is named behind ``home``, as ``home.<section>``; where that is not plain, all."""
    dot, (_, section) = (*behind[:2], _NOTHING, _NOTHING)[:2]
    known = dot == ("operator", ".") and section in Home.model_fields
    return f"home.{section}" if known else "home"


def _plain_words(behind: list[Token]) -> tuple[str, ...]:
    """The words that a question is asked with; none where they are not all written out."""
    words = list[str]()
    if behind[:1] != [("operator", "(")]:
        return ()
    for kind, text in behind[1:]:
        if (kind, text) == _SHUTS:
            return tuple(words)
        if kind == "string" and "\\" not in text:
            words.append(text[1:-1])
        elif (kind, text) != ("operator", ","):
            return ()
    return ()
