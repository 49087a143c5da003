"""Articles name what exists: kinds, systems, paths of the home, and their own sources."""

from collections.abc import Iterable, Iterator

from builder.errors import Finding, Severity, suggestion
from builder.model.home import Home
from builder.rules.rule import Rule
from builder.selection.asked import NamesThere, missing_in
from builder.selection.choosing import Selection
from builder.selection.conditions import kinds_in
from builder.selection.named import conditions_in, shipped_conditions
from builder.sources.entry import Entry, dotted, nearest
from builder.sources.library import ArticleSource, shipped_articles
from builder.sources.nations import every_nation, nations
from builder.sources.workspace import Workspace

UNKNOWN_ARTICLE = Rule(
    "kinds.unknown-article", "The article that a kind names is there.",
    basis="house rule: no link leads nowhere",
)  # fmt: skip
FITS_NO_HOME = Rule(
    "articles.fits-no-home", "An article fits a home of the workspace.", Severity.NOTE,
    basis="house rule: what nobody reads is not kept up",
)  # fmt: skip
SELECTION_RULES = (UNKNOWN_ARTICLE, FITS_NO_HOME)


def articles_name_what_exists(workspace: Workspace) -> Iterator[Finding]:
    """Every kind, system, path and basis that an own article names is there.

    One that ships may name what this workspace has not: it is about no home of it then. Who corrects
    one need not take that out.
    """
    names, systems = names_of(workspace), section_ids(workspace, "systems")
    ships = shipped_articles(workspace.folder.root)
    for source in workspace.own_articles:
        before = ships.get(source.article.id)
        known = {each.wrong for each in _unknown_in(before, names, systems)} if before else set()
        yield from (each for each in _unknown_in(source, names, systems) if each.wrong not in known)


def _unknown_in(source: ArticleSource, names: NamesThere, systems: set[str]) -> Iterator[Finding]:
    """What an article names and its workspace has not."""
    front = source.article.front
    if front.system not in systems:
        yield _unknown(source, ("system",), front.system, "system", systems)
    for field in ("equipment", "mentions"):
        for index, kind in enumerate(getattr(front, field)):
            if kind not in names.kinds:
                yield _unknown(source, (field, index), kind, "kind", names.kinds)
    for address, condition in conditions_in(front, ()):
        for each in missing_in(condition, address, names):
            yield _unknown(source, each.address, each.name, each.what, each.known)
    for name, task in front.tasks.items():
        if task.basis not in front.sources:
            yield _unknown(
                source, ("tasks", name, "basis"), task.basis, "source", set(front.sources)
            )


def names_of(workspace: Workspace) -> NamesThere:
    """All that conditions of a workspace may name."""
    conditions = section_ids(workspace, "conditions") | shipped_conditions().keys()
    return NamesThere(section_ids(workspace, "kinds"), section_ids(workspace, "fuels"), conditions)


def kinds_name_articles(workspace: Workspace, homes: Iterable[Home]) -> Iterator[Finding]:
    """The article of every kind that a home has exists."""
    used = {kind for home in homes for kind, _ in kinds_in(home)}
    for layer in layer_entries(workspace):
        kinds = layer.children.get("kinds")
        for name, kind in (kinds.children if kinds else {}).items():
            article = kind.children.get("article")
            if name in used and article is not None and not _is_there(workspace, article.value):
                yield _no_article(name, article, set(workspace.articles))


def _is_there(workspace: Workspace, article: object) -> bool:
    """Whether an article exists, readable or not; or ships, and the workspace goes without it."""
    written = any(file.endswith(f"/{article}.md") for file in workspace.unread)
    known = article in workspace.articles or article in workspace.removed
    return article is None or known or written


def _no_article(kind: str, article: Entry, known: set[str]) -> Finding:
    return Finding(
        UNKNOWN_ARTICLE.id,
        article.place,
        f"There is no article '{article.value}'.",
        suggestion(str(article.value), known, "Articles are"),
        path=f"kinds.{kind}.article",
        severity=Severity.WARNING,
    )


def articles_that_fit_no_home(
    workspace: Workspace, selections: Iterable[Selection]
) -> Iterator[Finding]:
    """A note for each own article that no home of the workspace gets."""
    used = {article.id for selection in selections for article in selection.articles}
    for source in workspace.own_articles:
        if used and source.article.id not in used:
            yield Finding(
                FITS_NO_HOME.id,
                source.entry.place,
                "No home of this workspace gets this article.",
                "Check its 'when' and 'equipment', or keep it for homes to come.",
                severity=Severity.NOTE,
            )


def section_ids(workspace: Workspace, section: str) -> set[str]:
    """The ids that any layer of the workspace gives to a section."""
    return {
        name
        for layer in layer_entries(workspace)
        if section in layer.children
        for name, entry in layer.children[section].children.items()
        if entry.value is not None
    }


def layer_entries(workspace: Workspace) -> Iterator[Entry]:
    """Every layer of the workspace, those of nations below it and the departures of plots too."""
    yield every_nation()
    yield from nations().values()
    yield from workspace.shared_layers
    for plot in workspace.plots.values():
        departures = plot.own.children.get("departures") if plot.own else None
        for departure in (departures.children if departures else {}).values():
            if changes := departure.child("changes"):
                yield changes


def _unknown(
    source: ArticleSource, address: tuple[str | int, ...], name: str, what: str, known: set[str]
) -> Finding:
    return Finding(
        f"article.unknown-{what}",
        nearest(source.entry, address).place,
        f"There is no {what} '{name}'.",
        suggestion(name, known, f"Each {what} here"),
        path=dotted(address),
    )
