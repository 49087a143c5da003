"""Words that a guide of one home never needs, because it knows the home; and letters that printed papers
cannot show: a home is none the worse, and who prints should know."""

import re
from collections.abc import Iterator, Mapping

from builder.craft.glyphs import Lacking, lacking
from builder.errors import Finding, Place, Severity, printable
from builder.model.article import Article
from builder.model.record import side_in
from builder.rules.rule import Rule
from builder.sources.entry import Entry
from builder.sources.workspace import Workspace

HEDGES = (
    "normally", "usually", "typically", "generally", "in general", "probably", "perhaps",
    "as a rule", "in most cases", "in some cases", "most homes", "some homes", "many homes",
    "may have", "might have", "may be fitted", "might be fitted", "may be located",
    "should be located", "could also be", "can also be found", "may also be", "might also be",
    "if fitted", "where fitted", "if present", "if applicable", "where applicable",
    "if you have", "if your home has", "if there is one", "where provided", "if provided",
    "depending on", "is likely to be", "are likely to be",
)  # fmt: skip
"""Phrases that leave the reader to find out whether a sentence is about this home."""

_HEDGE = re.compile(r"\b(" + "|".join(re.escape(each) for each in HEDGES) + r")\b", re.IGNORECASE)
HEDGE = Rule(
    "words.hedge", "Every sentence is true of the home that it is read in.", Severity.ERROR,
    basis="house rule: the guide knows this home",
)  # fmt: skip

BARE_SIDE = Rule(
    "words.bare-side", "An article and the words of a demonstration name no side of the home.",
    Severity.ERROR, basis="house rule: in plots of the other hand it would be the other side",
)  # fmt: skip
MARKED = Rule(
    "words.marked", "Links and marks of Markdown stand in the body of an article alone.",
    basis="house rule: all other texts are shown as they are written",
)  # fmt: skip
_MARKED = re.compile(r"\[[^\]\n]+\]\([^)\s]+\)|\*\*[^*\n]+\*\*|`[^`\n]+`")
WORD_RULES = (HEDGE, BARE_SIDE, MARKED)
PAPER_LETTER = Rule(
    "words.paper-letter", "Printed papers can show every letter.", Severity.WARNING,
    basis="house rule: what was printed says what was written",
)  # fmt: skip


def hedges_in(text: str) -> Iterator[re.Match[str]]:
    """Every hedge in a text, wherever a line breaks it."""
    return _HEDGE.finditer(text.replace("\n", " "))


def hedging(workspace: Workspace) -> Iterator[Finding]:
    """One finding for each hedge in the workspace, in data and in articles."""
    for entry in _entries(workspace):
        if entry.place.file not in workspace.sound:
            for place, text in _texts(entry):
                for hedge in hedges_in(text):
                    yield _finding(place, hedge.group())
    for source in workspace.own_articles:
        if source.article.file not in workspace.sound:
            yield from _findings_in_body(source.article)


def bare_sides(workspace: Workspace) -> Iterator[Finding]:
    """One finding for each side of the home that an article names by itself."""
    for source in workspace.own_articles:
        if source.article.file in workspace.sound:
            continue
        for place, text in (*_texts(source.entry), *_lines(source.article)):
            if said := side_in(text):
                yield bare_side(place, said)


def marked(workspace: Workspace) -> Iterator[Finding]:
    """One finding for each link or mark of Markdown in a text that is shown as it is written."""
    for entry in _entries(workspace):
        if entry.place.file not in workspace.sound:
            for place, text in _texts(entry):
                for mark in _MARKED.finditer(text):
                    yield _shown_as_written(place, mark.group())


def _shown_as_written(place: Place, mark: str) -> Finding:
    return MARKED.finding(
        place,
        f"'{printable(mark)}' is shown with its marks, as it is written.",
        "Say it in plain words; a link stands in the body of an article.",
    )


def _lines(article: Article) -> Iterator[tuple[Place, str]]:
    for number, line in enumerate(article.body.split("\n")):
        yield Place(article.file, article.body_line + number), line


def bare_side(place: Place, said: str) -> Finding:
    return BARE_SIDE.finding(
        place,
        f"'{said}' would be wrong in the plots of the other hand.",
        "Print the place of the piece, which the builder turns round, or say it without the side.",
    )


def texts_of(workspace: Workspace) -> Iterator[tuple[Place, str]]:
    """Every text that guides may show, from all layers and the tables of plots, with its place."""
    for entry in _entries(workspace):
        yield from _texts(entry)
    for plot in workspace.plots.values():
        yield from _texts(plot.row)


def _entries(workspace: Workspace) -> Iterator[Entry]:
    yield from workspace.shared_layers
    yield from (plot.own for plot in workspace.plots.values() if plot.own is not None)
    yield from (source.entry for source in workspace.own_articles)


def _texts(entry: Entry) -> Iterator[tuple[Place, str]]:
    if isinstance(entry.value, str):
        yield entry.place, entry.value
    elif isinstance(entry.value, Mapping):
        for key, child in entry.value.items():
            # Records of the handover are private; notes of departures say why the site changed something; no guide shows them.
            if key != "handover" and (key != "note" or "changes" not in entry.value):
                yield from _texts(child)
    elif isinstance(entry.value, tuple):
        for child in entry.value:
            yield from _texts(child)


def _findings_in_body(article: Article) -> Iterator[Finding]:
    for hedge in hedges_in(article.body):
        before = article.body[: hedge.start()].split("\n")
        place = Place(article.file, article.body_line + len(before) - 1, len(before[-1]) + 1)
        yield _finding(place, hedge.group())


def _finding(place: Place, hedge: str) -> Finding:
    return HEDGE.finding(
        place,
        f"'{hedge}' leaves the reader to find out; this guide knows the home.",
        "Say it for this home, behind a condition on the home's data where homes differ.",
    )


def letters_of_paper(workspace: Workspace) -> Iterator[Finding]:
    """One finding for each text with letters that the fonts of papers do not have."""
    for place, text in texts_of(workspace):
        found = list(lacking(text))
        if any(each.printed for each in found):
            yield _letter_finding(place, found)
    for source in workspace.own_articles:
        article = source.article
        for each in lacking(article.body):
            before = article.body[: each.place].split("\n")
            line = article.body_line + len(before) - 1
            if each.printed:
                yield _letter_finding(Place(article.file, line, len(before[-1]) + 1), [each])


def _letter_finding(place: Place, found: list[Lacking]) -> Finding:
    shown = " ".join(each.characters for each in found)
    printed = " ".join(each.printed for each in found)
    return PAPER_LETTER.finding(
        place,
        f"Printed papers have no letters for '{shown}': '{printed}' stands there instead.",
        "Write it in Latin letters too. The guide on the web shows it as it is.",
    )
