"""The same in words: where one stands, and how high and how far along a thing is."""

from builder.guide.wall.view import Mark, WallView

STEP = 5
"""Centimetres that lengths are rounded to: drawings run to the middle of walls."""
_METRE = 100
_SIDES = {
    "front": "front of the home",
    "back": "back of the home",
    "left": "left of the home, as seen from the street",
    "right": "right of the home, as seen from the street",
}


def length(metres: float) -> str:
    """A length in words: ``35 cm``, ``1.4 m``."""
    centimetres = round(metres * _METRE / STEP) * STEP
    if centimetres < _METRE:
        return f"{centimetres} cm"
    return f"{centimetres / _METRE:g} m"


def words(view: WallView) -> str:
    """Where to stand, what to face, and where the thing is on it."""
    return f"{stand(view)} {place(view)}"


def stand(view: WallView) -> str:
    """Where to stand and what to face."""
    if view.outside:
        return f"Stand outside, at the {_SIDES[view.side]}. Face the wall."
    if view.beyond:
        return f"{view.room}: face the wall towards {_the(view.beyond)}."
    # Nothing in the record says what lies behind: the open air, a neighbour or a shared corridor.
    return f"{view.room}: face the wall at the {_SIDES[view.side]}."


def _the(room: str) -> str:
    """A room inside a sentence: ``the hall``, ``bedroom 1``."""
    name = room if room[1:2].isupper() else f"{room[:1].lower()}{room[1:]}"
    return name if name[-1:].isdigit() else f"the {name}"


def place(view: WallView) -> str:
    """How high the thing is, and how far from the nearest corner, door or window."""
    high = _height(view)
    if view.mark is None:
        return f"{high}."
    return f"{high}, and {_from(view.mark, view.off_mark)}."


def _height(view: WallView) -> str:
    ground = "ground" if view.outside else "floor"
    centimetres = round(view.height * _METRE / STEP) * STEP
    if centimetres == 0:
        return f"It is at the {ground}"
    return f"It is about {length(view.height)} above the {ground}"


def _from(mark: Mark, off: float) -> str:
    near = off * _METRE < STEP
    if mark.noun == "corner":
        where = f"the {mark.side}-hand corner"
        return f"right in {where}" if near else f"about {length(off)} from {where}"
    side = f"to the {mark.side} of the {mark.noun}"
    return f"close {side}" if near else f"about {length(off)} {side}"
