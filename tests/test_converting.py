"""A page in Markdown that is converted section by section, against the library on the whole of it."""

import pytest
from markdown import Markdown

from builder.writers.site.converting import MarkdownConverter, words_of

EXTENSIONS = ("toc", "tables", "attr_list", "footnotes", "md_in_html", "fenced_code")
PAGES = {
    "sections": "First.\n\n## Before you begin\n\n1. Turn it off.\n2. Wait.\n\n## Then\n\n- Look.",
    "alike headings": "## Then\n\nOne.\n\n## Then\n\nTwo.",
    "alike headings below": "## A\n\n### Then\n\nOne.\n\n## B\n\n### Then\n\nTwo.",
    "headings of alike names": "## A b\n\nOne.\n\n## A-b\n\nTwo.",
    "a list that goes on": "## A\n\n1. One.\n\n    ## Inside\n\n## B\n\n2. Two.",
    "a reference": "## A\n\nSee [here][place].\n\n## B\n\n[place]: https://example.org",
    "a footnote": "## A\n\nOne.[^1]\n\n## B\n\n[^1]: Said below.",
    "HTML that goes on": '<div markdown="1">\n\n## A\n\nOne.\n\n## B\n\n</div>',
    "code that goes on": "```\n\n## A\n\n## B\n```",
    "a list of headings": "[TOC]\n\n## A\n\n## B",
    "no heading": "One.\n\nTwo.",
    "nothing": "",
}


@pytest.mark.parametrize("name", PAGES)
def test_sections_come_out_as_in_the_whole_page(name: str) -> None:
    converter = MarkdownConverter(EXTENSIONS, {})
    for _ in range(2):  # The second time from what is kept.
        made = converter.converted(PAGES[name], "index.md")
        assert made.html == Markdown(extensions=list(EXTENSIONS)).convert(PAGES[name])
        assert made.words == words_of(made.html)


def test_a_section_leads_from_where_its_page_stands() -> None:
    converter = MarkdownConverter(EXTENSIONS, {})
    text = "One.\n\n## Then\n\n[See](b.md)."
    assert 'href="../b/"' in converter.converted(text, "a.md").html
    assert 'href="../b/"' in converter.converted(text, "x/a.md").html
    assert 'href="./"' in converter.converted(text, "b.md").html
