"""Hostile workspaces from end to end: what a template puts into a page stops its guide, and what stands
in the data is read letter by letter."""

import re
import shutil
from pathlib import Path

import html5lib
import pytest
from click.testing import CliRunner, Result

from builder.cli import main
from builder.proof.allowed import FRAME
from tests.conftest import COTTAGE

ATTACKS = (
    "<script>alert(1)</script>", "<iframe src='../'></iframe>", "<meta http-equiv='refresh' content='0;url=//x'>",
    "<p onclick='alert(1)'>x</p>", "<form action='//x'></form>", "<a href='javascript:alert(1)'>x</a>",
    "<img src='https://elsewhere.example/x.png' alt=''>", "[x](javascript:alert(1))", "<style>p{}</style>",
)  # fmt: skip
VALUES = (
    "x\" onmouseover=\"alert(1)", "' onfocus='alert(1)", "[x](javascript:alert(1))", "![x](//e.example/x)",
    "{: onclick=alert(1) }", "&lt;script&gt;alert(1)&lt;/script&gt;", "&#60;script&#62;alert(1)", "\\[x](y)", "`", "~~~",
    "| a | b |", "]]>", "-->", "\";alert(1)//", "#eval(\"1\")", "=cmd|' /C calc'!A1", "*a* _b_ [a][b]", "javascript:alert(1)",
)  # fmt: skip


@pytest.fixture
def workspace(tmp_path: Path) -> Path:
    return Path(shutil.copytree(COTTAGE, tmp_path / "cottage"))


def run(command: str, workspace: Path, *options: str) -> Result:
    given = [command, "--workspace", str(workspace), "--date", "2026-11-25", *options]
    return CliRunner().invoke(main, given)


@pytest.mark.parametrize("attack", ATTACKS)
def test_a_template_that_puts_it_into_pages_stops_every_guide(attack: str, workspace: Path) -> None:
    page = workspace / "site_templates" / "pages" / "details.md"
    page.parent.mkdir(parents=True)
    page.write_text(f"# {{{{ page.title }}}}\n\n{attack}\n", encoding="utf-8")
    result = run("build", workspace, "--out", str(workspace.parent / "public"))
    assert result.exit_code == 1
    assert "/details/index.html:" in result.output
    assert " error proof." in result.output
    assert "0 guides published." in result.output
    assert not list((workspace.parent / "public").glob("g/*"))


def test_values_are_read_letter_by_letter(workspace: Path) -> None:
    """Every attack at once in the names that pages, stickers and papers show."""
    value = " ".join(VALUES)
    quoted = value.replace("'", "''")
    for file in workspace.rglob("*.yaml"):
        text = re.sub(
            r"((?:name|make|model): )([A-Z][A-Za-z ]*)([,}])",
            lambda found: f"{found[1]}'{found[2]} {quoted}'{found[3]}",
            file.read_text(encoding="utf-8"),
        )
        file.write_text(text, encoding="utf-8")
    public = workspace.parent / "public"
    result = run("build", workspace, "--out", str(public))
    assert result.exit_code == 0, result.output
    pages = sorted(public.rglob("*.html"))
    assert len(pages) > 40
    said = 0
    for page in pages:
        text = page.read_text(encoding="utf-8")
        tree = html5lib.parse(text, treebuilder="lxml", namespaceHTMLElements=False)
        said += value in " ".join(tree.getroot().itertext())
        for element in tree.iter():
            if isinstance(element.tag, str):
                assert element.tag.rpartition("}")[2].lower() in FRAME
                assert not any(str(each).startswith("on") for each in element.attrib)
                assert ":" not in str(element.get("href", "")).removeprefix("tel:").removeprefix(
                    "data:"
                )
    assert said > 5
    printed = run("print", workspace, "--paper", "book", "--out", str(workspace.parent / "paper"))
    assert printed.exit_code == 0, printed.output
