"""Whom to call when it cannot wait, in the order of need."""

from typing import Any

from builder.guide.about import About
from builder.guide.whom import need
from builder.home.roles import DANGER_FIRST


def urgent_contacts(about: About) -> tuple[dict[str, Any], ...]:
    """Who is for emergencies, and whoever has one of the first roles, whether its data says so or not;
    those with the same need in the order in which they are written."""
    return tuple(sorted(filter(is_urgent, about.contacts.values()), key=need))


def is_urgent(contact: dict[str, Any]) -> bool:
    return bool(contact["emergency"]) or need(contact) < len(DANGER_FIRST)
