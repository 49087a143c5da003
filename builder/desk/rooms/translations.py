"""How far an article is in each other language, for whoever changes it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from builder.sources.languages import LanguageSource
from builder.sources.workspace import Workspace

_STATES: Mapping[str, str] = {
    "read": "translated and read",
    "unread": "translated, and nobody who speaks it has read it: guides show the first language",
    "stale": "older than the article: guides show the first language until it is brought up to date",
    "incomplete": "lacks something: guides show the first language until it is whole",
}


@dataclass(frozen=True, slots=True)
class Translation:
    """One language: what it calls itself, the file of the translation if there is one, its state in words,
    and what it lacks."""

    language: str
    file: str
    state: str
    lacks: tuple[str, ...]


def translations_of(article: str, workspace: Workspace) -> Iterator[Translation]:
    """The article in each other language of the workspace."""
    for source in workspace.languages.values():
        yield _in_language(article, source)


def _in_language(article: str, source: LanguageSource) -> Translation:
    name = source.translated.language.name
    said = next((each for each in source.said if each.of == f"article:{article}"), None)
    if said is None:
        return Translation(name, "", "not translated: guides show the first language", ())
    lacks = tuple(f"{each.wrong} {each.right}" for each in said.findings)
    return Translation(name, said.place.file, _STATES[said.state], lacks)
