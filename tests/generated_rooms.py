"""What rooms homes of each form have, storey by storey, drawn at random."""

import random
from dataclasses import replace

from tests.generated_plans import Storey, Want, on_grid

HIGH = 4.5
"""Metres above ground: from there a stair is protected, and no window is a way out (Approved
Document B, Volume 1, England, 2019 edition, paragraphs 2.4 and 2.5)."""
HABITABLE = ("living", "dining", "kitchen-dining", "kitchen-living", "study", "bedroom")
KITCHENS = ("kitchen", "kitchen-dining", "kitchen-living")
WET = (*KITCHENS, "utility", "bathroom", "shower-room", "toilet")
_NUMBERED = (
    "Ground floor", "First floor", "Second floor", "Third floor", "Fourth floor", "Fifth floor",
)  # fmt: skip


def storeys_of(rng: random.Random, form: str) -> list[Storey]:
    """The storeys of a home of a form, the lowest first, with the rooms that each is to have."""
    return {
        "house": _house, "bungalow": _bungalow, "apartment": _apartment,
        "maisonette": _maisonette, "coach-house": _coach_house,
    }[form](rng)  # fmt: skip


def _house(rng: random.Random) -> list[Storey]:
    count = rng.choices((2, 3, 4), (6, 3, 1))[0]
    rise = on_grid(rng.uniform(2.5, 2.8))
    ground = [*_day_rooms(rng, row=True), _toilet()]
    ground += [_want(rng, "study", "Study", 5, 8)] if rng.random() < 0.25 else []
    ground += [_want(rng, "cupboard", "Cupboard", 1, 2)] if rng.random() < 0.4 else []
    if rng.random() < 0.35:
        ground.append(Want("garage", "garage", "Garage", 16, least=5.2, front=True))
    storeys = [_storey(rng, 0, 0.0, ground)]
    for level in range(1, count):
        storeys.append(_storey(rng, level, round(level * rise, 2), _night_rooms(rng, level)))
    return _named(storeys)


def _bungalow(rng: random.Random) -> list[Storey]:
    wants = [*_day_rooms(rng, row=False), *_night_rooms(rng, 0, most=4)]
    wants += [_toilet()] if rng.random() < 0.4 else []
    return _named([_storey(rng, 0, 0.0, wants)])


def _apartment(rng: random.Random) -> list[Storey]:
    """A flat on any storey up to the fourth; of one living room at times."""
    height = rng.choice((0.0, 2.8, 3.1, 5.8, 8.6, 10.9, 13.7))
    if rng.random() < 0.12:
        wants = [
            Want("living", "living", "Living and sleeping room", rng.uniform(16, 22)),
            _want(rng, "kitchen", "Kitchen", 6, 8), _want(rng, "bathroom", "Bathroom", 4, 5),
        ]  # fmt: skip
    else:
        day = _day_rooms(rng, row=False, small=True, high=height > HIGH)
        wants = [*day, *_night_rooms(rng, 0, most=3)]
    return _named([_storey(rng, 0, height, wants)])


def _maisonette(rng: random.Random) -> list[Storey]:
    low, rise = rng.choice((0.0, 2.8, 5.6)), on_grid(rng.uniform(2.5, 2.8))
    lower = [*_day_rooms(rng, row=False, small=True, high=low > HIGH), _toilet()]
    upper = _night_rooms(rng, 1, most=3)
    return _named([_storey(rng, 0, low, lower), _storey(rng, 1, round(low + rise, 2), upper)])


def _coach_house(rng: random.Random) -> list[Storey]:
    """A home over garages: below are its hall, its garage and a store."""
    below = [
        Want("garage", "garage", "Garage", 16, least=5.2, front=True),
        Want("store", "cupboard", "Store", 6),
    ]
    above = [*_day_rooms(rng, row=False, small=True), *_night_rooms(rng, 1, most=2)]
    return _named([_storey(rng, 0, 0.0, below), _storey(rng, 1, 2.7, above)])


