"""One fact stands in one place: conditions by name, the same rhythm wherever it is spoken of, and finished
papers that say what the guide says."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from itertools import chain, combinations

import pytest
import yaml

from builder.build.papers import Paper, PrintingHouse
from builder.guide.pieces import inner
from builder.guide.urgent import urgent_contacts
from builder.model.article import Article
from builder.model.condition import Condition
from builder.model.home import Home
from builder.model.shape import child_type
from builder.selection.conditions import WORKED_OUT, Judge
from builder.selection.named import shipped_conditions
from builder.sources.demonstration import read_demonstration
from builder.sources.folder import Folder
from tests.conftest import PROJECT
from tests.demonstrations import DAY, prepared_demo
from tests.papers import lines
from tests.test_essentials import FIRST

FACTS = re.compile(
    r"home\.(form|tenure|built_for)\b|home\.building\.(storey|own_entrance|lift|homes_above|homes_below|in_fire)"
    r"|home\.fabric\.(origin|walls)|home\.water\.(metered|shared)\b|home\.foul_drainage\.to\b"
    r"|home\.sprinklers\.(kind|fed_by|branch)"
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
            if path.split(".")[0] in WORKED_OUT:
                continue
            for step in path.split("."):
                here = child_type(here, step)
                assert here is not None, (name, path)


def test_what_conditions_ask_for_is_in_a_home_or_worked_out_of_one() -> None:
    home = prepared_demo().homes["mill-lane/01"].traced.home
    assert {name: bool(worked_out(home)) for name, worked_out in WORKED_OUT.items()} == {
        "finished": True,
        "keyed_ways_out": True,
        "outside_doors": True,
        "own_equipment": True,
        "piped_air": False,
        "storeys": True,
        "sunk_floors": False,
    }


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
    for source in read_demonstration(Folder(PROJECT)).sources:
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


_SMALL = frozenset(
    [
        "with",
        "have",
        "from",
        "that",
        "this",
        "your",
        "they",
        "them",
        "each",
        "every",
        "once",
        "twice",
        "year",
        "month",
        "week",
    ]
)


def stems(sentence: str) -> frozenset[str]:
    """The beginnings of the words of a sentence that say what is done to what."""
    words = re.findall(r"[a-z]{4,}", sentence.lower())
    return frozenset(word[:4] for word in words if word not in _SMALL)


@dataclass(frozen=True)
class Statement:
    """A rhythm that is named somewhere: where, in which sentence, and which."""

    where: str
    sentence: str
    term: str

    def gainsays(self, other: "Statement") -> bool:
        """Whether another place says the same thing with another rhythm."""
        if self.where == other.where or self.term == other.term:
            return False
        return len(stems(self.sentence) & stems(other.sentence)) >= 2


def rhythms_said_in(where: str, text: str) -> Iterator[Statement]:
    plain = re.sub(r"\{[{%].*?[%}]\}", " ", text)
    for sentence in re.split(r"(?<=[.!?:])\s|\n", plain):
        for pattern, term in RHYTHMS.items():
            if re.search(pattern, sentence, re.IGNORECASE):
                yield Statement(where, sentence.strip(), term)


def said_of(article: Article) -> Iterator[Statement]:
    """All rhythms that are named of the things of one article: in its body, in the calendar and on the walk."""
    yield from rhythms_said_in("body", article.body)
    for task in article.front.tasks.values():
        times = len(task.months)
        if term := task.every or {1: "1 year", 2: "6 months", 4: "3 months"}.get(times):
            yield Statement("calendar", task.do, term)
    for source in read_demonstration(Folder(PROJECT)).sources:
        for kind, showing in source.read.kinds.items():
            if showing and kind in article.front.serves:
                said = " ".join(filter(None, (showing.say, showing.show)))
                yield from rhythms_said_in("walk", said)


def two_rhythms_of_one(told: Iterable[Statement]) -> list[tuple[str, str]]:
    """Each pair of sentences that say the same thing with another rhythm."""
    return [
        (one.sentence, other.sentence)
        for one, other in combinations(told, 2)
        if one.gainsays(other)
    ]


def test_two_rhythms_of_one_thing_are_found() -> None:
    body = "Oil the hinges of the garage door twice a year. Wipe it every week."
    task = Statement("calendar", "Put a little oil on the hinges of the garage door.", "1 year")
    assert two_rhythms_of_one([*rhythms_said_in("body", body), task]) == [
        ("Oil the hinges of the garage door twice a year.", task.sentence)
    ]


@pytest.mark.parametrize("article", articles(), ids=lambda each: each.id)
def test_no_thing_has_two_rhythms(article: Article) -> None:
    """The body of an article, its tasks in the calendar, and the words of the walk name one rhythm."""
    assert two_rhythms_of_one(said_of(article)) == []


PRINTED: tuple[Paper, ...] = ("emergency", "keys", "crack-gauge")
NUMBER = re.compile(r"(?<![\d.,-])(?:0\d{2,4} \d[\d ]{4,}\d|999|105|101|111)(?![\d.,-]*\d)")


@cache
def printed(plot: str, name: Paper) -> str:
    """A finished paper of the demo, read back from its PDF, on one line."""
    ((_, pdf),) = PrintingHouse(prepared_demo(), DAY).set(prepared_demo().plots[plot], (name,))
    return " ".join(re.sub(r"--- page \d+", " ", lines(pdf)).split())


@pytest.mark.parametrize("plot", FIRST)
def test_finished_papers_say_what_the_guide_says(plot: str) -> None:
    """Places, numbers, counts and rhythms of a printed paper are those of the home, its contacts and articles."""
    about = prepared_demo().homes[plot].about
    card, keys = printed(plot, "emergency"), printed(plot, "keys")
    run = card.replace(" ", "")
    for piece in about.pieces:
        if piece.turns_off in ("water", "gas", "electricity"):
            assert piece.where.replace(" ", "") in run, piece.id
    for contact in urgent_contacts(about):
        assert f"{contact['name']} {contact['telephone']}" in card
    for key in about.home.keys.values():
        assert f"{key.name} {inner(key.opens)} {key.count}" in keys
    numbers = {each["telephone"] for each in about.contacts.values()}
    for name in PRINTED:
        text = printed(plot, name)
        assert set(NUMBER.findall(text)) <= numbers, name
        told = tuple(rhythms_said_in(name, text))
        of_articles = tuple(chain(*map(said_of, about.selection.articles))) if told else ()
        wrong = [
            (one.sentence, other) for one in told for other in of_articles if one.gainsays(other)
        ]
        assert wrong == []
