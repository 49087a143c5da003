"""Line drawings: what they may hold, and that those that ship are sound."""

import pytest
from lxml import etree

from builder.errors import Findings
from builder.sources.drawings import read_drawing
from tests.conftest import PROJECT

SHIPPED = sorted((PROJECT / "content/drawings").glob("*.svg"))
HEAD = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 120 92">\n<title>A</title>\n<desc>B</desc>\n'


def findings_of(inside: str) -> list[str]:
    findings = Findings()
    drawing = read_drawing("one", f"{HEAD}{inside}\n</svg>", "content/drawings/one.svg", findings)
    assert (drawing is None) == bool(list(findings))
    return [str(each).splitlines()[0] for each in findings]


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_every_drawing_that_ships_can_be_read_and_says_what_it_shows(path) -> None:  # type: ignore[no-untyped-def]
    findings = Findings()
    drawing = read_drawing(path.stem, path.read_text("utf-8"), path.name, findings)
    assert drawing is not None, list(map(str, findings))
    assert len(drawing.describes) > len(drawing.title) > 3
    assert etree.fromstring(f"<svg>{drawing.lines}</svg>") is not None
    assert 'class="' in drawing.lines, "nothing in it is marked"


def test_at_least_twenty_drawings_ship() -> None:
    assert len(SHIPPED) >= 20


@pytest.mark.parametrize(
    ("inside", "said"),
    [
        ("<script>alert(1)</script>", "content/drawings/one.svg:4:1: error drawing.form"),
        ('<path d="M0 0" onload="x()"/>', "content/drawings/one.svg:4:1: error drawing.form"),
        ('<path d="M0 0" style="fill:red"/>', "content/drawings/one.svg:4:1: error drawing.form"),
        (
            '<image href="https://x.example/a.png"/>',
            "content/drawings/one.svg:4:1: error drawing.form",
        ),
        ('<path class="mark red" d="M0 0"/>', "content/drawings/one.svg:4:1: error drawing.form"),
        (
            '<path d="M0 0&quot; onload=&quot;x"/>',
            "content/drawings/one.svg:4:1: error drawing.form",
        ),
        ('<a><path d="M0 0"/></a>', "content/drawings/one.svg:4:1: error drawing.form"),
        ("<!-- a comment -->", "content/drawings/one.svg:4:1: error drawing.form"),
    ],
)
def test_what_a_drawing_may_not_have(inside: str, said: str) -> None:
    assert findings_of(inside) == [said]


def test_words_in_a_drawing_are_escaped_again() -> None:
    findings = Findings()
    drawing = read_drawing(
        "one", f'{HEAD}<text x="1" y="2">a &lt;b&gt; &amp; c</text></svg>', "one.svg", findings
    )
    assert drawing is not None
    assert drawing.lines == '<text x="1" y="2">a &lt;b> &amp; c</text>'


@pytest.mark.parametrize(
    "text",
    [
        "",
        "no svg",
        "<svg/>",
        '<!DOCTYPE a [<!ENTITY x "y">]><svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1 1">&x;</svg>',
    ],
)
def test_what_is_no_drawing_is_a_finding(text: str) -> None:
    findings = Findings()
    assert read_drawing("one", text, "one.svg", findings) is None
    assert list(findings)
