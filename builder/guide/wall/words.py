"""The same in words: where one stands, and how high and how far along a thing is."""

from builder.guide.wall.view import WallMark, WallView
from builder.languages.language import FIRST, Language, to_say

STEP = 5
"""Centimetres that lengths are rounded to: drawings run to the middle of walls."""
_METRE = 100
_SIDES = {
    "front": to_say("front of the home"),
    "back": to_say("back of the home"),
    "left": to_say("left of the home, as seen from the street"),
    "right": to_say("right of the home, as seen from the street"),
}


def length(metres: float) -> str:
    """A length in words: ``35 cm``, ``1.4 m``."""
    centimetres = round(metres * _METRE / STEP) * STEP
    if centimetres < _METRE:
        return f"{centimetres} cm"
    return f"{centimetres / _METRE:g} m"


def words(view: WallView, language: Language = FIRST) -> str:
    """Where to stand, what to face, and where the thing is on it."""
    return f"{stand(view, language)} {place(view, language)}"


def stand(view: WallView, language: Language = FIRST) -> str:
    """Where to stand and what to face."""
    say, side = language.say, language.text(_SIDES[view.side])
    if view.outside:
        return say("Stand outside, at the %(side)s. Face the wall.", side=side)
    if view.beyond:
        room, beyond = view.room, language.listed(_the(each, language) for each in view.beyond)
        return say("%(room)s: face the wall towards %(beyond)s.", room=room, beyond=beyond)
    # Nothing in the record says what lies behind: the open air, a neighbour or a shared corridor.
    return say("%(room)s: face the wall at the %(side)s.", room=view.room, side=side)


def _the(room: str, language: Language) -> str:
    """A room inside a sentence: ``the hall``, ``bedroom 1``."""
    name = room if room[1:2].isupper() else f"{room[:1].lower()}{room[1:]}"
    return name if name[-1:].isdigit() else language.say("the %(room)s", room=name)


def place(view: WallView, language: Language = FIRST) -> str:
    """How high the thing is, and how far from the nearest corner, door or window."""
    high = _height(view, language)
    if view.mark is None:
        return f"{high}."
    off = _distance_in_words(view.mark, view.off_mark, language)
    return language.say("%(height)s, and %(place)s.", height=high, place=off)


def _height(view: WallView, language: Language) -> str:
    say = language.say
    centimetres = round(view.height * _METRE / STEP) * STEP
    if centimetres == 0:
        return say("It is at the ground") if view.outside else say("It is at the floor")
    high = length(view.height)
    if view.outside:
        return say("It is about %(length)s above the ground", length=high)
    return say("It is about %(length)s above the floor", length=high)


_NOUNS = {
    "door": to_say("door"),
    "window": to_say("window"),
    "opening": to_say("opening"),
    "garage door": to_say("garage door"),
    "double doors": to_say("double doors"),
}
_IN_CORNER = {
    "left": (to_say("right in the left-hand corner"), to_say("about %(length)s from the left-hand corner")),
    "right": (to_say("right in the right-hand corner"), to_say("about %(length)s from the right-hand corner")),
}  # fmt: skip
_BESIDE = {
    "left": (to_say("close to the left of the %(thing)s"), to_say("about %(length)s to the left of the %(thing)s")),
    "right": (to_say("close to the right of the %(thing)s"), to_say("about %(length)s to the right of the %(thing)s")),
}  # fmt: skip


def _distance_in_words(mark: WallMark, off: float, language: Language) -> str:
    near = off * _METRE < STEP
    if mark.noun == "corner":
        close, away = _IN_CORNER[mark.side]
        return language.text(close) if near else language.say(away, length=length(off))
    close, away = _BESIDE[mark.side]
    thing = language.text(_NOUNS[mark.noun])
    if near:
        return language.say(close, thing=thing)
    return language.say(away, length=length(off), thing=thing)
