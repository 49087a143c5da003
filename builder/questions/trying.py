"""Tries the changes of one file on one plot, and says what each sort of change reaches."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import partial

from pydantic import ValidationError

from builder.errors import Findings
from builder.home.assemble import assemble
from builder.layers.merge import Layer, Merged
from builder.layers.stack import Stack, Stacking
from builder.model.article import Article, FrontMatter
from builder.questions.edits import GONE, Batch, Edit, edited, edited_plain
from builder.questions.files import returning
from builder.questions.homes import ReadHome
from builder.questions.owned import Owned, OwnedTarget, owned_by
from builder.questions.showing import ImpactReach, PagesShowing, RefusedError, ShownValue
from builder.questions.trials import Trial, article_trials, destinations, ids_of, trials_of
from builder.sources.entry import Entry
from builder.sources.workspace import Workspace

Attempt = Callable[[Batch], ShownValue | None]
"""What a plot shows after some edits, or nothing where they are refused."""

MOVED_THERE = "moved there"
"""The sort of change that reaches the page of wherever a thing is moved to."""

GIVEN = "given to it"
"""The sort of change by which a plot gets an article that it has not: its conditions change."""

Reaches = Mapping[str, ImpactReach]
"""What each sort of change reaches of one plot."""


@dataclass(frozen=True, slots=True)
class Trying:
    """One workspace to try changes in."""

    workspace: Workspace
    articles: Mapping[str, Article]
    showing: PagesShowing

    def now(self, home: ReadHome) -> ShownValue:
        """What a plot shows today."""
        return self.showing.of_home(home.traced, self.articles.values())

    def layers(self, home: ReadHome, target: OwnedTarget, now: ShownValue) -> Reaches:
        """What a change of a layer, or of one line of it, reaches of a plot."""
        owned, reaches = owned_by(home.traced.merged, target), dict[str, ImpactReach]()

        def attempt(batch: Batch) -> ShownValue | None:
            return self._shown_with_layers(home, edited(home.traced.merged, batch))

        for trial in trials_of(owned, home.traced.home, ids_of(home.traced.home)):
            _note(reaches, trial, attempt, now)
        for other in self._layers_without(home, target, owned):
            known = reaches.get("taken away", ImpactReach())
            reaches["taken away"] = (
                _shown_by(self._shown_with_layers(home, other), now, known) or now.whole
            )
        return some(_with_pages_moved(reaches, now.of_layouts(destinations(owned.values))))

    def _shown_with_layers(self, home: ReadHome, merged: Merged) -> ShownValue | None:
        """What a plot would show with these layers, or nothing where they make no home or guide."""
        try:
            traced = assemble(home.plot.reference, merged, Findings())
            return None if traced is None else self.showing.of_home(traced, self.articles.values())
        except Exception:
            # Whatever goes wrong with data that nobody wrote: such a change is refused by a check.
            return None

    def _layers_without(
        self, home: ReadHome, target: OwnedTarget, owned: Owned
    ) -> Iterator[Merged]:
        """The layers without all that the file takes away, and without each layer that it makes."""
        if owned.removed:
            yield self._merged(home.stack, lambda layer: _lifted(layer.entry, target))
        made = [each.name for each in home.stack.layers if target.wrote_all(each.entry)]
        for name in made if _may_go(home, target) else ():
            yield self._merged(home.stack, partial(_other_than, name))

    def _merged(self, stack: Stack, change: Callable[[Layer], Entry | None]) -> Merged:
        def changed(layers: tuple[Layer, ...]) -> tuple[Layer, ...]:
            return tuple(Layer(each.name, entry) for each in layers if (entry := change(each)))

        other = replace(stack, shared=changed(stack.shared), own=changed(stack.own))
        return Stacking(self.workspace, Findings()).merge(other)

    def article(self, home: ReadHome, article: Article, now: ShownValue) -> Reaches:
        """What a change of an article reaches of a plot, whether its guide has it or not."""
        page, reaches = f"article:{article.id}", dict[str, ImpactReach]()
        plain = article.front.model_dump(mode="json", by_alias=True, exclude_none=True)

        def attempt(batch: Batch) -> ShownValue | None:
            try:
                front = FrontMatter.model_validate(edited_plain(plain, batch))
            except ValidationError:
                return None
            return self._shown_with_articles(
                home, {**self.articles, article.id: replace(article, front=front)}
            )

        if page not in now.pages:
            given = attempt((Edit(("when",), GONE), Edit(("equipment",), [])))
            return some({GIVEN: _shown_by(given, now, ImpactReach()) or now.whole})
        reaches["changed"] = ImpactReach(frozenset({page}))
        for trial in article_trials(plain, ids_of(home.traced.home)):
            _note(reaches, trial, attempt, now)
        others = {name: each for name, each in self.articles.items() if name != article.id}
        gone = self._shown_with_articles(home, others)
        reaches["taken away"] = (
            _shown_by(gone, now, reaches.get("taken away", ImpactReach())) or now.whole
        )
        return some(_with_pages_moved(reaches, now.of_layouts({"system"})))

    def library(self, home: ReadHome, now: ShownValue) -> Reaches:
        """What it reaches of a plot when the articles that ship are all there again."""
        back = {each.id: each for each in returning(home.traced.home, self.workspace)}
        shown = self._shown_with_articles(home, {**back, **self.articles})
        return some({GIVEN: _shown_by(shown, now, ImpactReach()) or now.whole})

    def _shown_with_articles(self, home: ReadHome, articles: Mapping[str, Article]) -> ShownValue:
        return self.showing.of_home(home.traced, articles.values())


def _may_go(home: ReadHome, target: OwnedTarget) -> bool:
    """Whether a plot can be without a layer: without an option, or a departure of its own."""
    return target.file == home.plot.file or "/options/" in target.file


def _other_than(name: str, layer: Layer) -> Entry | None:
    return None if layer.name == name else layer.entry


def _lifted(entry: Entry, target: OwnedTarget) -> Entry:
    """An entry without the nulls of a target, which take away what lower layers say."""
    if not isinstance(entry.value, Mapping):
        return entry
    kept = {
        name: _lifted(child, target)
        for name, child in entry.value.items()
        if child.value is not None or not target.wrote(child.place, child.named_at)
    }
    return replace(entry, value=kept)


def _with_pages_moved(reaches: Reaches, there: ImpactReach) -> Reaches:
    """What is reached, and besides it the pages that a thing may come to."""
    sure = frozenset(page for reach in reaches.values() for page in reach.pages)
    return {**reaches, MOVED_THERE: ImpactReach(there.pages - sure)}


def some(reaches: Mapping[str, ImpactReach]) -> Reaches:
    """The sorts of change that reach something."""
    return {sort: reach for sort, reach in reaches.items() if reach != ImpactReach()}


def _note(reaches: dict[str, ImpactReach], trial: Trial, attempt: Attempt, now: ShownValue) -> None:
    """Add what a trial reaches to what is known of its sort of change."""
    known = reaches.get(trial.sort, ImpactReach())
    reaches[trial.sort] = _reach_of(trial.batch, attempt, now, known)


def _reach_of(batch: Batch, attempt: Attempt, now: ShownValue, known: ImpactReach) -> ImpactReach:
    """What a batch of edits reaches; one that is refused is tried in halves, down to one edit."""
    if not batch:
        return known
    reach = _shown_by(attempt(batch), now, known)
    if reach is not None:
        return reach
    if len(batch) == 1:
        return known
    middle = len(batch) // 2
    known = _reach_of(batch[:middle], attempt, now, known)
    return _reach_of(batch[middle:], attempt, now, known)


def _shown_by(other: ShownValue | None, now: ShownValue, known: ImpactReach) -> ImpactReach | None:
    """What is reached besides what is known, or nothing where the other cannot be shown."""
    try:
        return None if other is None else now.reach(other, known)
    except RefusedError:
        return None
