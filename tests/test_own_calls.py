"""Texts that are data name whom the home's own pieces name, in place of whoever has the role."""

from typing import Any

from builder.layers.memo import Memo
from builder.model.article import FrontMatter
from builder.model.home import Home
from builder.selection.wording import worded, worded_by_kind
from tests.rule_cases import home_with

SUPPLY = {"water": {"source": "borehole", "contact": "water-keeper"}}
CONTACTS = {
    "water-keeper": {"name": "Wellkeepers", "call_for": "water", "telephone": "01632 960101"},
    "lamp-firm": {"name": "Lampworks", "call_for": "the lamp", "telephone": "01632 960102"},
    "gas-firm": {"name": "Gasworks", "call_for": "the tank", "telephone": "01632 960103"},
    "lpg-emergency": {"name": "Leak line", "call_for": "a leak", "telephone": "01632 960104", "emergency": True},
}  # fmt: skip
TEXT = "Is it out? Call {call:private-water}."


def _home(**pieces: Any) -> Home:
    return home_with({**SUPPLY, "contacts": CONTACTS, "equipment": pieces}).home


def _piece(kind: str, **more: Any) -> dict[str, Any]:
    return {"kind": kind, "room": "kitchen", "place": "over the sink", **more}


def test_a_piece_that_names_somebody_of_its_own_has_them_called() -> None:
    home = _home(lamp=_piece("water-lamp", call="lamp-firm"))
    assert worded(TEXT, home) == "Is it out? Call Wellkeepers, 01632 960101."
    lamp = frozenset({"water-lamp"})
    assert worded(TEXT, home, kinds=lamp) == "Is it out? Call Lampworks, 01632 960102."
    other = frozenset({"borehole-pump"})
    assert worded(TEXT, home, kinds=other) == "Is it out? Call Wellkeepers, 01632 960101."


def test_pieces_that_name_several_are_told_apart() -> None:
    home = _home(lamp=_piece("water-lamp", call="lamp-firm"), pump=_piece("borehole-pump"))
    both = frozenset({"water-lamp", "borehole-pump"})
    assert worded(TEXT, home, kinds=both) == (
        "Is it out? Call Lampworks, 01632 960102 (Ultraviolet lamp); "
        "Wellkeepers, 01632 960101 (Borehole pump)."
    )


def test_danger_is_called_first_whatever_a_piece_says() -> None:
    home = _home(valve=_piece("lpg-valve", call="gas-firm"))
    text = worded("Call {call:lpg-emergency}.", home, kinds=frozenset({"lpg-valve"}))
    assert text == "Call Leak line, 01632 960104."


def test_the_words_of_a_demonstration_do_so_kind_by_kind() -> None:
    home = _home(lamp=_piece("water-lamp", call="lamp-firm"), pump=_piece("borehole-pump"))
    told = worded_by_kind({"water-lamp": TEXT, "borehole-pump": TEXT}, home, Memo())
    assert dict(told) == {
        "water-lamp": "Is it out? Call Lampworks, 01632 960102.",
        "borehole-pump": "Is it out? Call Wellkeepers, 01632 960101.",
    }


def test_an_article_is_about_the_things_that_it_serves() -> None:
    front = FrontMatter.model_validate({
        "title": "The lamp", "summary": "It kills germs.", "system": "water", "equipment": ["water-lamp"],
        "cautions": {"lamp": {"danger": "Light.", "stop": "Stop.", "call": "{call:private-water}"}},
        "sources": {"lamp": {"fact": "Light kills germs", "basis": "common practice"}}, "reviewed": "2026-06-01",
    })  # fmt: skip
    home = _home(lamp=_piece("water-lamp", served_by="lamp-firm", call="lamp-firm"))
    told = worded(front, home, kinds=frozenset(front.serves))
    assert told.cautions["lamp"].call == "Lampworks, 01632 960102"
