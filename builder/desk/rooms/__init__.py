"""The rooms of the desk, in the order of the navigation."""

from builder.desk.room import Room
from builder.desk.rooms import today

ROOMS: tuple[Room, ...] = (today.ROOM,)
