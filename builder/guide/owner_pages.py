"""The page for whoever bought the home from its owner: what is theirs, and what to do by when."""

from collections.abc import Iterator
from typing import Any

from builder.guide.about import About
from builder.guide.pages import Page, looked_for
from builder.guide.schedule.sold import asking_notice, owner_now
from builder.guide.schedule.wording import call_of
from builder.model.cover import Cover, LaterOwner


def owner_page(about: About) -> Page | None:
    """What a later owner reads first, or no page while the first owner has the home."""
    owner = owner_now(about)
    if owner is None:
        return None
    return Page(
        # It stands where the first weeks stood: what led there leads to what a later owner reads first.
        id="page:first-weeks",
        path="first-weeks",
        title=about.say("Now that this home is yours"),
        layout="next-owner",
        summary=about.say(
            "What was handed on to you, whom to tell, and who puts things right from now on."
        ),
        values={
            "since": owner.since,
            "tell": tuple(_tell(about)),
            "documents": tuple(_handed(about, owner)),
            "keys": tuple(
                {"name": key.name, "opens": key.opens, "count": key.count, "handed": name in owner.keys}
                for name, key in about.home.keys.items()
            ),
        },
        called=looked_for(about.say("bought|new owner|moved in|previous owner|seller")),
    )  # fmt: skip


def _tell(about: About) -> Iterator[dict[str, Any]]:
    for _, cover, last in asking_notice(about):
        yield {"name": cover.name, "by": last, "call": _call(cover, about),
               "matters": tuple(about.home.matters[each].name for each in cover.matters)}  # fmt: skip


def _call(cover: Cover, about: About) -> Any:
    contact = about.home.contacts[cover.contact] if cover.contact in about.contacts else None
    return call_of(contact) if contact else None


def _handed(about: About, owner: LaterOwner) -> Iterator[dict[str, Any]]:
    for name, document in about.home.documents.items():
        if about.applies(document):
            yield {"name": document.name, "handed": name in owner.documents}
