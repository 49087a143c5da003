"""The pages of one plot: what all of them show at the top, and how a plot is found by its name."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from starlette.exceptions import HTTPException

from builder.board.looking import Looked
from builder.desk.answers import PageAnswer
from builder.desk.asked import Asked
from builder.desk.desk import Desk

PLOT = "/plots/{development}/{plot}"
"""The pattern of the address of a plot."""


@dataclass(frozen=True, slots=True)
class Tab:
    """One of the pages of a plot."""

    id: str
    title: str
    path: str


TABS = (
    ("", "Overview"),
    ("home", "Home"),
    ("changes", "Options and departures"),
    ("record", "Handover record"),
    ("photographs", "Photographs"),
    ("papers", "Stickers and papers"),
    ("owner", "Next owner"),
)


def named(asked: Asked) -> str:
    """The plot that an address names, as <development>/<plot>."""
    return f"{asked.named['development']}/{asked.named['plot']}"


def path_of(reference: str, tab: str = "") -> str:
    """The address of a page of a plot."""
    return f"/plots/{reference}{'/' if tab else ''}{tab}"


def looked_at(desk: Desk, asked: Asked) -> Looked:
    """The plot that an address names, looked up among those that the workspace has."""
    reference = named(asked)
    with desk.board.one_look():
        if reference not in desk.board.looking().workspace.plots:
            raise HTTPException(404)
        return desk.board.plot(reference)


def plot_page(
    template: str, looked: Looked, tab: str, values: Mapping[str, Any], status: int = 200
) -> PageAnswer:
    """A page of a plot, with its name and its tabs."""
    reference = looked.plot.reference
    facts = looked.standing.facts
    title = next(name for each, name in TABS if each == tab)
    shown = {
        "looked": looked,
        "standing": looked.standing,
        "facts": facts,
        "reference": reference,
        "tab": tab,
        "tabs": tuple(Tab(each, name, path_of(reference, each)) for each, name in TABS),
        "tab_title": title,
        **values,
    }
    return PageAnswer(template, f"{reference}: {title}", "today", shown, status)
