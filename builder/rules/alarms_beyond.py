"""Alarms beyond the halls, where a nation asks for them, and whether all of them sound together."""

from collections.abc import Iterator

from builder.home.survey import Survey
from builder.rules.measures import listed
from builder.rules.reference import Table
from builder.rules.routes import is_kitchen, name_of, never_without
from builder.rules.rule import HomeRule, Problem, rule_by

_DETECTS = ("smoke-alarm", "heat-alarm")


@rule_by(
    "fire", "smoke-alarm-living-room",
    identifier="fire.living-room-smoke-alarm", says="The room that people live in by day has a smoke alarm.",
)  # fmt: skip
def living_rooms_have_a_smoke_alarm(home: Survey, table: Table) -> Iterator[Problem]:
    by_day = [room for room in home.habitable if not home.kind_of_room(room).sleeping]
    alarmed = {piece.room for _, piece in home.pieces("smoke-alarm")}
    asked = table.number("smoke-alarm-living-room") > 0
    if asked and by_day and not alarmed & set(by_day):
        names = listed((f"'{name_of(home, room)}'" for room in by_day), "or")
        yield Problem(
            ("rooms", by_day[0]),
            f"No smoke alarm is in {names}.",
            "Add one on the ceiling of the room that is lived in most, linked to the others.",
        )


@rule_by(
    "fire", "smoke-alarm-access-room",
    identifier="fire.access-room-smoke-alarm",
    says="A room that another is reached through has a smoke alarm, where its nation asks.",
)  # fmt: skip
def rooms_on_the_way_have_a_smoke_alarm(home: Survey, table: Table) -> Iterator[Problem]:
    asked = table.number("smoke-alarm-access-room") > 0
    ways = {way: room for room in home.habitable for way in never_without(home, room)}
    for way, room in ways.items():
        if asked and not _alarmed(home, way):
            yield Problem(
                ("rooms", way),
                f"'{name_of(home, room)}' is reached only through '{name_of(home, way)}', which has no smoke alarm.",
                "Add one on the ceiling there, linked to the others.",
            )


def _alarmed(home: Survey, room: str) -> bool:
    """Whether an alarm notices a fire in a room. In a kitchen a heat alarm counts."""
    kinds = _DETECTS if is_kitchen(home, room) else _DETECTS[:1]
    return any(home.pieces(*kinds, room=room))


@rule_by(
    "fire", "alarms-linked",
    identifier="fire.alarms-linked", says="All smoke and heat alarms of a home sound together.",
)  # fmt: skip
def alarms_sound_together(home: Survey, table: Table) -> Iterator[Problem]:
    alarms = [name for name, _ in home.pieces(*_DETECTS)]
    linked = home.home.alarms.linked if home.home.alarms else None
    together = linked == "all" or (linked == "by-part" and home.home.parts)
    if table.number("alarms-linked") > 0 and len(alarms) > 1 and not together:
        said = (
            f"'alarms' says 'linked: {linked}'" if linked else "nothing says that they are linked"
        )
        yield Problem(
            ("equipment", alarms[0]),
            f"{len(alarms)} alarms are to sound together, and {said}.",
            "Have them linked, and write 'alarms: {linked: all}'; 'by-part' where parts of the home have their own.",
        )


ALARMS_BEYOND: tuple[HomeRule, ...] = (
    living_rooms_have_a_smoke_alarm,
    rooms_on_the_way_have_a_smoke_alarm,
    alarms_sound_together,
)
