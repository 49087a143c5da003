"""What the pieces of a page hold together, the page holds; and each fault of a piece is found."""

from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder.lately import Lately
from builder.preparing import prepare
from builder.proof.allowed import Kind, Kinds
from builder.proof.judging import Judged, content_hash, judge, left_open
from builder.proof.pieces import Pieces, SiteProof
from builder.writers.site.engine import SiteWriter
from builder.writers.site.inline import inline_scripts
from builder.writers.site.plugin import shown
from builder.writers.site.press import Press

DEMO = Path(__file__).parent.parent
DAY = date(2026, 11, 25)
PLOTS = ("mill-lane/01", "harbour-view/05")
FILES = frozenset({"g/X/one/index.html", "g/X/two/index.html", "g/X/a.css"})
HEAD = '<!doctype html><html lang="en"><head><link rel="stylesheet" href="../a.css"></head><body>'
END = '<a href="../two/#b">b</a> <a href="#top">up</a> <a href="tel:999">999</a></body></html>'
TWO = (HEAD, '<h1 id="b">B</h1>', '<h1 id="top">T</h1>', END)


def is_sound(*sections: str, proof: SiteProof | None = None) -> bool:
    one = (HEAD, '<h1 id="top">T</h1>', *sections, END)
    pages = {"g/X/one/index.html": one, "g/X/two/index.html": TWO}
    return (proof or SiteProof(Pieces())).is_sound(FILES, pages, ())


def told(page: Judged) -> tuple[object, ...]:
    links = {(each.tag, each.target) for each in page.links}
    return links, page.anchors, {each.wrong for each in page.refused}


@pytest.mark.parametrize("reference", PLOTS)
def test_the_pieces_of_a_page_hold_what_the_page_holds(reference: str) -> None:
    guide = prepare(DEMO, [reference], DAY).plots[reference].guide
    whole = shown(guide, SiteWriter(DEMO).templates, DEMO)
    edition = Press(DEMO).edition(whole)
    kind = Kind("article", frozenset(map(content_hash, inline_scripts())))
    pieces = Pieces(Kinds(kind))
    assert len(whole.pages) > 40
    for written in whole.pages:
        page = edition.page(written)
        read = [each for _, each in pieces.read(page.file, page.pieces)]
        together = tuple(set().union(*each) for each in zip(*map(told, read), strict=True))
        assert together == told(judge(page.html.parts[0].decode(), kind)), page.file
        assert not together[-1]
        assert left_open(read[-1].open) == ()


def test_a_sound_guide() -> None:
    assert is_sound("<p>Nothing leads anywhere.</p>", '<p id="c"></p><a href="#c">c</a>')


@pytest.mark.parametrize(
    "fault",
    [
        '<a href="../three/"></a>', '<a href="../../../x/"></a>', '<a href="../two/#c"></a>',
        '<a href="#c"></a>', '<img src="https://elsewhere.example/x.png">', '<a href="/absolute/"></a>',
        '<script src="//elsewhere.example/x.js"></script>', '<p style="color: red"></p>',
        "<style>p {}</style>", '<p onclick="go()"></p>', "<p>", "</p>", "<script>go()</script>",
    ],
)  # fmt: skip
def test_each_fault_is_seen(fault: str) -> None:
    proof = SiteProof(Pieces())
    assert is_sound(proof=proof)
    assert not is_sound(fault, proof=proof)
    assert not is_sound(fault, proof=proof), "a fault is none the less one when it comes again"
    assert is_sound(proof=proof)


def test_a_place_that_another_plot_has_does_not_stand_in_this_one() -> None:
    proof = SiteProof(Pieces())
    assert is_sound('<h2 id="office">Office</h2>', '<a href="#office">Call</a>', proof=proof)
    assert not is_sound('<h2 id="agent">Agent</h2>', '<a href="#office">Call</a>', proof=proof)


@given(st.lists(st.integers(0, 9), max_size=200), st.integers(1, 5))
def test_the_last_are_kept_and_never_more_than_twice_as_many(asked: list[int], most: int) -> None:
    kept = Lately[int, str](most)
    for number in asked:
        if kept.get(number) is None:
            kept.keep(number, str(number))
    last = list(dict.fromkeys(reversed(asked)))
    assert [kept.get(each) for each in last[:most]] == [str(each) for each in last[:most]]
    assert sum(kept.get(each) is not None for each in range(10)) <= 2 * most
