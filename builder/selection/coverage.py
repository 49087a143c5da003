"""What a home needs is there: something to read about all that a buyer can touch or scan, a contact
for each role, and a word on what several homes share."""

from collections.abc import Collection, Iterator
from dataclasses import replace
from itertools import islice

from builder.errors import Finding, Severity
from builder.home.assemble import TracedHome
from builder.home.roles import holder_of
from builder.model.cover import Cover
from builder.model.equipment import Kind
from builder.model.home import Home
from builder.model.people import Contact
from builder.rules.rule import Rule
from builder.selection.choosing import Selection
from builder.selection.conditions import Judge, work_of

STICKER_WITHOUT_ARTICLE = Rule(
    "stickers.no-article", "A sticker leads to an article.",
    basis="house rule: whoever scans a sticker needs to know what to do",
)  # fmt: skip
EQUIPMENT_WITHOUT_ARTICLE = Rule(
    "equipment.no-article", "Equipment with a page of its own has an article.", Severity.NOTE,
    basis="house rule: a page says more than where a thing is",
)  # fmt: skip
COVERAGE_RULES = (STICKER_WITHOUT_ARTICLE, EQUIPMENT_WITHOUT_ARTICLE)
ROLE_MISSING = Rule(
    "contacts.role-missing", "Each role that a home needs has a contact.",
    basis="common practice: in an emergency nobody looks up a number",
)  # fmt: skip
SHARED_UNSAID = Rule(
    "communal.unsaid", "What somebody looks after for several homes is named.",
    basis="common practice: whoever pays for shared land and pipes is told which they are",
)  # fmt: skip
PEOPLE_RULES = (ROLE_MISSING, SHARED_UNSAID)
_AGENT, _SHARED = "managing-agent", "shared-parts"


def equipment_without_article(
    traced: TracedHome, selection: Selection, unread: Collection[str] = ()
) -> Iterator[Finding]:
    """One finding for each kind of which this home has a piece and its guide no article. ``unread``: the articles
    that have mistakes of their own, which are told already."""
    home = traced.home
    chosen = {article.id for article in selection.articles}
    served = {kind for article in selection.articles for kind in article.front.serves}
    stickered = {
        piece.kind
        for piece in home.equipment.values()
        if (piece.sticker or home.kinds[piece.kind].sticker) != "none"
    }
    for name in dict.fromkeys(piece.kind for piece in home.equipment.values()):
        kind = home.kinds[name]
        told = kind.article in chosen or kind.article in unread
        if told or not served.isdisjoint(work_of(name, home)) or not kind.page:
            continue
        rule = STICKER_WITHOUT_ARTICLE if name in stickered else EQUIPMENT_WITHOUT_ARTICLE
        found = rule.finding(
            traced.place("kinds", name),
            f"No article of this guide is about '{kind.name}'.",
            _right(name, kind),
            f"kinds.{name}",
        )
        yield replace(found, plots=(traced.reference,), layer=traced.said("kinds", name).layer)


def roles_without_contact(traced: TracedHome) -> Iterator[Finding]:
    """One finding for each role that this home needs and that none of its contacts has."""
    home, judge = traced.home, Judge(traced.home, traced.kept, traced.alike)
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


def _right(name: str, kind: Kind) -> str:
    """What would be right: an article for the kind, or what keeps its own out of the guide."""
    if kind.article is None:
        return f"Name one under 'article', or add '{name}' to the 'equipment' of one."
    return (
        f"Its own, '{kind.article}', is left out: 'handover why <plot> --article {kind.article}' says why. "
        f"Add what it asks for, or name another under 'article'."
    )


def shared_places_unsaid(traced: TracedHome) -> Iterator[Finding]:
    """One finding where somebody looks after what homes share, and nothing says what that is.

    A flat is asked by a rule of its own. A home that nobody manages anything for is asked nothing.
    """
    home, judge = traced.home, Judge(traced.home, traced.kept, traced.alike)
    own_rule = judge.is_so("flat") and not judge.is_so("own-entrance")
    if home.communal or home.form == "apartment" or own_rule:
        return
    for address, wrong in islice(_signs_of_sharing(home, judge), 1):
        found = SHARED_UNSAID.finding(
            traced.place(*address),
            f"{wrong}, and nothing says what that is.",
            "Add the road, the green, the pond or the pipes to 'communal', each with 'looked_after_by'.",
            ".".join(address),
        )
        yield replace(found, plots=(traced.reference,), layer=traced.said(*address).layer)


def _signs_of_sharing(home: Home, judge: Judge) -> Iterator[tuple[tuple[str, ...], str]]:
    """What says that something is shared: where it is said, and the beginning of a sentence."""
    for name, contact in home.contacts.items():
        if _AGENT in (name, *contact.roles) and _holds(contact, judge):
            yield ("contacts", name), f"'{contact.name}' looks after what homes share here"
    for name, cover in home.covers.items():
        if _SHARED in cover.matters and _holds(cover, judge):
            yield ("covers", name), f"'{cover.name}' answers for what homes share here"
    if judge.is_so("shared-source"):
        yield ("water", "shared"), "Other homes drink from the same source"
    drains = home.foul_drainage
    if drains and drains.to == "shared-plant":
        yield ("foul_drainage", "to"), "Other homes use the same treatment plant"
    elif drains and drains.shared:
        yield ("foul_drainage", "shared"), "Other homes use the same drains"


def _holds(timed: Contact | Cover, judge: Judge) -> bool:
    return timed.when is None or judge.holds(timed.when)