def _day_rooms(
    rng: random.Random, *, row: bool, small: bool = False, high: bool = False
) -> list[Want]:
    """The living rooms and the kitchen: apart, as one room, open to each other, or one behind another.

    No room to live in is behind another where nobody climbs out of a window (Approved Document B,
    Volume 1, England, 2019 edition, paragraph 2.11).
    """
    size = 0.8 if small else 1.0
    living = _want(rng, "living", "Living room", 13 * size, 20 * size)
    kitchen = _want(rng, "kitchen", "Kitchen", 8 * size, 12 * size)
    choice = rng.choice(("apart", "dining", "one", "open", "apart" if high else "behind"))
    across = row and rng.random() < 0.4
    if choice == "dining":
        wants = [
            living,
            _want(rng, "kitchen-dining", "Kitchen and dining room", 13, 18, row=across),
        ]
    elif choice == "one":
        wants = [_want(rng, "kitchen-living", "Kitchen and living room", 20, 28, row=across)]
    elif choice == "open":
        wants = [living, _want(rng, "kitchen", "Kitchen", 7, 10, via="living", opening=True)]
    elif choice == "behind":
        wants = [living, kitchen, _want(rng, "dining", "Dining room", 8, 11, via="living")]
    else:
        wants = [living, kitchen]
    head = next(want for want in wants if want.kind in KITCHENS)
    if rng.random() < 0.4:
        via = None if head.via or head.row or rng.random() < 0.4 else head.id
        wants.append(_want(rng, "utility", "Utility room", 3.5, 5, via=via))
    return wants


def _night_rooms(rng: random.Random, level: int, most: int = 3) -> list[Want]:
    """Bedrooms and bathrooms of one storey, numbered by storey and room."""
    more = f"-{level}" if level > 1 else ""
    word = {0: "", 1: ""}.get(level, f" of the {_NUMBERED[level].lower()}")
    count = rng.randint(1, most)
    wants = [
        _want(rng, f"bedroom{more}-{number}", f"Bedroom {number}{word}", 8, 14, kind="bedroom")
        for number in range(1, count + 1)
    ]
    kind = rng.choice(("bathroom", "bathroom", "shower-room"))
    name = "Bathroom" if kind == "bathroom" else "Shower room"
    wants.append(_want(rng, f"{kind}{more}", f"{name}{word}", 4, 6, kind=kind))
    if rng.random() < 0.35:
        wants.append(Want(
            f"ensuite{more}", "shower-room", f"Ensuite{word}", rng.uniform(2.6, 3.6),
            via=f"bedroom{more}-1", inside_of=f"bedroom{more}-1",
        ))  # fmt: skip
    if rng.random() < 0.3:
        wants.append(_want(rng, f"cupboard{more or '-up'}", f"Airing cupboard{word}", 0.9, 1.6, kind="cupboard"))  # fmt: skip
    return wants


def _want(
    rng: random.Random, name: str, called: str, least: float, most: float, *,
    kind: str | None = None, via: str | None = None, opening: bool = False, row: bool = False,
) -> Want:  # fmt: skip
    shallowest = 2.3 if (kind or name) in HABITABLE else 1.0
    return Want(
        name, kind or name, called, rng.uniform(least, most), via, opening, shallowest, row=row
    )


def _toilet() -> Want:
    return Want("toilet", "toilet", "Toilet", 2.0, least=0.9)


def _storey(rng: random.Random, level: int, height: float, wants: list[Want]) -> Storey:
    spine = Want("hall", "hall", "Hall", 0)
    if level:
        more = f"-{level}" if level > 1 else ""
        of = f" of the {_NUMBERED[level].lower()}" if level > 1 else ""
        spine = Want(f"landing{more}", "landing", f"Landing{of}", 0)
    ceiling = on_grid(rng.uniform(2.3, 2.5))
    return Storey(f"floor-{level}", "", level, height, spine, tuple(wants), ceiling)


def _named(storeys: list[Storey]) -> list[Storey]:
    """The storeys with the names that they have in their building."""
    lowest = round(storeys[0].above_ground / 2.8)
    return [replace(each, name=_NUMBERED[lowest + each.level]) for each in storeys]
