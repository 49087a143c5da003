"""What a home is supplied with and what it gives away, and who answers for each.

Nothing here has a default that a guide could print: what nobody said is not known.
"""

from typing import Literal

from builder.model.record import (
    ContactId,
    PlaceText,
    Record,
    RoleId,
    Term,
    Text,
)


class Water(Record):
    """Where the water comes from. ``treatment`` completes the sentence "It is treated by …".

    ``metered``: what is used is counted and paid for by a meter. ``contact`` is whom to call when no
    water comes; ``shared``: other homes drink from the same private source.
    """

    source: Literal["mains", "borehole", "well", "spring"]
    shared: bool | None = None
    treatment: Text | None = None
    metered: bool | None = None
    contact: ContactId | None = None


class ReusedWater(Record):
    """Rain water, or used water that was cleaned, that feeds some things in place of drinking water.

    ``serves`` names them: "the toilets and the washing machine".
    """

    source: Literal["rain", "grey"]
    serves: Text
    contact: ContactId | None = None


class OwnElectricity(Record):
    """Electricity of a home that no cable from the street reaches. ``made_by`` completes the sentence
    "It is made by …". ``contact`` is whom to call when there is none, in place of the network.
    """

    made_by: Text
    contact: ContactId


class FoulDrainage(Record):
    """Where waste water goes. ``contact`` is whom to call when drains back up or the plant fails.

    ``outlet`` says where the cleaned water leaves: into the ground, or into a stream. ``emptied`` is
    how often the tank is emptied, and ``notice`` where the operator's notice or permit is kept.
    ``shared``: other homes use the same tank.
    """

    to: Literal["sewer", "shared-plant", "own-plant", "septic-tank", "cesspool"]
    shared: bool | None = None
    contact: ContactId | None = None
    outlet: Literal["ground", "water"] | None = None
    emptied: Term | None = None
    notice: PlaceText | None = None


class Sprinklers(Record):
    """How sprinklers get their water. ``branch`` says on which side of the inside stopcock it leaves. ``kind``
    ``mist``: nozzles spray a fine mist in their place.

    ``fed_by`` a tank, they work on while the mains is off. ``contact`` is who looks after them.
    """

    kind: Literal["sprinklers", "mist"] = "sprinklers"
    fed_by: Literal["mains", "tank"]
    branch: Literal["before-stopcock", "after-stopcock"] | None = None
    contact: ContactId | None = None


class HeatNetwork(Record):
    """Heat from pipes that other homes share. Who services the unit stands at the unit itself.

    ``may_touch`` says what of the interface unit its resident uses.
    """

    operator: ContactId
    billed_by: ContactId | None = None
    may_touch: Text | None = None


class Alarms(Record):
    """Which smoke and heat alarms sound together: all of them, or those of each part by itself."""

    linked: Literal["all", "by-part", "none"]


class Fuel(Record):
    """Something that is burnt. ``emergency`` is the role of whom to call when it leaks.

    ``registered`` says who may work on it: "a registered gas engineer". ``gathers`` is where a leak
    collects; no gas has none. ``words`` are those that only homes with this fuel may read.
    """

    name: Text
    gas: bool = False
    gathers: Literal["high", "low"] | None = None
    emergency: RoleId | None = None
    registered: Text
    words: tuple[Text, ...] = ()
