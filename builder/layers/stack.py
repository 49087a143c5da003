"""Which layers make a home: nation, standard, development, house type, options in order, departures."""

from collections.abc import Iterator, Mapping
from copy import copy
from dataclasses import dataclass, replace

from builder.errors import Finding, Findings, suggestion
from builder.layers.memo import Memo
from builder.layers.merge import REMOVED, Layer, Merged, Merging, Saying, leaves
from builder.recent import RecentResults
from builder.sources.entry import Address, Entry, plain
from builder.sources.nations import UNSAID, every_nation, nation_of, nations
from builder.sources.workspace import PAPERS as PAPERS_FILE
from builder.sources.workspace import STANDARD, PlotSource, Workspace

EVERY_NATION, PAPERS = "every nation", "papers of the workspace"
"""The names of the lowest layer, and of the papers that a workspace adds or takes out."""

MERGED = 500
"""Merged layers that a run keeps: those of the house types and options that it has come to lately."""


@dataclass(frozen=True, slots=True)
class Stack:
    """The layers of one plot, lowest first: those it shares with others, then its own."""

    plot: PlotSource
    shared: tuple[Layer, ...]
    own: tuple[Layer, ...]

    @property
    def layers(self) -> tuple[Layer, ...]:
        return self.shared + self.own


class Stacking:
    """Stacks and merges the layers of plots. What plots share is merged once.

    ``mistaken``: also plots that something is wrong with in files, without what is wrong there. They
    are looked at for more mistakes, and nothing else is made of them. ``kept``: what was worked out before.
    """

    def __init__(
        self, workspace: Workspace, findings: Findings, *, mistaken: bool = False, kept: Memo | None = None,
    ) -> None:  # fmt: skip
        self.workspace = workspace
        self._mistaken = mistaken
        self.findings = findings
        self.kept = kept or Memo()
        self._layers = dict(_named_layers(workspace))
        self._merged: RecentResults[tuple[str, ...], tuple[Merged, tuple[Finding, ...]]] = (
            RecentResults(MERGED)
        )

    def following(self, workspace: Workspace) -> "Stacking":
        """This, for a later reading of the workspace in which only plots are others."""
        other = copy(self)
        other.workspace = workspace
        return other

    def stack(self, plot: PlotSource) -> Stack | None:
        """The layers of a plot, or nothing where one of them is missing or could not be read."""
        in_row = list(_named_in_row(plot))
        known = [self._is_known(what, cell, plot) for what, cell in in_row]
        if not all(known):
            return None
        named = [*self._below(plot.development), f"development {plot.development}"]
        named += [f"{what} {cell.value}" for what, cell in in_row]
        if (
            _lacks_house_type(plot)
            or (self._has_mistakes(plot) and not self._mistaken)
            or not self._layers.keys() >= set(named)
        ):
            return None
        shared = tuple(self._layers[name] for name in named)
        return Stack(plot, shared, (Layer("plots.csv", plot.row), *_own_layers(plot)))

    def merge(self, stack: Stack) -> Merged:
        """All layers of a plot merged, from the lowest."""
        merged, found = self._merged_shared(stack.shared)
        for finding in found:
            self.findings.add(finding.for_plots(stack.plot.reference))
        merging = Merging(self.findings, (stack.plot.reference,))
        for layer in stack.own:
            merged = merging.over(merged, layer)
        return replace(merged, kept=self.kept)

    def _merged_shared(self, layers: tuple[Layer, ...]) -> tuple[Merged, tuple[Finding, ...]]:
        if not layers:
            return Merged(), ()
        key = tuple(layer.name for layer in layers)
        found = self._merged.get(key)
        if found is None:
            below, earlier = self._merged_shared(layers[:-1])
            findings = Findings()
            merged = Merging(findings, kept=self.kept).over(below, layers[-1])
            found = self._merged.keep(key, (merged, (*earlier, *findings)))
        return found

    def _below(self, development: str) -> Iterator[str]:
        """The layers below a development: its nation, the papers of the workspace, the standard."""
        entry = self.workspace.developments[development].entry
        yield EVERY_NATION
        yield f"nation {nation_of(entry) if entry else UNSAID}"
        if self.workspace.papers is not None:
            yield PAPERS
        yield "builder standard"

    def _has_mistakes(self, plot: PlotSource) -> bool:
        """Whether something was left out of the files of a plot, because it is wrong."""
        files = files_of(self.workspace, plot) | {PAPERS_FILE}
        return bool(plot.lost or files & self.workspace.unread)

    def _is_known(self, what: str, cell: Entry, plot: PlotSource) -> bool:
        known = self.workspace.options if what == "option" else self.workspace.house_types
        file = f"housetypes/{'options/' if what == 'option' else ''}{cell.value}.yaml"
        if cell.value in known:
            return True
        if file not in self.workspace.unread:
            self.findings.add(_unknown(what, cell, known, plot))
        return False


