"""The team's page of all plots: one HTML file, whole in itself, that runs nothing and asks nobody."""

import base64
import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import date
from typing import Any, Literal, get_args

from jinja2 import Environment, TemplateError
from markupsafe import Markup

from builder.errors import HandoverError
from builder.guide.fence import filled_in
from builder.guide.template_files import template_files
from builder.guide.terms import spoken_day
from builder.shipped import Layered

FOLDER = "site_templates/portfolio"
State = Literal["published", "up to date", "left as it was", "not asked for"]
STATES: tuple[State, ...] = get_args(State)
WHY = 3
"""Reasons that are shown of each plot; the others are counted."""


@dataclass(frozen=True, slots=True)
class PlotLine:
    """What there is to say of one plot after a build.

    ``state`` is what the build did, ``why`` what kept it from more. ``pages``, ``address`` and the day
    on which the guide was last ``changed`` are of the guide that stands, and nothing where none does.
    """

    reference: str
    development: str
    number: str
    house_type: str
    state: State
    why: tuple[str, ...]
    pages: int
    warnings: int
    address: str
    changed: date | None


@dataclass(frozen=True, slots=True)
class Portfolio:
    """All plots of a workspace after the build of a day."""

    day: date
    plots: tuple[PlotLine, ...]

    @property
    def totals(self) -> Mapping[str, int]:
        """How many plots there are, in each state, and with a guide; and all pages and warnings."""
        return {
            "plots": len(self.plots),
            **{state: sum(each.state == state for each in self.plots) for state in STATES},
            "guides": sum(bool(each.address) for each in self.plots),
            "pages": sum(each.pages for each in self.plots),
            "warnings": sum(each.warnings for each in self.plots),
        }

    def plain(self) -> dict[str, Any]:
        """All of it as plain data for JSON; days as YYYY-MM-DD, or null."""
        return {
            "day": self.day.isoformat(),
            "totals": dict(self.totals),
            "plots": [
                {
                    **{each.name: getattr(plot, each.name) for each in fields(plot)},
                    "changed": plot.changed.isoformat() if plot.changed else None,
                }
                for plot in self.plots
            ],
        }


def page_of(portfolio: Portfolio, templates: Layered) -> str:
    """The HTML of a portfolio, through the template ``page.html`` and the style sheet ``page.css``."""
    try:
        style = templates.path("page.css").read_text(encoding="utf-8").replace("\r\n", "\n")
        return filled_in(
            _environment(templates),
            "page.html",
            portfolio=portfolio,
            totals=portfolio.totals,
            states=STATES,
            shown=WHY,
            style=Markup(style),  # noqa: S704 - our own file, named by its hash
            policy=f"default-src 'none'; style-src '{_hash(style)}'; base-uri 'none'; "
            "form-action 'none'",
        )  # fmt: skip
    except (TemplateError, OSError) as error:
        raise HandoverError(f"'{templates.path('page.html')}' cannot be used: {error}") from error


def _environment(templates: Layered) -> Environment:
    environment = template_files(templates)
    environment.filters["day"] = spoken_day
    return environment


def _hash(text: str) -> str:
    digest = hashlib.sha256(text.encode("utf-8")).digest()
    return f"sha256-{base64.b64encode(digest).decode('ascii')}"
