"""A home reads where a fact comes from only where it reads the fact.

Held against the words alone: in every home that is shown a source, its article says about as many words
of the fact as it does in any other home. So a source of what only other homes read is found, whatever
condition hides the text.
"""

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator

from builder.guide.pages import Page
from builder.preparing import Prepared
from tests.absence import remade
from tests.demonstrations import prepared_demo
from tests.generated_homes import assembled, generated

Fact = tuple[str, str]
"""The id of a page, and the fact that a source of it is for."""
SEEDS = range(6)
STEM = 5
"""Letters by which forms of a word are one word here."""
FEW = 3
"""Words of a fact that its article says anywhere. With fewer the fact is said in other words."""
SMALL = {
    "after", "been", "before", "each", "every", "first", "from", "have", "into", "more", "most", "only",
    "other", "same", "some", "than", "that", "then", "they", "this", "until", "when", "where", "which",
    "while", "with", "your",
}  # fmt: skip


def words(text: str) -> set[str]:
    found = re.findall(r"[a-z]{3,}|\d+", text.lower())
    return {each[:STEM] for each in found if each not in SMALL}


def said(page: Page) -> set[str]:
    """All that the page of an article says, but for its sources."""
    tasks = (f"{each['do']} {each['when']}" for each in page.values["tasks"])
    pieces = (f"{each.title} {each.where} {each.what}" for each in page.values["pieces"])
    cautions = (" ".join(map(str, each.values())) for each in page.values["cautions"])
    body = re.sub(r"\]\([^)]*\)", "]", page.body)
    told = (page.title, page.summary, body, *page.values["actions"], *cautions, *tasks, *pieces)
    return words(" ".join(told))


def facts(prepared: Prepared) -> Iterator[tuple[Fact, frozenset[str]]]:
    """Each fact whose source a home is shown, with the words of it that its article says there."""
    for page in prepared.guide.pages:
        if page.layout == "article":
            here = said(page)
            for source in page.values["sources"]:
                yield (page.id, source["fact"]), frozenset(words(source["fact"]) & here)


def homes() -> Iterator[tuple[str, Prepared]]:
    preparation = prepared_demo()
    yield from preparation.homes.items()
    frame = preparation.homes["mill-lane/01"]
    for seed in SEEDS:
        yield f"seed {seed}", remade(preparation, frame, assembled(generated(seed)).home)


def unsaid(read: Iterable[tuple[Fact, frozenset[str], str]]) -> dict[Fact, str]:
    """The sources that some home is shown without the words of their fact, and in which home."""
    found: dict[Fact, dict[frozenset[str], str]] = defaultdict(dict)
    for fact, here, home in read:
        found[fact].setdefault(here, home)
    wrong = {}
    for fact, forms in found.items():
        most, least = max(map(len, forms)), min(forms, key=len)
        if most >= FEW and len(least) < most * 2 / 3:
            wrong[fact] = forms[least]
    return wrong


def test_a_source_is_shown_where_its_fact_is_said() -> None:
    read = ((fact, here, name) for name, home in homes() for fact, here in facts(home))
    assert unsaid(read) == {}


def test_a_source_without_its_words_is_found() -> None:
    grout = ("article:floors", "Acid cleaners eat the grout between tiles")
    carpet = ("article:floors", "New carpet sheds fluff")
    tiled, bare = frozenset({"acid", "grout", "tiles"}), frozenset({"clean"})
    both = frozenset({"carpe", "fluff"})
    read = [
        (grout, tiled, "tiled"),
        (carpet, both, "tiled"),
        (grout, bare, "bare"),
        (carpet, both, "bare"),
    ]
    assert unsaid(read) == {grout: "bare"}
