"""One fact stands in one place: conditions by name, and the same rhythm wherever it is spoken of."""

import re
from collections.abc import Iterator
from itertools import chain

import pytest
import yaml

from builder.errors import Findings
from builder.model.article import Article
from builder.model.condition import Condition
from builder.model.home import Home
from builder.model.shape import child_type
from builder.selection.conditions import Judge, shipped_conditions
from builder.sources.demonstration import read_demonstration
from builder.sources.folder import Folder
from tests.absence import texts_of
from tests.conftest import PROJECT
from tests.demonstrations import demo_script, prepared_demo

FACTS = re.compile(
    r"home\.(form|tenure|built_for)\b|home\.building\.(storey|own_entrance|lift|homes_above|homes_below|in_fire)"
    r"|home\.fabric\.(origin|walls)|home\.water\.(metered|shared)\b|home\.foul_drainage\.to\b"
    r"|home\.sprinklers\.(fed_by|branch)"
)
PATHS = (
    "form",
    "tenure",
    "built_for",
    "building.",
    "fabric.",
    "water.",
    "foul_drainage.",
    "sprinklers.",
)
RHYTHMS = {
    r"\bevery week\b": "1 week", r"\b(every|once a|each) month\b": "1 month", r"\btwice a year\b": "6 months",
    r"\bfour times a year\b|\bevery three months\b": "3 months", r"\b(every|once a|each) year\b": "1 year",
}  # fmt: skip


def articles() -> list[Article]:
    return [source.article for source in prepared_demo().workspace.articles.values()]


def conditions_in(value: object) -> Iterator[Condition]:
    if isinstance(value, Condition):
        yield value
        for inner in (*(value.any or ()), *(value.all or ()), *filter(None, (value.not_,))):
            yield from conditions_in(inner)


def paths_in(condition: Condition) -> Iterator[str]:
    for each in conditions_in(condition):
        yield from each.has or ()
        yield from each.equals or {}


def test_every_path_of_a_named_condition_is_in_a_home() -> None:
    for name, each in shipped_conditions().items():
        for path in paths_in(each.when):
            here: object = Home
            for step in path.split("."):
                here = child_type(here, step)
                assert here is not None, (name, path)


def test_every_named_condition_can_be_asked_of_a_home() -> None:
    judge = Judge(prepared_demo().homes["harbour-view/05"].traced.home)
    held = {name for name in judge.named if judge.is_so(name)}
    assert {
        "flat",
        "leasehold",
        "upper-storey",
        "lift",
        "homes-above",
        "stay-put",
        "mains-water",
    } <= held
    assert not held & {"house", "gas", "private-water", "conversion", "sprinklers-from-mains"}


def test_what_a_home_is_is_asked_by_name_alone() -> None:
    """A fact of the form, the building or a supply is used through its named condition."""
    wrong = []
    for article in articles():
        wrong += [(article.id, found.group()) for found in FACTS.finditer(article.body)]
        front = article.front
        timed = chain(front.cautions.values(), front.tasks.values(), front.sources.values())
        for when in (front.when, *(each.when for each in (*timed, *front.other_actions.values()))):
            for each in conditions_in(when):
                wrong += [(article.id, "form")] if each.form else []
            paths = paths_in(when) if when else ()
            wrong += [(article.id, path) for path in paths if path.startswith(PATHS)]
    allowed = {("gates", "building.help_gets_in")}
    assert set(wrong) - allowed == set()


def spoken_rhythms() -> Iterator[tuple[str, str, str]]:
    for source in read_demonstration(Folder(PROJECT), Findings()):
        for kind, showing in source.read.kinds.items():
            said = " ".join(filter(None, (showing.say, showing.show))) if showing else ""
            for pattern, term in RHYTHMS.items():
                if found := re.search(pattern, said, re.IGNORECASE):
                    yield kind, found.group(), term


