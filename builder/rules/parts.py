"""Parts of a home that are lived in by themselves: each has its supplies, and its own warning of fire."""

from collections.abc import Iterator

from builder.home.survey import Survey
from builder.model.equipment import Equipment
from builder.model.setting import Part
from builder.rules.rule import HomeRule, Problem, rule

_SHOWN = "common practice: whoever lives there is shown what turns off its supplies"
_WET = ("basin", "bath", "shower-tray", "sink", "toilet")
_TURNED_OFF = {"water": "stopcock", "electricity": "consumer unit"}


@rule(
    "parts.supply-unsaid",
    "A part that is lived in by itself says what turns off its supplies.",
    basis=_SHOWN,
)
def parts_say_what_turns_them_off(home: Survey) -> Iterator[Problem]:
    for name, part in home.home.parts.items():
        shut = {home.home.kinds[piece.kind].turns_off for piece in _pieces(home, part)}
        for supply, thing in _TURNED_OFF.items():
            if supply not in shut and (supply != "water" or _has_water(home, part)):
                yield Problem(
                    ("parts", name),
                    f"Nothing says what turns off the {supply} of '{part.name}'.",
                    f"Add its {thing} in one of its rooms, or name under 'own' the one elsewhere that serves it.",
                )


def _pieces(home: Survey, part: Part) -> Iterator[Equipment]:
    for name, piece in home.home.equipment.items():
        if piece.room in part.rooms or name in part.own:
            yield piece


def _has_water(home: Survey, part: Part) -> bool:
    wet = any(home.kind_of_room(room).extract for room in part.rooms)
    built_in = {each.drawn for each in home.home.fittings.values() if each.room in part.rooms}
    return wet or not built_in.isdisjoint(_WET)


@rule(
    "parts.smoke-alarm-missing", "A part that is lived in by itself has a smoke alarm.",
    basis="common practice: whoever sleeps there is woken there",
)  # fmt: skip
def parts_have_a_smoke_alarm(home: Survey) -> Iterator[Problem]:
    for name, part in home.home.parts.items():
        lived_in = any(home.kind_of_room(room).habitable for room in part.rooms)
        watched = any(piece.room in part.rooms for _, piece in home.pieces("smoke-alarm"))
        if lived_in and not watched:
            yield Problem(
                ("parts", name),
                f"'{part.name}' has no smoke alarm in its rooms.",
                "Add one, and say under 'alarms' whether it sounds with the others.",
            )


@rule(
    "parts.way-unsaid", "Something says how one gets to a part that is lived in by itself.",
    basis="common practice: whoever comes to help is told the way",
)  # fmt: skip
def the_way_to_a_part_is_said(home: Survey) -> Iterator[Problem]:
    for name, part in home.home.parts.items():
        doors = [door for room in part.rooms for _, door in home.doors_of(room)]
        into = any(set(door.between) - set(part.rooms) for door in doors)
        if part.place is None and not into:
            yield Problem(
                ("parts", name),
                f"No door leads to '{part.name}', and nothing says where it is.",
                "Add 'place:', in words from the front door of the home, and its door to 'doors'.",
            )


PARTS: tuple[HomeRule, ...] = (
    parts_say_what_turns_them_off,
    parts_have_a_smoke_alarm,
    the_way_to_a_part_is_said,
)
