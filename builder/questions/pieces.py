"""The short questions about equipment, as queries; and what they cannot see."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, fields
from difflib import SequenceMatcher
from functools import lru_cache

from builder.questions.document import JsonDocument
from builder.questions.query import Query, quoted, read_query

_ALIKE = 0.75
"""From 0 to 1: two names at least this alike may be one maker's name written twice."""
_TELLING = 3
"""Letters of a name that says something by being part of another one."""


@dataclass(frozen=True, slots=True)
class WantedPieces:
    """The short questions. ``kind``, ``make`` and ``model`` are asked of one and the same piece.

    ``article``, ``house_type`` and ``option`` are ids, and true of a whole home.
    """

    kind: str | None = None
    make: str | None = None
    model: str | None = None
    article: str | None = None
    house_type: str | None = None
    option: str | None = None

    @property
    def of_a_piece(self) -> bool:
        return any((self.kind, self.make, self.model))

    @property
    def empty(self) -> bool:
        return not any(getattr(self, each.name) for each in fields(self))


def piece_queries(wanted: WantedPieces, documents: Iterable[JsonDocument]) -> tuple[str, ...]:
    """The queries for a kind, make and model; emitters have a kind alone."""
    tests = " && ".join(_tests(wanted, list(documents)))
    emitters = () if wanted.make or wanted.model else (f"$.zones.*.emitters[?{tests}]",)
    return (f"$.equipment[?{tests}]", *emitters)


def _tests(
    wanted: WantedPieces, documents: list[JsonDocument], *, or_missing: bool = False
) -> Iterator[str]:
    if wanted.kind is not None:
        yield f"@.kind == {quoted(wanted.kind)}"
    for field, text in _names_asked_for(wanted):
        spellings = _spellings(field, text, documents) or [text]
        tests = [f"@.{field} == {quoted(each)}" for each in spellings]
        tests += [f"!@.{field}"] if or_missing else []
        yield f"({' || '.join(tests)})" if len(tests) > 1 else tests[0]


def _names_asked_for(wanted: WantedPieces) -> Iterator[tuple[str, str]]:
    if wanted.make is not None:
        yield "make", wanted.make
    if wanted.model is not None:
        yield "model", wanted.model


def _spellings(field: str, text: str, documents: list[JsonDocument]) -> list[str]:
    """How the homes spell a name: a notice writes EVERWARM where a plan says Ever Warm."""
    return sorted(
        each for each in _names_recorded(field, documents) if plainly(each) == plainly(text)
    )


def _names_recorded(field: str, documents: list[JsonDocument]) -> set[str]:
    return {
        piece[field]
        for document in documents
        for piece in document.plain["equipment"].values()
        if field in piece
    }


@lru_cache(maxsize=8_192)
def plainly(text: str) -> str:
    """A text without regard to capitals, spaces and signs."""
    return "".join(letter for letter in text.casefold() if letter.isalnum())


def lookalikes(wanted: WantedPieces, documents: list[JsonDocument]) -> Iterator[tuple[str, str]]:
    """Names of these homes that may be the one that was asked for and were not counted as it."""
    for field, text in _names_asked_for(wanted):
        for each in alike_to(text, _names_recorded(field, documents)):
            yield field, each


def alike_to(text: str, names: Iterable[str]) -> Iterator[str]:
    """The names that may be another one written otherwise, in the order of the alphabet."""
    asked = plainly(text)
    for each in sorted(names):
        said = plainly(each)
        within = min(len(asked), len(said)) >= _TELLING and (asked in said or said in asked)
        if said != asked and (within or SequenceMatcher(None, asked, said).ratio() >= _ALIKE):
            yield each


def unrecorded(wanted: WantedPieces, documents: list[JsonDocument]) -> Query | None:
    """What may be the piece that was asked for: its make or its model is recorded nowhere."""
    named = [field for field, _ in _names_asked_for(wanted)]
    sure = [each for each in (wanted.kind, wanted.make, wanted.model) if each is not None]
    if not named or len(sure) < 2:  # noqa: PLR2004
        return None
    tests = [*_tests(wanted, documents, or_missing=True)]
    tests.append(f"({' || '.join(f'!@.{field}' for field in named)})")
    if wanted.kind is None:
        tests.append(f"({' || '.join(f'@.{field}' for field in named)})")
    return read_query(f"$.equipment[?{' && '.join(tests)}]")
