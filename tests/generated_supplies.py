"""Water, electricity, alarms and what is recorded beside the plan, for generated homes."""

import math

from tests.generated_fitting import Fitting, clear
from tests.generated_heat import HOTTEST_AT_A_BATH
from tests.generated_plans import Corner, UnbuildableError
from tests.generated_rooms import HABITABLE

MOST_TO_A_DOOR = 7.5
"""Metres from an alarm to the door of each living room and bedroom (Approved Document B, England and
Wales, 2006 edition, paragraph 1.15a)."""
FROM_WALLS = 0.3
"""Metres of an alarm on a ceiling from every wall (the same, paragraph 1.15b)."""
SPRINKLERS_ABOVE, ANOTHER_WAY_ABOVE = 11.0, 7.5
"""Metres above ground: flats in a building that high, and houses with two storeys above 4.5 m, have
sprinklers (Approved Document B, Volume 1, England, 2019 edition, paragraphs 7.4 and 2.6)."""


def water(fitting: Fitting) -> None:
    beside = "corridor" if fitting.home.shared_entrance else "outside"
    room, spot = _for_the_stopcock(fitting)
    fitting.piece("stopcock", "stopcock", room, "low down", at=spot, height=0.3)
    fitting.piece("external-stop-tap", "external-stop-tap", beside, "before the home")
    fitting.piece("water-meter", "water-meter", beside, "beside the stop tap")
    kitchen = fitting.kitchen
    fitting.piece("kitchen-tap-valves", "isolating-valve", kitchen, "under the sink", serves="The kitchen tap")  # fmt: skip
    _machines(fitting)
    for room in fitting.home.of_kind("toilet", "bathroom", "shower-room"):
        _bathroom(fitting, room)
    if fitting.chance(0.15):
        fitting.piece("boiling-tap", "boiling-tap", kitchen, "at the sink")
    if fitting.home.form in ("house", "bungalow") and fitting.chance(0.7):
        _outside_tap(fitting)


def _for_the_stopcock(fitting: Fitting) -> tuple[str, Corner | None]:
    """The middle of the hall, from where it is not far anywhere; in a small home any room with water."""
    shell = fitting.home.plan.shell(fitting.home.plan.storeys[0]).bounds
    if shell[3] < 6 and fitting.chance(0.7):
        return fitting.kitchen, None
    left, front, right, back = fitting.home.plan.outlines[fitting.hall].bounds
    across = fitting.rng.uniform(left + 0.2, right - 0.2)
    return fitting.hall, (round(across, 2), round((front + back) / 2, 2))


def _machines(fitting: Fitting) -> None:
    wanted = [("dishwasher", "dishwasher", fitting.kitchen)] if fitting.chance(0.7) else []
    kind = fitting.rng.choice(("washing-machine", "washing-machine", "washer-dryer"))
    wanted += [("washing-machine", kind, fitting.machines)] if fitting.chance(0.8) else []
    for name, kind, room in wanted:
        called = "The dishwasher" if name == "dishwasher" else "The washing machine"
        fitting.piece(name, kind, room, "below the worktop")
        valve_at = f"under the sink, beside the pipe to the {name}"
        fitting.piece(f"{name}-valve", "appliance-valve", room, valve_at, serves=called)


def _bathroom(fitting: Fitting, room: str) -> None:
    """A toilet with its valve; a bath with a blending valve, or a shower."""
    fitting.piece(f"{room}-toilet", "toilet", room, "on the wall")
    fitting.piece(
        f"{room}-toilet-valve", "isolating-valve", room, "behind the pan", serves="The toilet"
    )
    kind = fitting.home.kind(room)
    if kind == "bathroom":
        set_at = fitting.rng.choice((38, 41, 43, 46, HOTTEST_AT_A_BATH))
        facts = {"set-at": set_at}
        fitting.piece(f"{room}-blending-valve", "blending-valve", room, "behind the bath panel", facts=facts)  # fmt: skip
    elif kind == "shower-room":
        fitting.piece(f"{room}-shower", "shower", room, "over the tray", height=1.1)


