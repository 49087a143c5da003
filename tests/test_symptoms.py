"""What can be wrong in a home: every way through it ends, soon, at something that this home has.

The ways are walked by networkx, which knows nothing of how pages are made.
"""

from pathlib import Path

import networkx as nx
import pytest

from builder.errors import Findings
from builder.guide.pages import Guide, Page
from builder.guide.symptom_pages import WRONG, ShownStep
from builder.preparing import Preparation
from builder.selection.symptoms import MOST_QUESTIONS, symptoms_lead_somewhere
from builder.sources.folder import Folder
from builder.sources.symptoms import read_symptoms
from tests.conftest import PROJECT
from tests.demonstrations import prepared_demo

KNOWN = {
    "systems": {"water"}, "kinds": {"stopcock"}, "articles": {"water-leak"},
    "roles": {"council"}, "matters": {"faults"},
}  # fmt: skip
HEAD = """symptoms:
  drip:
    title: It drips
    system: water
    sources: {one: {fact: It drips, basis: common practice}}
    reviewed: 2026-11-28
    steps:
"""
END = "      stop: {do: [Turn it off.], see: [stopcock], matter: faults}\n"


@pytest.fixture(scope="module")
def demo() -> Preparation:
    return prepared_demo()


def symptom_pages(guide: Guide) -> list[Page]:
    return [page for page in guide.pages if page.id.startswith("symptom:")]


def graph(page: Page) -> "nx.DiGraph[str]":
    found: nx.DiGraph[str] = nx.DiGraph()
    for step in page.values["steps"]:
        found.add_node(step.id)
        found.add_edges_from((step.id, to) for _, to in step.answers)
    return found


def test_the_library_has_at_least_45_symptoms() -> None:
    findings = Findings()
    assert len(read_symptoms(Folder(PROJECT), findings)) >= 45
    assert list(findings) == []


def test_every_way_ends_soon_and_none_comes_back(demo: Preparation) -> None:
    seen = 0
    for prepared in demo.plots.values():
        for page in symptom_pages(prepared.guide):
            ways, steps = graph(page), {step.id: step for step in page.values["steps"]}
            assert nx.is_directed_acyclic_graph(ways), page.id
            assert set(ways) == set(steps), page.id
            longest = nx.dag_longest_path_length(ways)
            assert longest <= MOST_QUESTIONS, page.id
            ends = [node for node in ways if ways.out_degree(node) == 0]
            assert all(steps[end].ask is None for end in ends), page.id
            seen += len(ends)
    assert seen > 1000


def names_something(step: ShownStep) -> bool:
    return bool(step.pieces or step.read or step.call or step.matter or step.do)


def test_every_end_says_something_of_this_home(demo: Preparation) -> None:
    for reference, prepared in demo.plots.items():
        pieces = {piece.id for piece in prepared.about.pieces}
        for page in symptom_pages(prepared.guide):
            for step in page.values["steps"]:
                if step.ask is None:
                    assert names_something(step), (reference, page.id, step.id)
                    assert {piece.id for piece in step.pieces} <= pieces
                else:
                    assert len(step.answers) >= 2, (reference, page.id, step.id)


def test_every_emergency_is_two_touches_from_the_first_page(demo: Preparation) -> None:
    """The first page leads to what is wrong, and that page to every urgent symptom first."""
    for reference, prepared in demo.plots.items():
        assert prepared.guide.page("page:home").values["wrong"] == WRONG  # type: ignore[union-attr]
        listed = prepared.guide.page(WRONG)
        assert listed is not None
        heading, links = listed.values["groups"][0]
        urgent = {page.id for page in symptom_pages(prepared.guide) if page.values["urgent"]}
        assert heading == "What cannot wait"
        assert {link.target for link in links} == urgent, reference
        assert len(urgent) >= 5


def test_a_home_without_gas_is_not_asked_about_gas(demo: Preparation) -> None:
    for prepared in demo.plots.values():
        has = prepared.guide.page("symptom:gas-smell") is not None
        assert has == bool({"natural-gas", "lpg"} & set(prepared.about.fuels))


def steps_of(demo: Preparation, plot: str, symptom: str) -> dict[str, ShownStep]:
    pages = demo.plots[plot].guide.pages
    page = next(each for each in pages if each.id == f"symptom:{symptom}")
    return {step.id: step for step in page.values["steps"]}


def test_what_comes_from_shared_pipes_goes_to_whoever_answers_for_them(demo: Preparation) -> None:
    """A flat's sewage and roof are its factor's; its heat comes from whoever runs the network."""
    called = {
        (symptom, step): each.call["name"]
        for symptom in ("sewage", "leak", "damp-patch")
        for step, each in steps_of(demo, "shore-court/01", symptom).items()
        if each.call and not each.matter
    }
    assert called == {
        ("sewage", "first"): "Braemoray urgent line",
        ("leak", "above"): "Braemoray urgent line",
        ("leak", "heating"): "Inverarrin Heat",
        ("leak", "sprinkler"): "Emergency services",
        ("damp-patch", "rain"): "Braemoray Factors",
    }
    house = steps_of(demo, "mill-lane/07", "sewage")["first"]
    assert house.matter
    assert house.call
    assert house.call["name"] == "Fennimarsh Homes out of hours"


