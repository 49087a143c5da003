"""What every home must have, taken away from the homes of the demo one by one: what check then says."""

import shutil
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import yaml

from builder.errors import Severity
from builder.guide.urgent import urgent_contacts
from builder.home.roles import holder_of
from builder.preparing import prepare
from tests.conftest import PROJECT
from tests.demonstrations import prepared_demo

NO_THERMOSTATS = {
    "equipment": {"living-thermostat": None, "hall-thermostat": None, "heating-programmer": None},
    "zones": {"living-rooms": {"thermostat": None}, "bedrooms": {"thermostat": None}},
}


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
    ],
)  # fmt: skip
def test_what_is_missing_is_said(
    tmp_path: Path, plot: str, taken: dict[str, Any], said: str
) -> None:
    development, number = plot.split("/")
    shutil.copytree(PROJECT / "housetypes", tmp_path / "housetypes")
    place = Path("developments", development)
    shutil.copytree(PROJECT / place, tmp_path / place)
    file = tmp_path / place / "plots" / f"{number}.yaml"
    file.parent.mkdir(exist_ok=True)
    own = yaml.safe_load(file.read_text(encoding="utf-8")) if file.exists() else {}
    day = date(2026, 1, 1)
    departures = own.setdefault("departures", {})
    departures["taken-away"] = {"note": "Taken away.", "date": day, "changes": taken}
    file.write_text(yaml.safe_dump(own, sort_keys=False), encoding="utf-8")
    found = prepare(tmp_path, [plot], date(2026, 11, 28)).findings
    assert said in {each.code for each in found if each.severity is not Severity.NOTE}


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
