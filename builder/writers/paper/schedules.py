"""Schedules to keep and to sign: finishes room by room, and keys and documents."""

from collections.abc import Iterator
from typing import Any

from builder.guide.about import About
from builder.model.handover import Document
from builder.writers.paper.guide_text import Printable
from builder.writers.paper.setting import Press


def finishes_schedule(press: Press, printable: Printable, about: About) -> bytes:
    """Every finish by room; a home of which none is recorded gets lines to write them on."""
    rooms = [
        {"room": room.name, "finishes": list(_finishes(name, about))}
        for name, room in about.home.rooms.items()
    ]
    recorded = [each for each in rooms if each["finishes"]]
    values = {
        **heading(printable, about.say("Finishes schedule")),
        "rooms": recorded or rooms,
        "recorded": bool(recorded),
    }
    return press.paper("finishes", values, printable)


def _finishes(room: str, about: About) -> Iterator[dict[str, str]]:
    for finish in about.home.finishes.values():
        if finish.room == room:
            made = ", ".join(filter(None, (finish.make, finish.reference)))
            yield {
                "surface": finish.surface[:1].upper() + finish.surface[1:],
                "material": finish.material,
                "colour": finish.colour or "",
                "made": made,
            }


def keys_schedule(press: Press, printable: Printable, about: About) -> bytes:
    """Every key and every document of this home, with room to count, to date and to sign."""
    values = {
        **heading(printable, about.say("Keys and documents")),
        "keys": [
            {"name": each.name, "opens": each.opens, "count": each.count}
            for each in about.home.keys.values()
        ],
        "documents": [
            {"name": each.name, "basis": _why(each, about)}
            for each in about.home.documents.values()
            if about.applies(each)
        ],
    }
    return press.paper("keys", values, printable)


def _why(document: Document, about: About) -> str:
    """Why a buyer is given a paper: its law, where that was read."""
    unread = document.basis == "common practice" or "from memory" in document.basis
    return about.say("Usual for a new home") if unread else document.basis


def heading(printable: Printable, title: str) -> dict[str, Any]:
    """What stands at the top of every paper: what it is, and whose."""
    return {
        "title": title,
        "home": printable.home_address,
        "postcode": printable.postcode,
        "plot": printable.plot_line,
        "builder": printable.guide.builder,
        "day": printable.day.isoformat(),
    }
