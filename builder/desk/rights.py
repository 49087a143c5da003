"""The roles of the desk, and what each may do. A right is asked for by the route that needs it."""

from collections.abc import Mapping
from typing import Literal, get_args

Role = Literal["technical", "site", "sales", "customer-care", "editor"]
ROLES: tuple[Role, ...] = get_args(Role)

Right = Literal[
    "look", "publish", "release", "options", "departures", "dates", "record", "photographs",
    "import", "articles", "house-types", "stickers", "undo",
]  # fmt: skip

RIGHTS: Mapping[Right, tuple[Role, ...]] = {
    "look": ROLES,
    "publish": ("technical", "sales", "customer-care"),
    "release": ("technical", "sales", "customer-care"),
    "options": ("technical", "sales"),
    "departures": ("technical", "site"),
    "dates": ("technical", "sales", "customer-care"),
    "record": ("technical", "site", "sales", "customer-care"),
    "photographs": ("technical", "site", "editor"),
    "import": ("technical", "sales"),
    "articles": ("technical", "editor"),
    "house-types": ("technical",),
    "stickers": ("technical", "site", "customer-care"),
    "undo": ("technical", "site", "sales", "customer-care", "editor"),
}
"""Who may do what. An editor publishes no plot; sales change no house type and no rule."""


def may(role: str, right: Right) -> bool:
    """Whether a role has a right."""
    return role in RIGHTS[right]


def spoken(role: str) -> str:
    """A role as people say it."""
    return role.replace("-", " ")