def _outside_tap(fitting: Fitting) -> None:
    fitting.piece("outside-tap", "outside-tap", "outside", "on the back wall", height=0.6)
    fitting.piece(
        "outside-tap-valve", "outside-tap-valve", fitting.machines, "under the worktop",
        serves="The outside tap",
    )  # fmt: skip
    if fitting.chance(0.3):
        fitting.piece("front-tap", "outside-tap", "outside", "beside the front door", height=0.6)
        fitting.piece("front-tap-valve", "outside-tap-valve", fitting.hall, "low down", serves="The front tap")  # fmt: skip


def electricity(fitting: Fitting) -> None:
    """The consumer unit between 1.35 and 1.45 m (Approved Document M, Volume 1, paragraph 1.18b)."""
    home, beside = fitting.home, "corridor" if fitting.home.shared_entrance else "outside"
    room = next(iter(home.of_kind("utility", "cupboard")), fitting.hall)
    height = fitting.rng.choice((1.35, 1.4, 1.45))
    fitting.piece("consumer-unit", "consumer-unit", room, "on the wall", height=height)
    fitting.piece("electric-meter", "electric-meter", beside, "in its box")
    fitting.piece("grid-switches", "grid-switch", fitting.kitchen, "over the worktop", height=1.1, serves="The kitchen appliances")  # fmt: skip
    fitting.piece("oven", "oven", fitting.kitchen, "below the hob")
    if fitting.home.shared_entrance:
        fitting.piece("entry-handset", "entry-handset", fitting.hall, "beside the entrance door", height=1.2)  # fmt: skip
    if fitting.chance(0.4):
        fitting.piece("alarm-spur", "fused-spur", fitting.hall, "beside the front door", height=0.45, serves="A burglar alarm")  # fmt: skip
    if home.form in ("house", "bungalow") and fitting.chance(0.3):
        _solar(fitting)
    if home.of_kind("garage") and fitting.chance(0.3):
        _garage_supply(fitting)


def _solar(fitting: Fitting) -> None:
    room = "loft" if "loft" in fitting.home.rooms else fitting.machines
    fitting.piece("solar-inverter", "solar-inverter", room, "on the wall", height=1.3)
    fitting.piece("solar-isolator", "solar-isolator", room, "beside the inverter", height=1.3)
    if "garage" in fitting.home.rooms and fitting.chance(0.5):
        fitting.piece("battery", "home-battery", "garage", "on the back wall", height=0.5)
        fitting.piece("battery-switch", "isolator-switch", "garage", "beside the battery", height=1.0, serves="The battery")  # fmt: skip


def _garage_supply(fitting: Fitting) -> None:
    fitting.piece("charger", "car-charger", "garage", "beside the main door", height=1.0)
    fitting.piece("garage-unit", "garage-consumer-unit", "garage", "on the wall", height=1.4)


# Alarms ---------------------------------------------------------------------------------------


def alarms(fitting: Fitting) -> None:
    """A smoke alarm in each hall, where all doors are near enough; a heat alarm in each kitchen."""
    for storey in fitting.home.plan.storeys:
        hall = storey.spine.id
        _alarm(fitting, f"{hall}-smoke-alarm", "smoke-alarm", hall, _hall_spot(fitting, hall))
    for room in fitting.home.of_kind("kitchen", "kitchen-dining", "kitchen-living"):
        _alarm(fitting, f"{room}-heat-alarm", "heat-alarm", room, _middle(fitting, room))
    for room in _rooms_with_their_own(fitting):
        _alarm(fitting, f"{room}-smoke-alarm", "smoke-alarm", room, _middle(fitting, room))


def _alarm(fitting: Fitting, name: str, kind: str, room: str, at: Corner) -> None:
    fitting.piece(name, kind, room, "on the ceiling", at=at, height=fitting.ceiling(room))


def _rooms_with_their_own(fitting: Fitting) -> list[str]:
    """Rooms that others are entered through, and rooms with no door to the kitchen."""
    wants = fitting.home.plan.wants.values()
    through = {want.via for want in wants if want.via and want.kind in ("dining", "kitchen")}
    return [room for room in fitting.home.plan.wants if room in through]


