"""Where clothes are dried: a line, and a space inside for it."""

from collections.abc import Iterator, Mapping

from builder.home.survey import Survey
from builder.model.equipment import Equipment
from builder.rules.measures import metres, under
from builder.rules.reference import Table
from builder.rules.rule import HomeRule, Problem, rule_by

_AIRED = ("utility", "bathroom")
"""Rooms whose own extract takes away what wet clothes give off."""


@rule_by(
    "ventilation", "drying-line-least",
    identifier="outside.drying-line", says="A home has a line to dry clothes on, where its nation asks.",
)  # fmt: skip
def homes_have_a_drying_line(home: Survey, table: Table) -> Iterator[Problem]:
    least = table.number("drying-line-least")
    lines = [piece.facts.get("length", least) for _, piece in home.pieces("drying-line")]
    if least > 0 and (not lines or under(max(lines), least)):
        there = (
            f"the longest line is {metres(max(lines))}"
            if lines
            else "nothing says where clothes are dried"
        )
        yield Problem(
            ("equipment",),
            f"A home here has at least {least:g} m of line to dry clothes on, and {there}.",
            "Add a drying-line to 'equipment', outside or in a space inside, with 'length' under its 'facts'.",
        )


@rule_by(
    "ventilation", "drying-space",
    identifier="outside.drying-space",
    says="A home has a space inside to dry clothes in, where its nation asks.",
)  # fmt: skip
def homes_have_a_drying_space(home: Survey, table: Table) -> Iterator[Problem]:
    asked = table.row("drying-space")
    inside = {n: p for n, p in home.pieces("drying-line") if home.kind_of_room(p.room).inside}
    if asked["length"] > 0 and not inside and any(home.pieces("drying-line")):
        yield Problem(
            ("equipment",),
            f"A home here has a space of {asked['volume']:g} m³ inside to dry clothes in, and none is said.",
            "Add a drying-line in a room, such as over the bath.",
        )
    for name, line in inside.items():
        yield from _too_small(name, line, asked)
        yield from _not_aired(home, name, line, asked["extract"])


def _too_small(name: str, line: Equipment, asked: Mapping[str | int, float]) -> Iterator[Problem]:
    space = line.facts.get("space", asked["volume"])
    if space < asked["volume"]:
        yield Problem(
            ("equipment", name, "facts", "space"),
            f"The space of '{name}' is {space:g} m³; {asked['volume']:g} m³ is the least.",
            "Keep more space free for it, or correct the figure.",
        )


def _not_aired(home: Survey, name: str, line: Equipment, least: float) -> Iterator[Problem]:
    if least == 0 or home.kind_of_room(line.room).extract in _AIRED:
        return
    ventilation = home.home.ventilation
    valves = ventilation.air_valves.values() if ventilation else ()
    rates = [max(each.rate or 0, each.boost_rate or 0) for each in valves if each.room == line.room]
    if not rates or max(rates) < least:
        yield Problem(
            ("equipment", name, "room"),
            f"'{name}' is in '{home.home.rooms[line.room].name}', where no fan takes out {least:g} l/s.",
            "Hang it in a utility room or bathroom, or add an extract valve that its own humidity starts.",
        )


DRYING: tuple[HomeRule, ...] = (homes_have_a_drying_line, homes_have_a_drying_space)
