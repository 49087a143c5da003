"""Makes an edition: one home, checked, selected and composed, for all plots that share its pages."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date

from builder.editions.values import Values, dated_home, filled_schedule, late_home
from builder.errors import Finding, Findings
from builder.guide.about import About
from builder.guide.compose import dated, undated
from builder.guide.pages import Guide
from builder.guide.prose import Renderer
from builder.guide.schedule.making import schedule_of
from builder.home.assemble import TracedHome, assemble
from builder.layers.stack import Stack, Stacking
from builder.model.late import MARK, LateValueError
from builder.preparing import echo
from builder.rules.checking import Checked, check_home, found_in
from builder.rules.dates import days_to_come
from builder.rules.handover import handover_record_mistakes
from builder.rules.home import HOME_RULES
from builder.rules.photographs import photographs_can_be_shown
from builder.rules.rule import HomeRule
from builder.selection.choosing import choose
from builder.selection.coverage import equipment_without_article
from builder.sources.workspace import PlotSource, Workspace


@dataclass(frozen=True, slots=True)
class Filling:
    """Fills in the marks of texts with the values of one plot."""

    values: Values

    def __call__(self, text: str) -> str:
        return MARK.sub(lambda found: self.values[found[1]], text) if text else text


@dataclass(frozen=True, slots=True)
class Edition:
    """A home with marks for its late values, and its guide, whose pages of dates are still empty.

    Where it is not ``late`` its values stand in it: it is an edition of one plot.
    """

    traced: TracedHome
    about: About
    guide: Guide
    late: bool

    def dated(self, reference: str, values: Values) -> Guide:
        """The guide of one plot with its days in it; all other late values are still marks."""
        home = dated_home(self.about.home, values)
        schedule = schedule_of(self.about.dated(home))
        return replace(dated(self.guide, schedule), reference=reference)

    def filled(self, guide: Guide, values: Values) -> Guide:
        """What a calendar reads of that guide, with all values in it: its title and its schedule."""
        fill = Filling(values)
        schedule = filled_schedule(guide.schedule, values, fill)
        return replace(guide, title=fill(guide.title), schedule=schedule)


@dataclass(frozen=True, slots=True)
class Member:
    """One plot of an edition."""

    plot: PlotSource
    stack: Stack
    edition: Edition
    values: Values

    @property
    def host(self) -> str:
        """Where the guides of its development are served from."""
        return self.values.said("development.base_url").rstrip("/")


@dataclass(frozen=True, slots=True)
class Made:
    """What became of some plots: those that can be written, and all findings about any of them."""

    members: tuple[Member, ...]
    findings: tuple[Finding, ...]


class EditionMaker:
    """Makes editions of one workspace: articles are compiled and layers merged once for all."""

    def __init__(self, workspace: Workspace, day: date) -> None:
        self._workspace, self._day = workspace, day
        self._renderer = Renderer()
        self._stacking = Stacking(workspace, Findings())
        self._looking: tuple[HomeRule, ...] = ()

    def unreadable(self) -> Iterator[Finding]:
        """One finding for each article whose template cannot be read."""
        return self._renderer.unreadable(each.article for each in self._workspace.articles.values())

    def make(self, plots: Iterable[PlotSource], *, late: bool = True) -> Made:
        """The edition of plots that have one key; each is its own where they are not ``late``.

        They are made one by one where a template or a rule looks at a late value after all, or where
        something is wrong in files that are not the same ones for each of them.
        """
        listed = tuple(plots)
        if not late:
            return _together(self._alone(each, late=False) for each in listed)
        try:
            made = self._shared(listed)
        except LateValueError:
            return _together(self._alone(each, late=False) for each in listed)
        if len(listed) > 1 and any(_is_particular(each) for each in made.findings):
            return _together(self._alone(each, late=True) for each in listed)
        return made

    def _alone(self, plot: PlotSource, *, late: bool) -> Made:
        try:
            return self._shared((plot,), late=late)
        except LateValueError:
            return self._shared((plot,), late=False)

    def _shared(self, plots: tuple[PlotSource, ...], *, late: bool = True) -> Made:
        found = Findings()
        edition = self._edition(plots[0], found, late=late)
        return _together(self._member(plot, edition, found) for plot in plots)

    def _member(self, plot: PlotSource, edition: Edition | None, found: Findings) -> Made:
        """One plot of an edition, with what its own days have to say."""
        stack = self._stacking.stack(plot)
        if stack is None or edition is None:
            return Made((), tuple(each.for_plots(plot.reference) for each in found))
        fill = Filling(Values(stack))
        findings = tuple(_of_plot(each, plot, fill) for each in found)
        if any(self._of_its_days(edition, fill.values)):
            return self._shared((plot,), late=False) if edition.late else Made((), findings)
        mistakes = tuple(handover_record_mistakes(edition.traced, plot.own))
        findings += tuple(each.for_plots(plot.reference) for each in mistakes)
        member = Member(plot, stack, edition, fill.values)
        return Made(() if found.errors or mistakes else (member,), findings)

    def _of_its_days(self, edition: Edition, values: Values) -> Iterator[Finding]:
        """What is found where the days of one plot are looked at."""
        if edition.late:
            traced = edition.traced
            home, drawn = dated_home(traced.home, values), dated_home(traced.drawn, values)
            traced = replace(traced, home=home, drawn=drawn)
            yield from found_in(traced, self._looking)
            yield from days_to_come(traced, self._day)

    def _edition(self, plot: PlotSource, found: Findings, *, late: bool) -> Edition | None:
        stacking = self._stacking
        stacking.findings = found
        stack = stacking.stack(plot)
        traced = assemble(plot.reference, stacking.merge(stack), found) if stack else None
        if traced is None:
            return None
        if late:
            home, drawn = (late_home(each, traced.kept) for each in (traced.home, traced.drawn))
            traced = replace(traced, home=home, drawn=drawn)
            found.extend(self._checked(traced).findings)
        else:
            found.extend(check_home(traced, self._day).findings)
            found.extend(days_to_come(traced, self._day))
        return self._composed(traced, found, late=late)

    def _checked(self, traced: TracedHome) -> Checked:
        """What the rules find that look at no late value; the others are asked for each plot."""
        while True:
            others = tuple(each for each in HOME_RULES if each not in self._looking)
            try:
                return check_home(traced, self._day, others)
            except LateValueError:
                self._looking += tuple(each for each in others if _looks(each, traced))

    def _composed(self, traced: TracedHome, found: Findings, *, late: bool) -> Edition:
        articles = [source.article for source in self._workspace.articles.values()]
        found.extend(photographs_can_be_shown(traced, self._workspace.folder.root))
        selection = choose(articles, traced.home, traced.kept)
        found.extend(equipment_without_article(traced, selection))
        about, composing = About(traced.home, selection, traced.kept), Findings()
        about.ask_ahead()
        guide = undated(traced.reference, about, self._renderer, composing)
        found.extend(each for each in composing if not echo(each, self._workspace))
        return Edition(traced, about, guide, late)


def _looks(rule: HomeRule, traced: TracedHome) -> bool:
    """Whether a rule looks at a late value of this home."""
    try:
        for _ in found_in(traced, (rule,)):
            pass
    except LateValueError:
        return True
    return False


def _is_particular(finding: Finding) -> bool:
    """Whether a finding is about a file that plots of one edition need not share."""
    return finding.place.file.startswith("developments/")


def _of_plot(finding: Finding, plot: PlotSource, fill: Filling) -> Finding:
    told = replace(finding, wrong=fill(finding.wrong), right=fill(finding.right))
    return told.for_plots(plot.reference)


def _together(made: Iterable[Made]) -> Made:
    listed = list(made)
    return Made(
        tuple(member for each in listed for member in each.members),
        tuple(finding for each in listed for finding in each.findings),
    )