def _hall_spot(fitting: Fitting, hall: str) -> Corner:
    """In the hall, so that its farthest door is 7.5 m away, or in the middle of the doors."""
    low_x, low_y, high_x, high_y = fitting.home.plan.outlines[hall].bounds
    doors = _doors_to_measure(fitting, hall)
    x = fitting.rng.choice((round((low_x + high_x) / 2, 2), round(low_x + FROM_WALLS, 2)))
    low, high = round(low_y + FROM_WALLS, 2), round(high_y - FROM_WALLS, 2)
    if doors and fitting.chance(0.5):
        at_limit = _at_the_limit(x, doors)
        if at_limit is not None and low <= at_limit <= high:
            return (x, at_limit)
    across = [y for _, y in doors] or [low, high]
    middle = min(max(round((min(across) + max(across)) / 2, 2), low), high)
    spot = (x, middle)
    if any(math.dist(spot, door) > MOST_TO_A_DOOR for door in doors):
        raise UnbuildableError("a hall that one alarm does not cover")
    return spot


def _doors_to_measure(fitting: Fitting, hall: str) -> list[Corner]:
    rooms = fitting.home.of_kind(*HABITABLE)
    doors = fitting.home.plan.doors.values()
    return [
        tuple(door["at"])
        for door in doors
        if "at" in door
        and hall in door["between"]
        and any(room in door["between"] for room in rooms)
    ]


def _at_the_limit(x: float, doors: list[Corner]) -> float | None:
    """How far back an alarm is whose farthest door is 7.5 m away, none farther."""
    for door_x, door_y in doors:
        y = round(door_y + math.sqrt(MOST_TO_A_DOOR**2 - (x - door_x) ** 2) - 0.005, 2)
        if all(math.dist((x, y), door) <= MOST_TO_A_DOOR for door in doors):
            return y
    return None


def _middle(fitting: Fitting, room: str) -> Corner:
    """The spot of a room whose farthest corner is nearest, of many tried."""
    outline = fitting.home.plan.outlines[room]
    corners = list(outline.exterior.coords)
    spots = [spot for spot in (fitting.spot(room, 0.35) for _ in range(12)) if spot]
    spots = [spot for spot in spots if clear(outline, spot) >= FROM_WALLS]
    return min(spots, key=lambda spot: max(math.dist(spot, corner) for corner in corners))


def sprinklers(fitting: Fitting) -> None:
    top = max(storey.above_ground for storey in fitting.home.plan.storeys)
    limit = SPRINKLERS_ABOVE if fitting.home.shared_entrance else ANOTHER_WAY_ABOVE
    if top > limit:
        fitting.piece("sprinkler-valve", "sprinkler-valve", fitting.hall, "in the cupboard", height=1.0)  # fmt: skip
        fitting.data["sprinklers"] = {"fed_by": "tank"}


# What is recorded beside the plan ------------------------------------------------------------------


def records(fitting: Fitting) -> None:
    home, data = fitting.home, fitting.data
    data["utilities"]["water"] = {"name": "Water", "supplier": "Orrinvale Water", "meter": "water-meter"}  # fmt: skip
    data["utilities"]["electricity"] = {"name": "Electricity", "supplier": "Marram Energy", "meter": "electric-meter"}  # fmt: skip
    data["keys"] = {"front-door": {"name": "Front door key", "count": 3, "opens": "the front door"}}
    data["finishes"] = {"hall-walls": {"room": home.plan.storeys[0].spine.id, "surface": "walls", "material": "Matt emulsion"}}  # fmt: skip
    if home.garage:
        data["garage"] = home.garage
    if home.form in ("house", "bungalow"):
        data["lawns"] = {"back": {"place": "behind the home"}}
        data["fences"] = {
            side: {"side": side, "kind": "Timber fence", "owner": owner}
            for side, owner in (
                ("left", "this-home"),
                ("right", "neighbour"),
                ("back", "this-home"),
            )
        }
    if home.shared_entrance:
        data["communal"] = {"corridor": {"name": "Corridors and stairs", "place": "outside the entrance door", "looked_after_by": "managing-agent"}}  # fmt: skip
        data["stores"] = {"bins": {"name": "Bin store", "kind": "refuse", "place": "on the ground floor"}}  # fmt: skip
    if "loft" in home.rooms:
        top = home.plan.storeys[-1].spine.id
        fitting.piece(
            "loft-hatch", "loft-hatch", top, "in the ceiling", height=fitting.ceiling(top)
        )
