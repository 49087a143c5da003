"""The first half of the pipeline: from a workspace on disk to homes, selections and guides.

    sources → layers → home → rules → selection → guide

Nothing here writes a file. All mistakes of a run are collected in one place.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping
from copy import copy
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from builder.craft.pictures import PictureSizes
from builder.errors import Finding, Findings
from builder.guide.about import About
from builder.guide.chosen import Library, about_of
from builder.guide.compose import compose
from builder.guide.nation_texts import words_of_other_nations
from builder.guide.pages import Guide
from builder.guide.prose import Renderer
from builder.guide.titles import titles_differ
from builder.guide.translating import OtherGuide, Translators
from builder.guide.walk.script import script_of
from builder.home.assemble import TracedHome, assemble
from builder.layers.memo import Memo
from builder.layers.stack import Stack, Stacking, files_of, lost_in
from builder.rules.articles import articles_are_kept
from builder.rules.checking import Checked, check_home, idle_waivers
from builder.rules.dates import days_to_come
from builder.rules.despite import Despite
from builder.rules.handover import handover_record_mistakes
from builder.rules.invented import invented_values
from builder.rules.languages import languages_are_read
from builder.rules.look import look_can_be_shown
from builder.rules.photographs import photographs_can_be_shown
from builder.rules.terms import one_term
from builder.rules.words import bare_sides, hedging, letters_of_paper, marked
from builder.selection.checked_rules import CHECKED_RULES
from builder.selection.checking import (
    articles_name_what_exists,
    articles_that_fit_no_home,
    kinds_name_articles,
    section_ids,
)
from builder.selection.choosing import Selection
from builder.selection.condition_rules import texts_ask_for_what_is_there
from builder.selection.coverage import (
    equipment_without_article,
    roles_without_contact,
    shared_places_unsaid,
)
from builder.selection.duties import tasks_that_facts_repeat
from builder.selection.symptoms import symptoms_lead_somewhere
from builder.sources.demonstration import check_demonstration, shipped_demonstration
from builder.sources.library import ids_of_articles
from builder.sources.named_plots import chosen_plots
from builder.sources.workspace import PlotSource, Workspace, read_workspace
from builder.trial import home_of_house_type, unused_house_types
from builder.unforeseen import one_plot

OF_SOME_PLOTS = ("housetypes/", "developments/", "stickers/", "content/model-words/")
"""Where files stand that do not concern the guide of every plot."""


@dataclass(frozen=True, slots=True)
class Prepared:
    """One plot, ready to be written: its layers, its home, its articles and its guide; ``others``: the same
    in its other languages."""

    plot: PlotSource
    stack: Stack
    traced: TracedHome
    about: About
    guide: Guide
    checked: Checked
    others: tuple[OtherGuide, ...] = ()

    @property
    def selection(self) -> Selection:
        return self.about.selection


@dataclass(frozen=True, slots=True)
class Preparation:
    """A workspace after the first half of the pipeline.

    ``asked`` names the plots asked for, ``homes`` holds those whose layers make a home, ``plots``
    those that have no error besides; ``findings`` holds all mistakes.
    """

    workspace: Workspace
    asked: tuple[str, ...]
    homes: Mapping[str, Prepared]
    plots: Mapping[str, Prepared]
    findings: Findings


class Preparing:
    """Prepares the plots of one workspace, one after the other. What they share is worked out once.

    ``day`` is the day on which waivers hold or have ended; ``kept`` is what keeps results.
    """

    def __init__(
        self, workspace: Workspace, day: date, before: "Preparing | None" = None, kept: Memo | None = None
    ) -> None:  # fmt: skip
        self._workspace, self._day = workspace, day
        self._renderer: Renderer = before._renderer if before else Renderer()  # noqa: SLF001 - of its own kind
        self._stacking: Stacking = (
            before._stacked(workspace)  # noqa: SLF001
            if before
            else _stacking_of(workspace, kept)
        )
        self._despite = Despite(day)
        self._articles = tuple(source.article for source in workspace.articles.values())
        self._library: Library = (before and before._library_of(workspace)) or library_of(workspace)  # noqa: SLF001
        self._translators: Translators = Translators(
            workspace.languages,
            self._articles,
            self._library,
            before._translators if before else None,  # noqa: SLF001
        )

    def following(self, workspace: Workspace, day: date) -> "Preparing | None":
        """This, for a later reading of the workspace in which only plots are others: what plots share is
        not worked out again. Nothing where something that they share has changed, or the day."""
        now, before = workspace, self._workspace
        if day != self._day or _what_plots_share(now) != _what_plots_share(before):
            return None
        other = copy(self)
        other._workspace = workspace  # noqa: SLF001
        other._stacking = self._stacking.following(workspace)  # noqa: SLF001
        return other

    def again(self, workspace: Workspace, day: date) -> "Preparing":
        """This, for a later reading in which anything may be another: what is made from parts that are the
        very same is not made again. On another day nothing is taken over."""
        return Preparing(workspace, day, self if day == self._day else None)

    def _stacked(self, workspace: Workspace) -> Stacking:
        """The layers of another reading: merged already where they are the very same."""
        if _layers_of(workspace) == _layers_of(self._workspace):
            return self._stacking.following(workspace)
        return _stacking_of(workspace, self._stacking.kept)

    def _library_of(self, workspace: Workspace) -> Library | None:
        """Its library, if that of another reading is made of the very same."""
        same = _said_by_editors(workspace) == _said_by_editors(self._workspace)
        return self._library if same else None

    def unreadable(self) -> Iterator[Finding]:
        """One finding for each article whose template cannot be read."""
        return self._renderer.unreadable(self._articles)

    def plot(self, reference: str, findings: Findings) -> Prepared | None:
        """A plot, or nothing where its layers make no home; all that is wrong with it."""
        place = self._workspace.plots[reference].row.place
        with one_plot(reference, place, "checked", findings):
            return self._prepared(reference, findings)
        return None

    def _prepared(self, reference: str, findings: Findings) -> Prepared | None:
        plot, stacking = self._workspace.plots[reference], self._stacking
        stacking.findings = findings
        stack = stacking.stack(plot)
        if stack is None:
            return None
        merged, lost = stacking.merge(stack), lost_in(self._workspace, plot)
        traced = assemble(reference, merged, findings, lost)
        if traced is None:
            findings.extend(self._despite.found(stack, merged, lost))
            return None
        checked = check_home(traced, self._day, CHECKED_RULES)
        findings.extend(checked.findings)
        findings.extend(days_to_come(traced, self._day))
        findings.extend(photographs_can_be_shown(traced, self._workspace.folder))
        findings.extend(look_can_be_shown(traced, self._workspace.folder.root))
        found = Findings()
        about = about_of(traced, self._articles, self._renderer, found)
        unread = ids_of_articles(self._workspace.unread)
        findings.extend(equipment_without_article(traced, about.selection, unread))
        findings.extend(roles_without_contact(traced))
        findings.extend(shared_places_unsaid(traced))
        guide = compose(reference, about, self._renderer, found, self._library)
        findings.extend(words_of_other_nations(traced, about, self._workspace, self._renderer))
        findings.extend(titles_differ(traced, guide.pages, self._workspace))
        others = tuple(self._translators.others(traced, about, guide, found))
        findings.extend(
            each.for_plots(reference) for each in found if not echo(each, self._workspace)
        )
        return Prepared(plot, stack, traced, about, guide, checked, others)

    def house_type(self, name: str, findings: Findings) -> TracedHome | None:
        """A house type as the first development would have it, and what is wrong with it, whichever
        development had a plot of it."""
        return home_of_house_type(self._workspace, name, self._day, findings, self._stacking)

    def record_mistakes(self, prepared: Prepared) -> Iterable[Finding]:
        """What is wrong in the record of handing over of a plot."""
        return handover_record_mistakes(prepared.traced, prepared.plot.own)

    def ready(self, reference: str, findings: Findings) -> Prepared | None:
        """A plot that can be published, or nothing. All that is wrong with it goes to ``findings``."""
        prepared = self.plot(reference, findings)
        mistakes = tuple(self.record_mistakes(prepared)) if prepared else ()
        findings.extend(each.for_plots(reference) for each in mistakes)
        return None if mistakes or findings.errors else prepared


def prepare(root: Path, references: Iterable[str], day: date) -> Preparation:
    """Everything about the plots asked for (none: all), and all mistakes of the workspace.

    ``day`` is the day on which waivers hold or have ended.
    """
    findings = Findings()
    return prepare_read(read_workspace(root, findings), findings, references, day)


def prepare_read(
    workspace: Workspace,
    findings: Findings,
    references: Iterable[str],
    day: date,
    *,
    every: bool = True,
) -> Preparation:
    """Prepares plots of a workspace that was read. Mistakes are added to ``findings``. ``every``: no reference
    means all plots, not none."""
    named = tuple(references)
    asked = chosen_plots(workspace, named) if named or every else ()
    preparing = Preparing(workspace, day)
    findings.extend(preparing.unreadable())
    prepared = {
        reference: each
        for reference in asked
        if (each := preparing.plot(reference, findings)) is not None
    }
    for found in _workspace_rules(
        workspace, asked, prepared, day, whole=len(prepared) == len(workspace.plots)
    ):
        findings.extend(found)
    for each in prepared.values():
        findings.extend(preparing.record_mistakes(each))
    sound = {
        name: each for name, each in prepared.items() if not stopped(each.plot, workspace, findings)
    }
    return Preparation(workspace, asked, prepared, sound, findings)


def _what_plots_share(workspace: Workspace) -> tuple[object, ...]:
    """All that plots share, in which the very same entries are found equal at once."""
    texts = (
        workspace.articles, workspace.symptoms, workspace.drawings, workspace.languages, workspace.demonstration,
    )  # fmt: skip
    return (workspace.folder.root, *_layers_of(workspace), *texts)


def _layers_of(workspace: Workspace) -> tuple[object, ...]:
    """All layers that plots share."""
    developments = tuple((name, each.entry) for name, each in workspace.developments.items())
    return (
        workspace.papers, workspace.standard, workspace.house_types, workspace.options, developments,
    )  # fmt: skip


def _stacking_of(workspace: Workspace, kept: Memo | None = None) -> Stacking:
    return Stacking(workspace, Findings(), mistaken=True, kept=kept)


def _said_by_editors(workspace: Workspace) -> tuple[object, ...]:
    """All that a library is made of."""
    return (
        workspace.folder.root, workspace.symptoms, workspace.drawings, workspace.demonstration.sources,
    )  # fmt: skip


def library_of(workspace: Workspace) -> Library:
    """The line drawings of a workspace, its symptoms whose ways lead somewhere, and the words of the
    walk. Their mistakes are found with those of all files that plots share."""
    symptoms = {
        name: each.symptom
        for name, each in workspace.symptoms.items()
        if each.symptom is not None and each.symptom.first in each.symptom.steps
    }
    size_of = PictureSizes(workspace.folder.root).size_of
    script = script_of(workspace, Findings())
    return Library(symptoms, workspace.drawings, size_of, script)


def echo(finding: Finding, workspace: Workspace) -> bool:
    """Whether a link is dead only because its article could not be read, which is said already."""
    named = finding.wrong.removeprefix("'article:").partition("'")[0]
    return finding.code == "article.dead-link" and any(
        file.endswith(f"/{named}.md") for file in workspace.unread
    )


def _workspace_rules(
    workspace: Workspace,
    asked: Collection[str],
    plots: Mapping[str, Prepared],
    day: date,
    *,
    whole: bool,
) -> Iterator[Iterable[Finding]]:
    """What is checked once for all plots; ``whole``: no plot of the workspace was left out."""
    prepared = plots.values()
    yield from shared_files(workspace, day, asked)
    yield kinds_name_articles(workspace, [each.traced.home for each in prepared])
    if whole:
        yield unused_house_types(workspace, day)
        yield idle_waivers({name: (each.traced, each.checked) for name, each in plots.items()})
        yield articles_that_fit_no_home(workspace, [each.selection for each in prepared])


def shared_files(
    workspace: Workspace, day: date, asked: Collection[str] | None = None
) -> Iterator[Iterable[Finding]]:
    """What is checked of files that all plots share, without looking at any home. ``asked``: the plots that
    are wanted, if not all."""
    yield from files_together(workspace, asked)
    yield from each_file(workspace, day)


def files_together(
    workspace: Workspace, asked: Collection[str] | None = None
) -> Iterator[Iterable[Finding]]:
    """What is checked of shared files with all others beside them."""
    yield invented_values(workspace)
    if workspace.standard is not None:
        yield articles_name_what_exists(workspace)
        yield tasks_that_facts_repeat(workspace)
        yield texts_ask_for_what_is_there(workspace)
        yield symptoms_lead_somewhere(workspace.symptoms, _ids_by_section(workspace))
        yield demonstration_words(workspace)
    yield languages_are_read(workspace, asked)


def each_file(workspace: Workspace, day: date) -> Iterator[Iterable[Finding]]:
    """What is checked of shared files one by one: of each the same, whatever stands beside it."""
    yield hedging(workspace)
    yield one_term(workspace)
    yield bare_sides(workspace)
    yield marked(workspace)
    yield letters_of_paper(workspace)
    yield articles_are_kept(workspace, day)


def _ids_by_section(workspace: Workspace) -> Mapping[str, set[str]]:
    """The ids of each section that symptoms name."""
    sections = ("systems", "kinds", "roles", "matters")
    return {
        **{name: section_ids(workspace, name) for name in sections},
        "articles": {*workspace.articles, *ids_of_articles(workspace.unread)},
    }


def demonstration_words(workspace: Workspace) -> Findings:
    """What is wrong with the words for demonstrations, those that ship among them."""
    findings = Findings()
    kinds, room_kinds = (section_ids(workspace, each) for each in ("kinds", "room_kinds"))
    ships = shipped_demonstration(workspace.folder.root)
    check_demonstration(workspace.demonstration, ships, kinds, room_kinds, findings)
    return findings


def stopped(plot: PlotSource, workspace: Workspace, findings: Findings) -> bool:
    """Whether an error concerns this plot: one that names it, or one in a file that it reads.

    A mistake in an article, or in a file that is nobody's, concerns every plot; one in words that no
    guide holds concerns none.
    """
    errors = findings.errors
    own = files_of(workspace, plot) if errors else frozenset()
    for finding in errors:
        file = finding.place.file
        if plot.reference in finding.plots:
            return True
        particular = file.startswith(OF_SOME_PLOTS)
        if not finding.plots and (file in own or not particular):
            return True
    return False
