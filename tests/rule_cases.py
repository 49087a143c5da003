"""Cases of the trade rules: a small sound home, one change, and what the rule must say of it.

``tests/rules/<rule>.yaml`` holds the cases of one rule:

    base: house                      # a home of tests/rules/homes
    cases:
      no alarm beside the boiler:    # what is shown
        changes: {equipment: {carbon-monoxide-alarm: null}}     # merged over the home
        finds:                       # exactly what this rule finds; [] for nothing
          - at: equipment.boiler
            wrong: …
            right: …

``changes`` are the plot's departure: maps merge by key, everything else is replaced, null removes.
``development:``, ``options:`` and ``base:`` of one case stand in for those of the file.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from builder.errors import Findings
from builder.home.assemble import TracedHome, assemble
from builder.layers.memo import Memo
from builder.layers.merge import Layer, Merged, Merging
from builder.sources.entry import Entry
from builder.sources.nations import UNSAID, every_nation, nations
from builder.sources.yaml_reader import read_yaml

HERE = Path(__file__).parent
CASES = HERE / "rules"
STANDARD = HERE.parent / "housetypes" / "standard.yaml"
_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_DUMPER = getattr(yaml, "CSafeDumper", yaml.SafeDumper)
ROW = """
plot: {number: "01", address: 1 Riverside, postcode: ZZ99 9ZZ, house_type: x, hand: as-drawn, completion: 2026-03-31}
"""


@dataclass(frozen=True)
class Case:
    """One home, changed, and what one rule finds in it: (path, wrong, right) each."""

    rule: str
    name: str
    base: str
    layers: tuple[tuple[str, str], ...]
    finds: tuple[tuple[str, str, str], ...]
    nation: str = "england"

    def home(self) -> TracedHome:
        """The home of the case, whole and checked."""
        findings = Findings()
        merging, merged = Merging(findings), _base(self.base, self.nation)
        for name, text in self.layers:
            merged = merging.over(merged, Layer(name, _entry(text, f"{self.rule}.yaml")))
        traced = assemble("riverside/01", replace(merged, kept=_kept()), findings)
        assert traced is not None, "\n".join(map(str, findings))
        assert not list(findings), "\n".join(map(str, findings))
        return traced


@cache
def cases() -> tuple[Case, ...]:
    """All cases, in the order of their files."""
    return tuple(each for path in sorted(CASES.glob("*.yaml")) for each in _of(path))


def _of(path: Path) -> list[Case]:
    written = yaml.load(path.read_text(encoding="utf-8"), Loader=_LOADER)
    return [
        Case(
            rule=path.stem,
            name=name,
            base=case.get("base", written.get("base", "house")),
            layers=tuple(_layers(case)),
            finds=tuple((each["at"], each["wrong"], each["right"]) for each in case["finds"]),
            nation=_nation(case, written),
        )
        for name, case in written["cases"].items()
    ]


def _nation(case: Mapping[str, Any], written: Mapping[str, Any]) -> str:
    """The nation of a case: what its development says, else what its file says, else England."""
    named = case.get("development", {}).get("nation", written.get("nation", "england"))
    return str(named or UNSAID)


def _layers(case: Mapping[str, Any]) -> list[tuple[str, str]]:
    """The layers of a case as text, so that they are read as authors' files are."""
    listed = []
    if "development" in case:
        listed.append(("development riverside", {"development": case["development"]}))
    listed += [(f"option {name}", changes) for name, changes in case.get("options", {}).items()]
    listed.append(("departure change", case.get("changes")))
    return [
        (name, yaml.dump(changes, Dumper=_DUMPER, sort_keys=False, allow_unicode=True))
        for name, changes in listed
        if changes
    ]


@cache
def _kept() -> Memo:
    """What the cases share: all but what they change is the same in each."""
    return Memo()


@cache
def _base(name: str, nation: str = "england") -> Merged:
    findings, merged = Findings(), Merged()
    merging = Merging(findings)
    for layer in nation_layers(nation):
        merged = merging.over(merged, layer)
    homes = CASES / "homes"
    for layer, path in (
        ("builder standard", STANDARD),
        ("development riverside", homes / "development.yaml"),
        (f"house type {name}", homes / f"{name}.yaml"),
    ):
        merged = merging.over(
            merged, Layer(layer, _entry(path.read_text(encoding="utf-8"), path.name))
        )
    merged = merging.over(merged, Layer("plots.csv", _entry(ROW, "plots.csv")))
    assert not list(findings), "\n".join(map(str, findings))
    return merged


def nation_layers(nation: str) -> tuple[Layer, ...]:
    """The layers below every builder standard."""
    return (Layer("every nation", every_nation()), Layer(f"nation {nation}", nations()[nation]))


def _entry(text: str, file: str) -> Entry:
    findings = Findings()
    entry = read_yaml(text, file, findings)
    assert entry is not None, "\n".join(map(str, findings))
    return entry


def home_with(changes: Mapping[str, Any], base: str = "house") -> TracedHome:
    """A home of tests/rules/homes with changes, written as a departure."""
    text = yaml.safe_dump(changes, sort_keys=False, allow_unicode=True)
    return Case("changes", "", base, (("departure change", text),), ()).home()


def sound(name: str) -> TracedHome:
    """A home of tests/rules/homes as it is."""
    traced = assemble("riverside/01", _base(name), Findings())
    assert traced is not None
    return traced


def homes() -> list[str]:
    return sorted(
        path.stem for path in (CASES / "homes").glob("*.yaml") if path.stem != "development"
    )
