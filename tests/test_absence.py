"""No home's guide, dates, stickers or run sheet say what only other homes may read."""

from collections.abc import Callable, Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import get_args

import pytest

from builder.build.building import publish
from builder.build.report import Target
from builder.deploy.verifying import verify
from builder.deploy.verifying_papers import Fault
from builder.model.equipment import Equipment
from builder.model.home import Home
from builder.model.setting import PartBought, Premises, Rest
from builder.preparing import Preparation, Prepared
from builder.proof.absence import said, words_said
from builder.selection.choosing import choose
from builder.selection.conditions import judge
from builder.selection.others import words_of_others
from tests.absence import (
    beyond_the_demo,
    foreign_in,
    least_home,
    of_article,
    of_symptom,
    optional,
    remade,
    texts_of,
    without,
)
from tests.demonstrations import demo_script, prepared_demo
from tests.generated_homes import assembled, generated


def foreign(prepared: Prepared) -> list[str]:
    return foreign_in(prepared.traced.home, texts_of(prepared, demo_script()))


def test_words_are_found_whole_and_in_any_letters() -> None:
    assert list(said("The Heat pump.\nHeat\npumps hum; a heat-pumped pond.", ["heat pump", "heat pumps"])) == [
        "heat pump", "heat pumps",
    ]  # fmt: skip
    assert list(said("", ["boiler"])) == []
    assert list(said("A boiler.", [])) == []


def test_a_menu_and_a_head_are_not_what_a_page_says() -> None:
    page = (
        b"<head><title>Boiler</title></head><nav>Boiler</nav><p>Warm &amp; dry: no <b>lift</b>.</p>"
    )
    assert words_said(page, ["boiler", "lift", "warm & dry"]) == ("warm & dry", "lift")


def test_a_word_with_one_owner_at_hand_may_be_read() -> None:
    homes = prepared_demo().homes
    gas, electric = homes["mill-lane/01"].traced.home, homes["harbour-view/05"].traced.home
    assert "boiler" not in words_of_others(gas)
    assert words_of_others(electric)["boiler"] == "Electric boiler"
    assert words_of_others(gas)["heat pump"] == "Exhaust air heat pump"


def taken_away() -> Iterator[tuple[str, str]]:
    """Each kind and part that a demo home has, once, with the first plot that has it; every second is read."""
    seen: set[str] = set()
    for plot, prepared in prepared_demo().homes.items():
        home = prepared.traced.home
        for what in optional(home):
            if what not in seen:
                seen.add(what)
                yield plot, what


@pytest.mark.parametrize(("plot", "what"), list(taken_away())[::3])
def test_what_is_taken_away_is_read_of_no_more(plot: str, what: str) -> None:
    preparation = prepared_demo()
    prepared = preparation.homes[plot]
    assert foreign(remade(preparation, prepared, without(prepared.traced.home, what))) == []


ARTICLES = sorted(prepared_demo().workspace.articles)
SYMPTOMS = sorted(prepared_demo().workspace.symptoms)


WITH_A_STOVE = "marlpit-yard/01"


def one_of_each_development(
    gets: Callable[[Home], bool], homes: Mapping[str, Prepared]
) -> Iterator[Prepared]:
    """The first home of each development that gets something."""
    read = set()
    for plot, prepared in homes.items():
        development = plot.split("/")[0]
        if development not in read and gets(prepared.traced.home):
            read.add(development)
            yield prepared


def of_no_demo(gets: Callable[[Home], bool]) -> Iterator[Home]:
    """A flat of the demo over a kitchen that burns gas, of which a part is rented or owed for, and a house with a
    home lift and an open fire that heats water: what is said of no home of the demo, where it gets something by that."""
    flat = prepared_demo().homes["harbour-view/05"].traced.home
    below = Premises(name="the bakery", use="kitchen", lies="below", fuels=("natural-gas",))
    premises = type(flat.premises)({"bakery": below})  # type: ignore[call-arg]
    for rest in get_args(Rest):
        changes = {"premises": premises, "part_bought": PartBought(rest=rest)}
        if gets(home := flat.model_copy(update=changes)):
            yield home
    if gets(beyond_the_demo()):
        yield beyond_the_demo()
    house = prepared_demo().homes[WITH_A_STOVE].traced.home
    stove = house.equipment["wood-stove"]
    fire = stove.model_copy(
        update={"kind": "open-fire", "facts": {**stove.facts, "heats-water": True}}
    )
    lift = Equipment(kind="home-lift", room=stove.room, place="in the corner")
    things = type(house.equipment)({**house.equipment, "wood-stove": fire, "home-lift": lift})  # type: ignore[call-arg]
    if gets(home := house.model_copy(update={"equipment": things})):
        yield home


@pytest.mark.parametrize("name", ARTICLES)
def test_an_article_speaks_of_nothing_that_its_least_home_has_not(
    name: str, far: Preparation
) -> None:
    """In a home of each development that gets it, with all taken away that it goes without: of the demo, or
    else of the homes that are unlike those."""
    article = prepared_demo().workspace.articles[name].article

    def gets(home: Home) -> bool:
        return bool(choose((article,), home).articles)

    found = [each.traced.home for each in one_of_each_development(gets, prepared_demo().homes)]
    found = found or [*of_no_demo(gets)]
    found = found or [each.traced.home for each in one_of_each_development(gets, far.homes)]
    homes = [least_home(each, gets) for each in found]
    assert homes
    for home in homes:
        assert foreign_in(home, ((name, of_article(article, home)),)) == []


@pytest.mark.parametrize("name", SYMPTOMS)
def test_a_symptom_speaks_of_nothing_that_its_least_home_has_not(
    name: str, far: Preparation
) -> None:
    symptom = prepared_demo().workspace.symptoms[name].symptom
    assert symptom is not None

    def gets(home: Home) -> bool:
        return symptom.when is None or judge(symptom.when, home).holds

    found = [
        (each, each.traced.home) for each in one_of_each_development(gets, prepared_demo().homes)
    ]
    found = found or [(prepared_demo().homes["mill-lane/01"], home) for home in of_no_demo(gets)]
    found = found or [(each, each.traced.home) for each in one_of_each_development(gets, far.homes)]
    assert found
    for prepared, whole in found:
        home = least_home(whole, gets)
        assert foreign_in(home, ((name, of_symptom(name, symptom, prepared, home)),)) == []


GENERATED = (0, 1)
"""Seeds of the homes that CI reads; ``python -m tests.absence 0 500`` reads as many as are asked for."""


@pytest.mark.parametrize("seed", GENERATED)
def test_generated_homes_read_nothing_of_others(seed: int) -> None:
    """A home as it was drawn, and with one of the things taken away that it may have or not."""
    home = assembled(generated(seed)).home
    kept = prepared_demo()
    for each in (home, without(home, optional(home)[seed % len(optional(home))])):
        assert foreign(remade(kept, kept.homes["mill-lane/01"], each)) == []


def test_verify_names_the_page_and_whose_the_word_is(cottage: Path, tmp_path: Path) -> None:
    standard = cottage / "housetypes" / "standard.yaml"
    text = standard.read_text(encoding="utf-8")
    standard.write_text(
        text.replace(
            "what: Charges a car.,", "what: Charges a car., words: [car charger, clockwise],"
        )
    )
    report = publish(Target(cottage, (), tmp_path / "public", date(2026, 3, 1)))
    assert report.published
    found = [each for each in verify(tmp_path / "public").problems if each.fault is Fault.OTHERS]
    assert {each.about for each in found} == {"riverside/01"}
    assert all(
        each.path.endswith(": 'clockwise' is for homes with this: Car charger") for each in found
    )
