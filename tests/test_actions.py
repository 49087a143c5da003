"""What a page of a thing says to do is of that thing: never of another that the same article is about."""

from pathlib import Path
from typing import Any

import yaml

from builder.guide.equipment_pages import actions_of
from builder.preparing import Preparation
from tests.demonstrations import prepared_demo

PROJECT = Path(__file__).parent.parent
KINDS: dict[str, Any] = yaml.safe_load((PROJECT / "housetypes" / "standard.yaml").read_text(encoding="utf-8"))["kinds"]  # fmt: skip
ALIKE = (
    {"isolating-valve", "appliance-valve"}, {"outside-tap-valve", "outside-tap"},
    {"gas-combination-boiler", "gas-system-boiler", "oil-combination-boiler", "oil-system-boiler", "electric-boiler"},
    {"consumer-unit", "garage-consumer-unit"}, {"cooker-hood-extracting", "cooker-hood-recirculating"},
    {"grid-switch", "fused-spur", "isolator-switch"},
    {"air-source-heat-pump", "ground-source-heat-pump", "exhaust-air-heat-pump"},
    {"lpg-tank", "lpg-bottles"}, {"electric-meter", "gas-meter"}, {"oil-tank", "oil-valve"},
    {"pressure-vessel", "water-filter", "water-lamp"}, {"lpg-valve", "gas-emergency-valve"},
    {"smoke-alarm", "heat-alarm"}, {"filling-loop", "pressure-gauge"},
    {"treatment-plant", "septic-tank", "cesspool"}, {"underfloor-loop", "underfloor-manifold"},
    {"washing-machine", "washer-dryer"}, {"radiator", "towel-rail"},
)  # fmt: skip
"""Kinds of which what one article says to do was read, and is true of each."""


def _front(article: str) -> dict[str, Any]:
    text = (PROJECT / "content" / "articles" / f"{article}.md").read_text(encoding="utf-8")
    front: dict[str, Any] = yaml.safe_load(text.split("---\n")[1])
    return front


def test_kinds_that_share_what_is_to_be_done_were_read_together() -> None:
    shared: dict[str, set[str]] = {}
    for name, kind in KINDS.items():
        article = kind.get("article")
        if article and not kind.get("actions"):
            front = _front(article)
            if name in (*front.get("equipment", ()), *front.get("mentions", ())):
                shared.setdefault(article, set()).add(name)
    unread = [kinds for kinds in shared.values() if len(kinds) > 1 and kinds not in ALIKE]
    assert unread == []


def test_what_is_to_be_done_about_the_lamp_stands_on_the_lamp_alone(far: Preparation) -> None:
    seen = 0
    for name, prepared in {**prepared_demo().homes, **far.homes}.items():
        about, pages = prepared.about.plainly, {each.id: each for each in prepared.guide.pages}
        for piece in about.pieces:
            page = pages.get(f"equipment:{piece.id}")
            tasks = page.values["tasks"] if page else ()
            told = " ".join((*actions_of(piece, about), *(each.do for each in tasks)))
            if piece.kind == "water-lamp":
                seen += "lamp" in told
            elif piece.system == "water":
                assert "lamp" not in told, (name, piece.id, told)
    assert seen


def test_a_thing_that_an_article_is_not_about_has_none_of_its_actions() -> None:
    about = next(
        each.about.plainly
        for each in prepared_demo().homes.values()
        if any(piece.kind == "condensate-pipe" for piece in each.about.pieces)
    )
    pipe = next(piece for piece in about.pieces if piece.kind == "condensate-pipe")
    assert pipe.article == "boiler-care"
    assert actions_of(pipe, about) == ()
