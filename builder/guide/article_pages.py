"""One page for each article that a home gets, its body filled in for that home."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace

from builder.errors import Finding, Findings, Place, suggestion
from builder.guide.about import About
from builder.guide.bodies import body_of
from builder.guide.front_pages import cautions_of, task_time
from builder.guide.pages import Page
from builder.guide.pieces import Piece
from builder.guide.plan.drawing import Highlight
from builder.guide.prose import Prose, Renderer
from builder.guide.schedule.tasks import done_by
from builder.guide.schedule.wording import BY, basis_of
from builder.guide.values import Values
from builder.guide.wall.view import WallView
from builder.languages.language import Language
from builder.layers.memo import Memo
from builder.model.article import Article, FrontMatter
from builder.shipped import LAYER

LINK = re.compile(r"\]\((?P<target>(?:article|equipment|page|room|system):[^)\s]*)\)")
_WHOLE_LINK = re.compile(r"\[(?P<words>(?:\\.|[^\[\]\\])*)" + LINK.pattern)
MOST_WALLS = 2
"""Pieces of which an article draws the walls: of more, their own pages do."""
MOST_MARKED = 6
"""Pieces that an article marks on its plans: with more, rings tell nobody which is which."""


def article_pages(about: About, renderer: Renderer, findings: Findings) -> tuple[Page, ...]:
    """The pages of all chosen articles; a body that cannot be filled in is a finding."""
    pages = []
    for article in about.selection.articles:
        prose = body_of(article, about, renderer)
        if prose.finding is not None:
            findings.add(prose.finding)
        if prose.text is not None:
            pages.append(_page(article, prose, about))
    return tuple(pages)


def _page(article: Article, prose: Prose, about: About) -> Page:
    """The page of an article: the very same one for all homes in which it says the same."""
    front, kept = article.front, about.kept
    tasks = kept.same(tuple(_tasks(front, about)))
    cautions = kept.same(tuple(name for name, each in front.cautions.items() if about.applies(each)))  # fmt: skip
    actions, sources = kept.same(about.actions(front)), _sources(front, about)
    pieces = kept.same(about.of_kinds(*front.serves))
    parts = (
        _page,
        article,
        prose,
        pieces,
        tasks,
        cautions,
        actions,
        sources,
        *_plans_for(pieces, about),
    )
    return kept.made_from(
        parts, lambda: _article_page(article, prose, pieces, tasks, actions, about)
    )


def _article_page(
    article: Article, prose: Prose, pieces: tuple[Piece, ...], tasks: tuple[tuple[str, str, str], ...],
    actions: tuple[str, ...], about: About,
) -> Page:  # fmt: skip
    front = article.front
    return Page(
        id=f"article:{article.id}",
        path=f"articles/{article.id}",
        title=front.title,
        layout="article",
        summary=front.summary,
        body=prose.text or "",
        called=front.words,
        values=Values(
            {
                "urgent": front.urgent,
                "cautions": cautions_of(front, about),
                "actions": actions,
                "tasks": tuple({"do": do, "when": when, "by": by} for do, when, by in tasks),
                "sources": _sources(front, about),
                "pieces": pieces,
                "reviewed": front.reviewed,
                "photographs": _photographs(pieces),
            },
            _plans_for(pieces, about),
            plans=lambda: _highlights_of(pieces, about),
            walls=lambda: _walls(pieces, about),
        ),
    )


def _walls(pieces: tuple[Piece, ...], about: About) -> tuple[WallView, ...]:
    """The walls of the pieces that an article serves, where it is about one or two of them."""
    if len(pieces) > MOST_WALLS:
        return ()
    views = (about.walls.view(about.alike.equipment[piece.id]) for piece in pieces)
    return tuple(view for view in views if view is not None)


def _photographs(pieces: tuple[Piece, ...]) -> tuple[str, ...]:
    """The photographs of the pieces that an article serves, each once; of many pieces, their own pages
    show them."""
    if len(pieces) > MOST_MARKED:
        return ()
    return tuple(dict.fromkeys(name for piece in pieces for name in piece.photos))


def _tasks(front: FrontMatter, about: About) -> Iterator[tuple[str, str, str]]:
    """What is to be done, when in this home, and by whom."""
    for task in front.tasks.values():
        if about.applies(task):
            yield (
                task.do,
                task_time(task, about),
                about.language.text(BY[done_by(front, task, about)]),
            )


def _sources(front: FrontMatter, about: About) -> tuple[dict[str, str], ...]:
    """The sources of what an article says of this home."""
    applying = tuple(name for name, source in front.sources.items() if about.applies(source))
    return about.kept.once(_sources_named, front, about.kept.same(applying), about.language)


def _sources_named(
    front: FrontMatter, applying: tuple[str, ...], language: Language
) -> tuple[dict[str, str], ...]:
    sources = [(front.sources[name], basis_of(front.sources[name], language)) for name in applying]
    return tuple(
        {"fact": each.fact.rstrip("."), "basis": basis} for each, basis in sources if basis
    )


def _plans_for(pieces: tuple[Piece, ...], about: About) -> tuple[object, ...]:
    """What the plans and walls of an article about some pieces are made from: nothing without pieces, so
    that homes with other plans share the page; of many pieces, the plan page shows more."""
    return about.plans.shows(pieces) if 0 < len(pieces) <= MOST_MARKED else ()


def _highlights_of(pieces: tuple[Piece, ...], about: About) -> tuple[Highlight, ...]:
    """The floors with the pieces that an article serves."""
    return about.plans.highlights(pieces) if 0 < len(pieces) <= MOST_MARKED else ()


def without_missing_links(
    pages: tuple[Page, ...], articles: Iterable[Article], kept: Memo
) -> tuple[Page, ...]:
    """All pages. In articles that ship, a link to what this guide has not is its words alone:
    nobody who takes an article away can mend the others that lead to it."""
    known = {page.id for page in pages}
    ships = {f"article:{each.id}" for each in articles if each.file.startswith(LAYER)}

    def whole(page: Page) -> Page:
        missing = kept.same(tuple(each for each in kept.once(_targets, page) if each not in known))
        parts = (without_missing_links, page, missing)
        return kept.made_from(parts, lambda: _without_links_to(missing, page)) if missing else page

    return tuple(whole(page) if page.id in ships else page for page in pages)


def _targets(page: Page) -> tuple[str, ...]:
    """The ids of the pages that the body of a page leads to."""
    return tuple(dict.fromkeys(found["target"] for found in LINK.finditer(page.body)))


def _without_links_to(missing: tuple[str, ...], page: Page) -> Page:
    """A page of which links to some others are their words alone."""

    def left(found: re.Match[str]) -> str:
        return found["words"] if found["target"] in missing else found[0]

    return replace(page, body=_WHOLE_LINK.sub(left, page.body))


def dead_links(
    articles: Iterable[Article], pages: tuple[Page, ...], elsewhere: frozenset[str], kept: Memo
) -> Iterator[Finding]:
    """One finding for each link in a finished body that leads to no page of this guide.

    ``elsewhere``: articles that other homes get, or that could not be read and are a finding
    already where they stand.
    """
    known = {page.id for page in pages}
    by_id = {f"article:{article.id}": article for article in articles}
    targets = known | by_id.keys()
    for page in pages:
        for target in kept.once(_targets, page) if page.id in by_id else ():
            if target not in targets:
                yield _dead(by_id[page.id], target, known, elsewhere)


def _dead(article: Article, target: str, known: set[str], elsewhere: frozenset[str]) -> Finding:
    written = article.body.find(f"]({target})")
    before = article.body[: max(written, 0)].split("\n")
    scheme, _, name = target.partition(":")
    same = {page.partition(":")[2] for page in known if page.startswith(f"{scheme}:")}
    right = suggestion(name, same, f"Pages of '{scheme}' here")
    if scheme == "article" and name in elsewhere:
        right = f"Ask first: {{% if has_article('{name}') %}}."
    return Finding(
        "article.dead-link",
        Place(article.file, article.body_line + len(before) - 1, len(before[-1]) + 1),
        f"'{target}' leads to no page of this home's guide.",
        right,
        path=article.id,
    )
