"""Fresh air for generated homes: by all systems, at the least rates and above them.

The figures are those of Approved Document F, Volume 1 (England, 2021 edition): Tables 1.1, 1.2, 1.3
and 1.7 and paragraphs 1.24, 1.57, 1.58 and 1.64, written here a second time.
"""

import math
from itertools import pairwise

from tests.generated_fitting import Fitting
from tests.generated_forms import Building, try_window
from tests.generated_plans import Data
from tests.generated_rooms import HABITABLE, KITCHENS, WET

BY_BEDROOMS = {1: 19, 2: 25, 3: 31, 4: 37, 5: 43}
ONE_ROOM, FURTHER, BY_AREA = 13, 6, 0.3
INTERMITTENT = {"kitchen": 60, "hood": 30, "utility": 30, "bathroom": 15, "sanitary": 6}
CONTINUOUS = {"kitchen": 13, "utility": 8, "bathroom": 8, "sanitary": 6}
ROWS = {
    "kitchen": "kitchen", "kitchen-dining": "kitchen", "kitchen-living": "kitchen",
    "utility": "utility", "bathroom": "bathroom", "shower-room": "bathroom", "toilet": "sanitary",
}  # fmt: skip
ONE_FLOOR, SEVERAL_FLOORS, IN_BATHROOMS, BESIDE_CONTINUOUS = 10000, 8000, 4000, 4000
SYSTEMS = ("natural", "intermittent-extract", "continuous-extract", "heat-recovery")


def air(fitting: Fitting) -> None:
    """One of the four systems; a home without the windows for fans and vents gets another."""
    system = fitting.rng.choice(SYSTEMS)
    if system in SYSTEMS[:2] and not _has_windows_for_fans(fitting):
        system = "continuous-extract"
    if system == "continuous-extract" and not _has_windows_for_extract(fitting):
        system = "heat-recovery"
    if system in SYSTEMS[:2]:
        _by_fans(fitting, system)
    else:
        _by_unit(fitting, system)


def least_rate(home: Building) -> float:
    """The least whole-home rate: by bedrooms or by area, whichever is larger."""
    bedrooms, rooms = len(home.of_kind("bedroom")), len(home.of_kind(*HABITABLE))
    by_bedrooms = BY_BEDROOMS.get(bedrooms, BY_BEDROOMS[5] + FURTHER * (bedrooms - 5))
    return max(ONE_ROOM if rooms == 1 else by_bedrooms, BY_AREA * home.area)


# Fans that run now and then -------------------------------------------------------------------


def _by_fans(fitting: Fitting, system: str) -> None:
    fitting.data["ventilation"] = {"system": system, "air_valves": {}}
    for room in fitting.home.of_kind(*WET):
        row = ROWS[fitting.home.kind(room)]
        by = f"{room}-fan"
        least = INTERMITTENT[row]
        if row == "kitchen":
            by, least = _kitchen_fan(fitting, room)
        least = max(least, _clearing(fitting, room))
        if by.endswith("-fan"):
            _ceiling_piece(fitting, by, "extract-fan", room, "on the ceiling")
        fitting.data["ventilation"]["air_valves"][room] = {
            "room": room, "by": by, "rate": _at_least(fitting, least),
        }  # fmt: skip
    _vents_for_fans(fitting)


def _clearing(fitting: Fitting, room: str) -> int:
    """Litres a second that change the air of a room without an outside wall four times an hour
    (Approved Document F, Volume 1, England, 2021 edition, paragraph 1.48); 0 for any other room."""
    plan = fitting.home.plan
    outline, shell = plan.outlines[room], plan.shell(plan.storey_of(room))
    if outline.exterior.intersection(shell.exterior.buffer(0.01)).length > 0.1:
        return 0
    return math.ceil(4 * outline.area * fitting.ceiling(room) / 3.6)


def _kitchen_fan(fitting: Fitting, room: str) -> tuple[str, int]:
    """A hood that takes the air outside; or a fan, with a hood that filters, or with none."""
    choice = fitting.rng.choice(("extracting", "recirculating", "none"))
    if choice == "extracting":
        fitting.piece("hood", "cooker-hood-extracting", room, "over the hob", height=1.6)
        return "hood", INTERMITTENT["hood"]
    if choice == "recirculating":
        _filtering_hood(fitting, room)
    return f"{room}-fan", INTERMITTENT["kitchen"]


def _filtering_hood(fitting: Fitting, room: str) -> None:
    facts = {"filter-every": "6 months"}
    fitting.piece(
        "hood", "cooker-hood-recirculating", room, "over the hob", height=1.6, facts=facts
    )


def _at_least(fitting: Fitting, least: float) -> float:
    """A rate at the least allowed, or a little above."""
    return least if fitting.chance(0.5) else least + fitting.rng.choice((0.5, 1, 3, 6))


def _ceiling_piece(fitting: Fitting, name: str, kind: str, room: str, place: str) -> None:
    fitting.piece(name, kind, room, place, height=fitting.ceiling(room))


def _has_windows_for_fans(fitting: Fitting) -> bool:
    """Whether each bathroom has a window, and the living rooms and kitchens have vents enough."""
    home = fitting.home
    for room in home.of_kind("bathroom", "shower-room"):
        if not _windows(home, room) and not try_window(fitting.rng, home, room, f"{room}-window"):
            return False
    needed = 4 if len(home.of_kind("bedroom")) == 1 else 5
    return _open_plan_has_three(fitting) and _with_more(fitting, needed, *HABITABLE, "kitchen")


def _has_windows_for_extract(fitting: Fitting) -> bool:
    needed = len(fitting.home.of_kind("bedroom")) + 2
    return _with_more(fitting, needed, *(kind for kind in HABITABLE if kind not in KITCHENS))


