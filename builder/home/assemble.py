"""From merged layers to the home: typed, complete, every reference pointing at something."""

from collections import defaultdict
from dataclasses import dataclass, field

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from builder.errors import Finding, Findings, Place, near_miss, suggestion
from builder.home.hand import turned
from builder.home.positions import positioned
from builder.home.sections import home_of, references_in
from builder.layers.kept import Kept
from builder.layers.merge import Merged, Saying
from builder.model.home import Home
from builder.sources.checking import mistake
from builder.sources.entry import Address, dotted
from builder.sources.nations import SHIPPED_NATIONS


@dataclass(frozen=True, slots=True)
class TracedHome:
    """A home, and the merged layers that say where each of its values came from.

    ``drawn`` is the same home as its authors drew it, before it was turned to the hand of the plot;
    ``kept`` is what the run has worked out from sections that this home shares with others.
    """

    reference: str
    home: Home
    merged: Merged
    drawn: Home
    kept: Kept = field(default_factory=Kept, compare=False, repr=False)

    def place(self, *address: str | int) -> Place:
        """Where the value at an address was written; of a record, where it was first added."""
        return self.said(*address).named_at

    def said(self, *address: str | int) -> Saying:
        """What was said at an address, by the layer that holds; of a record, by its first."""
        found = self.merged.nearest(address)
        return found.sayings[0 if found.children is not None else -1]


def assemble(reference: str, merged: Merged, findings: Findings) -> TracedHome | None:
    """The home of a plot in its own hand, or nothing and findings."""
    kept = merged.kept or Kept()
    try:
        home = home_of(merged, kept)
    except ValidationError as error:
        for finding in _refused(error, merged):
            findings.add(finding.for_plots(reference))
        return None
    broken = [finding.for_plots(reference) for finding in _broken_references(home, merged, kept)]
    findings.extend(broken)
    if broken:
        return None
    drawn = positioned(home, kept)
    return TracedHome(reference, turned(drawn, kept), merged, drawn, kept)


def _refused(error: ValidationError, merged: Merged) -> list[Finding]:
    """One finding a mistake, and one for all that a record lacks."""
    missing: dict[Address, list[str]] = defaultdict(list)
    found = []
    for details in error.errors(include_url=False):
        address = tuple(step for step in details["loc"] if step != "[key]")
        if details["type"] == "missing":
            missing[address[:-1]].append(str(address[-1]))
        else:
            found.append(_mistake(details, address, merged))
    found += [_lacking(address, names, merged) for address, names in missing.items()]
    return found


def _mistake(details: ErrorDetails, address: Address, merged: Merged) -> Finding:
    code, wrong, right = mistake(details, Home, address)
    saying = merged.nearest(address).sayings[-1]
    return Finding(code, saying.place, wrong, right, path=dotted(address))


def _lacking(address: Address, names: list[str], merged: Merged) -> Finding:
    """What a record lacks; a near miss where it was meant to change one of a lower layer."""
    record = merged.nearest(address)
    saying = record.sayings[0] if record.sayings else None
    listed = " and ".join(f"'{name}'" for name in names)
    verb = "are" if len(names) > 1 else "is"
    right = f"Add {listed}."
    siblings = merged.nearest(address[:-1]).present if len(address) > 1 else {}
    close = near_miss(str(address[-1]), set(siblings) - {str(address[-1])}) if address else None
    if close is not None:
        right = f"To change '{close}' of a lower layer, use its id. Otherwise add {listed}."
    return Finding(
        "home.missing",
        saying.named_at if saying else Place("."),
        f"{listed} {verb} missing, in this layer and in all below it.",
        right,
        path=dotted(address),
    )


def _broken_references(home: Home, merged: Merged, kept: Kept) -> list[Finding]:
    """One finding for each id that names nothing in its section."""
    return [
        _broken(address, value, section, tuple(known), merged)
        for address, value, section in references_in(home, kept)
        if value not in (known := getattr(home, section)) and not _ships(address, merged)
    ]


def _ships(address: Address, merged: Merged) -> bool:
    """Whether an id stands in a layer that ships: it may speak of kinds that a workspace has not."""
    return merged.nearest(address).sayings[-1].place.file.startswith(SHIPPED_NATIONS)


def _broken(
    address: Address, value: str, section: str, known: tuple[str, ...], merged: Merged
) -> Finding:
    thing = section.replace("_", " ")
    return Finding(
        "home.unknown-reference",
        merged.nearest(address).sayings[-1].place,
        f"There is no '{value}' in {thing}.",
        suggestion(value, known, f"The {thing} here"),
        path=dotted(address),
    )
