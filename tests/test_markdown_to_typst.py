"""From Markdown to Typst: exactly what pages of a guide have, letter by letter, and nothing lost."""

from collections.abc import Mapping
from pathlib import Path

import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from builder.craft.typesetting import set_files
from builder.errors import FindingsError, HandoverError
from builder.guide.prose import escaped
from builder.languages.language import FIRST
from builder.writers.paper.converting import TypstConverter
from builder.writers.paper.drawings import Drawings
from builder.writers.paper.guide_text import paper_look, paper_words
from builder.writers.paper.reading import MarkdownReader, elements
from builder.writers.paper.typst_code import text
from tests.conftest import PROJECT
from tests.papers import run_together

READER = MarkdownReader(PROJECT / "mkdocs.yml")
LOOK: Mapping[str, bytes] = {
    path.name: path.read_bytes() for path in (PROJECT / "site_templates" / "paper").glob("*.typ")
} | {**paper_look(None, PROJECT), **paper_words(FIRST)}
DRAWING = '<svg class="plan" role="img" aria-label="A &amp; B" viewBox="0 0 200 100"><path class="wall" d="M0 0h9v9z"/></svg>'
PAGES = {"../systems/water.md": "system:water"}


def code(markdown: str, level: int = 1) -> str:
    drawings = Drawings(".wall { fill: #000000; }")
    soup = elements(drawings.lifted(READER.html(markdown)))
    converter = TypstConverter(
        named="Plot 1, page 'p'",
        level=level,
        drawn=drawings.known.__getitem__,
        target=PAGES.get,
        photographs=frozenset({"tap.jpg"}),
    )
    return "\n".join(converter.blocks(soup))


@pytest.mark.parametrize(
    ("markdown", "typst"),
    [
        ("One *two* **three** `four`.", 'para({"One "; emph({"two"}); " "; strong({"three"}); " "; raw("four"); "."})'),
        ("a\nb<br>c", 'para({"a b"; linebreak(); "c"})'),
        ("- a\n- b", 'points(({"a"}, {"b"}, ))'),
        ("1. a\n2. b", 'steps(({"a"}, {"b"}, ), start: 1)'),
        ("- a\n\n    - b", 'points(({para({"a"}); points(({"b"}, ))}, ))'),
        ("Term\n:   Words", 'pairs((({"Term"}, {"Words"}), ), beside: true)'),
        (
            "A term of so many words that they need a line\n:   Words",
            'pairs((({"A term of so many words that they need a line"}, {"Words"}), ), beside: false)',
        ),
        ("[Water](../systems/water.md)", 'para({see(label("system:water"), {"Water"})})'),
        ("[here](elsewhere.md)", 'para({{"here"}})'),
        ("[call](tel:999)", 'para({link("tel:999", {"call"})})'),
        ("> said", 'quoted({para({"said"})})'),
        ("---", "divider()"),
        ("```\na = 1\n```", 'listing("a = 1\\n")'),
        ("![A tap](../photos/tap.jpg)", 'photograph("tap.jpg", "A tap")'),
        (
            "| A | B |\n| --- | --- |\n| x | *y* |",
            'grid-table((auto, auto, ), ({"A"}, {"B"}, ), (({"x"}, {emph({"y"})}, ), ), breakable: false)',
        ),
        ('<div class="handover-caution" markdown>\n\n**Stop.**\n\n</div>', 'caution({para({strong({"Stop."})})})'),
        (
            f"<figure class=\"handover-plan handover-plan--one\">{DRAWING}<figcaption>Seen.</figcaption></figure>",
            'drawings(((file: "drawing-1.svg", alt: "A & B", ratio: 2.0000, size: "small", caption: {"Seen."}), ))',
        ),
        ("On a screen.\n{: .handover-screen }\n\nOn paper.", 'para({"On paper."})'),
        ("<p hidden>Nothing</p>\n\n<script>x()</script>\n\nWords", 'para({"Words"})'),
    ],
)  # fmt: skip
def test_each_element_has_one_form(markdown: str, typst: str) -> None:
    assert code(markdown) == typst


