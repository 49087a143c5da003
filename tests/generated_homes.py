"""Whole, sound homes from a seed, as plain data that a house type could hold.

They are drawn by ``generated_forms`` and fitted out by the modules beside it: water, heating,
electricity, alarms, fresh air, and what is recorded beside them. Measures stand at the limit of a
standard in some homes and well within it in others. The figures are written a second time, with
their sources, where they are used; the trade rules and their tables are not asked.
"""

import random
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any

from builder.errors import Findings, Place
from builder.home.assemble import TracedHome, assemble
from builder.layers.merge import Layer, Merged, Merging
from builder.sources.entry import Entry
from builder.sources.yaml_reader import read_yaml
from tests.generated_air import air
from tests.generated_fitting import Fitting
from tests.generated_forms import FORMS, building
from tests.generated_heat import heat
from tests.generated_plans import Data, UnbuildableError
from tests.generated_supplies import alarms, electricity, records, sprinklers, water
from tests.rule_cases import CASES, ROW, STANDARD, nation_layers

REFERENCE = "riverside/01"


@dataclass(frozen=True)
class Generated:
    """A home as its layers say it: the house type, then options and the departures of the plot."""

    seed: int
    data: Data
    options: dict[str, Data] = field(default_factory=dict)
    departure: Data = field(default_factory=dict)
    hand: str = "as-drawn"

    @property
    def form(self) -> str:
        return str(self.data["form"])

    def layers(self) -> list[tuple[str, Data]]:
        """Each layer over the development, the lowest first; empty ones are not there."""
        listed = [("house type generated", self.data)]
        listed += [(f"option {name}", said) for name, said in self.options.items()]
        listed += [("departure change", self.departure)] if self.departure else []
        return listed

    def in_hand(self, hand: str) -> "Generated":
        return replace(self, hand=hand)


def form_of(seed: int) -> str:
    """The form of the home of a seed, which is known before it is drawn."""
    return random.Random(seed).choice(FORMS)


def generated(seed: int) -> Generated:
    """The home of a seed: the same for the same seed, on any machine."""
    rng = random.Random(seed)
    form = rng.choice(FORMS)
    for _ in range(50):
        try:
            data = _fitted(rng, form)
        except UnbuildableError:
            continue
        hand = "opposite" if seed % 3 == 0 else "as-drawn"
        return Generated(seed, data, _options(rng), _departure(rng), hand)
    raise AssertionError(f"no home for seed {seed}")


def _fitted(rng: random.Random, form: str) -> Data:
    home = building(rng, form)
    data: Data = {
        "house_type": {"name": form.capitalize(), "summary": f"A generated {form}."},
        "form": form,
        "zones": {}, "utilities": {}, "equipment": {},
    }  # fmt: skip
    if form in ("apartment", "maisonette"):
        data["building"] = {
            "storey": 1, "homes_above": True, "homes_below": True, "lift": False, "in_fire": "stay",
            "fire_notice": "beside the main door", "help_gets_in": "by the main door",
            "own_entrance": not home.shared_entrance,
        }  # fmt: skip
    fitting = Fitting(rng, home, data)
    for step in (alarms, heat, air, water, electricity, sprinklers, records):
        step(fitting)
    data["floors"] = {
        storey.id: {
            "name": storey.name, "level": storey.level, "above_ground": storey.above_ground,
            "ceiling": storey.ceiling,
        }
        for storey in home.plan.storeys
    }  # fmt: skip
    return data | {"rooms": home.rooms, "doors": home.plan.doors, "windows": home.plan.windows}


def _options(rng: random.Random) -> dict[str, Data]:
    """At times an option that adds a piece and describes itself."""
    if rng.random() < 0.7:
        return {}
    said = {"name": "Bird box", "summary": "A bird box on the wall."}
    piece = {"kind": "bird-box", "room": "outside", "place": "on the wall"}
    return {"bird-box": {"options": {"bird-box": said}, "equipment": {"bird-box": piece}}}


def _departure(rng: random.Random) -> Data:
    """At times what the site changed on this plot."""
    return {"equipment": {"stopcock": {"height": 0.45}}} if rng.random() < 0.3 else {}


def assembled(home: Generated) -> TracedHome:
    """The home merged over the real builder standard and the development of the rule cases.

    Raises:
        AssertionError: the data could not be read; mistakes of the data itself.
    """
    findings, merged = Findings(), _below(home.hand)
    merging = Merging(findings)
    for name, said in home.layers():
        merged = merging.over(merged, Layer(name, _written(said, Place(f"{name}.yaml"))))
    traced = assemble(REFERENCE, merged, findings)
    assert traced is not None, "\n".join(map(str, findings))
    assert not list(findings), "\n".join(map(str, findings))
    return traced


def _written(value: Any, place: Place) -> Entry:
    """Plain data as it would be read from a file, where reading takes a good part of a test's time."""
    if isinstance(value, dict):
        return Entry({key: _written(each, place) for key, each in value.items()}, place, place)
    if isinstance(value, list | tuple):
        return Entry(tuple(_written(each, place) for each in value), place, place)
    return Entry(value, place, place)


@cache
def _below(hand: str) -> Merged:
    """The layers that all generated homes stand on."""
    findings, merged = Findings(), Merged()
    for below in nation_layers("england"):
        merged = Merging(findings).over(merged, below)
    for layer, text in (
        ("builder standard", STANDARD.read_text(encoding="utf-8")),
        (
            "development riverside",
            (CASES / "homes" / "development.yaml").read_text(encoding="utf-8"),
        ),
        ("plots.csv", ROW.replace("as-drawn", hand)),
    ):
        merged = Merging(findings).over(merged, Layer(layer, _entry(text, f"{layer}.yaml")))
    assert not list(findings)
    return merged


def _entry(text: str, file: str) -> Entry:
    findings = Findings()
    entry = read_yaml(text, file, findings)
    assert entry is not None, "\n".join(map(str, findings))
    return entry
