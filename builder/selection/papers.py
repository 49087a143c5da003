"""Papers that a law or a standard asks for, and that a layer took out: a rule that asks conditions."""

from collections.abc import Iterator, Mapping
from functools import cache

from builder.errors import Findings
from builder.home.assemble import TracedHome
from builder.layers.merge import Layer, Merged, Merging, leaves, plain_value
from builder.model.handover import Document
from builder.rules.rule import Problem, rule_of_layers
from builder.selection.conditions import Judge
from builder.sources.entry import Address
from builder.sources.nations import SHIPPED_NATIONS, UNSAID, every_nation, nations

_SECTION = "documents"
_NOBODYS = "common practice"
"""What the basis of a paper begins with that no law or standard asks for."""
_RIGHT = "Take out the line that says so, or set this rule aside by a waiver that says why."


@rule_of_layers(
    "documents.taken-out", "No paper is taken out that a law or a standard asks for.",
    basis="the law or the standard that the paper rests on, which the finding names",
)  # fmt: skip
def papers_of_law_are_given(traced: TracedHome) -> Iterator[Problem]:
    gone = tuple(_gone(traced))
    if gone and _SECTION not in traced.merged.present:
        told = "; ".join(_told(paper) for _, paper in gone)
        wrong = f"All papers are taken out, and these are asked for: {told}."
        yield Problem((_SECTION,), wrong, _RIGHT)
        return
    for name, paper in gone:
        yield Problem(_said_at(name, traced), f"A paper is taken out: {_told(paper)}.", _RIGHT)


def _gone(traced: TracedHome) -> Iterator[tuple[str, Document]]:
    """The papers that this home needs, and that are asked for no more."""
    home, judge = traced.home, Judge(traced.home, traced.kept, traced.alike)
    for name, paper in _of_law(home.development.nation or UNSAID).items():
        given = home.documents.get(name)
        if given is not None and given.when in (None, paper.when):
            continue
        needed = paper.when is None or judge.holds(paper.when)
        if needed and not (given and given.when and judge.holds(given.when)):
            yield name, paper


def _said_at(name: str, traced: TracedHome) -> Address:
    """Where a paper was taken out, or where its condition was changed so that it is."""
    address = (_SECTION, name)
    paper = traced.merged.nearest(address)
    said = leaves(paper, address) if paper.children is not None else iter(())
    changed = (
        at for at, leaf in said if not leaf.sayings[-1].place.file.startswith(SHIPPED_NATIONS)
    )
    return next((at for at in changed if at[2:3] == ("when",)), address)


def _told(paper: Document) -> str:
    """A paper, what asks for it, and who sees to it."""
    return f"'{paper.name}', owed by {paper.owed_by.replace('-', ' ')} ({paper.basis})"


@cache
def _of_law(nation: str) -> Mapping[str, Document]:
    """The papers that ship for a nation and that a law or a standard asks for, by their ids."""
    merging, merged = Merging(Findings()), Merged()
    for name, entry in (("every nation", every_nation()), (nation, nations()[nation])):
        merged = merging.over(merged, Layer(name, entry))
    papers = {
        name: Document.model_validate(each) for name, each in plain_value(merged)[_SECTION].items()
    }
    return {name: each for name, each in papers.items() if not each.basis.startswith(_NOBODYS)}
