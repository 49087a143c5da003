"""The proof finds each fault of a finished site, and none in a sound one."""

from pathlib import Path

import pytest

from builder.proof.allowed import PageKind, PageKinds
from builder.proof.crawl import crawl, proof
from builder.proof.judging import content_hash

KINDS = PageKinds(PageKind("article", frozenset([content_hash("go()")])))

SOUND = """<!doctype html><html lang="en"><head><title>T</title><link rel="stylesheet" href="../a.css">
<script>go()</script><script type="application/json">{}</script></head>
<body><h1 id="top">T</h1><a href="#top">up</a> <a href="../two/">two</a> <a href="../two/#b">b</a>
<a href="tel:999">999</a> <img src="../a.png" alt=""></body></html>"""


def site(folder: Path, body: str) -> list[tuple[str, int, str]]:
    (folder / "one").mkdir()
    (folder / "two").mkdir()
    (folder / "a.css").write_text("", encoding="utf-8")
    (folder / "a.png").write_bytes(b"")
    (folder / "one" / "index.html").write_text(body, encoding="utf-8")
    (folder / "two" / "index.html").write_text('<h1 id="b">B</h1>', encoding="utf-8")
    return [
        (each.code, each.place.line, each.wrong)
        for each in proof(crawl(folder, kinds=KINDS), "g/X")
    ]


def test_a_sound_site(tmp_path: Path) -> None:
    assert site(tmp_path, SOUND) == []


def test_the_hash_of_a_script() -> None:
    """The example of the Content Security Policy documents, from memory: alert('Hello, world.');"""
    assert (
        content_hash("alert('Hello, world.');")
        == "sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng="
    )


@pytest.mark.parametrize(
    ("fault", "code", "wrong"),
    [
        ('<a href="../three/"></a>', "proof.broken-link", "'../three/' leads to nothing."),
        ('<a href="../../../x/"></a>', "proof.broken-link", "'../../../x/' leads to nothing."),
        ('<a href="../two/#c"></a>', "proof.broken-anchor", "'../two/#c' names no place on its page."),
        ('<a href="#c"></a>', "proof.broken-anchor", "'#c' names no place on its page."),
        ('<img src="https://elsewhere.example/x.png">', "proof.third-party",
         "'https://elsewhere.example/x.png' leaves the guide."),
        ('<script src="//elsewhere.example/x.js"></script>', "proof.third-party",
         "'//elsewhere.example/x.js' leaves the guide."),
        ('<a href="/absolute/"></a>', "proof.third-party", "'/absolute/' leaves the guide."),
        ('<p style="color: red"></p>', "proof.inline", "The page holds an inline style."),
        ("<style>p {}</style>", "proof.inline",
         "The page holds a style sheet that the builder does not ship."),
        ("<script>come()</script>", "proof.inline",
         "The page holds a script that the builder does not ship."),
        ('<p onclick="go()"></p>', "proof.inline", "The page holds the inline handler 'onclick'."),
    ],
)  # fmt: skip
def test_each_fault_is_found(fault: str, code: str, wrong: str, tmp_path: Path) -> None:
    assert site(tmp_path, SOUND.replace("<h1", f"\n{fault}\n<h1")) == [(code, 4, wrong)]
