"""What every home must have before anyone lives in it with a guide."""

from collections.abc import Iterator

from builder.errors import Finding
from builder.home.assemble import TracedHome
from builder.model.home import Home

_BASIS = "common practice: a buyer is shown where each supply is turned off"
_SUPPLIES = {
    "water": ("the water", "a stopcock"),
    "electricity": ("the electricity", "a consumer unit"),
}


def supplies_can_be_turned_off(traced: TracedHome) -> Iterator[Finding]:
    """Each supply of the home has equipment that turns it off."""
    home = traced.home
    turned_off = {home.kinds[piece.kind].turns_off for piece in home.equipment.values()}
    for supply, (thing, example) in _SUPPLIES.items():
        if supply not in turned_off:
            yield _missing(traced, supply, f"Nothing in this home turns off {thing}.", example)
    if "gas" not in turned_off and _has_gas(home):
        yield _missing(
            traced, "gas", "This home has gas, and nothing turns it off.", "a gas emergency valve"
        )


def _has_gas(home: Home) -> bool:
    return any(home.kinds[piece.kind].system == "gas" for piece in home.equipment.values())


def _missing(traced: TracedHome, supply: str, wrong: str, example: str) -> Finding:
    return Finding(
        f"essentials.{supply}",
        traced.place("equipment"),
        wrong,
        f"Add {example} to 'equipment', of a kind with 'turns_off: {supply}'.",
        path="equipment",
        basis=_BASIS,
        plots=(traced.reference,),
    )


def rooms_are_somewhere(traced: TracedHome) -> Iterator[Finding]:
    """A room inside the home stands on a floor."""
    for name, room in traced.home.rooms.items():
        if room.floor is None and traced.home.room_kinds[room.kind].inside:
            yield Finding(
                "rooms.no-floor",
                traced.place("rooms", name),
                f"'{room.name}' is inside the home and on no floor.",
                f"Add 'floor:', one of {', '.join(traced.home.floors)}.",
                path=f"rooms.{name}",
                plots=(traced.reference,),
            )


def doors_open_into_their_rooms(traced: TracedHome) -> Iterator[Finding]:
    """A door opens into one of the two rooms that it joins."""
    for name, door in traced.home.doors.items():
        if door.opens_into is not None and door.opens_into not in door.between:
            yield Finding(
                "doors.opens-elsewhere",
                traced.place("doors", name, "opens_into"),
                f"This door is between '{door.between[0]}' and '{door.between[1]}', and opens into neither.",
                "Name one of the two.",
                path=f"doors.{name}.opens_into",
                plots=(traced.reference,),
            )
