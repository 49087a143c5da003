"""When articles apply, and why: the condition language over a home."""

from datetime import date
from typing import Any

import pytest

from builder.home.roles import holder_of, with_supplies
from builder.layers.memo import Memo
from builder.model.condition import Condition
from builder.model.home import Finish, Home
from builder.model.supplies import FoulDrainage, Sprinklers
from builder.preparing import prepare
from builder.selection.choosing import FOR_EVERY_HOME
from builder.selection.conditions import Judge, judge, sections_read
from builder.selection.named import shipped_conditions
from builder.sources.library import shipped_articles
from tests.conftest import COTTAGE

PLOTS = prepare(COTTAGE, [], date(2026, 3, 1)).homes
HOME = PLOTS["riverside/02"].traced.home


@pytest.mark.parametrize(
    ("condition", "holds", "says", "paths"),
    [
        ({"kind": "stopcock"}, True, "has stopcock", ("equipment.stopcock",)),
        ({"kind": ["boiler", "radiator"]}, True, "has boiler or radiator", ("zones.downstairs.emitters.kitchen", "zones.upstairs.emitters.bedroom")),
        ({"kind": "boiler"}, False, "has no boiler", ()),
        ({"form": "house"}, True, "form is house, wanted house", ("form",)),
        ({"form": ["apartment", "bungalow"]}, False, "form is house, wanted apartment or bungalow", ("form",)),
        ({"has": "keys"}, True, "has keys", ("keys",)),
        ({"has": "garage"}, False, "has nothing at garage", ()),
        ({"has": "lawns"}, False, "has nothing at lawns", ()),
        ({"has": "windows.*.escape"}, True, "has windows.*.escape", ("windows.bedroom-window.escape",)),
        ({"has": "doors.*.self_closing"}, False, "has nothing at doors.*.self_closing", ()),
        ({"equals": {"plot.hand": "opposite"}}, True, "plot.hand is opposite, wanted opposite", ("plot.hand",)),
        ({"equals": {"fences.*.owner": ["shared"]}}, False, "fences.*.owner is this-home, wanted shared", ()),
        ({"equals": {"built_for": "wheelchair"}}, False, "built_for is nothing, wanted wheelchair", ()),
        ({"worded": {"fences.*.kind": ["timber"]}}, True, "fences.*.kind says timber", ("fences.left.kind",)),
        ({"worded": {"fences.*.kind": ["hedge", "wall"]}}, False, "fences.*.kind does not say hedge or wall", ()),
        ({"not": {"form": "apartment"}}, True, "not this", ()),
        ({"any": [{"kind": "boiler"}, {"has": "keys"}]}, True, "any of these", ()),
        ({"all": [{"kind": "boiler"}, {"has": "keys"}]}, False, "all of these", ()),
        ({"form": "house", "has": "garage"}, False, "all of these", ()),
    ],
)  # fmt: skip
def test_conditions(
    condition: dict[str, Any], holds: bool, says: str, paths: tuple[str, ...]
) -> None:
    reason = judge(Condition.model_validate(condition), HOME)
    assert (reason.holds, reason.says, reason.paths) == (holds, says, paths)


def test_a_list_equals_what_is_in_it() -> None:
    home = HOME.model_copy(update={"built_for": ("hearing", "wheelchair")})
    reason = judge(Condition.model_validate({"equals": {"built_for": "wheelchair"}}), home)
    assert (reason.holds, reason.paths) == (True, ("built_for",))
    assert Judge(home).is_so("hard-walking")


@pytest.mark.parametrize(
    ("material", "timber", "laminate"),
    [
        ("Oak boards, oiled", True, False),
        ("Engineered OAK", True, False),
        ("Laminate boards, oak effect", False, True),
        ("Vinyl planks with an oak-look face", False, False),
        ("Soaked cork", False, False),
    ],
)
def test_a_floor_is_what_it_is_made_of(material: str, timber: bool, laminate: bool) -> None:
    floor = Finish(room="kitchen", surface="floor", material=material)
    wall = Finish(room="kitchen", surface="walls", material="Oak panels over laminate")
    home = Judge(HOME.model_copy(update={"finishes": {"floor": floor, "wall": wall}}))
    assert (home.is_so("timber-floor"), home.is_so("laminate-floor")) == (timber, laminate)