@pytest.mark.parametrize(("kind", "said", "term"), list(spoken_rhythms()))
def test_the_run_sheet_says_what_the_article_and_the_calendar_say(
    kind: str, said: str, term: str
) -> None:
    """Where words at the demonstration name a rhythm, a task or the service of the kind has it too."""
    about = yaml.safe_load((PROJECT / "housetypes/standard.yaml").read_text(encoding="utf-8"))[
        "kinds"
    ]
    if kind not in about:
        return
    own = about[kind]
    serving = [
        each for each in articles() if kind in each.front.serves or each.id == own.get("article")
    ]
    listed = [task for each in serving for task in each.front.tasks.values()]
    tasks = {task.every for task in listed}
    tasks |= {f"{12 // len(task.months)} months" for task in listed if task.months}
    assert term in tasks | {own.get("service_every")}, (said, sorted(filter(None, tasks)))


TWICE = r"twice a year|every 6 months|every six months"
CLAIMS = {
    "how long a fire door holds back fire": r"(?:fire door|door)[^.|]{0,60}?holds? back fire[^.|]{0,40}?(\d+ minutes|half an hour|an hour)",
    "how often a garage door is oiled": rf"(?i)garage door[^.|]{{0,80}}?oil[^.|]{{0,60}}?({TWICE}|once a year|every year|every 3 months)",
    "how often alarms are tested": r"(?i)press the test button of every alarm[^.|]{0,60}?(every week|once a week|every month|once a month)",
    "how often a cylinder is heated right up": r"60 °C[^.|]{0,40}?(once a week|each day|every day|once a day)",
    "how warm a bath comes": r"(?i)blending valve[^.|]{0,80}?set to (\d+) °C",
    "how long a smoke alarm lasts": r"(?i)smoke alarm[^.|]{0,60}?(\d+|ten) years",
    "how often a flue is swept": r"(?i)\bflue[^.|]{0,40}?swept[^.|]{0,30}?(twice a year|once a year|every year)",
    "how often the treatment plant is emptied": r"(?i)(?:plant|tank)[^.|]{0,40}?emptied every: (\d+ \w+)",
}
"""What several texts say of one thing, and where in a sentence they say how much."""
NEVER_BOTH = {
    "the isolator of a heat pump": (
        r"(?i)turn (?:the|its) isolator off",
        r"(?i)never (?:switch off|cut) its power",
    ),
    "a fan that never stops": (r"(?i)run the fan until", r"(?i)runs day and night"),
    "the case of an interface unit": (r"(?i)open its case", r"(?i)leave (?:its|the) case shut"),
}
"""What no home may be told both ways."""


def told(plot: str) -> str:
    return "\n".join(text for _, text in texts_of(prepared_demo().homes[plot], demo_script()))


@pytest.mark.parametrize("plot", sorted(prepared_demo().homes))
def test_no_home_is_told_two_things_of_one(plot: str) -> None:
    text = told(plot)
    for about, pattern in CLAIMS.items():
        values = {value.lower() for value in re.findall(pattern, text)}
        assert len(values) <= 1, (about, values)
    for about, ways in NEVER_BOTH.items():
        assert not all(re.search(each, text) for each in ways), about


def test_two_facts_of_one_thing_are_found() -> None:
    said = "A fire door holds back fire for 30 minutes. This door holds back fire for half an hour."
    pattern = CLAIMS["how long a fire door holds back fire"]
    assert set(re.findall(pattern, said)) == {"30 minutes", "half an hour"}


@pytest.mark.parametrize("plot", sorted(prepared_demo().homes))
def test_one_person_services_each_thing(plot: str) -> None:
    """Whoever the data says services a piece is who the calendar, the table and the cover say."""
    prepared = prepared_demo().homes[plot]
    contacts, entries = prepared.traced.home.contacts, prepared.guide.schedule.entries
    for piece in prepared.about.pieces:
        for entry in (each for each in entries if each.id == f"service.{piece.id}.rhythm"):
            if piece.served_by:
                assert entry.what.startswith(f"{contacts[piece.served_by].name} services this: ")
                assert entry.by == "keeper"
            else:
                assert (entry.what, entry.by) == (
                    f"Have this serviced: {piece.title}.",
                    "registered-person",
                )
