"""Whom to call when it cannot wait, in the order of need."""

from typing import Any

from builder.guide.about import About

_FIRST = ("emergency-services", "gas-emergency", "lpg-emergency", "power-cut")
"""Roles that are called before all others, in this order (common practice: danger to life first)."""


def urgent_contacts(about: About) -> tuple[dict[str, Any], ...]:
    """Who is for emergencies, and whoever has one of the first roles, whether its data says so or not;
    those with the same need in the order in which they are written."""
    return tuple(sorted(filter(is_urgent, about.contacts.values()), key=_need))


def is_urgent(contact: dict[str, Any]) -> bool:
    return bool(contact["emergency"]) or _need(contact) < len(_FIRST)


def _need(contact: dict[str, Any]) -> int:
    """How early somebody is called."""
    roles = (contact["id"], *contact["roles"])
    return next((at for at, role in enumerate(_FIRST) if role in roles), len(_FIRST))
