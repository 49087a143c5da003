"""Letters that printed papers cannot show: a home is none the worse, and who prints should know."""

from collections.abc import Iterator

from builder.craft.glyphs import Lacking, lacking
from builder.errors import Finding, Place, Severity
from builder.rules.rule import Rule
from builder.rules.words import texts_of
from builder.sources.workspace import Workspace

PAPER_LETTER = Rule(
    "words.paper-letter", "Printed papers can show every letter.", Severity.WARNING,
    basis="house rule: what was printed says what was written",
)  # fmt: skip


def letters_of_paper(workspace: Workspace) -> Iterator[Finding]:
    """One finding for each text with letters that the fonts of papers do not have."""
    for place, text in texts_of(workspace):
        found = list(lacking(text))
        if any(each.printed for each in found):
            yield _finding(place, found)
    for source in workspace.articles.values():
        article = source.article
        for each in lacking(article.body):
            before = article.body[: each.place].split("\n")
            line = article.body_line + len(before) - 1
            if each.printed:
                yield _finding(Place(article.file, line, len(before[-1]) + 1), [each])


def _finding(place: Place, found: list[Lacking]) -> Finding:
    shown = " ".join(each.characters for each in found)
    printed = " ".join(each.printed for each in found)
    return PAPER_LETTER.finding(
        place,
        f"Printed papers have no letters for '{shown}': '{printed}' stands there instead.",
        "Write it in Latin letters too. The guide on the web shows it as it is.",
    )
