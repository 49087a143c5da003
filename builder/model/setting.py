"""What a home is beside its rooms: its building, its fabric, its parts, and whom it was built for.

Each fact is used through named conditions and by nothing else (``builder/selection/conditions.yaml``).
What nobody said is not known, and nothing is printed of it.
"""

from typing import Annotated, Literal

from pydantic import Field

from builder.model.record import (
    ContactId,
    EquipmentId,
    FuelId,
    PlaceText,
    Record,
    RoomId,
    SharedPlaceText,
    Text,
    WayText,
    Whole,
)

Tenure = Literal["freehold", "leasehold", "common-parts"]
"""How the home is owned: outright, by a lease, or outright with a share in common parts."""

Rest = Literal["rented", "secured"]
"""What became of the part of a home that its buyer did not pay for: it is rented from a landlord, as in shared
ownership, or somebody else paid for it and has a security on the home, as in shared equity."""

Need = Literal["wheelchair", "walking", "hearing", "sight"]
"""What the people that a home was built for live with."""


class PartBought(Record):
    """What is agreed of a home of which its buyer paid for a part.

    ``landlord_repairs``: for how many years of the lease the landlord pays for what must be mended outside and in
    the structure, where no cover pays; 0 where the owner pays from the first day. ``repair_help``: pounds that the
    owner may claim in each of these years for repairs inside. ``insured_by``: who insures the building.
    """

    rest: Rest
    landlord_repairs: Annotated[Whole, Field(ge=0, le=99)] | None = None
    repair_help: Annotated[Whole, Field(ge=1, le=10_000)] | None = None
    insured_by: Literal["landlord", "owner"] | None = None


class Building(Record):
    """Where the home stands in its building.

    ``storey`` is that of its own front door: 0 is the ground floor of the building. ``own_entrance``:
    its front door opens outside and not into a shared hall. ``homes_above`` and ``homes_below``:
    other homes lie over it and under it. ``in_fire`` is what the notice of the building says when
    another home burns, ``fire_notice`` where that notice hangs, ``refuge`` where people wait who
    cannot use the stairs. ``over_eleven_metres``: its top floor lies more than 11 m above the ground.
    ``help_gets_in`` is what the emergency services are told of the way in; it
    is published, so it holds no code. Left and right on a road stay what they are in plots of either hand.
    """

    storey: Annotated[Whole, Field(ge=-5, le=100)] | None = None
    own_entrance: bool | None = None
    lift: bool | None = None
    homes_above: bool | None = None
    homes_below: bool | None = None
    in_fire: Literal["stay", "leave"] | None = None
    fire_notice: SharedPlaceText | None = None
    refuge: SharedPlaceText | None = None
    over_eleven_metres: bool | None = None
    help_gets_in: WayText | None = None


class Premises(Record):
    """Something in the building that is no home, such as a shop or a car park.

    ``kitchen``: food is cooked there to be sold. ``fuels``: what is burnt there. ``stairs``: whether the stairs of
    the homes lead there too, and whether a lobby with fire doors lies between. ``alarm_heard``: its fire
    alarm sounds in the home as well. ``busy`` says when it is loud: "from 6 am, when bread is delivered".
    ``contact`` is whom to call about it.
    """

    name: Text
    use: Literal["shop", "kitchen", "office", "workshop", "plant-room", "car-park"]
    lies: Literal["below", "above", "beside"]
    place: SharedPlaceText | None = None
    fuels: tuple[FuelId, ...] = ()
    stairs: Literal["own", "shared", "shared-with-lobby"] | None = None
    alarm_heard: bool | None = None
    busy: Text | None = None
    contact: ContactId | None = None


class Fabric(Record):
    """What the building is made of. ``listed`` is its grade or category, as it is listed.

    ``protected_species`` are those that live in it, in words: "bats". ``ground_floor`` is ``suspended`` where air moves under it,
    let in by air bricks. ``radon`` is what was built in against it:
    ``basic``, a sheet below the floor, or ``full``, with a place for a fan as well.
    """

    origin: Literal["new", "conversion"] | None = None
    listed: Text | None = None
    walls: Literal["cavity", "timber-frame", "solid", "lime"] | None = None
    protected_species: tuple[Text, ...] = ()
    radon: Literal["basic", "full"] | None = None
    ground_floor: Literal["solid", "suspended"] | None = None


class Part(Record):
    """A part of the home that is lived in by itself, such as an annexe.

    What stands in its rooms serves it. ``own`` names what stands elsewhere and serves it too: its meters, its
    stop tap, or the stopcock and the consumer unit that it shares with the rest of the home.
    """

    name: Text
    rooms: Annotated[tuple[RoomId, ...], Field(min_length=1)]
    own: tuple[EquipmentId, ...] = ()
    place: PlaceText | None = None
