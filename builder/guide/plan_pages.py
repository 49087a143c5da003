"""The page with the plan of every floor, and the same as tables."""

from collections.abc import Iterator
from typing import Any

from builder.guide.about import About
from builder.guide.pages import Page
from builder.guide.plan.marks import looks_of
from builder.guide.values import Values


def plan_page(about: About) -> Page | None:
    """Every floor with its marks, or no page where no room of the home is drawn."""
    plans = about.plans
    if not plans.drawn:
        return None
    return Page(
        id="page:plan",
        path="plan",
        title="Plan of this home",
        layout="plan",
        summary="Where everything is, floor by floor, seen from above.",
        values=Values({}, looks=lambda: tuple(_looks(about)), floors=lambda: tuple(_floors(about))),
    )


def _looks(about: About) -> Iterator[dict[str, Any]]:
    """The mark of each system of which this home has a piece that is drawn."""
    used = {mark.system for mark in about.plans.marks.values()}
    for name, (letter, shape, tone) in looks_of(about.home.systems).items():
        if name in used:
            system = about.home.systems[name]
            yield {"letter": letter, "shape": shape, "tone": tone, "name": system.name}


def _floors(about: About) -> Iterator[dict[str, Any]]:
    for floor in about.plans.bases:
        yield {"plan": about.plans.full(floor), "rows": tuple(_rows(about, floor))}


def _rows(about: About, floor: str) -> Iterator[dict[str, Any]]:
    for piece in about.plans.listed(floor):
        mark = about.plans.marks.get(piece.id)
        yield {"mark": mark.text if mark else None, "piece": piece}