def test_a_home_reads_of_no_boiler_and_no_stairs_that_it_has_not(demo: Preparation) -> None:
    says = {
        answer
        for symptom in ("leak", "gap")
        for step in steps_of(demo, "shore-court/01", symptom).values()
        for answer, _ in step.answers
    }
    assert {"From a radiator or a heating pipe", "At a skirting or a door frame"} <= says
    assert not any("boiler" in each or "stairs" in each for each in says)


def test_a_step_names_pieces_beside_what_it_is_about(demo: Preparation) -> None:
    pieces = steps_of(demo, "shore-court/01", "toilet-runs")["first"].pieces
    assert {piece.room for piece in pieces} == {"Bathroom", "En-suite"}


def test_a_dark_boiler_leads_to_its_own_switch_alone(demo: Preparation) -> None:
    """The gas hob of the same kitchen has a switch of the same kind."""
    pieces = steps_of(demo, "lough-row/01", "no-heat-boiler")["power"].pieces
    assert [piece.serves for piece in pieces if piece.kind == "fused-spur"] == [
        "The boiler and its controls"
    ]


def test_who_puts_a_kitchen_machine_right_is_said(demo: Preparation) -> None:
    assert steps_of(demo, "shore-court/01", "appliance-broken")["first"].matter


def test_no_word_of_a_marker_is_left(demo: Preparation) -> None:
    for prepared in demo.plots.values():
        for page in symptom_pages(prepared.guide):
            assert "{call:" not in str(page.values), page.id


def findings_of(tmp_path: Path, steps: str) -> list[str]:
    folder = tmp_path / "content/symptoms"
    folder.mkdir(parents=True)
    (folder / "own.yaml").write_text(HEAD + steps, encoding="utf-8")
    findings = Findings()
    own = {name: each for name, each in read_symptoms(Folder(tmp_path), findings).items() if not each.ships}  # fmt: skip
    findings.extend(symptoms_lead_somewhere(own, KNOWN))
    return [str(each) for each in findings]


@pytest.mark.parametrize(
    ("steps", "said"),
    [
        (
            "      first: {ask: Where?, answers: {here: {say: Here, to: stopp}, there: {say: There, to: stop}}}\n" + END,
            "content/symptoms/own.yaml:8:60: error symptoms.unknown-step at symptoms.drip.steps.first.answers.here.to\n"
            "  There is no step 'stopp'.\n  Did you mean 'stop'?",
        ),
        (
            "      first: {ask: Where?, answers: {here: {say: Here, to: first}, there: {say: There, to: stop}}}\n" + END,
            "symptoms.loop",
        ),
        (
            "      first: {do: [Turn it off.]}\n" + END,
            "symptoms.unreached-step",
        ),
        (
            "".join(
                f"      {a}: {{ask: Where?, answers: {{on: {{say: On, to: {b}}}, end: {{say: End, to: stop}}}}}}\n"
                for a, b in (("first", "two"), ("two", "three"), ("three", "four"), ("four", "stop"))
            ) + END,
            "One way asks 4 questions.",
        ),
        (
            "      first: {do: [Turn it off.], see: [stopcok]}\n",
            "There is no 'stopcok' in kinds.\n  Did you mean 'stopcock'?",
        ),
        ("      first: {ask: Where?}\n", "error"),
        ("      first: {}\n", "error"),
    ],
    ids=["unknown step", "loop", "unreached", "too deep", "unknown kind", "no answers", "empty"],
)  # fmt: skip
def test_what_leads_nowhere_is_found(tmp_path: Path, steps: str, said: str) -> None:
    found = findings_of(tmp_path, steps)
    assert len(found) == 1, found
    assert said in found[0]


def test_a_workspace_changes_and_removes_symptoms_that_ship(tmp_path: Path) -> None:
    folder = tmp_path / "content/symptoms"
    folder.mkdir(parents=True)
    (folder / "own.yaml").write_text(
        HEAD + "      first: {do: [Turn it off.]}\n  crack: null\n", encoding="utf-8"
    )
    findings = Findings()
    read = read_symptoms(Folder(tmp_path), findings)
    assert list(findings) == []
    assert "drip" in read
    assert "crack" not in read
    assert "mould" in read
    (folder / "more.yaml").write_text("symptoms: {craks: null}\n", encoding="utf-8")
    read_symptoms(Folder(tmp_path), findings)
    assert [str(each) for each in findings] == [
        "content/symptoms/more.yaml:1:12: error symptoms.unknown-symptom at symptoms.craks\n"
        "  No symptom 'craks' ships, so there is nothing to take away.\n"
        "  Did you mean 'crack'?"
    ]


def test_a_thing_tells_what_is_done_with_it_and_not_all_that_its_article_is_about(
    demo: Preparation,
) -> None:
    """A heat meter never says that its owner can change supplier: heat has one alone."""
    pages = {page.id: page for page in demo.plots["shore-court/01"].guide.pages}
    assert pages["equipment:bathroom-boost"].values["actions"] == (
        "Press it when you cook, bathe or shower.",
    )
    said = " ".join(pages["equipment:heat-meter"].values["actions"])
    assert "supplier" not in said
    assert "Write down its number" in said
