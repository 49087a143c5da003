"""The order of a book: the guide's own navigation, each page once, and how deep each one stands."""

from collections.abc import Iterator
from dataclasses import dataclass

from builder.guide.pages import Guide, Section
from builder.languages.language import to_say

ELSEWHERE = to_say("Further pages")


@dataclass(frozen=True, slots=True)
class PaperEntry:
    """A heading of the book, and the page of the guide that stands under it, if one does."""

    title: str
    level: int
    page: str | None


def entries(guide: Guide) -> tuple[PaperEntry, ...]:
    """Every page of a guide in the order of its navigation; what that leaves out comes last.

    Pages that repeat what others say are left out.
    """
    seen = {page.id for page in guide.pages if page.repeats}
    listed = list(_walk(guide.navigation, 1, seen))
    missing = [page for page in guide.pages if page.id not in seen]
    if missing:
        listed.append(PaperEntry(guide.language.text(ELSEWHERE), 1, None))
        listed += [PaperEntry(page.title, 2, page.id) for page in missing]
    return tuple(listed)


def _walk(sections: tuple[Section, ...], level: int, seen: set[str]) -> Iterator[PaperEntry]:
    for section in sections:
        page = section.page if section.page not in seen else None
        if page is not None:
            seen.add(page)
        if page is not None or section.sections:
            yield PaperEntry(section.title, level, page)
        yield from _walk(section.sections, level + 1, seen)
