"""Whom to call for a thing: a home that names somebody for it never reads customer care there."""

import re
from collections.abc import Iterable, Iterator
from functools import cache
from types import SimpleNamespace

import pytest

from builder.guide.about import About
from builder.guide.sticker_pages import StickerRecord, sticker_page
from builder.guide.symptom_pages import symptom_pages
from builder.guide.whom import firm_for
from builder.home.roles import holder_of, with_supplies
from builder.layers.memo import Memo
from builder.model.article import Article
from builder.model.home import Home
from builder.preparing import Preparation
from builder.selection.choosing import choose
from tests.absence import beyond_the_demo, of_article
from tests.demonstrations import prepared_demo
from tests.generated_homes import assembled, generated

CARE, FIRM = "01632 960100", "01632 960177"
OTHERS = {
    "heat-interface-unit": "the heaters and taps in the home",
    "low-water-pressure": "weak taps, where the home has no pump",
}
"""Articles that name customer care for something else than their own things, too."""
SEEDS = range(120)
"""Generated homes, for what no home of the demo has."""


def articles() -> dict[str, Article]:
    return {name: each.article for name, each in prepared_demo().workspace.articles.items()}


@cache
def drawn(seed: int) -> Home:
    return assembled(generated(seed)).home


def all_homes(far: Preparation) -> Iterator[Home]:
    """The homes of the demo, then far ones and generated ones."""
    yield from (each.about.home for each in prepared_demo().homes.values())
    yield from (each.about.home for each in far.homes.values())
    yield beyond_the_demo()
    yield from map(drawn, SEEDS)


def with_own_firm(home: Home, kinds: tuple[str, ...] | None = None) -> Home:
    """A home of which every piece of these kinds, or of any, names a firm of its own; and so does the kind
    of every radiator."""
    named = {
        name: each.model_copy(
            update={"call": "own-firm"} if kinds is None or _does(each.kind, kinds, home) else {}
        )
        for name, each in home.equipment.items()
    }
    of_heaters = {
        name: home.kinds[name].model_copy(update={"call": "own-firm"}) for name in heaters(home)
    }
    care = home.contacts["customer-care"]
    firm = care.model_copy(
        update={"name": "Saltmeadow Firm", "telephone": FIRM, "email": None, "roles": ()}
    )
    return home.model_copy(
        update={
            "equipment": named,
            "kinds": {**home.kinds, **of_heaters},
            "contacts": {**home.contacts, "own-firm": firm},
        }
    )


def heaters(home: Home) -> set[str]:
    """The kinds of what gives out heat in a home's rooms."""
    return {each.kind for zone in home.zones.values() for each in zone.emitters.values()}


def _does(kind: str, kinds: tuple[str, ...], home: Home) -> bool:
    return not {kind, *home.kinds[kind].counts_as}.isdisjoint(kinds)


def home_that_calls_care(article: Article, homes: Iterable[Home]) -> Home:
    """A home that has what an article serves, and reads in it to call customer care; the demo's first. Where
    every home names somebody of its own, such as the keeper of a well, any that has it."""
    named: Home | None = None
    for home in homes:
        kinds = {each.kind for each in home.equipment.values()} | heaters(home)
        if not any(_does(each, article.front.serves, home) for each in kinds):
            continue
        if choose((article,), home).articles:
            if CARE in of_article(article, home):
                return home
            named = named or home
    assert named, f"no home has what {article.id} serves"
    return named


SERVING = sorted(
    each.id for each in articles().values() if each.front.serves and "whom_to_call" in each.body
)


@pytest.mark.parametrize("name", SERVING)
def test_an_article_names_whom_its_own_things_name(name: str, far: Preparation) -> None:
    article = articles()[name]
    home = home_that_calls_care(article, all_homes(far))
    told = of_article(article, with_own_firm(home))
    assert FIRM in told
    assert CARE not in told or name in OTHERS, told


def test_no_article_on_things_names_customer_care_by_itself() -> None:
    """But for those above, a softener that whoever supplies the water sets, and sprinklers without a piece."""
    by_itself = {
        each.id
        for each in articles().values()
        if each.front.serves and "customer-care" in each.body
    }
    assert by_itself == {"heat-interface-unit", "low-water-pressure", "dishwasher", "sprinklers"}


def test_things_that_name_different_contacts_are_told_apart() -> None:
    home = prepared_demo().homes["mill-lane/01"].about.home
    told = of_article(articles()["smoke-and-heat-alarms"], with_own_firm(home, ("heat-alarm",)))
    line = next(each for each in told.splitlines() if each.startswith("One stays silent?"))
    assert re.sub(r"\s+", " ", line) == (
        f"One stays silent? Call Fennimarsh Homes customer care on [{CARE}] (Smoke alarm, Hall and Smoke alarm,"
        f" Landing), or Saltmeadow Firm on [{FIRM}] (Heat alarm) the same day."
    )


def test_a_firm_that_answers_day_and_night_is_called_and_a_danger_s_number_is_not() -> None:
    """A keeper of drains for emergencies, too, is whom a full tank is told to; the gas emergency service
    mends no meter."""
    firm = {"id": "keeper", "roles": ("drains-keeper",), "telephone": FIRM, "emergency": True}
    gas = {"id": "gas-emergency", "roles": (), "telephone": FIRM, "emergency": True}
    contacts = {"keeper": firm, "gas-emergency": gas}
    tank, meter = (SimpleNamespace(title="", call=each) for each in contacts)
    assert (firm_for(tank, contacts), firm_for(meter, contacts)) == (firm, None)


def test_a_role_goes_to_whom_a_piece_names_where_nobody_has_it(far: Preparation) -> None:
    """A treatment plant that names its keeper: texts that call the keeper of drains mean that firm. A stop
    tap that names an agent makes nobody the water company."""
    home = next(
        each
        for each in all_homes(far)
        if any(piece.kind == "treatment-plant" for piece in each.equipment.values())
    )
    alone = home.model_copy(update={
        "contacts": {"customer-care": home.contacts["customer-care"].model_copy(update={"roles": ()})},
        "foul_drainage": None, "water": None,
    })  # fmt: skip
    named = with_own_firm(alone, ("treatment-plant", "external-stop-tap"))
    contacts = with_supplies(named, Memo()).contacts
    assert holder_of("drains-keeper", contacts) == "own-firm"
    assert holder_of("water-company", contacts) is None


def test_stickers_and_symptoms_say_it_too() -> None:
    prepared = prepared_demo().homes["mill-lane/01"]
    home = with_own_firm(prepared.about.home, ("consumer-unit",))
    about = About(home, prepared.selection)
    unit = next(name for name, each in home.equipment.items() if each.kind == "consumer-unit")
    sticker = sticker_page(about, prepared.guide, StickerRecord("A", "", "", "", unit, False))
    numbers = [each.telephone for each in sticker.calls]
    assert FIRM in numbers
    assert CARE not in numbers
    symptoms = {name: each.symptom for name, each in prepared_demo().workspace.symptoms.items()}
    pages = symptom_pages(symptoms, about, prepared.guide.schedule)
    steps = [step for page in pages for step in page.values.get("steps", ()) if step.pieces]
    for step in steps:
        named = {name: each["telephone"] for name, each in step.own_calls.items()}
        assert named == {each.id: FIRM for each in step.pieces if each.id == unit}
    assert any(step.own_calls for step in steps)
