"""A JSONPath query as RFC 9535 defines it, and plain words for one that cannot be read.

``jsonpath-rfc9535`` reads and runs the queries. It is tested against the compliance suite of the
standard's own authors.
"""

import re
from collections.abc import Container, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import jsonpath_rfc9535 as jsonpath
from jsonpath_rfc9535.lex import tokenize
from jsonpath_rfc9535.tokens import Token, TokenType

from builder.errors import UsageError, near_miss
from builder.sources.entry import Address

EXAMPLE = "$.equipment[?@.kind == 'boiler'].make"
_FUNCTIONS = ("count", "length", "match", "search", "value")
_QUOTED = (TokenType.SINGLE_QUOTE_STRING, TokenType.DOUBLE_QUOTE_STRING)
_COMPARING = {TokenType.EQ, TokenType.NE}
_WORD = re.compile(r"[\w-]+")
_WORDS = {"and": "&&", "or": "||", "not": "!", "True": "true", "False": "false", "None": "null"}
"""What people write who know another language, and how JSONPath writes it."""


@dataclass(frozen=True, slots=True)
class QueryResult:
    """One match: where it stands in its document, as steps and as a normalized path, and what."""

    location: Address
    path: str
    value: Any


@dataclass(frozen=True, slots=True)
class Query:
    """A query that was read once, to be asked of many documents."""

    text: str
    compiled: jsonpath.JSONPathQuery

    def matches(self, document: dict[str, Any]) -> Iterator[QueryResult]:
        """Every match in the order of RFC 9535, section 2.5.2.2, with its normalized path (2.7)."""
        for node in self.compiled.finditer(document):
            yield QueryResult(node.location, node.path(), node.value)

    def holds(self, document: dict[str, Any]) -> bool:
        return next(self.matches(document), None) is not None


def read_query(text: str) -> Query:
    """The query that a text holds; UsageError says where it cannot be read, and what is right."""
    text = text.strip()
    try:
        return Query(text, jsonpath.compile(text))
    except jsonpath.JSONPathError as error:
        at = error.token.index if error.token else 0
        wrong = str(error.args[0]) if error.args else "it cannot be read"
    except RecursionError:
        at, wrong = 0, "it is nested too deep"
    raise UsageError(
        f"The query cannot be read at column {at + 1}: {wrong}.\n"
        f"  {text[:at]}»{text[at:]}\n"
        f"{_what_fits_here(text, at, wrong)}"
    )


def quoted(word: str) -> str:
    """A text as a literal of a query."""
    escaped = word.replace("\\", "\\\\").replace("'", "\\'")
    return f"'{escaped}'"


def _what_fits_here(text: str, at: int, wrong: str) -> str:
    """What would be right at this column of a query."""
    if not text.startswith("$"):
        return f"A query begins with '$', which stands for the home: {EXAMPLE}"
    if "is not defined" in wrong:
        called = _word_at(text, at)
        close = near_miss(called, _FUNCTIONS)
        known = f"The functions are: {', '.join(_FUNCTIONS)}."
        return f"Did you mean '{close}'? {known}" if close else known
    return _sign(text, at) or _mistaken_word(text, at) or f"Write it like this: {EXAMPLE}"


def _sign(text: str, at: int) -> str:
    """What is right where a sign stands that JSONPath writes in another way."""
    here, following = text[at : at + 1], text[at + 1 : at + 2]
    if here == "-" and (word := _word_at(text, at)).strip("-"):
        return f"A name with a hyphen stands in brackets: [{quoted(word)}]"
    if here == "=" and following == "~":
        return "Compare with a pattern like this: match(@.make, 'T.*')"
    if here == "=":
        return "Compare with '=='."
    if here in ("&", "|"):
        return f"Join two tests with '{here * 2}'."
    if here == "@":
        return "A test begins with '?': [?@.make == 'NAME']"
    return ""


def _mistaken_word(text: str, at: int) -> str:
    found = _WORD.match(text, at)
    if found is None:
        return ""
    word = found.group()
    if word in _WORDS:
        return f"Write '{_WORDS[word]}' for '{word}'."
    return f"A text stands in quotes, {quoted(word)}; a value of what is asked begins with '@.', @.{word}."


def _word_at(text: str, at: int) -> str:
    """The whole word round a column."""
    return next((each.group() for each in _WORD.finditer(text) if each.end() > at), "")


def unknown_words(
    text: str, documents: Iterable[Mapping[str, Any]], fields: Container[str] = ()
) -> Iterator[str]:
    """A sentence for each name or compared text of a query that no document has anywhere. ``fields``:
    names that any document may have, so that one of them is no slip where nobody filled it in."""
    keys: set[str] = set()
    texts: set[str] = set()
    for document in documents:
        _gather(document, keys, texts)
    for word, is_name in _words_of(text):
        known, thing = (keys, "is called") if is_name else (texts, "says")
        if is_name and word not in known and word in fields:
            yield f"None of these homes says '{word}' of anything."
        elif word not in known:
            close = near_miss(word, known)
            yield f"Nothing in these homes {thing} '{word}'." + (
                f" Did you mean '{close}'?" if close else ""
            )


def _words_of(text: str) -> Iterator[tuple[str, bool]]:
    """The names that a query asks for, and the texts that it compares with."""
    tokens: list[Token] = list(tokenize(text))
    for before, token, after in zip(tokens, tokens[1:], tokens[2:], strict=False):
        if token.type_ is TokenType.PROPERTY:
            yield token.value, True
        elif token.type_ in _QUOTED and _COMPARING & {before.type_, after.type_}:
            yield token.value, False
        elif token.type_ in _QUOTED and before.type_ is TokenType.LBRACKET:
            yield token.value, True


def _gather(value: Any, keys: set[str], texts: set[str]) -> None:
    if isinstance(value, str):
        texts.add(value)
    elif isinstance(value, Mapping):
        keys.update(value)
        for inner in value.values():
            _gather(inner, keys, texts)
    elif isinstance(value, list):
        for inner in value:
            _gather(inner, keys, texts)
