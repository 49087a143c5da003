"""What rests on each published source: facts of articles and symptoms, and values of rules."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from builder.errors import Place
from builder.model.article import Source
from builder.rules.reference import Table, library
from builder.sources.entry import Entry
from builder.sources.workspace import Workspace

UNNAMED = "common practice"


@dataclass(frozen=True, slots=True)
class Resting:
    """One thing that is said, and where it was written. ``what``: an article, a symptom or a table."""

    what: str
    fact: str
    where: str
    place: Place


@dataclass(frozen=True, slots=True)
class SourceDocument:
    """A document in one edition, and all that rests on it. When an edition changes, it is read again."""

    name: str
    edition: str
    resting: tuple[Resting, ...]


def documents(workspace: Workspace) -> tuple[SourceDocument, ...]:
    """Every source that a workspace and the rules name, by name and edition."""
    found: dict[tuple[str, str], list[Resting]] = {}
    for name, edition, resting in (
        *_facts_of_workspace(workspace),
        *_facts_of_rules(library().tables),
    ):
        found.setdefault((name, edition), []).append(resting)
    ordered = sorted(found.items(), key=lambda each: (each[0][0].casefold(), each[0][1]))
    return tuple(SourceDocument(*named, tuple(resting)) for named, resting in ordered)


def _facts_of_workspace(workspace: Workspace) -> Iterator[tuple[str, str, Resting]]:
    for name, article in workspace.articles.items():
        yield from _facts(f"article '{name}'", article.article.front.sources, article.entry)
    for name, each in workspace.symptoms.items():
        if each.symptom is not None:
            yield from _facts(f"symptom '{name}'", each.symptom.sources, each.entry)


def _facts(
    what: str, sources: Mapping[str, Source], entry: Entry
) -> Iterator[tuple[str, str, Resting]]:
    written = entry.child("sources") or entry
    for name, source in sources.items():
        place = (written.child(name) or written).named_at
        document = source.document if source.basis == "published" else None
        resting = Resting(what, source.fact, source.where or "", place)
        yield document or source.basis, source.edition or "", resting


def _facts_of_rules(tables: Iterable[Table]) -> Iterator[tuple[str, str, Resting]]:
    for table in tables:
        file = f"builder/rules/reference/{table.nation}-{table.subject}-{table.edition}.yaml"
        for name, value in table.values.items():
            document = UNNAMED if value.sure == UNNAMED else value.document or table.document
            says = f"{value.says} ({name})"
            what = f"rules of {table.subject}, {table.nation} {table.edition}"
            yield document, "", Resting(what, says, value.where or "", Place(file))
