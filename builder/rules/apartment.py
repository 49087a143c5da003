"""Apartments: what they share, and what they have no part of unless somebody says so."""

from collections.abc import Iterator

from builder.errors import Severity
from builder.home.survey import Survey
from builder.rules.measures import listed, quoted
from builder.rules.rooms import ways_in
from builder.rules.rule import HomeRule, Problem, rule

_UNLESS_SAID = (
    "common practice: an apartment has no loft, garage or garden unless its lease says so"
)
_SHARED = "common practice: an apartment shares its building"
_SAY_SO = "Take it out, or waive this rule for the house type with the reason."


_FLATS = ("apartment", "maisonette")


def _a(home: Survey) -> str:
    return "an apartment" if home.home.form == "apartment" else "a maisonette"


def _shares_a_building(home: Survey) -> bool:
    """Whether it is a flat: a maisonette with a front door of its own may share nothing but its walls."""
    building = home.home.building
    alone = building is not None and building.own_entrance is True
    return home.home.form == "apartment" or (home.home.form == "maisonette" and not alone)


@rule("apartment.loft", "An apartment has no loft.", basis=_UNLESS_SAID)
def apartments_have_no_loft(home: Survey) -> Iterator[Problem]:
    for name, room in home.inside():
        if home.home.form == "apartment" and home.is_loft(name):
            yield Problem(
                ("rooms", name), f"This home is an apartment, and has '{room.name}'.", _SAY_SO
            )


@rule("apartment.garage", "An apartment has no garage.", basis=_UNLESS_SAID)
def apartments_have_no_garage(home: Survey) -> Iterator[Problem]:
    if home.home.form == "apartment" and home.home.garage is not None:
        yield Problem(("garage",), "This home is an apartment, and has a garage.", _SAY_SO)


@rule("apartment.garden", "An apartment has no garden.", basis=_UNLESS_SAID)
def apartments_have_no_garden(home: Survey) -> Iterator[Problem]:
    parts = ("lawns", "fences", "gates")
    found = [part for part in parts if getattr(home.home, part)]
    if home.home.form == "apartment" and found:
        wrong = f"This home is an apartment, and has {listed(found)}."
        yield Problem((found[0],), wrong, _SAY_SO)


@rule(
    "apartment.entrance", "An apartment is entered from a shared place or from outside.",
    basis=_SHARED, severity=Severity.ERROR,
)  # fmt: skip
def apartments_have_an_entrance(home: Survey) -> Iterator[Problem]:
    if home.home.form == "apartment" and home.home.doors and not ways_in(home):
        yield Problem(
            ("doors",),
            "No door leads into this apartment from a shared place or from outside.",
            "Name the shared room in 'between' of the entrance door.",
        )


@rule(
    "apartment.communal-missing", "A flat says who looks after what it shares.", basis=_SHARED
)  # fmt: skip
def apartments_say_what_is_shared(home: Survey) -> Iterator[Problem]:
    if _shares_a_building(home) and not home.home.communal:
        yield Problem(
            ("form",),
            f"This home is {_a(home)}, and nothing says who looks after the shared parts.",
            "Add the corridors, the lift and the grounds to 'communal', each with 'looked_after_by'.",
        )


@rule(
    "apartment.refuse-store", "A flat says where its rubbish goes.",
    basis="common practice: an apartment has no bins of its own", severity=Severity.NOTE,
)  # fmt: skip
def apartments_have_a_refuse_store(home: Survey) -> Iterator[Problem]:
    kinds = {store.kind for store in home.home.stores.values()}
    if _shares_a_building(home) and not kinds & {"refuse", "recycling"}:
        yield Problem(
            ("form",),
            f"This home is {_a(home)}, and nothing says where the rubbish goes.",
            "Add the bin store to 'stores': 'kind: refuse'.",
        )


@rule(
    "apartment.way-in-unsaid", "A flat says where its fire notice hangs, and how help comes in.",
    basis="common practice: who calls for help says how it gets through the main door",
    severity=Severity.NOTE,
)  # fmt: skip
def flats_say_how_help_comes_in(home: Survey) -> Iterator[Problem]:
    building = home.home.building
    if home.home.form not in _FLATS or building is None or building.own_entrance is not False:
        return
    lacking = [name for name in ("fire_notice", "help_gets_in") if getattr(building, name) is None]
    if lacking:
        yield Problem(
            ("building",),
            f"Nothing says {quoted(lacking)} of this building, which is entered through a shared hall.",
            "Add 'fire_notice: in the entrance hall', and 'help_gets_in:' with the way from the street.",
        )


@rule(
    "apartment.two-floors", "An apartment is on one floor.",
    basis="common practice: a flat with stairs of its own is a maisonette", severity=Severity.NOTE,
)  # fmt: skip
def apartments_are_on_one_floor(home: Survey) -> Iterator[Problem]:
    floors = list(dict.fromkeys(room.floor for _, room in home.living() if room.floor))
    if home.home.form == "apartment" and len(floors) > 1:
        names = [home.home.floors[floor].name for floor in floors]
        yield Problem(
            ("form",),
            f"This home is an apartment, and has rooms on {quoted(names)}.",
            "Make it 'form: maisonette', or correct the floors of its rooms.",
        )


@rule(
    "house.communal-door", "A house is entered from outside.",
    basis="common practice: a house shares no hall or stairs with other homes",
)  # fmt: skip
def houses_share_no_hall(home: Survey) -> Iterator[Problem]:
    for name, door in home.home.doors.items():
        shared = [room for room in door.between if home.kind_of_room(room).shared]
        if home.home.form in ("house", "bungalow") and shared:
            yield Problem(
                ("doors", name, "between"),
                f"This home is a {home.home.form}, and '{door.name}' leads to"
                f" '{home.home.rooms[shared[0]].name}', which other homes share.",
                "Name the room outside, or correct 'form'.",
            )


APARTMENT: tuple[HomeRule, ...] = (
    apartments_have_no_loft,
    apartments_have_no_garage,
    apartments_have_no_garden,
    apartments_have_an_entrance,
    apartments_say_what_is_shared,
    apartments_have_a_refuse_store,
    flats_say_how_help_comes_in,
    apartments_are_on_one_floor,
    houses_share_no_hall,
)
