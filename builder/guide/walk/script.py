"""What is said of each thing: the words that ship with the builder, and the workspace's own."""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from builder.errors import Findings
from builder.guide.about import About
from builder.home.translated import replaced, texts_of
from builder.languages.language import FIRST, Language, Say
from builder.layers.memo import Memo
from builder.model.demonstration import DemonstrationFile, Showing, Times
from builder.model.equipment import Kind
from builder.model.home import Home
from builder.model.record import Prose, entries_of
from builder.selection.wording import worded, worded_by_kind
from builder.sources.demonstration import shipped_demonstration, unknown_kinds
from builder.sources.entry import Entry
from builder.sources.workspace import Workspace


@dataclass(frozen=True, slots=True)
class Script:
    """Every showing by what it is of, what is done before, and the minutes of what is no thing."""

    kinds: Mapping[str, Showing]
    room_kinds: Mapping[str, Showing]
    subjects: Mapping[str, Showing]
    before: Mapping[str, str]
    times: Times

    def of_kind(self, name: str, home: Home, say: Say = FIRST.say) -> Showing:
        """A kind's own showing, else that of a kind it counts as, else what its record says."""
        kind = home.kinds[name]
        for each in (name, *kind.counts_as):
            if each in self.kinds:
                return self.kinds[each]
        return _plain_showing(kind, say)

    def in_home(self, showing: Showing, about: About) -> Showing:
        """A showing as it is in one home: its version for that home, with whom to call named."""
        found = (each for each in showing.versions.values() if about.applies(each))
        version = next(found, None)
        words = {
            name: text
            for name in ("show", "say", "try_", "caution")
            if (text := (version and getattr(version, name)) or getattr(showing, name))
        }
        return showing.model_copy(update=words)

    def worded_for(
        self, home: Home, kept: Memo | None = None, language: Language = FIRST
    ) -> "Script":
        """The same in a language, and in the words of a home's nation; with ``kept`` the very same for
        homes alike. A text is translated as its editor wrote it, before anybody is named in it."""
        kept = kept or Memo()
        said = self if language is FIRST else kept.once(_translated, self, language)
        return kept.once(
            Script,
            worded_by_kind(said.kinds, home, kept),
            worded(said.room_kinds, home, kept),
            worded(said.subjects, home, kept),
            worded(said.before, home, kept),
            said.times,
        )

    def texts(self) -> Iterator[str]:
        """Every text that is shown or said, as its editor wrote it."""
        for name, annotation in _SAID.items():
            section = getattr(self, name)
            if annotation is not _BEFORE:
                section = {key: without_basis(each) for key, each in section.items()}
            yield from texts_of(section, annotation)

    def versions_in(self, about: About) -> tuple[tuple[str, str], ...]:
        """Of which things a version for this home stands over the usual words: their ids, and its."""
        return tuple(
            (f"{section}.{name}", version)
            for section in ("kinds", "room_kinds", "subjects")
            for name, showing in getattr(self, section).items()
            for version, each in showing.versions.items()
            if about.applies(each)
        )

    def minutes(self, of: str) -> float:
        """Minutes of a greeting, a reading, a floor, the keys, the papers or the signing."""
        return getattr(self.times, of) or 0.0


def _plain_showing(kind: Kind, say: Say) -> Showing:
    """What can be said of a kind that no editor has written of."""
    return Showing(
        show=say("Where it is. %(what)s", what=kind.what),
        say=say("Read its page in the guide before you use it."),
        basis="the data of this home",
    )


_BEFORE = Mapping[str, Prose]
_SHOWINGS = Mapping[str, Showing]
_SAID = {"kinds": _SHOWINGS, "room_kinds": _SHOWINGS, "subjects": _SHOWINGS, "before": _BEFORE}
"""The sections that hold texts, and what they are of."""


def without_basis(showing: Showing) -> Showing:
    """A showing without the source of what it says, which is not shown."""
    return showing.model_copy(update={"basis": ""})


def _translated(script: Script, language: Language) -> Script:
    said = {
        name: replaced(getattr(script, name), annotation, language.text)
        for name, annotation in _SAID.items()
    }
    return replace(script, **said)


def script_of(workspace: Workspace, findings: Findings) -> Script:
    """The words that ship, with the workspace's own over them: maps merge by key, null removes."""
    own, ships = workspace.demonstration, shipped_demonstration(workspace.folder.root)
    findings.extend((*ships.mistakes, *own.mistakes))
    kinds, room_kinds = _ids_written(workspace, "kinds"), _ids_written(workspace, "room_kinds")
    findings.extend(unknown_kinds([each.entry for each in own.sources], kinds, room_kinds))
    return _merged([each.read for each in (*ships.sources, *own.sources)])


def _merged(files: Collection[DemonstrationFile]) -> Script:
    times = {
        name: minutes
        for file in files
        for name, minutes in entries_of(file.times).items()
        if minutes is not None
    }
    sections = {
        name: _merged_layers(getattr(file, name) for file in files)
        for name in ("kinds", "room_kinds", "subjects", "before")
    }
    return Script(**sections, times=Times(**times))


def _merged_layers(layers: Iterator[Mapping[str, Any]]) -> dict[str, Any]:
    merged: dict[str, Any] = {}
    for layer in layers:
        merged |= layer
    return {name: value for name, value in merged.items() if value is not None}


def _ids_written(workspace: Workspace, section: str) -> frozenset[str]:
    """Every id that some layer of the workspace writes in a section."""
    return frozenset(name for layer in _layers(workspace) for name in _ids(layer, section))


def _layers(workspace: Workspace) -> Iterator[Entry]:
    yield from workspace.shared_layers
    for plot in workspace.plots.values():
        departures = plot.own.child("departures") if plot.own else None
        for departure in (departures.children if departures else {}).values():
            if changes := departure.child("changes"):
                yield changes


def _ids(layer: Entry, section: str) -> Iterator[str]:
    held = layer.child(section)
    yield from held.children if held else ()
