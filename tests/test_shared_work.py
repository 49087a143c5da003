"""What plots share is worked out once, and says of each plot what it would say of it alone."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from functools import cache
from pathlib import Path

import pytest
import yaml
from frozendict import frozendict
from hypothesis import given, settings
from hypothesis import strategies as st

from builder.errors import Finding, Findings, Place
from builder.guide.about import About
from builder.guide.bodies import body_of
from builder.guide.compose import compose
from builder.guide.pages import Guide
from builder.guide.prose import Renderer
from builder.guide.values import Values
from builder.home.assemble import TracedHome, assemble
from builder.home.survey import Survey
from builder.layers.memo import Memo
from builder.layers.stack import Stacking
from builder.model.article import Article
from builder.rules.checking import check_home
from builder.rules.reading import problems_of
from builder.rules.rule import Problem, rule
from builder.selection.choosing import Selection, choose
from builder.sources.workspace import Workspace, read_workspace
from builder.sources.yaml_plain import NotPlainError, plain_entries
from builder.sources.yaml_reader import _Reader
from tests.rule_cases import sound
from tests.test_prose import FRONT

PROJECT = Path(__file__).parent.parent
DAY = date(2026, 3, 1)


@dataclass(frozen=True)
class Made:
    """One plot after the first half of the pipeline."""

    traced: TracedHome
    selection: Selection
    guide: Guide
    findings: tuple[Finding, ...]


class Making:
    """Makes plots with what the ones before them left."""

    def __init__(self, renderer: Renderer) -> None:
        self.findings = Findings()
        self.stacking = Stacking(demo(), self.findings)
        self.renderer = renderer

    def of(self, reference: str) -> Made:
        self.stacking.findings = findings = Findings()
        stack = self.stacking.stack(demo().plots[reference])
        assert stack is not None
        traced = assemble(reference, self.stacking.merge(stack), findings)
        assert traced is not None
        findings.extend(check_home(traced, DAY).findings)
        selection = choose((each.article for each in demo().articles.values()), traced.home)
        about = About(traced.home, selection, traced.kept, traced.alike)
        guide = compose(reference, about, self.renderer, findings)
        return Made(traced, selection, guide, tuple(findings))


@cache
def demo() -> Workspace:
    return read_workspace(PROJECT, Findings())


@pytest.fixture(scope="module")
def renderer() -> Renderer:
    return Renderer()


@pytest.fixture(scope="module")
def together(renderer: Renderer) -> dict[str, Made]:
    """A third of the plots of the demo, each made with what the ones before it left."""
    making, asked = Making(renderer), {*[*demo().plots][1::3], *PLOTS, "mill-lane/12"}
    return {reference: making.of(reference) for reference in demo().plots if reference in asked}


PLOTS = ("harbour-view/02", "harbour-view/08", "mill-lane/02", "mill-lane/08", "mill-lane/14")
"""An opposite hand, options, departures and serial numbers: what parts one plot from the next."""


@pytest.mark.parametrize("reference", PLOTS)
def test_a_plot_made_with_others_is_what_it_is_alone(
    reference: str, together: dict[str, Made], renderer: Renderer
) -> None:
    alone, among = Making(renderer).of(reference), together[reference]
    assert repr(among.traced.home) == repr(alone.traced.home)
    assert repr(among.traced.drawn) == repr(alone.traced.drawn)
    assert among.traced.merged == alone.traced.merged
    assert among.selection == alone.selection
    assert among.findings == alone.findings
    assert among.guide == alone.guide
    assert repr(among.guide.pages) == repr(alone.guide.pages)


def test_plots_of_one_house_type_share_their_drawing_and_their_texts(
    together: dict[str, Made],
) -> None:
    one, other = together["mill-lane/02"], together["mill-lane/12"]
    assert one.traced.drawn.rooms is other.traced.drawn.rooms
    assert one.traced.home.rooms is other.traced.home.rooms
    one_plan, other_plan = (each.guide.page("room:kitchen") for each in (one, other))
    assert one_plan is not None
    assert other_plan is not None
    assert one_plan.values["plan"].base is other_plan.values["plan"].base


# Rules


def test_a_rule_is_asked_again_only_where_something_that_it_reads_differs() -> None:
    asked = []

    @rule("test.rooms", "Rooms are counted.", basis="common practice")
    def counted(home: Survey) -> Iterator[Problem]:
        asked.append(home.home.form)
        if home.home.form == "house":
            yield Problem(("rooms",), f"{len(home.home.rooms)} rooms", "")

    kept, house = Memo(), sound("house").drawn
    moved = house.model_copy(
        update={"plot": house.plot.model_copy(update={"number": "2"}), "doors": frozendict()}
    )
    smaller = house.model_copy(update={"rooms": frozendict({"hall": house.rooms["hall"]})})
    flat = smaller.model_copy(update={"form": "apartment"})
    found = [
        problems_of(counted, home, kept, None) for home in (house, moved, smaller, flat, smaller)
    ]
    many = f"{len(house.rooms)} rooms"
    wrong = [[problem.wrong for problem in each] for each in found]
    assert wrong == [[many], [many], ["1 rooms"], [], ["1 rooms"]]
    assert asked == ["house", "house", "apartment"]


def test_a_rule_that_reads_a_home_as_a_whole_is_asked_for_every_home() -> None:
    asked = []

    @rule("test.whole", "A home is read whole.", basis="common practice")
    def whole(home: Survey) -> Iterator[Problem]:
        asked.append(home.home.model_copy())
        yield from ()

    kept, house = Memo(), sound("house").drawn
    for home in (house, house, house.model_copy()):
        problems_of(whole, home, kept, None)
    assert len(asked) == 2


# Articles


HOUSE = sound("house").home
NUMBERED = HOUSE.model_copy(update={"plot": HOUSE.plot.model_copy(update={"number": "02"})})
RENAMED = HOUSE.model_copy(
    update={
        "rooms": frozendict(
            {**HOUSE.rooms, "hall": HOUSE.rooms["hall"].model_copy(update={"name": "Lobby"})}
        )
    }
)


@pytest.mark.parametrize(
    ("text", "said", "times"),
    [
        ("{{ home.plot.number }}", ("01", "02", "01"), 2),
        ("{{ home . plot . number }}", ("01", "02", "01"), 2),
        ("{{ home [ 'plot' ] . number }}", ("01", "02", "01"), 3),
        ("{% set here = home %}{{ here.plot.number }}", ("01", "02", "01"), 3),
        ("{% for each in rooms if each.id == 'hall' %}{{ each.name }}{% endfor %}", ("Hall", "Hall", "Lobby"), 2),
        ("{{ home.rooms['hall'].name }}", ("Hall", "Hall", "Lobby"), 2),
        ("home.plot rooms {# home.plot #}", ("home.plot rooms ",) * 3, 1),
        ("{{ home.absent }}", (None, None, None), 3),
    ],
)  # fmt: skip
def test_a_body_is_rendered_again_only_where_something_that_it_reads_differs(
    text: str, said: tuple[str | None, ...], times: int
) -> None:
    kept, renderer = Memo(), Renderer()
    article = Article("a", "content/articles/a.md", FRONT, text, 10)
    found = [
        body_of(article, About(home, Selection(()), kept), renderer)
        for home in (HOUSE, NUMBERED, RENAMED)
    ]
    assert tuple(each.text for each in found) == said
    assert len({id(each) for each in found}) == times


# Values of pages


def test_what_is_made_later_is_made_once_and_only_when_asked() -> None:
    made = []
    values = Values({"a": 1}, plan=lambda: made.append("plan") or len(made))
    assert list(values) == ["a", "plan"]
    assert values["a"] == 1
    assert made == []
    assert {**values} == {"a": 1, "plan": 1} == dict(values)
    assert made == ["plan"]


def test_values_are_told_apart_with_no_more_made_than_it_takes() -> None:
    made: list[str] = []

    def of(known: int, first: int, second: int, origin: object = None) -> Values:
        return Values({"a": known}, (origin or object(),), b=lambda: made.append("b") or first, c=lambda: made.append("c") or second)  # fmt: skip

    assert of(1, 2, 3) != of(2, 2, 3)
    assert made == [], "what is known tells them apart"
    assert of(1, 2, 3) != of(1, 4, 3)
    assert made == ["b", "b"]
    assert of(1, 2, 3) == of(1, 2, 3) == {"a": 1, "b": 2, "c": 3}
    assert of(1, 2, 3) != Values({"a": 1, "b": 2}, c=lambda: 4)
    made.clear()
    origin = object()
    assert of(1, 2, 3, origin) == of(1, 2, 3, origin)
    assert made == [], "what is made from the same is the same"


# Reading


SCALARS = st.one_of(
    st.none(), st.booleans(), st.integers(), st.floats(allow_nan=False, allow_infinity=False),
    st.sampled_from(["", "07", "no", "1e3", "-.5", "+1", "0x10", "a: b", "- a", "true", "~", "1" * 19, "2026-03-31"]),
    st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cs")), max_size=6),
)  # fmt: skip
TREES = st.recursive(
    SCALARS,
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from("abcd"), inner, max_size=3)
    ),
    max_leaves=8,
)


@settings(max_examples=60)
@given(st.dictionaries(st.sampled_from("xyz"), TREES, min_size=1), st.booleans())
def test_reading_in_one_pass_is_reading_closely(tree: object, flow: bool) -> None:
    text = yaml.safe_dump(tree, default_flow_style=flow, allow_unicode=True)
    reader = _Reader("a.yaml", 4, Findings())
    assert repr(plain_entries(text, reader._place)) == repr(
        (read := reader._closely(text)) and read.entry
    )


@pytest.mark.parametrize(
    "text",
    [
        "", "a", "- a", "{}", "a: *b", "a: &b 1", "a: !x 1", "a: ! 1", "a: !!str 1", "a: 1\na: 2", "? [a]\n: 1",
        "a: 1\n---\nb: 2", "&a b: 1", "!x a: 1", "a: " + "[" * 50 + "]" * 50,
    ],
)  # fmt: skip
def test_what_is_not_plain_is_looked_at_closely(text: str) -> None:
    with pytest.raises(NotPlainError):
        plain_entries(text, lambda _: Place("a.yaml"))
