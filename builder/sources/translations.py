"""The texts of articles and symptoms in other languages, laid over those that they stand for.

A translation is tied to the digest of the texts that it was made from: where those have changed it is
stale. One that is stale, lacks a text or has been read by nobody is not published: the first language is.
"""

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, TypeVar

from pydantic import BaseModel

from builder.errors import Finding, Place, Severity, suggestion
from builder.model.article import Article
from builder.model.record import Record, entries_of
from builder.model.symptom import Symptom
from builder.model.translation import ArticleTexts, ReadText, SymptomTexts

R = TypeVar("R", bound=BaseModel)
_OF_ITSELF = frozenset(ReadText.model_fields)
_MAY_LACK = frozenset({"words", "sources"})
"""What a reader can do without: phrases to look for, and facts behind the advice."""
DIGITS = 16
"""Hexadecimal digits of the digest of texts."""
Way = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Said:
    """A translation as far as it goes: what it is of (``article:<id>``), the place of its file, whether
    it may be published, whether anybody read it, and what is wrong with it."""

    of: str
    place: Place
    published: bool
    read: bool
    findings: tuple[Finding, ...]

    @property
    def state(self) -> str:
        """In a word, why it is not published."""
        codes = {each.code for each in self.findings}
        if not codes:
            return "read" if self.read else "unread"
        return "stale" if "language.stale" in codes else "incomplete"


def digest_of_article(article: Article) -> str:
    """A digest of the texts of an article."""
    return _digest([*_texts(article.front, ArticleTexts), article.body])


def digest_of_symptom(symptom: Symptom) -> str:
    """A digest of the texts of a symptom."""
    return _digest(list(_texts(symptom, SymptomTexts)))


def translated_article(
    article: Article, texts: ArticleTexts, body: str, place: Place, body_line: int
) -> tuple[Article, Said]:
    """An article in another language, and what there is to say of it."""
    lacking = [
        *_lacking(article.front, texts),
        *([] if body.strip() or not article.body.strip() else ["body"]),
    ]
    said = _state_of(
        f"article:{article.id}", texts, digest_of_article(article), place, lacking, article.front
    )
    front = _record_over(article.front, texts)
    return replace(article, file=place.file, front=front, body=body, body_line=body_line), said


def translated_symptom(
    name: str, symptom: Symptom, texts: SymptomTexts, place: Place
) -> tuple[Symptom, Said]:
    """A symptom in another language, and what there is to say of it."""
    lacking = list(_lacking(symptom, texts))
    said = _state_of(f"symptom:{name}", texts, digest_of_symptom(symptom), place, lacking, symptom)
    return _record_over(symptom, texts), said


def _state_of(
    of: str, texts: ReadText, digest: str, place: Place, lacking: list[str], first: BaseModel
) -> Said:  # fmt: skip
    found = [*_unknown(first, texts, of, place)]
    if texts.made_from != digest:
        found.append(_stale(of, texts.made_from, digest, place))
    elif lacking:
        found.append(_incomplete(of, lacking, place))
    read = texts.read_by is not None and texts.read is not None
    return Said(of, place, read and not found, read, tuple(found))


def _stale(of: str, made_from: str, digest: str, place: Place) -> Finding:
    return Finding(
        "language.stale",
        place,
        f"'{of}' has changed since this translation was made: it was made from {made_from}.",
        f"Bring it up to date, have it read, and write 'made_from: {digest}'.",
        severity=Severity.WARNING,
    )


def _incomplete(of: str, lacking: list[str], place: Place) -> Finding:
    listed = ", ".join(lacking)
    return Finding(
        "language.incomplete",
        place,
        f"This translation of '{of}' lacks texts, or has others in number: {listed}.",
        "Write each text of the first language, line by line, at the same place.",
        severity=Severity.WARNING,
    )


def _digest(texts: list[str]) -> str:
    return hashlib.sha256(json.dumps(texts, ensure_ascii=False).encode()).hexdigest()[:DIGITS]


def _texts(value: Any, texts: type[Record]) -> Iterator[str]:
    """The texts of a record that a translation of it may hold, with the ids of what holds them."""
    for name, info in texts.model_fields.items():
        if name in _OF_ITSELF or name in _MAY_LACK:
            continue
        said = getattr(value, name, None)
        if isinstance(said, str):
            yield said
        elif isinstance(said, tuple):
            yield from said
        elif isinstance(said, Mapping):
            kind = _kind_in(info.annotation)
            for key, each in said.items():
                yield key
                yield from _texts(each, kind)


def _kind_in(annotation: Any) -> type[Record]:
    """The record that a mapping by id holds."""
    kind: type[Record] = annotation.__args__[1]
    return kind


def _record_over(value: R, texts: BaseModel) -> R:
    """A record with the texts of another language in place of its own."""
    changed: dict[str, Any] = {}
    for name, said in entries_of(texts).items():
        ours = getattr(value, name, None)
        if name in _OF_ITSELF or not said:
            continue
        if isinstance(said, Mapping) and isinstance(ours, Mapping):
            both = {
                key: _record_over(each, said[key]) if key in said else each
                for key, each in ours.items()
            }
            changed[name] = type(ours)(both)  # type: ignore[call-arg]
        elif ours is not None:
            changed[name] = said
    return value.model_copy(update=changed)


def _lacking(value: Any, texts: BaseModel, way: Way = ()) -> Iterator[str]:
    """The dotted paths of texts that a translation lacks, or of which it has more or fewer lines."""
    for name, said in entries_of(texts).items():
        ours = getattr(value, name, None)
        if name in _OF_ITSELF or name in _MAY_LACK or not ours:
            continue
        if isinstance(ours, Mapping):
            for key, each in ours.items():
                kind = _kind_in(type(texts).model_fields[name].annotation)
                yield from _lacking(each, said.get(key) or kind(), (*way, name, key))
        elif not said or (isinstance(ours, tuple) and len(ours) != len(said)):
            yield ".".join((*way, name))


def _unknown(value: Any, texts: BaseModel, of: str, place: Place) -> Iterator[Finding]:
    """One finding for each id of a translation that the first language has not."""
    for name, said in entries_of(texts).items():
        ours = getattr(value, name, None)
        if not isinstance(said, Mapping) or not isinstance(ours, Mapping):
            continue
        for key, each in said.items():
            if key in ours:
                yield from _unknown(ours[key], each, of, place)
                continue
            yield Finding(
                "language.unknown-id",
                place,
                f"'{of}' has no '{key}' in {name}, so there is nothing to translate.",
                suggestion(key, tuple(ours), f"The {name} there"),
                severity=Severity.WARNING,
            )
