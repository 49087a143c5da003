"""Four nations are layers: their words, contacts and papers reach a home, and nobody else's do."""

import re
import shutil
from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from pydantic import BaseModel

from builder.cli.commands import main
from builder.demonstration.sheet import run_sheet
from builder.errors import Findings
from builder.guide.walk.script import script_of
from builder.model.condition import Condition
from builder.model.home import Home
from builder.preparing import prepare
from builder.selection.choosing import choose
from builder.selection.conditions import judge
from builder.selection.wording import MARKER, markers_in, worded
from builder.sources.nations import NATIONS, every_nation, nations
from builder.sources.workspace import read_workspace
from tests.demonstrations import DAY, PROJECT, prepared_demo
from tests.rule_cases import Case

NAMES = {
    "england": r"\bEngland|\bEnglish(?! well)",
    "wales": r"\bWales|\bWelsh",
    "scotland": r"\bScotland|\bScottish|\bScots\b",
    "northern-ireland": r"\bNorthern Ireland|\bNI\b",
}
"""What names a nation in a text."""


def home_of(nation: str, base: str = "house") -> Home:
    change = f"development: {{nation: {nation}}}\n"
    return Case("x", "x", base, (("development riverside", change),), (), nation=nation).home().home


@pytest.mark.parametrize("nation", NATIONS)
def test_a_home_is_told_in_the_words_of_its_nation(nation: str) -> None:
    home = home_of(nation)
    assert home.nation.name == nation.replace("-", " ").title()
    assert home.terms.keys() == home_of("england").terms.keys()


def test_each_nation_has_its_own_numbers() -> None:
    numbers = {
        nation: tuple(
            home_of(nation).contacts[each].telephone for each in ("power-cut", "gas-emergency")
        )
        for nation in NATIONS
    }
    great_britain = ("105", "0800 111 999")
    assert numbers == {
        "england": great_britain,
        "wales": great_britain,
        "scotland": great_britain,
        "northern-ireland": ("03457 643 643", "0800 002 001"),
    }


def test_each_nation_has_its_own_words_for_the_day_and_for_who_manages_what_is_shared() -> None:
    words = {
        each: (home_of(each).terms["completion"], home_of(each).terms["agent"]) for each in NATIONS
    }
    assert words == {
        "england": ("legal completion", "managing agent"),
        "wales": ("legal completion", "managing agent"),
        "scotland": ("the date of entry", "property factor"),
        "northern-ireland": ("completion", "management company"),
    }


@pytest.mark.parametrize("nation", NATIONS)
def test_the_papers_of_a_nation_rest_on_no_other_nations_law(nation: str) -> None:
    for name, paper in home_of(nation).documents.items():
        others = [
            each for each in NATIONS if each != nation and re.search(NAMES[each], paper.basis)
        ]
        assert not others or re.search(NAMES[nation], paper.basis), (name, paper.basis)


def test_a_paper_is_taken_out_and_added_by_a_workspace(tmp_path: Path) -> None:
    for folder in ("housetypes", "developments", "content"):
        (tmp_path / folder).mkdir()
    (tmp_path / "content" / "documents.yaml").write_text("documents: {manuals: null}\n")
    findings = Findings()
    workspace = read_workspace(tmp_path, findings)
    assert workspace.papers is not None
    assert not [each for each in findings if "documents" in each.place.file]


@pytest.mark.parametrize("nation", NATIONS)
def test_a_condition_asks_for_the_nation(nation: str) -> None:
    condition = Condition.model_validate({"nation": ["wales", "scotland"]})
    reason = judge(condition, home_of(nation))
    assert reason.holds is (nation in ("wales", "scotland"))
    assert reason.says == f"nation is {nation}, wanted wales or scotland"


@pytest.mark.parametrize("nation", NATIONS)
def test_no_marker_is_left_in_what_an_owner_reads(nation: str) -> None:
    home = home_of(nation)
    selection = choose((each.article for each in prepared_demo().workspace.articles.values()), home)
    assert [each.id for each in selection.articles if list(markers_in(each))] == []


def test_every_marker_names_a_term_or_a_contact() -> None:
    home = home_of("england")
    roles = {*home.roles, *home.contacts}
    known = {"term": home.terms, "telephone": roles, "call": roles}
    for source in prepared_demo().workspace.articles.values():
        for section, name in markers_in(source.article):
            assert name in known[section], (source.article.id, section, name)


def test_a_contact_without_a_number_is_told_in_words() -> None:
    home = home_of("england")
    assert worded(("{telephone:nobody}",), home) == ("The number on your emergency page",)
    assert worded(("Call {telephone:nobody}",), home) == ("Call the number on your emergency page",)
    assert worded(("{term:nothing} stays",), home) == ("{term:nothing} stays",)


