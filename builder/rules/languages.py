"""What there is to say of the languages of guides: texts that are stale, that lack something, or that
nobody has read who speaks them."""

from collections.abc import Collection, Iterator

from builder.errors import Finding, Severity, in_short
from builder.sources.entry import Entry
from builder.sources.languages import LanguageSource
from builder.sources.workspace import Workspace

NAMED = 6
"""Texts that a finding names; of more, it says how many."""


def languages_are_read(
    workspace: Workspace, asked: Collection[str] | None = None
) -> Iterator[Finding]:
    """What is wrong in the languages that a layer names. ``asked``: the plots whose layers count, if not
    all: who publishes homes in one language has no use for what is wrong in another."""
    for code in sorted(set(_codes_named(workspace, workspace.plots if asked is None else asked))):
        source = workspace.languages.get(code)
        if source is not None:
            yield from _unread_words(source)
            for each in source.said:
                yield from each.findings
            yield from _unread_texts(source)


def _codes_named(workspace: Workspace, asked: Collection[str]) -> Iterator[str]:
    wanted = frozenset(asked)
    plots = [each for reference, each in workspace.plots.items() if reference in wanted]
    developments = [workspace.developments[name] for name in {each.development for each in plots}]
    for layer in (
        workspace.standard, *workspace.house_types.values(), *workspace.options.values(),
        *(each.entry for each in developments),
    ):  # fmt: skip
        yield from _codes(layer)
    for plot in plots:
        departures = plot.own.child("departures") if plot.own else None
        for departure in departures.children.values() if departures else ():
            yield from _codes(departure.child("changes"))


def _codes(layer: Entry | None) -> Iterator[str]:
    said = layer.child("languages") if layer else None
    if said is not None and isinstance(said.value, tuple):
        yield from (str(each.value) for each in said.value)


def _unread_words(source: LanguageSource) -> Iterator[Finding]:
    """One finding for each catalogue that nobody vouches for. Its words stand in guides all the same: of
    a page without them nothing would be left."""
    name = source.translated.language.called
    for each in source.catalogues:
        if not each.read_by:
            yield Finding(
                "language.unread-words",
                each.place,
                f"Nobody who speaks {name} has read the {len(each.texts)} texts of this catalogue,"
                " and guides show them.",
                "Have them read. Then write '# Read by: <role>, <year-month-day>' at the top of the file.",
                severity=Severity.WARNING,
            )


def _unread_texts(source: LanguageSource) -> Iterator[Finding]:
    """One finding for all articles and symptoms that nobody has read: they are shown in the first
    language."""
    unread = [each for each in source.said if not each.read and not each.findings]
    if not unread:
        return
    listed = in_short([each.of for each in unread], NAMED)
    name = source.translated.language.called
    yield Finding(
        "language.unread",
        unread[0].place,
        f"Nobody who speaks {name} has read these, so guides show them in the first language:"
        f" {listed}.",
        "Have each read, and write in it 'read_by:' with their role, and 'read:' with the day.",
        severity=Severity.WARNING,
    )
