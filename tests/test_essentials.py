"""What every home must have, taken away from the homes of the demo one by one: what check then says."""

from dataclasses import replace
from typing import Any

import pytest

from builder.guide.urgent import urgent_contacts
from builder.home.roles import holder_of
from builder.selection.coverage import shared_places_unsaid
from tests.demonstrations import prepared_demo
from tests.taken_away import HOMES, SILENT, changed_home, rows, said_as_it_is, said_without

NO_THERMOSTATS = {
    "equipment": {"living-thermostat": None, "hall-thermostat": None, "heating-programmer": None},
    "zones": {"living-rooms": {"thermostat": None}, "bedrooms": {"thermostat": None}},
}

FAN_BY_A_STOVE = {
    "equipment": {
        "wood-stove": {"facts": {"open-flue": None}},
        "living-fan": {"kind": "extract-fan", "room": "living", "place": "on the back wall"},
    }
}
"""A fan in the room of a stove, of which nothing says whether it takes its air from there."""

FIRST = (
    "mill-lane/01", "harbour-view/05", "marlpit-yard/01", "maes-y-coed/01", "shore-court/01", "lough-row/01",
)  # fmt: skip
"""A home of each development; all but one have water of the main, and three have a loft."""
ON_THE_MAIN = tuple(each for each in FIRST if each != "marlpit-yard/01")
SHARING_HOUSES = ("mill-lane/01", "maes-y-coed/01", "lough-row/01", "marlpit-yard/01")
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
        ("marlpit-yard/01", FAN_BY_A_STOVE, "combustion.fan-beside-open-flue"),
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
        *(
            (plot, {section: None}, f"{section}.unsaid")
            for plot in FIRST
            for section in ("tenure", "fabric")
        ),
        *((plot, without("external-stop-tap"), "essentials.water-outside") for plot in ON_THE_MAIN),
        *((plot, without("loft-hatch"), "loft.no-hatch") for plot in WITH_A_LOFT),
        ("mill-lane/01", {"fences": {"left": None}}, "fences.side-unsaid"),
        *((plot, {"communal": None}, "communal.unsaid") for plot in SHARING_HOUSES),
        ("shore-court/04", {"communal": None}, "apartment.communal-missing"),
        ("shore-court/04", {"stores": None}, "apartment.refuse-store"),
        *((plot, {"stores": None}, "guide.bins") for plot in SHARING_HOUSES),
        *((plot, {"utilities": None}, "guide.suppliers") for plot in FIRST),
        *((plot, {"contacts": {"council": None}}, "contacts.role-missing") for plot in FIRST),
        *((plot, {"contacts": {"out-of-hours": None}}, "contacts.role-missing") for plot in FIRST),
        *((plot, {"contacts": {"flooding": None}}, "contacts.role-missing") for plot in FIRST),
        ("shore-court/01", {"contacts": {"factor-urgent": None}}, "contacts.role-missing"),
        ("harbour-view/05", {"contacts": {"managing-agent-urgent": None}}, "contacts.role-missing"),
        ("lough-row/01", {"contacts": {"water-leaks": None}}, "contacts.role-missing"),
        ("marlpit-yard/01", {"building": None}, "gates.way-in-unsaid"),
        ("lough-row/01", {"documents": None}, "documents.taken-out"),
        ("mill-lane/01", {"documents": {"gas-record": None}}, "documents.taken-out"),
        ("maes-y-coed/01", {"documents": {"energy-certificate": {"when": {"fuel": "oil"}}}}, "documents.taken-out"),
        ("marlpit-yard/01", {"gates": {"yard-gate": {"by_hand": None}}}, "gates.by-hand-unsaid"),
    ],
)  # fmt: skip
def test_what_is_missing_is_said(plot: str, taken: dict[str, Any], said: str) -> None:
    assert said not in said_as_it_is(plot)
    assert said in said_without(plot, taken)


@pytest.mark.parametrize("plot", HOMES)
def test_nothing_is_lost_without_a_word(plot: str) -> None:
    """Each thing that a home may be left without: something is said of it, or there is a reason why not."""
    silent = {row.what for row in rows(plot) if not row.said}
    assert silent - set(SILENT) == set()


def test_every_reason_for_silence_is_needed() -> None:
    silent = {row.what for plot in HOMES for row in rows(plot) if not row.said}
    assert set(SILENT) == silent


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


PLAIN = {
    "communal": None,
    "covers": {"managing-agent": None},
    "contacts": {"managing-agent": None},
    "building": None,
}


def test_a_house_that_shares_nothing_is_asked_nothing() -> None:
    """Nobody manages anything for it, and it has no gate: no sign says that a word is missing."""
    taken = {each: what for each, what in PLAIN.items() if each != "building"}
    assert "communal.unsaid" not in said_without("mill-lane/01", taken)
    assert "contacts.role-missing" not in said_without("mill-lane/01", taken)


def test_an_agent_for_flats_alone_says_nothing_of_a_house() -> None:
    taken = {
        "communal": None,
        "contacts": {"managing-agent": {"when": {"form": "apartment"}}},
        "covers": {"managing-agent": {"when": {"form": "apartment"}}},
    }
    assert "communal.unsaid" not in said_without("mill-lane/01", taken)


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({}, "'Ternwick Estate Management' looks after what homes share here"),
        ({"contacts": {"managing-agent": None}, "covers": {"managing-agent": {"contact": None}}}, "'The managing agent' answers for what homes share here"),
        ({**PLAIN, "building": {"lift": False}, "water": {"source": "spring", "shared": True}}, "Other homes drink from the same source"),
        ({**PLAIN, "building": {"lift": False}, "foul_drainage": {"to": "shared-plant"}}, "Other homes use the same treatment plant"),
        ({**PLAIN, "building": {"lift": False}, "foul_drainage": {"to": "septic-tank", "shared": True}}, "Other homes use the same drains"),
    ],
)  # fmt: skip
def test_what_is_shared_is_asked_for_by_what_says_so(changed: dict[str, Any], said: str) -> None:
    traced = changed_home("mill-lane/01", {**changed, "communal": None})
    assert [each.wrong for each in shared_places_unsaid(traced)] == [
        f"{said}, and nothing says what that is."
    ]
