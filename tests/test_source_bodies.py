"""A home is shown no source that only another nation's body wrote."""

import re
from collections.abc import Iterator
from typing import Any

from builder.model.article import Source
from builder.preparing import Preparation, Prepared
from builder.selection.bodies import bodies, bodies_of, speaks_to
from builder.sources.nations import NATIONS
from tests.demonstrations import prepared_demo
from tests.test_words import sources

LOCAL = re.compile(
    r"\b(Council|Borough of|councils\b(?= of| in)|Fire and Rescue|Fire Brigade|[Pp]olice|NHS Trust"
    r"|NHS in|Service in|Health and Social Care Trust|University of|Ambulance Service|Water(?= |$)(?! UK))\b"
)
"""What bodies are called that speak to one place."""
OF_ALL = ("Dealing with sewage", "Council tenants", "Council supports", "tenants handbook")
"""Titles of pages in which such a word stands, and that are no body's name."""


def _named(source: dict[str, str]) -> str:
    return " ".join(source[key] for key in ("document", "edition", "where") if source.get(key))


def _shown(prepared: Prepared) -> Iterator[tuple[str, str]]:
    """Every basis that a home is shown, with where."""
    for page in prepared.guide.pages:
        if page.layout in ("article", "symptom"):
            yield from ((page.id, each["basis"]) for each in page.values["sources"])
    yield from ((each.id, each.basis) for each in prepared.guide.schedule.entries)


def test_every_local_body_that_the_library_names_has_a_nation() -> None:
    unlisted = [
        (name, said)
        for name, source in sources()
        if (said := _named(source))
        and LOCAL.search(re.sub("|".join(OF_ALL), "", said))
        and not bodies_of(Source.model_validate({**_plain(source), "fact": "It is so"}))
    ]
    assert unlisted == []


def _plain(source: dict[str, Any]) -> dict[str, Any]:
    return {key: each for key, each in source.items() if key != "when"}


def test_every_body_is_of_nations_that_there_are_and_stands_once() -> None:
    for body, nations in bodies().nations.items():
        assert nations <= set(NATIONS), body
        assert bodies().pattern.fullmatch(body), body


def test_no_home_is_shown_what_another_nations_body_wrote(far: Preparation) -> None:
    homes = {**prepared_demo().homes, **far.homes}
    assert {each.traced.home.development.nation for each in far.homes.values()} == set(NATIONS)
    wrong = [
        (name, at, basis)
        for name, prepared in homes.items()
        for at, basis in _shown(prepared)
        if (named := [found[1] for found in bodies().pattern.finditer(basis)])
        and not any(prepared.traced.home.development.nation in bodies().nations[each] for each in named)
    ]  # fmt: skip
    assert wrong == []


def test_a_body_of_nobody_listed_speaks_to_all() -> None:
    page = {
        "fact": "It is so",
        "basis": "published",
        "document": "A page",
        "where": "Anytown Council",
    }
    assert all(speaks_to(Source.model_validate(page), each) for each in NATIONS)  # type: ignore[arg-type]
    scottish = Source.model_validate(
        {**page, "where": "web page of Scottish Water, and of nidirect"}
    )
    assert [speaks_to(scottish, each) for each in NATIONS] == [  # type: ignore[arg-type]
        each in ("scotland", "northern-ireland") for each in NATIONS
    ]
    assert speaks_to(scottish, None)
