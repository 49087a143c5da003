"""Who does what: contacts by the role that a text, a kind or a rule asks for."""

from collections.abc import Mapping

from builder.model.people import Contact


def holder_of(role: str, contacts: Mapping[str, Contact]) -> str | None:
    """The id of the contact that has a role: that of its own id, or one under its ``roles``."""
    if role in contacts:
        return role
    return next((name for name, each in contacts.items() if role in each.roles), None)