def test_headings_leave_no_level_out() -> None:
    """PDF/UA-1 (ISO 14289-1, 7.4.2, from memory): levels are not skipped on the way down."""
    assert code("### a\n\n##### b\n\n## c", level=2).splitlines() == [
        'inner-heading(3, {"a"})',
        'inner-heading(4, {"b"})',
        'inner-heading(3, {"c"})',
    ]


@pytest.mark.parametrize(
    ("markdown", "message"),
    [
        ("<video></video>", "Plot 1, page 'p': paper cannot show <video>."),
        ("a <video></video> b", "Plot 1, page 'p': paper cannot show <video> in a line."),
        ("![x](gone.png)", "Plot 1, page 'p': there is no picture 'gone.png'."),
        ("<figure><p>x</p></figure>", "Plot 1, page 'p': a figure has no drawing in it."),
    ],
)
def test_what_paper_cannot_show_is_told_and_never_dropped(markdown: str, message: str) -> None:
    with pytest.raises(HandoverError) as told:
        code(markdown)
    assert str(told.value) == message


def test_extensions_are_those_of_the_settings(tmp_path: Path) -> None:
    file = tmp_path / "mkdocs.yml"
    file.write_text("markdown_extensions: [def_list, toc: {title: x}]\n")
    assert "<dl>" in MarkdownReader(file).html("A\n:   b")
    file.write_text("markdown_extensions: [no.such.extension]\n")
    with pytest.raises(FindingsError, match=r"'no.such.extension' is an extension of Markdown"):
        MarkdownReader(file)
    with pytest.raises(HandoverError, match=r"an extension cannot be used: .*no"):
        MarkdownReader(file, own_code=True)


def set_text(body: str) -> str:
    """What a reader of the PDF sees of Typst code."""
    main = f'#import "book.typ": *\n#show: book.with(title: "T", date: datetime(year: 2026, month: 1, day: 1))\n= H\n#block({{{body}}})\n'
    document = pypdfium2.PdfDocument(set_files({**LOOK, "main": main.encode()}, "A test"))
    page = document[0]
    return run_together(page.get_textpage().get_text_bounded(top=page.get_height() - 60, bottom=60))


LETTERS = some.characters(
    codec="latin-1", exclude_categories=["Cc", "Zs"], exclude_characters="\xad"
)


def test_a_drawing_without_words_has_those_below_it() -> None:
    """PDF/UA refuses a picture that says nothing."""
    drawing = DRAWING.replace('role="img" aria-label="A &amp; B"', 'aria-hidden="true"')
    set_code = code(f'<figure class="handover-plan">{drawing}<figcaption>Seen <b>so</b>.</figcaption></figure>')  # fmt: skip
    assert 'alt: "Seen so."' in set_code


@settings(max_examples=40)
@given(
    some.text(
        LETTERS | some.sampled_from("\\\"#$*_`@<>=-+/[]{}()~'&;:,. "), min_size=1, max_size=60
    )
)
def test_any_text_is_printed_letter_by_letter(words: str) -> None:
    """Through Typst and back by pdfium: nothing in a text is a command, ligature or quotation."""
    assert set_text(f"para({{{text(f'x {words} x')}}})") == run_together(f"Hx {words} x")


@settings(max_examples=25)
@given(
    some.text(some.characters(codec="ascii", exclude_categories=["Cc"]), min_size=1, max_size=40)
)
def test_a_value_survives_markdown_and_typst(words: str) -> None:
    assert set_text(code(f"x {escaped(words)} x")) == run_together(f"Hx {words} x")


def test_control_characters_are_left_out() -> None:
    assert text('a\x00b\x1b\x7f"c\\') == '"ab\\"c\\\\"'
