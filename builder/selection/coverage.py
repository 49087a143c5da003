"""Everything in a home that a buyer can touch or scan leads to something to read."""

from collections.abc import Iterator
from dataclasses import replace

from builder.errors import Finding, Severity
from builder.home.assemble import TracedHome
from builder.rules.rule import Rule
from builder.selection.choosing import Selection
from builder.selection.conditions import work_of

STICKER_WITHOUT_ARTICLE = Rule(
    "stickers.no-article", "A sticker leads to an article.",
    basis="house rule: whoever scans a sticker needs to know what to do",
)  # fmt: skip
EQUIPMENT_WITHOUT_ARTICLE = Rule(
    "equipment.no-article", "Equipment with a page of its own has an article.", Severity.NOTE,
    basis="house rule: a page says more than where a thing is",
)  # fmt: skip
COVERAGE_RULES = (STICKER_WITHOUT_ARTICLE, EQUIPMENT_WITHOUT_ARTICLE)


def equipment_without_article(traced: TracedHome, selection: Selection) -> Iterator[Finding]:
    """One finding for each kind of which this home has a piece and its guide no article."""
    home = traced.home
    chosen = {article.id for article in selection.articles}
    served = {kind for article in selection.articles for kind in article.front.serves}
    stickered = {
        piece.kind
        for piece in home.equipment.values()
        if (piece.sticker or home.kinds[piece.kind].sticker) != "none"
    }
    for name in dict.fromkeys(piece.kind for piece in home.equipment.values()):
        kind = home.kinds[name]
        if not served.isdisjoint(work_of(name, home)) or kind.article in chosen or not kind.page:
            continue
        rule = STICKER_WITHOUT_ARTICLE if name in stickered else EQUIPMENT_WITHOUT_ARTICLE
        found = rule.finding(
            traced.place("kinds", name),
            f"No article of this guide is about '{kind.name}'.",
            f"Name one under 'article', or add '{name}' to the 'equipment' of one.",
            f"kinds.{name}",
        )
        yield replace(found, plots=(traced.reference,), layer=traced.said("kinds", name).layer)
