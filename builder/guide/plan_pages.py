"""The page with the plan of every floor, and the same as tables."""

from collections.abc import Iterator
from typing import Any

from builder.guide.about import About
from builder.guide.front_pages import ways_that_are_known
from builder.guide.pages import Page
from builder.guide.pieces import Piece
from builder.guide.plan.marks import looks_of
from builder.guide.values import Values


def plan_page(about: About) -> Page | None:
    """Every floor with its marks, or no page where no room of the home is drawn."""
    if not about.plans.drawn:
        return None
    sections = (about.section("systems"), about.section("rooms"))
    drawn = about.kept.made_from(
        (plan_page, about.plans, *sections), lambda: _values_drawn_alike(about)
    )
    return Page(
        id="page:plan",
        path="plan",
        title=about.say("Plan of this home"),
        layout="plan",
        summary=about.say("Where everything is, floor by floor, seen from above."),
        values=drawn.beside(north=about.north, ways=ways_that_are_known(about)),
    )


def _values_drawn_alike(about: About) -> Values:
    """What homes share that are drawn alike, wherever north is. All that is listed beside the plans is
    known, so that homes with other pieces are told apart with nothing drawn."""
    return Values(
        {"pieces": about.plans.pieces},
        (about.plans,),
        looks=lambda: tuple(_looks(about)),
        floors=lambda: tuple(_floors(about)),
        numbers=lambda: _numbers(about),
    )


def _looks(about: About) -> Iterator[dict[str, Any]]:
    """The mark of each system of which this home has a piece that is drawn."""
    looks, numbers = looks_of(about.home.systems), _numbers(about)
    for name, number in numbers.items():
        letter, shape, tone = looks[name]
        yield {
            "number": number, "letter": letter, "shape": shape, "tone": tone,
            "name": about.home.systems[name].name,
        }  # fmt: skip


def _numbers(about: About) -> dict[str, int]:
    """The systems of which this home has a piece that is drawn, numbered from 1."""
    used = {mark.system for mark in about.plans.marks.values()}
    return {
        name: number
        for number, name in enumerate((each for each in about.home.systems if each in used), 1)
    }


def _floors(about: About) -> Iterator[dict[str, Any]]:
    for floor in about.plans.bases:
        pieces = about.plans.listed(floor)
        yield {
            "id": floor,
            "plan": about.plans.touch(floor),
            "whole": about.plans.full(floor),
            "says": {piece.id: piece.title for piece in pieces},
            "rooms": tuple(_rooms(about, pieces)),
        }


def _rooms(about: About, pieces: tuple[Piece, ...]) -> Iterator[dict[str, Any]]:
    """The rooms of a floor that have something in them, each with its list."""
    numbers, rooms = _numbers(about), dict[str, list[dict[str, Any]]]()
    for piece in pieces:
        mark = about.plans.marks.get(piece.id)
        row = {"mark": mark.text if mark else "", "piece": piece, "number": numbers.get(piece.system, 0)}  # fmt: skip
        rooms.setdefault(piece.room_id, []).append(row)
    for room, rows in rooms.items():
        yield {"id": room, "name": about.home.rooms[room].name, "rows": tuple(rows)}
