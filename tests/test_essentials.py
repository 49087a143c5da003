"""What every home must have, taken away from the homes of the demo one by one: what check then says."""

from dataclasses import replace
from typing import Any

import pytest
import yaml

from builder.errors import Findings
from builder.guide.urgent import urgent_contacts
from builder.home.assemble import assemble
from builder.home.roles import holder_of
from builder.layers.merge import Layer, Merging
from builder.rules.checking import found_in
from builder.rules.home import HOME_RULES
from builder.selection.coverage import roles_without_contact
from builder.sources.yaml_reader import read_yaml
from tests.demonstrations import prepared_demo

NO_THERMOSTATS = {
    "equipment": {"living-thermostat": None, "hall-thermostat": None, "heating-programmer": None},
    "zones": {"living-rooms": {"thermostat": None}, "bedrooms": {"thermostat": None}},
}

FIRST = (
    "mill-lane/01", "harbour-view/05", "marlpit-yard/01", "maes-y-coed/01", "shore-court/01", "lough-row/01",
)  # fmt: skip
"""A home of each development; all but one have water of the main, and three have a loft."""
ON_THE_MAIN = tuple(each for each in FIRST if each != "marlpit-yard/01")
WITH_A_LOFT = ("mill-lane/01", "maes-y-coed/01", "lough-row/01")


def without(*pieces: str) -> dict[str, Any]:
    return {"equipment": dict.fromkeys(pieces)}


@pytest.mark.parametrize(
    ("plot", "taken", "said"),
    [
        ("marlpit-yard/01", without("stopcock"), "essentials.water"),
        ("marlpit-yard/01", without("consumer-unit"), "essentials.electricity"),
        ("marlpit-yard/01", without("oil-valve"), "essentials.oil"),
        ("marlpit-yard/01", without("stove-co-alarm"), "carbon-monoxide.alarm-missing"),
        ("marlpit-yard/01", NO_THERMOSTATS, "heating.zone-without-thermostat"),
        ("marlpit-yard/01", {"water": None}, "water.source-unsaid"),
        ("marlpit-yard/01", {"foul_drainage": None}, "drains.unsaid"),
        ("marlpit-yard/01", {"contacts": {"drainage": {"roles": []}}, "foul_drainage": {"contact": None}}, "contacts.role-missing"),
        ("marlpit-yard/01", {"contacts": {"oil-spill": None}}, "contacts.role-missing"),
        ("marlpit-yard/03", without("lpg-valve"), "essentials.gas"),
        ("marlpit-yard/03", {"contacts": {"lpg-emergency": None}}, "contacts.role-missing"),
        ("marlpit-yard/02", {"equipment": {"dairy-stopcock": {"serves": None}}}, "supplies.serves-missing"),
        ("maes-y-coed/01", without("stopcock"), "essentials.water-inside"),
        ("maes-y-coed/01", without("sprinkler-valve"), "sprinklers.valve-missing"),
        ("maes-y-coed/01", {"sprinklers": None}, "sprinklers.feed-unsaid"),
        ("maes-y-coed/01", {"contacts": {"sprinkler-engineer": None}, "sprinklers": {"contact": None}}, "contacts.role-missing"),
        ("shore-court/01", without("stopcock"), "essentials.water-inside"),
        ("shore-court/01", without("living-smoke-alarm"), "fire.living-room-smoke-alarm"),
        ("shore-court/01", {"heat_network": None}, "heating.network-unsaid"),
        ("shore-court/01", {"building": None}, "apartment.building-unsaid"),
        ("lough-row/01", without("gas-emergency-valve"), "essentials.gas"),
        ("lough-row/01", without("living-smoke-alarm"), "fire.living-room-smoke-alarm"),
        ("lough-row/01", {"contacts": {"power-cut": None}}, "contacts.role-missing"),
        ("harbour-view/05", without("sprinkler-valve"), "sprinklers.valve-missing"),
        ("mill-lane/01", {"contacts": {"out-of-hours": None}}, "contacts.role-missing"),
        ("harbour-view/05", {"contacts": {"flooding": None}}, "contacts.role-missing"),
        ("maes-y-coed/01", {"contacts": {"flooding": None}}, "contacts.role-missing"),
        ("shore-court/01", {"contacts": {"flooding": None}}, "contacts.role-missing"),
        ("lough-row/01", {"contacts": {"flooding": None}}, "contacts.role-missing"),
        *(
            (plot, {section: None}, f"{section}.unsaid")
            for plot in FIRST
            for section in ("tenure", "fabric")
        ),
        *((plot, without("external-stop-tap"), "essentials.water-outside") for plot in ON_THE_MAIN),
        *((plot, without("loft-hatch"), "loft.no-hatch") for plot in WITH_A_LOFT),
        ("mill-lane/01", {"fences": {"left": None}}, "fences.side-unsaid"),
    ],
)  # fmt: skip
def test_what_is_missing_is_said(plot: str, taken: dict[str, Any], said: str) -> None:
    assert said not in found_without(plot, {})
    assert said in found_without(plot, taken)


def found_without(plot: str, taken: dict[str, Any]) -> set[str]:
    """What is found in a home of the demo after one more departure, by codes."""
    traced, findings = prepared_demo().homes[plot].traced, Findings()
    departure = read_yaml(yaml.safe_dump(taken), "taken-away.yaml", findings)
    assert departure is not None
    merged = Merging(findings).over(traced.merged, Layer("departure taken-away", departure))
    changed = assemble(plot, merged, findings)
    assert changed is not None, "\n".join(map(str, findings))
    return {each.code for each in (*found_in(changed, HOME_RULES), *roles_without_contact(changed))}


def test_whoever_comes_for_a_leak_of_lpg_is_called_before_the_network_though_no_flag_says_so() -> (
    None
):
    prepared = prepared_demo().homes["marlpit-yard/03"]
    home = prepared.traced.home
    role = holder_of("lpg-emergency", home.contacts)
    assert role is not None
    unflagged = home.contacts[role].model_copy(update={"emergency": False})
    told = home.model_copy(update={"contacts": {**home.contacts, role: unflagged}})
    called = [each["id"] for each in urgent_contacts(replace(prepared.about, home=told))]
    assert called[:3] == ["emergency-services", role, "power-cut"]
