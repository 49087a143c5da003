"""Texts that a workspace wrote, as a home's guide shows them, looked through for words of other nations."""

import re
from collections.abc import Iterator
from typing import Any, NamedTuple

from builder.errors import Finding, Place, Severity, printable
from builder.guide.about import About
from builder.guide.bodies import body_of
from builder.guide.prose import Renderer
from builder.home.assemble import TracedHome
from builder.home.spoken import spoken
from builder.model.article import Article
from builder.model.home import Home
from builder.rules.rule import Rule
from builder.selection.conditions import kinds_in
from builder.selection.nation_words import (
    Applies,
    Foreign,
    NationVocabulary,
    read_fields,
    texts_in,
    vocabulary_of,
)
from builder.sources.entry import Address, dotted, nearest
from builder.sources.nations import SHIPPED_NATIONS
from builder.sources.workspace import Workspace

OTHER_NATION = Rule(
    "words.of-another-nation", "A text says what the people of the home's nation say.", Severity.WARNING,
    basis="house rule: the list stands in builder/selection/nation_words.yaml",
)  # fmt: skip
NATION_RULES = (OTHER_NATION,)
_SAYS_NOTHING = frozenset(
    {"nation", "terms", "conditions", "waivers", "roles", "fuels", "languages", "later_owners"}
)
"""Sections of which a guide shows no text, or that say what the nation's words are."""


class _Looking(NamedTuple):
    """One home and what its texts are looked through for."""

    traced: TracedHome
    about: About
    vocabulary: NationVocabulary

    def found_in(self, value: Any, *, own_words: bool = True) -> Iterator[tuple[Address, Foreign]]:
        """The words of other nations in a record, as far as it applies. ``own_words``: its texts are shown
        in the words of the nation where the library has others."""
        terms = self.about.home.terms if own_words else {}
        if self.about.kept.once(_found, value, self.vocabulary, _always, terms):
            yield from _found(value, self.vocabulary, self.about.applies, terms)

    def finding(self, place: Place, address: Address, foreign: Foreign) -> Finding:
        nation = self.about.home.nation.name
        word = printable(" ".join(foreign.word.split()))
        said = f"Nobody answers {word} in" if foreign.number else f"'{word}' is not said in"
        instead = f"Say '{foreign.instead}'" if foreign.instead else "Say what holds here"
        right = f"{instead}, or put it where 'when: {{nation: …}}' keeps it to the homes of its own nation."
        found = OTHER_NATION.finding(place, f"{said} {nation}.", right, dotted(address))
        return found.for_plots(self.traced.reference)


def _always(_: Any) -> bool:
    return True


def _found(
    value: Any, vocabulary: NationVocabulary, applies: Applies, terms: Any
) -> tuple[tuple[Address, Foreign], ...]:
    return tuple(
        (address, foreign)
        for address, text in texts_in(value, applies)
        for foreign in vocabulary.found_in(spoken(text, terms))
    )


def words_of_other_nations(
    traced: TracedHome, about: About, workspace: Workspace, renderer: Renderer
) -> Iterator[Finding]:
    """One finding for each word of another nation in what a workspace says to the owner of a home."""
    vocabulary = vocabulary_of(traced.home, about.kept)
    if vocabulary is not None:
        looking = _Looking(traced, about, vocabulary)
        yield from _in_data(looking)
        yield from _in_articles(looking, workspace, renderer)
        yield from _in_symptoms(looking, workspace)
        yield from _at_the_demonstration(looking, workspace)


def _in_data(looking: _Looking) -> Iterator[Finding]:
    home = looking.about.alike
    kinds = {kind for kind, _ in kinds_in(home)}
    for section, _ in read_fields(Home):
        if section in _SAYS_NOTHING:
            continue
        for address, foreign in looking.found_in(getattr(home, section), own_words=False):
            at = (section, *address)
            place = looking.traced.said(*at).place
            unused = section == "kinds" and address[0] not in kinds
            if not unused and not place.file.startswith(SHIPPED_NATIONS):
                yield looking.finding(place, at, foreign)


def _in_articles(looking: _Looking, workspace: Workspace, renderer: Renderer) -> Iterator[Finding]:
    chosen = {each.id for each in looking.about.selection.articles}
    for source in workspace.own_articles:
        if source.article.id in chosen:
            for address, foreign in looking.found_in(source.article.front):
                yield looking.finding(nearest(source.entry, address).place, address, foreign)
            yield from _in_body(source.article, looking, renderer)


def _in_body(article: Article, looking: _Looking, renderer: Renderer) -> Iterator[Finding]:
    """What the finished body says. A word that only a value brought in is told where that is written."""
    prose = body_of(article, looking.about, renderer)
    found = looking.about.kept.once(_in_prose, prose, looking.vocabulary)
    for foreign in found:
        written = re.search(re.escape(foreign.word).replace(r"\ ", r"\s+"), article.body)
        if written is not None:
            before = article.body[: written.start()].split("\n")
            place = Place(article.file, article.body_line + len(before) - 1, len(before[-1]) + 1)
            yield looking.finding(place, (), foreign)


def _in_prose(prose: Any, vocabulary: NationVocabulary) -> tuple[Foreign, ...]:
    """Each word of another nation in a finished body, once."""
    found = {each.word.lower(): each for each in vocabulary.found_in(prose.text or "")}
    return tuple(found.values())


def _in_symptoms(looking: _Looking, workspace: Workspace) -> Iterator[Finding]:
    for source in workspace.symptoms.values():
        if source.symptom is not None and not source.ships:
            for address, foreign in looking.found_in(source.symptom):
                yield looking.finding(nearest(source.entry, address).place, address, foreign)


def _at_the_demonstration(looking: _Looking, workspace: Workspace) -> Iterator[Finding]:
    kinds = {kind for kind, _ in kinds_in(looking.about.home)}
    for source in workspace.demonstration.sources:
        for address, foreign in looking.found_in(source.read):
            if address[0] != "kinds" or address[1] in kinds:
                yield looking.finding(nearest(source.entry, address).place, address, foreign)