def _open_space(home: Building) -> list[str]:
    """The kitchen and the living room where they are one space."""
    one = home.of_kind("kitchen-living")
    both = ["living", "kitchen"] if "kitchen" in home.plan.wants else []
    return one or (both if both and home.plan.wants["kitchen"].opening else [])


def _open_plan_has_three(fitting: Fitting) -> bool:
    space = _open_space(fitting.home)
    for number in range(3):
        if space and len(_windows(fitting.home, *space)) < 3:
            for room in space:
                try_window(fitting.rng, fitting.home, room, f"{room}-open-window-{number}")
    return not space or len(_windows(fitting.home, *space)) >= 3


def _with_more(fitting: Fitting, needed: int, *kinds: str) -> bool:
    """Whether the rooms of some kinds have so many windows, after adding where walls have room."""
    home = fitting.home
    for number in range(3):
        for room in home.of_kind(*kinds):
            if len(_windows(home, *home.of_kind(*kinds))) < needed:
                try_window(fitting.rng, home, room, f"{room}-further-window-{number}")
    return len(_windows(home, *home.of_kind(*kinds))) >= needed


def _windows(home: Building, *rooms: str) -> list[Data]:
    return [window for window in home.plan.windows.values() if window["room"] in rooms]


def _vents_for_fans(fitting: Fitting) -> None:
    """Table 1.7: each living room and kitchen, and each bathroom; a vent in every window."""
    home = fitting.home
    floors = {
        home.plan.storey_of(room).id for room in home.plan.wants if home.kind(room) != "garage"
    }
    area = ONE_FLOOR if len(floors) == 1 else SEVERAL_FLOORS
    for room in home.of_kind(*HABITABLE, "kitchen"):
        for window in _windows(home, room):
            window["background_ventilator"] = area + fitting.rng.choice((0, 0, 500, 2000))
    for room in home.of_kind("bathroom", "shower-room"):
        for window in _windows(home, room):
            window["background_ventilator"] = IN_BATHROOMS


# Units that run all the time ------------------------------------------------------------------


def _by_unit(fitting: Fitting, system: str) -> None:
    """One unit for the home: it extracts, and with heat recovery brings in as much."""
    recovers = system == "heat-recovery"
    unit = "ventilation-unit"
    least = math.ceil(least_rate(fitting.home) * 10 - 1e-6) / 10
    rate = least if fitting.chance(0.5) else least + fitting.rng.randint(1, 5)
    kind = "heat-recovery-unit" if recovers else "continuous-extract-unit"
    facts = {"filter-every": fitting.rng.choice(("1 year", "6 months"))}
    room = next(iter(fitting.home.of_kind("cupboard", "utility")), fitting.hall)
    height = round(fitting.ceiling(room) - 0.3, 2)
    fitting.piece(unit, kind, room, "on the wall, high up", height=height, facts=facts)
    fitting.piece(
        "boost-switch", "boost-switch", fitting.kitchen, "beside the door", height=1.1,
        serves="The ventilation unit",
    )  # fmt: skip
    valves = _extract_valves(fitting, unit, rate)
    if recovers:
        for each in valves.values():
            each["direction"] = "extract"
        valves |= _supply_valves(fitting, unit, valves)
    else:
        _vents_for_extract(fitting)
    if fitting.chance(0.6):
        _filtering_hood(fitting, fitting.kitchen)
    fitting.data["ventilation"] = {
        "system": system, "unit": unit, "whole_home_rate": rate, "air_valves": valves,
    }  # fmt: skip


def _extract_valves(fitting: Fitting, unit: str, rate: float) -> Data:
    """The whole-home rate in parts as the rooms need it, each boosted to its least high rate."""
    rooms = fitting.home.of_kind(*WET)
    needs = [CONTINUOUS[ROWS[fitting.home.kind(room)]] for room in rooms]
    rates = _parts(rate, needs)
    boosts = [
        round(max(need, each) + fitting.rng.choice((0, 2, 5)), 1)
        for need, each in zip(needs, rates, strict=True)
    ]
    return {
        f"{room}-out": {"room": room, "by": unit, "rate": each, "boost_rate": boost}
        for room, each, boost in zip(rooms, rates, boosts, strict=True)
    }


def _supply_valves(fitting: Fitting, unit: str, out: Data) -> Data:
    """As much air in as out, in every living room and bedroom by its size."""
    rooms = fitting.home.of_kind(*HABITABLE)
    sizes = [fitting.home.plan.outlines[room].area for room in rooms]
    rates = _parts(sum(valve["rate"] for valve in out.values()), sizes)
    more = sum(valve["boost_rate"] - valve["rate"] for valve in out.values())
    boosts = [round(rates[0] + more, 1), *rates[1:]]
    return {
        f"{room}-in": {
            "room": room,
            "direction": "supply",
            "by": unit,
            "rate": each,
            "boost_rate": boost,
        }
        for room, each, boost in zip(rooms, rates, boosts, strict=True)
    }


def _parts(whole: float, shares: list[float] | list[int]) -> list[float]:
    """A rate in tenths, shared out so that the parts add up to it."""
    tenths = round(whole * 10)
    bounds = [round(tenths * sum(shares[:index]) / sum(shares)) for index in range(len(shares) + 1)]
    return [(high - low) / 10 for low, high in pairwise(bounds)]


def _vents_for_extract(fitting: Fitting) -> None:
    """Paragraph 1.64: vents in the rooms that people live in, and none in wet rooms."""
    for room in fitting.home.of_kind(*(kind for kind in HABITABLE if kind not in KITCHENS)):
        for window in _windows(fitting.home, room):
            window["background_ventilator"] = BESIDE_CONTINUOUS + fitting.rng.choice((0, 0, 1000))
