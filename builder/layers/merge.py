"""The merge of layers, in which every value remembers who said it and what it replaced.

The rule in one sentence: maps merge by key, everything else is replaced, ``null`` removes.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from builder.errors import Finding, Findings, Place, suggestion
from builder.layers.memo import Memo
from builder.sources.entry import Address, Entry, dotted, plain


class _Removed:
    """Stands for a value that a layer took away."""

    def __repr__(self) -> str:
        return "removed"


REMOVED: Final = _Removed()


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer of a home: its name as people say it, and what it says."""

    name: str
    entry: Entry


@dataclass(frozen=True, slots=True)
class Saying:
    """What one layer said in one place: a plain value, a mapping (as ``{}``), or ``REMOVED``."""

    layer: str
    place: Place
    value: Any
    named_at: Place


@dataclass(frozen=True, slots=True)
class Merged:
    """A merged value and all that was said of it, lowest layer first; the last saying holds.

    ``kept``: on the whole of a home, what the run has worked out from its sections and others'.
    """

    value: Any = None
    children: "Mapping[str, Merged] | None" = None
    sayings: tuple[Saying, ...] = ()
    kept: Memo | None = field(default=None, compare=False, repr=False)

    @property
    def removed(self) -> bool:
        return bool(self.sayings) and self.sayings[-1].value is REMOVED

    @property
    def present(self) -> "dict[str, Merged]":
        """The entries of a mapping that no layer took away."""
        return {key: child for key, child in (self.children or {}).items() if not child.removed}

    def child(self, step: str | int) -> "Merged | None":
        return (self.children or {}).get(str(step))

    def nearest(self, address: Address) -> "Merged":
        """The merged value at an address, or the last one on the way to it."""
        here = self
        for step in address:
            inner = here.child(step)
            if inner is None:
                return here
            here = inner
        return here


@dataclass(slots=True)
class Merging:
    """Merges layers one over the other; mistakes go to ``findings``.

    Trees are shared between plots, never changed: merging a layer copies only the way to what it
    changes. With ``kept``, a section that two developments share is merged once for both.
    """

    findings: Findings
    plots: tuple[str, ...] = ()
    kept: Memo | None = None
    _path: list[str] = field(default_factory=list)

    def over(self, below: Merged, layer: Layer) -> Merged:
        """The merged values once this layer lies over those below."""
        return self.inner(below, layer.entry, layer.name)

    def inner(self, below: Merged | None, entry: Entry, layer: str) -> Merged:
        """What stands after a layer said something of one part of a home."""
        said = below.sayings if below else ()
        if not isinstance(entry.value, Mapping):
            value = plain(entry)
            return Merged(value, None, (*said, _saying(layer, entry, value)))
        children = dict(below.children or {}) if below and not below.removed else {}
        for key, child in entry.value.items():
            self._path.append(key)
            children[key] = self._child(children, key, child, layer)
            if not children[key].sayings:
                del children[key]
            self._path.pop()
        return Merged(None, children, (*said, _saying(layer, entry, {})))

    def _child(self, siblings: Mapping[str, Merged], key: str, entry: Entry, layer: str) -> Merged:
        below = siblings.get(key)
        if entry.value is not None:
            return self._section_once(below, entry, layer)
        if below is None or below.removed:
            self._nothing_to_remove(key, entry, siblings)
            return below or Merged()
        return Merged(None, None, (*below.sayings, _saying(layer, entry, REMOVED)))

    def _section_once(self, below: Merged | None, entry: Entry, layer: str) -> Merged:
        """A whole section is merged the first time that these layers meet in it."""
        if self.kept is None or len(self._path) > 1:
            return self.inner(below, entry, layer)
        merged, findings = self.kept.once(_merged_section, below, entry, layer, self._path[0])
        self.findings.extend(finding.for_plots(*self.plots) for finding in findings)
        return merged

    def _nothing_to_remove(self, key: str, entry: Entry, siblings: Mapping[str, Merged]) -> None:
        known = [name for name, sibling in siblings.items() if not sibling.removed]
        self.findings.add(
            Finding(
                "merge.nothing-to-remove",
                entry.named_at,
                f"No lower layer has '{key}' here, so there is nothing to remove.",
                suggestion(key, known, "Lower layers have"),
                path=dotted(self._path),
                plots=self.plots,
            )
        )


def _merged_section(
    below: Merged | None, entry: Entry, layer: str, section: str
) -> tuple[Merged, tuple[Finding, ...]]:
    findings = Findings()
    merging = Merging(findings, _path=[section])
    return merging.inner(below, entry, layer), tuple(findings)


def _saying(layer: str, entry: Entry, value: Any) -> Saying:
    return Saying(layer, entry.place, value, entry.named_at)


def plain_value(merged: Merged) -> Any:
    """The merged data as ordinary dictionaries, lists and scalars."""
    if merged.children is None:
        return merged.value
    return {key: plain_value(child) for key, child in merged.present.items()}


def leaves(merged: Merged, path: Address = ()) -> Iterator[tuple[Address, Merged]]:
    """Every leaf and every removed value beneath, with its address."""
    if merged.children is None:
        yield path, merged
        return
    for key, child in merged.children.items():
        yield from leaves(child, (*path, key))