class _Watched(Home):
    """A home that writes down which of its sections are read."""

    def __getattribute__(self, name: str) -> Any:
        if name in Home.model_fields:
            _READ.add(name)
        return super().__getattribute__(name)


_READ = set[str]()
_NAMED = [Condition.model_validate({"is": name}) for name in shipped_conditions()]
_OF_ARTICLES = [
    each.article.front.when
    for each in shipped_articles(COTTAGE).values()
    if each.article.front.when is not None
]


@pytest.mark.parametrize("plot", sorted(PLOTS))
def test_a_condition_reads_no_section_but_those_that_it_is_known_by(plot: str) -> None:
    home = PLOTS[plot].traced.home
    watched = _Watched.model_construct(**{name: getattr(home, name) for name in Home.model_fields})
    for condition in (*_NAMED, *_OF_ARTICLES):
        _READ.clear()
        judge(condition, watched)
        assert set(sections_read(condition, home.conditions).sections) >= _READ, condition


def test_a_path_into_any_section_rests_on_all_of_them() -> None:
    anywhere, kept = Condition.model_validate({"has": "*.front-door.count"}), Memo()
    assert Judge(HOME, kept).of(anywhere).holds
    assert not Judge(HOME.model_copy(update={"keys": {}}), kept).of(anywhere).holds


def test_one_plots_own_is_asked_of_the_plot_itself() -> None:
    numbered = Condition.model_validate({"has": "equipment.stopcock.serial"})
    stopcock = HOME.equipment["stopcock"].model_copy(update={"serial": "A1"})
    own = HOME.model_copy(update={"equipment": {**HOME.equipment, "stopcock": stopcock}})
    kept = Memo()
    assert not Judge(HOME, kept, HOME).of(numbered).holds
    assert Judge(own, kept, HOME).of(numbered).holds


def _with_door(between: tuple[str, str]) -> Judge:
    door = HOME.doors["front-door"].model_copy(update={"kind": "sliding", "between": between})
    return Judge(HOME.model_copy(update={"doors": {**HOME.doors, "slides": door}}))


def test_a_sliding_door_between_two_rooms_is_no_glass_door_to_the_outside() -> None:
    rooms = [name for name, room in HOME.rooms.items() if HOME.room_kinds[room.kind].inside]
    assert _with_door((rooms[0], "outside")).is_so("glass-door-outside")
    assert not _with_door((rooms[0], rooms[1])).is_so("glass-door-outside")


def test_stairs_follow_from_the_storeys_of_any_form() -> None:
    ground = next(iter(HOME.floors))
    level = {name: room.model_copy(update={"floor": ground if room.floor else None})
             for name, room in HOME.rooms.items()}  # fmt: skip
    assert Judge(HOME.model_copy(update={"form": "apartment"})).is_so("own-stairs")
    assert not Judge(HOME.model_copy(update={"rooms": level, "stairs": {}})).is_so("own-stairs")


def test_whoever_a_supply_names_has_its_role() -> None:
    somebody = HOME.contacts["customer-care"].model_copy(update={"roles": ()})
    home = HOME.model_copy(update={
        "contacts": {"agent": somebody, "sewers": somebody},
        "sprinklers": Sprinklers(fed_by="tank", contact="agent"),
        "foul_drainage": FoulDrainage(to="septic-tank", contact="sewers"),
    })  # fmt: skip
    contacts = with_supplies(home, Memo()).contacts
    assert holder_of("sprinkler-engineer", contacts) == "agent"
    assert holder_of("drains-keeper", contacts) == "sewers"
    own = home.model_copy(update={"contacts": {**home.contacts, "sprinkler-engineer": somebody}})
    assert with_supplies(own, Memo()).contacts["agent"].roles == ()


def test_every_article_has_its_reason() -> None:
    for prepared in PLOTS.values():
        choices = {each.article.id: each for each in prepared.selection.choices}
        assert choices.keys() == {"water-off", "thermostats", "flats"}
        assert {name for name, each in choices.items() if each.chosen} == {
            "water-off",
            "thermostats",
        }
        assert choices["flats"].reason.says == "form is house, wanted apartment"


def test_an_article_without_conditions_goes_to_every_home() -> None:
    assert FOR_EVERY_HOME.holds
    assert FOR_EVERY_HOME.says == "goes to every home"
