"""Who is named for a shared thing is whoever the record of the home says looks after it."""

import re

import pytest

from builder.guide.bodies import body_of
from builder.guide.prose import Renderer
from builder.preparing import Preparation
from tests.demonstrations import prepared_demo

FOR_ALL_SHARED = {"communal-areas", "who-is-responsible", "moving-on"}
"""Articles about all that is shared, and about whom to tell who sends the bills."""
SHARED = {
    "parking": r"\b(car parks?|parking)\b",
    "lights": r"\b(lights?|lighting|lamps?|corridors?|stairs)\b",
    "stores-and-refuse": r"\b(stores?|bins?|cycles?)\b",
}
"""For each article that names whoever looks after a shared thing: how such a thing is called."""


@pytest.fixture(scope="module")
def homes(far: Preparation) -> Preparation:
    return Preparation(far.workspace, far.asked, {**prepared_demo().homes, **far.homes}, far.plots, far.findings)  # fmt: skip


def test_in_a_house_nobody_is_named_for_what_they_do_not_look_after(homes: Preparation) -> None:
    renderer, named = Renderer(), set()
    for name, prepared in homes.homes.items():
        about = prepared.about.plainly
        home, agent = about.home, about.contact("managing-agent")
        if agent is None or home.form in ("apartment", "maisonette"):
            continue
        theirs = [each.name for each in home.communal.values() if home.contacts[each.looked_after_by].name == agent["name"]]  # fmt: skip
        fenced = any(each.owner == "managing-agent" for each in home.fences.values())
        for article in about.selection.articles:
            body = body_of(article, about, renderer).text or ""
            if agent["name"] in body and article.id not in FOR_ALL_SHARED:
                said = any(re.search(SHARED.get(article.id, "$^"), each.lower()) for each in theirs)
                assert said or (fenced and article.id == "fences-and-boundaries"), (
                    name,
                    article.id,
                )
                named.add(article.id)
    assert "parking" in named  # of a terrace with a parking court that its agent looks after


def test_whoever_looks_after_each_shared_thing_is_named_for_it(homes: Preparation) -> None:
    renderer = Renderer()
    for name, prepared in homes.homes.items():
        about = prepared.about.plainly
        bodies = {each.id: body_of(each, about, renderer).text or "" for each in about.selection.articles}  # fmt: skip
        for shared in about.home.communal.values():
            keeper = about.home.contacts[shared.looked_after_by].name
            rows = [
                line for line in bodies["who-is-responsible"].splitlines() if shared.name in line
            ]
            assert keeper in " ".join(rows), (name, shared.name)
            if re.search(SHARED["parking"], shared.name.lower()) and "parking" in bodies:
                assert keeper in bodies["parking"], name