@pytest.mark.parametrize("nation", NATIONS)
def test_a_nation_writes_no_marker_and_no_other_nations_name(nation: str) -> None:
    others = [NAMES[each] for each in NATIONS if each != nation]
    texts = [*_texts(nations()[nation]), *_texts(every_nation())]
    assert not [each for each in texts if MARKER.search(each)]
    for text in texts:
        law_of_both = re.search(NAMES[nation], text)
        assert law_of_both or not any(re.search(each, text) for each in others), text


def _texts(entry: Any) -> Iterator[str]:
    if isinstance(entry.value, str):
        yield entry.value
    for each in entry.children.values():
        yield from _texts(each)


BOTH = "England and Wales"
"""An act or a set of regulations of both nations may be named in either."""
OF_ONE = {
    "england": r"council tax rates",
    "wales": r"\(England",
    "scotland": r"Approved Document|Building Regulations 2010|[Ll]egal completion",
    "northern-ireland": r"\b105\b|0800 111 999|Approved Document|Building Regulations 2010|council tax",
}
"""What only homes of other nations read, beside their names."""


@pytest.fixture(scope="module", params=NATIONS)
def abroad(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Any:
    """A house and a flat of the demo, as if they stood in a nation: the nation, and all their texts, by what ships."""
    nation, root = request.param, tmp_path_factory.mktemp(request.param)
    for folder in ("housetypes", "developments"):
        shutil.copytree(PROJECT / folder, root / folder)
    for path in root.glob("developments/*/development.yaml"):
        text = re.sub(r"nation: .*", f"nation: {nation}", path.read_text(encoding="utf-8"))
        text = re.sub(r"  editions: .*\n", "", text).replace(" and council tax", "")
        path.write_text(text, encoding="utf-8")
    for path in root.rglob("*.yaml"):
        path.write_text(re.sub(r"^tenure: .*\n", "", path.read_text(encoding="utf-8"), flags=re.M))
    preparation = prepare(root, ("mill-lane/01", "harbour-view/05"), DAY)
    script = script_of(preparation.workspace, Findings())
    homes = preparation.homes.values()
    assert len(homes) == 2, "\n".join(map(str, preparation.findings))
    read = [(each.guide, run_sheet(each, script)) for each in homes]
    return nation, [*_said_in(read)]


def test_a_home_reads_of_no_nation_but_its_own(abroad: tuple[str, list[str]]) -> None:
    nation, texts = abroad
    assert named_of_others(nation, texts) == []


def named_of_others(nation: str, texts: list[str]) -> list[str]:
    """The texts that name another nation, or what only its homes read; an act of both may be named."""
    both = nation in ("england", "wales")
    others = "|".join([*(NAMES[each] for each in NATIONS if each != nation), OF_ONE[nation]])
    told = [each.replace(BOTH, "") if both else each for each in texts]
    return [each for each in told if re.search(others, each)]


@pytest.mark.parametrize("nation", NATIONS)
def test_what_is_begun_in_a_nation_names_no_other(nation: str, tmp_path: Path) -> None:
    """The files that first commands write, and all that is read of a home of them."""
    for command in (
        ("new", "development", "first", "--nation", nation),
        ("new", "housetype", "heron"),
        ("new", "plot", "first/01", "--housetype", "heron"),
    ):
        done = CliRunner().invoke(main, [*command, "--workspace", str(tmp_path)])
        assert done.exit_code == 0, done.output
    files = [*tmp_path.rglob("*.yaml"), *tmp_path.rglob("*.csv")]
    assert len(files) >= 4
    lines = [line for path in files for line in path.read_text(encoding="utf-8").splitlines()]
    assert named_of_others(nation, lines) == []
    preparation = prepare(tmp_path, (), DAY)
    (home,) = preparation.homes.values()
    sheet = run_sheet(home, script_of(preparation.workspace, Findings()))
    assert named_of_others(nation, [*_said_in((home.guide, sheet))]) == []


def test_no_owner_reads_of_what_somebody_only_remembers(abroad: tuple[str, list[str]]) -> None:
    _, texts = abroad
    weak = r"from memory|\bforum\b|\bdealer|California"
    assert [each for each in texts if re.search(weak, each)] == []


def _said_in(value: Any) -> Iterator[str]:
    """Every text of a guide and of a run sheet, but for the home's own record."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        for each in value.values():
            yield from _said_in(each)
    elif isinstance(value, tuple | list):
        for each in value:
            yield from _said_in(each)
    elif is_dataclass(value):
        for each in fields(value):
            yield from _said_in(getattr(value, each.name))
    elif isinstance(value, BaseModel):
        for name in type(value).model_fields:
            yield from _said_in(getattr(value, name))
