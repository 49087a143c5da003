"""Articles name what exists: kinds, systems, paths of the home, and their own sources."""

from collections.abc import Iterable, Iterator
from typing import NamedTuple, get_args

from builder.errors import Finding, Severity, suggestion
from builder.model.article import FrontMatter
from builder.model.building import Form
from builder.model.condition import Condition
from builder.model.home import Home
from builder.model.shape import allowed_values, child_type, known_keys
from builder.rules.rule import Rule
from builder.selection.choosing import Selection
from builder.selection.conditions import WORKED_OUT, kinds_in, shipped_conditions
from builder.sources.entry import Entry, dotted
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
    names, systems = _names(workspace), section_ids(workspace, "systems")
    ships = shipped_articles(workspace.folder.root)
    for source in workspace.own_articles:
        before = ships.get(source.article.id)
        known = {each.wrong for each in _unknown_in(before, names, systems)} if before else set()
        yield from (each for each in _unknown_in(source, names, systems) if each.wrong not in known)


def _unknown_in(source: ArticleSource, names: "_Names", systems: set[str]) -> Iterator[Finding]:
    """What an article names and its workspace has not."""
    front = source.article.front
    if front.system not in systems:
        yield _unknown(source, ("system",), front.system, "system", systems)
    for field in ("equipment", "mentions"):
        for index, kind in enumerate(getattr(front, field)):
            if kind not in names.kinds:
                yield _unknown(source, (field, index), kind, "kind", names.kinds)
    for address, condition in _conditions(front):
        yield from _condition(source, condition, address, names)
    for name, task in front.tasks.items():
        if task.basis not in front.sources:
            yield _unknown(
                source, ("tasks", name, "basis"), task.basis, "source", set(front.sources)
            )


class _Names(NamedTuple):
    """What conditions may name in a workspace."""

    kinds: set[str]
    fuels: set[str]
    conditions: set[str]

    @property
    def in_conditions(self) -> dict[str, tuple[str, set[str]]]:
        """For each field of a condition that names something: what that is, and all there are."""
        return {
            "kind": ("kind", self.kinds),
            "form": ("form", set(get_args(Form))),
            "fuel": ("fuel", self.fuels),
            "is_": ("condition", self.conditions),
        }


def _names(workspace: Workspace) -> _Names:
    conditions = section_ids(workspace, "conditions") | shipped_conditions().keys()
    return _Names(section_ids(workspace, "kinds"), section_ids(workspace, "fuels"), conditions)


def _conditions(front: FrontMatter) -> Iterator[tuple[tuple[str | int, ...], Condition]]:
    """Every condition of an article, with the address it stands at."""
    if front.when is not None:
        yield ("when",), front.when
    for section in ("cautions", "tasks", "sources"):
        for name, entry in getattr(front, section).items():
            if entry.when is not None:
                yield (section, name, "when"), entry.when


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


def _condition(
    source: ArticleSource, condition: Condition, address: tuple[str | int, ...], names: _Names
) -> Iterator[Finding]:
    for field, (what, known) in names.in_conditions.items():
        for index, name in enumerate(getattr(condition, field) or ()):
            if name not in known:
                yield _unknown(source, (*address, field.strip("_"), index), name, what, known)
    for index, path in enumerate(condition.has or ()):
        yield from _path(source, path, (*address, "has", index))
    for path in condition.worded or ():
        yield from _path(source, path, (*address, "worded", path))
    for path, wanted in (condition.equals or {}).items():
        yield from _equals(source, path, wanted, (*address, "equals", path))
    for name in ("any", "all"):
        for index, inner in enumerate(getattr(condition, name) or ()):
            yield from _condition(source, inner, (*address, name, index), names)
    if condition.not_ is not None:
        yield from _condition(source, condition.not_, (*address, "not"), names)


def _path(source: ArticleSource, path: str, address: tuple[str | int, ...]) -> Iterator[Finding]:
    """A finding where a dotted path leaves the model; what is worked out of a home is no part of it."""
    here: object = Home
    if path.partition(".")[0] in WORKED_OUT:
        return
    for step in path.split("."):
        below = child_type(here, step)
        if below is None:
            yield _unknown(source, address, step, "field", set(known_keys(here)))
            return
        here = below


def _equals(
    source: ArticleSource, path: str, wanted: tuple[str, ...], address: tuple[str | int, ...]
) -> Iterator[Finding]:
    found = list(_path(source, path, address))
    yield from found
    if found or path.partition(".")[0] in WORKED_OUT:
        return
    here: object = Home
    for step in path.split("."):
        here = child_type(here, step)
    choices = allowed_values(here)
    for index, value in enumerate(wanted):
        if choices and value not in choices:
            yield _unknown(source, (*address, index), value, "choice", set(choices))


def _unknown(
    source: ArticleSource, address: tuple[str | int, ...], name: str, what: str, known: set[str]
) -> Finding:
    entry = source.entry
    for step in address:
        entry = entry.child(step) or entry
    return Finding(
        f"article.unknown-{what}",
        entry.place,
        f"There is no {what} '{name}'.",
        suggestion(name, known, f"Each {what} here"),
        path=dotted(address),
    )