def _lacks_house_type(plot: PlotSource) -> bool:
    return "house_type" not in plot.row.children["plot"].children


def _unknown(what: str, cell: Entry, known: Mapping[str, Entry], plot: PlotSource) -> Finding:
    return Finding(
        f"plots.unknown-{what.replace(' ', '-')}",
        cell.place,
        f"There is no {what} '{cell.value}'.",
        suggestion(str(cell.value), known, f"Each {what} here"),
        path="plot.options" if what == "option" else "plot.house_type",
        plots=(plot.reference,),
    )


def _named_layers(workspace: Workspace) -> Iterator[tuple[str, Layer]]:
    """Every layer that plots share, by its name."""
    entries = {f"nation {name}": entry for name, entry in nations().items()}
    entries[EVERY_NATION] = every_nation()
    if workspace.papers is not None:
        entries[PAPERS] = workspace.papers
    if workspace.standard is not None:
        entries["builder standard"] = workspace.standard
    for name, development in workspace.developments.items():
        if development.entry is not None:
            entries[f"development {name}"] = development.entry
    for name, entry in workspace.house_types.items():
        entries[f"house type {name}"] = entry
    for name, entry in workspace.options.items():
        entries[f"option {name}"] = _option(name, entry)
    for name, entry in entries.items():
        yield name, Layer(name, entry)


def _option(name: str, entry: Entry) -> Entry:
    """An option's file as a layer: its own description becomes an entry of ``options``."""
    sections = dict(entry.children)
    about = sections.pop("option")
    named = Entry({name: about}, about.place, about.key_place)
    return Entry({**sections, "options": named}, entry.place)


def _named_in_row(plot: PlotSource) -> Iterator[tuple[str, Entry]]:
    """The house type and the options that a plot's row names."""
    cells = plot.row.children["plot"].children
    if "house_type" in cells:
        yield "house type", cells["house_type"]
    options = cells.get("options")
    if options is not None and isinstance(options.value, tuple):
        for option in options.value:
            yield "option", option


def _own_layers(plot: PlotSource) -> Iterator[Layer]:
    """The departures in the order of their file, then serial numbers and days of registration, then
    later owners."""
    if plot.own is None:
        return
    departures = plot.own.children.get("departures")
    for name, departure in (departures.children if departures else {}).items():
        if changes := departure.child("changes"):
            yield Layer(f"departure {name}", changes)
    for section, field in (("serials", "serial"), ("registrations", "registered")):
        told = plot.own.children.get(section)
        if told is not None and told.children:
            yield Layer(section, _layer_of_equipment(told, field))
    owners = plot.own.children.get("later_owners")
    if owners is not None and owners.children:
        layer = Entry({"later_owners": owners}, owners.place, owners.key_place)
        yield Layer("later owners", layer)


def _layer_of_equipment(told: Entry, field: str) -> Entry:
    """A section of values by the ids of equipment as a layer over the equipment itself."""
    equipment = {
        name: Entry({field: value}, value.place, value.key_place)
        for name, value in told.children.items()
    }
    return Entry({"equipment": Entry(equipment, told.place, told.key_place)}, told.place)


def lost_in(workspace: Workspace, plot: PlotSource) -> frozenset[Address]:
    """What was left out of the layers of a plot because it is wrong, by its addresses in the home."""
    files = files_of(workspace, plot) | {PAPERS_FILE}
    return plot.lost.union(*(workspace.lost.get(file, ()) for file in files))


def files_of(workspace: Workspace, plot: PlotSource) -> frozenset[str]:
    """The source files that one plot's home is made from."""
    development = workspace.developments[plot.development]
    named = {
        f"housetypes/{'options/' if what == 'option' else ''}{cell.value}.yaml"
        for what, cell in _named_in_row(plot)
    }
    table = f"{development.file}/plots.csv"
    return frozenset({STANDARD, f"{development.file}/development.yaml", table, plot.file} | named)


def told(stack: Stack, address: Address) -> tuple[Saying, ...]:
    """Each layer's say at an address, lowest first; the last one holds."""
    return tuple(
        saying for layer in stack.layers if (saying := _saying_of_layer(layer, address)) is not None
    )


def _saying_of_layer(layer: Layer, address: Address) -> Saying | None:
    entry = layer.entry
    for step in address:
        if entry.value is None:
            break
        inner = entry.child(step)
        if inner is None:
            return None
        entry = inner
    return Saying(layer.name, entry.place, _value(entry), entry.named_at)


def _value(entry: Entry) -> object:
    return REMOVED if entry.value is None else plain(entry)


def leaves_below(merged: Merged, address: Address) -> Iterator[Address]:
    """The addresses of all leaves at or below an address; none where nothing stands there."""
    here = merged
    for step in address:
        inner = here.child(step)
        if inner is None:
            return
        here = inner
    yield from ((*address, *path) for path, _ in leaves(here))
