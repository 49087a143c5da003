"""Whoever a home needs to call is among its contacts."""

from collections.abc import Iterator
from dataclasses import replace

from builder.errors import Finding
from builder.home.assemble import TracedHome
from builder.home.roles import holder_of
from builder.rules.rule import Rule
from builder.selection.conditions import Judge

ROLE_MISSING = Rule(
    "contacts.role-missing", "Each role that a home needs has a contact.",
    basis="common practice: in an emergency nobody looks up a number",
)  # fmt: skip
PEOPLE_RULES = (ROLE_MISSING,)


def roles_without_contact(traced: TracedHome) -> Iterator[Finding]:
    """One finding for each role that this home needs and that none of its contacts has."""
    home, judge = traced.home, Judge(traced.home)
    for name, role in home.roles.items():
        wanted = role.needed and (role.when is None or judge.holds(role.when))
        if wanted and holder_of(name, home.contacts) is None:
            found = ROLE_MISSING.finding(
                traced.place("form"),
                f"No contact has the role '{name}': {role.name[0].lower()}{role.name[1:]}.",
                f"Add '{name}' to 'contacts', or 'roles: [{name}]' to the contact that does it.",
                f"contacts.{name}",
            )
            yield replace(found, plots=(traced.reference,), layer=traced.said("form").layer)
