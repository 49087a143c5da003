"""Asks homes a query, or the short questions that stand for queries, and gathers the answers."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from builder.errors import UsageError, near_miss
from builder.guide.pieces import where
from builder.questions.document import JsonDocument, Origin
from builder.questions.pieces import WantedPieces, piece_queries
from builder.questions.query import Query, QueryResult, quoted, read_query
from builder.sources.workspace import Workspace

_PIECE = 2
"""Steps of the way to a piece: ``equipment`` and its id."""


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked: the queries whose matches are wanted, of homes of which others are true."""

    queries: tuple[Query, ...]
    conditions: tuple[Query, ...] = ()

    @property
    def text(self) -> str:
        """The question as queries of the standard, the conditions after "where"."""
        asked = " and ".join(each.text for each in self.queries)
        if not self.conditions:
            return asked
        return f"{asked} where {' and '.join(each.text for each in self.conditions)}"


@dataclass(frozen=True, slots=True)
class AskedPiece:
    """The piece of equipment that a match is about: what a maker's notice names it by."""

    id: str
    make: str
    model: str
    serial: str
    where: str


@dataclass(frozen=True, slots=True)
class Match:
    """One match in one home. ``path`` is the normalized path of RFC 9535, section 2.7."""

    plot: str
    address: str
    postcode: str
    completion: str
    path: str
    value: Any
    origin: Origin
    piece: AskedPiece | None


def question_of(
    query: str | None, wanted: WantedPieces, documents: Iterable[JsonDocument]
) -> Question:
    """The question that a command line asks; its makes are matched as these homes write them."""
    conditions = tuple(read_query(each) for each, _ in _conditions(wanted))
    if query is not None:
        if wanted.of_a_piece:
            raise UsageError(
                "A QUERY and --kind, --make or --model are two questions. Write the kind, make or "
                "model into the query: $.equipment[?@.make == 'NAME']"
            )
        return Question((read_query(query),), conditions)
    if wanted.of_a_piece:
        asked = piece_queries(wanted, documents)
        return Question(tuple(map(read_query, asked)), conditions)
    return Question(tuple(read_query(shown) for _, shown in _conditions(wanted)), conditions)


def _conditions(wanted: WantedPieces) -> Iterator[tuple[str, str]]:
    """What must match something in a home, and what is shown of it where nothing else is asked."""
    if wanted.article is not None:
        article = f"$.articles[{quoted(wanted.article)}]"
        yield article, article
    if wanted.house_type is not None:
        yield f"$[?@.house_type == {quoted(wanted.house_type)}]", "$.plot.house_type"
    if wanted.option is not None:
        option = f"$.options[{quoted(wanted.option)}]"
        yield option, option


def check_names(wanted: WantedPieces, workspace: Workspace, kinds: Iterable[str]) -> None:
    """UsageError where an id is none of the workspace: a slip is not to look like "no home has it"."""
    known: Mapping[str, tuple[str, Iterable[str]]] = {
        "kind": ("kind", kinds),
        "article": ("article", workspace.articles),
        "house_type": ("house type", workspace.house_types),
        "option": ("option", workspace.options),
    }
    for field, (thing, names) in known.items():
        name = getattr(wanted, field)
        if name is not None and name not in set(names):
            hint = _ids_like(name, sorted(names))
            raise UsageError(f"There is no {thing} '{name}' in this workspace.{hint}")


def _ids_like(name: str, names: Sequence[str]) -> str:
    """The ids that hold the word that was asked for, else the nearest one."""
    close = [f"'{each}'" for each in names if name in each]
    close = close or [f"'{each}'" for each in (near_miss(name, names),) if each]
    return f" Did you mean {' or '.join(close)}?" if close else ""


def answers(question: Question, documents: Iterable[JsonDocument]) -> Iterator[Match]:
    """Every match in every home, in the order of the homes."""
    for document in documents:
        if all(each.holds(document.plain) for each in question.conditions):
            for query in question.queries:
                for found in query.matches(document.plain):
                    yield _match(document, found)


def _match(document: JsonDocument, found: QueryResult) -> Match:
    plot = document.plain["plot"]
    return Match(
        plot=plot["reference"],
        address=plot["address"],
        postcode=plot["postcode"],
        completion=plot.get("completion", ""),
        path=found.path,
        value=found.value,
        origin=document.origin(found.location),
        piece=_piece(document, found),
    )


def _piece(document: JsonDocument, found: QueryResult) -> AskedPiece | None:
    """The piece that a match is, or is inside of."""
    if found.location[:1] != ("equipment",) or len(found.location) < _PIECE:
        return None
    name = str(found.location[1])
    home = document.home.traced.home
    piece = home.equipment[name]
    stands = where(piece.room, piece.place, home)
    return AskedPiece(name, piece.make or "", piece.model or "", piece.serial or "", stands)
