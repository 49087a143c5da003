"""What hostile articles try: to run for ever, to fill memory, to reach code, to print what is no text,
and to put into a page what Markdown alone does not. Each is one finding with its line, at once."""

import time
import tracemalloc
from typing import Any

import markdown
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builder.errors import Finding
from builder.guide.prose import Renderer
from builder.guide.sandbox import LONGEST_BODY
from builder.guide.view import View, view
from builder.model.article import Article
from builder.model.equipment import Equipment
from builder.proof.allowed import PageKind
from builder.proof.judging import judge
from tests.test_prose import FRONT

LONG = "{% set ns = namespace(x='aaaaaaaaaaaaaaaaaaaa', n=7, l=[1, 2, 3]) %}"
VALUES = {
    "home": view("home", {"name": "A home", "rooms": ("Hall", "Kitchen"), "nothing": None}),
    "piece": view("stopcock", Equipment(kind="stopcock", room="kitchen", place="[here](//x)")),
    "numbers": (1, 2, 3),
    "has_article": {"water-off"}.__contains__,
    "pieces": lambda *names: tuple(View(each, {"name": each}) for each in names),
}


def found(body: str) -> Finding:
    """The finding of a body, which must come soon and from little memory."""
    renderer, article = Renderer(), Article("a", "content/articles/a.md", FRONT, body, 10)
    tracemalloc.start()
    before = time.process_time()
    try:
        unreadable = list(renderer.unreadable([article]))
        prose = renderer.render(article, VALUES)
    finally:
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
    assert time.process_time() - before < 10, "with each piece of memory traced"
    assert peak < 200_000_000
    finding = unreadable[0] if unreadable else prose.finding
    assert prose.text is None, prose.text[:200]
    assert finding is not None
    assert finding.place.file == "content/articles/a.md"
    return finding


@pytest.mark.parametrize(
    "body",
    [
        "{{ '{:999999999}'.format(1) }}", "{{ '%999999999d' % 1 }}", "{{ '%999999999d' | format(1) }}",
        "{{ 'a' | center(999999999) }}", "{{ 'a' | indent(999999999) }}", "{{ 'a'.ljust(999999999) }}",
        "{{ 'a'.zfill(999999999) }}", "{{ 'a\t'.expandtabs(999999999) }}", "{{ 'a' * 999999999 }}",
        "{{ [1] * 999999999 }}", "{{ 9 ** 9 ** 9 ** 9 }}", "{{ 1 | round(999999999, 'ceil') }}",
        "{{ 999999999999 * 999999999999 }}", "{{ range(10) | list | tojson }}", "{{ lipsum(n=99999) }}",
        "{% for a in range(999999999) %}{% endfor %}", "{% for a in range(10 ** 9) %}{% endfor %}",
        "{% for a in range(999) %}{% for b in range(999) %}{% for c in range(999) %}x{% endfor %}{% endfor %}{% endfor %}",
        "{% for a in range(999) %}{% for b in range(999) %}{% for c in range(999) if false %}{% endfor %}{% endfor %}{% endfor %}",
        "{% for a in range(999) %}{% for b in range(999) %}{% for c in range(999) %}{% endfor %}{% endfor %}{% endfor %}",
        LONG + "{% for a in range(99) %}{% set ns.n = ns.n * ns.n %}{% endfor %}",
        LONG + "{% for a in range(99) %}{% set ns.x = ns.x ~ ns.x %}{% endfor %}{{ ns.x }}",
        LONG + "{% for a in range(99) %}{% set ns.x = ns.x + ns.x %}{% endfor %}{{ ns.x }}",
        LONG + "{% for a in range(99) %}{% set ns.l = ns.l + ns.l %}{% endfor %}{{ ns.l | length }}",
        LONG + "{% for a in range(99) %}{% set ns.x = [ns.x, ns.x] | join %}{% endfor %}{{ ns.x }}",
        LONG + "{% for a in range(99) %}{% set ns.x = ns.x | replace('a', 'aaaaaaaaaa') %}{% endfor %}{{ ns.x }}",
        LONG + "{% for a in range(99) %}{% set ns.x = ns.x | replace('', ns.x) %}{% endfor %}{{ ns.x }}",
        LONG + "{% for a in range(99) %}{% set ns.l = [ns.l, ns.l] %}{% endfor %}{{ ns.l }}",
        LONG + "{% for a in range(999) %}{% for b in range(999) %}{{ ns.x }}{% endfor %}{% endfor %}",
        "{% set x %}{% for a in range(999) %}{% for b in range(999) %}" + "y" * 999 + "{% endfor %}{% endfor %}{% endset %}",
        "{% macro m() %}{{ m() }}{% endmacro %}{{ m() }}",
        "{% macro m(n) %}{% if n %}{{ m(n - 1) }}{{ m(n - 1) }}{% endif %}{% endmacro %}{{ m(90) }}",
        "{% macro m(n) %}{% if n %}{% set a = m(n - 1) ~ m(n - 1) %}{% endif %}{% endmacro %}{% set a = m(40) %}",
        "{% for a in [[[]]] recursive %}{{ loop(a) }}{% endfor %}",
        "{% call(x) m() %}{% endcall %}", "{% macro m() %}{{ caller() }}{% endmacro %}{% call m() %}{% call m() %}{{ m() }}{% endcall %}{% endcall %}",
        "{{ " + "(" * 5000 + "1" + ")" * 5000 + " }}", "{{ " + "[" * 500 + "]" * 500 + " }}",
        "{{ " + "-" * 5000 + "1 }}", "{{ " + "not " * 5000 + "1 }}", "{{ 1" + " + 1" * 5000 + " }}",
        "{{ numbers" + "[0]" * 500 + " }}", "{{ numbers" + " | list" * 500 + " }}", "{{ home" + ".x" * 500 + " }}",
        "{% if 1 %}" * 500 + "{% endif %}" * 500, "{% for a in numbers %}" * 40 + "{% endfor %}" * 40,
        "{{ " + "9" * 5000 + " }}", "{{ 1e999 * 1e999 }}", "{{ x" * 30_000, "{{ 1 }}" * 30_000, "{% raw %}" * 999,
        "{{ '" + "a" * 30_000 + "' ~ 'b' }}", "{{ (range(999) | list | join('" + "a" * 999 + "')) }}",
        "{% for a in range(999) %}{{ range(999) | list | sort | unique | list | length }}{% endfor %}",
        "{% for a in range(999) %}{{ range(999) | map('string') | join | length }}{% endfor %}",
        "{% for a in range(999) %}{{ pieces('a', 'b') | groupby('name') | length }}" + "{% for b in numbers %}x{% endfor %}" * 20 + "{% endfor %}" * 1,
        "{{ 'a' | wordwrap(1) }}", "{{ numbers | batch(999999999) | list }}", "{{ numbers | slice(999999999) | list }}",
        "{{ range(999) | sum(start='a') }}", "{{ range(1, 999999999999, 1) | length }}",
    ],
)  # fmt: skip
def test_exhaustion(body: str) -> None:
    assert found(body).code in ("article.too-much", "article.template", "article.missing-value",
                                "article.unprintable")  # fmt: skip


@pytest.mark.parametrize(
    ("body", "code", "line", "wrong"),
    [
        ("a\n\n{% for a in range(999) %}{% for b in range(999) %}{% for c in range(999) %}{% set x = a %}{% endfor %}{% endfor %}{% endfor %}",
         "article.too-much", 12,
         "The template takes more than it may: it repeats or prints more than any page needs."),
        ("\n" + LONG + "{% for a in range(99) %}\n{% set ns.n = ns.n * ns.n %}{% endfor %}", "article.too-much", 12,
         "The template takes more than it may: its numbers are larger than 1,000,000,000,000."),
        ("\n" + LONG + "{% for a in range(99) %}\n{% set ns.x = ns.x ~ ns.x %}{% endfor %}", "article.too-much", 12,
         "The template takes more than it may: 20,480 letters in one text are more than 20,000."),
        ("\n{{ " + "(" * 5000 + " }}", "article.template", 10, "The template cannot be read: It is nested too deeply."),
        ("\n\n{% include 'x' %}", "article.template", 12, "The template cannot be read: Articles cannot use 'include'."),
        ("\n{{ 'a' | center(9) }}", "article.template", 11, "The template cannot be read: No filter named 'center'."),
        ("\n{{ home }}", "article.unprintable", 11, "'home' is a whole record, and cannot be printed."),
        ("\n{{ home | string }}", "article.unprintable", 11, "'home' is a whole record, and cannot be printed."),
        ("\n{{ numbers }}", "article.unprintable", 11, "A whole list cannot be printed."),
        ("\n{{ has_article }}", "article.unprintable", 11, "What is printed here is no text."),
        ("ok\n\n<{# #}script>alert(1)</script>", "article.html", 12, "'<script>' is HTML, and articles are Markdown."),
        ("{% for n in numbers %}\na\n{% endfor %}\n\n<{{ 'b' }}>", "article.html", 14, "'<b>' is HTML, and articles are Markdown."),
        ("\n\n[x](https://elsewhere.example/)", "article.link", 12, "'https://elsewhere.example/' leads out of the guide."),
        ("\n\n[x](../water/)", "article.link", 12, "'../water/' leads out of the guide."),
        ("\n\n[x](water.md)", "article.link", 12, "'water.md' leads out of the guide."),
        ("\n\n[x](#nowhere)", "article.link", 12, "'#nowhere' leads out of the guide."),
        ("\n\n[x](mailto:a@b)", "article.link", 12, "'mailto:a@b' leads out of the guide."),
        ("\n\n[x]( page:emergency)", "article.link", 12,
         "More than an address stands in the brackets of 'page:emergency'."),
        ("\n\n[x](page:emergency\n'x')", "article.link", 12,
         "More than an address stands in the brackets of 'page:emergency'."),
        ("\n\n![x](page:emergency)", "article.html", 12, "'![x]' is a picture, and articles are words."),
        ("\n[x][a]\n\n[a]: javascript:alert(1)", "article.link", 13, "'[a]:' defines a link away from its words."),
        ("\nx\n{: onclick=alert(1) }", "article.html", 12,
         "'{: onclick=alert(1) }' gives an element attributes, and articles have none."),
        ("\n\n" + "> " * 500 + "x", "article.too-much", 12, "Its Markdown is nested deeper than any page needs."),
    ],
)  # fmt: skip
def test_each_sort_says_what_is_wrong_and_where(
    body: str, code: str, line: int, wrong: str
) -> None:
    finding = found(body)
    assert (finding.code, finding.place.line, finding.wrong) == (code, line, wrong)


@pytest.mark.parametrize(
    "body",
    [
        "{{ home | string }}", "{{ home }}", "{{ home ~ '' }}", "{{ [home] | join }}", "{{ [home] | words }}",
        "{{ home | lower }}", "{{ home | trim }}", "{{ home | replace('a', 'b') }}", "{{ 'a' | replace('a', home) }}",
        "{{ home.rooms }}", "{{ pieces }}", "{{ pieces('a') }}", "{{ range }}", "{{ range(3) }}", "{{ namespace() }}",
        "{% for a in numbers %}{{ loop }}{% endfor %}", "{% macro m() %}{% endmacro %}{{ m }}", "{{ self }}",
        "{{ numbers | map('string') }}", "{{ home | items }}", "{{ {'a': home} }}", "{{ none }}", "{{ home.nothing }}",
        "{{ numbers | first | string ~ home }}", "{{ home.rooms | map('string') | list }}", "{{ home | list | string }}",
        "{{ [home, home] | map('string') | join }}", "{{ home | e }}", "{{ home | escape }}", "{{ home | pprint }}",
        "{{ home | urlize }}", "{{ home | tojson }}", "{{ home | xmlattr }}", "{{ piece.name | safe }}",
        "{% for k, v in home | items %}{{ v }}{% endfor %}", "{{ pieces('a') | groupby('name') | first }}",
        "{{ cycler }}", "{{ joiner() }}", "{{ dict() }}", "{{ caller }}", "{{ varargs }}", "{{ (1, 2) }}",
        "{% set x %}{{ home }}{% endset %}{{ x }}", "{% filter upper %}{{ home }}{% endfilter %}",
    ],
)  # fmt: skip
def test_nothing_but_text_is_printed(body: str) -> None:
    assert " at 0x" not in found(body).wrong


@pytest.mark.parametrize(
    "body",
    [
        "{{ ''.__class__.__mro__ }}", "{{ home['__class__'] }}", "{{ home | attr('__class__') }}",
        "{{ pieces.__globals__ }}", "{{ range.__init__ }}", "{{ self._TemplateReference__context }}",
        "{{ namespace.__init__.__globals__ }}", "{{ has_article.__self__ }}", "{{ ''.format }}", "{{ ''['format'] }}",
        "{{ ''.join(['a']) }}", "{{ [].append(1) }}", "{{ numbers.count(1) }}", "{{ {}.update }}", "{{ home._entries }}",
        "{{ home.keys() }}", "{{ home.get('x') }}", "{{ numbers | map(attribute='__class__') | list }}",
        "{{ numbers | map('attr', '__class__') | list }}", "{{ pieces('a') | map(attribute='_entries') | list }}",
        "{{ pieces('a') | groupby('__class__') }}", "{% import 'os' as os %}", "{% from 'os' import path %}",
        "{% extends 'x' %}", "{% block x %}{% endblock %}", "{% autoescape false %}{{ '<b>' }}{% endautoescape %}",
        "{% macro m() %}{% endmacro %}{{ m.__init__ }}", "{% macro m() %}{% endmacro %}{{ m._func }}",
        "{% for a in numbers %}{{ loop._iterator }}{% endfor %}", "{{ namespace(a=1).__dict__ }}", "{% do x %}",
        "{{ home['name'].__class__ }}", "{{ (1).__class__ }}", "{{ 1.5.hex() }}", "{{ 'a'.encode() }}", "{{ g.x }}",
        "{{ undefined.__class__ }}", "{{ ''|map('format') }}", "{% set numbers.x = 1 %}", "{{ config }}", "{{ request }}",
        "{% set ns = namespace() %}{{ ns._Namespace__attrs }}", "{{ cycler.__init__.__globals__.os }}",
        "{{ lipsum.__globals__['os'].popen('id') }}", "{{ '%c' | format(97) }}", "{{ '%s' | format(home) }}",
        "{{ '{0.__class__}' | format(1) }}", "{{ 'a' % 1 }}", "{{ '%s' % home }}", "{% debug %}", "{% trans %}{% endtrans %}",
    ],
)  # fmt: skip
def test_nothing_leads_to_code(body: str) -> None:
    found(body)


TRICKS = (
    "<{# #}script>alert(1)</script>", "<{{'script'}}>alert(1)</script>", "<{%if true%}script{%endif%}>x",
    "<script\n>alert(1)</script>", "<{# #}meta http-equiv='refresh' content='0;url=//x'>", "<{##}iframe src=x>",
    "<{##}form action=x>", "<{##}img srcset=x>", "<{##}!-- x -->", "<{##}/p>", "<{##}?php x ?>", "<{##}![CDATA[x]]>",
    "\\<{##}b>", "<javascript:alert(1)>", "<https://elsewhere.example>", "<x@elsewhere.example>", "a <{##}b", "<{##}svg/onload=x>",
    "[x](javascript:alert(1))", "[x](JAVASCRIPT:alert(1))", "[x]( javascript:alert(1))", "[x](<javascript:alert(1)>)",
    "[x](\njavascript:alert(1))", "[x](&#106;avascript:alert(1))", "[x](java&Tab;script:alert(1))", "[x](data:text/html,x)",
    "[x](//elsewhere.example)", "[x](/absolute/)", "[x](\\\\elsewhere.example)", "[x](?x=1)", "[x](vbscript:x)", "[x](file:///x)",
    "![x](https://elsewhere.example/x.png)", "![x](data:image/svg+xml,x)", "![x](//elsewhere.example/x.png)",
    "[![x](//elsewhere.example/x.png)](page:emergency)", "[x](page:emergency \"a\" onclick=x)[y](javascript:x)",
    "[x]\n\n[x]: javascript:alert(1)", "[x][]\n\n> [x]: javascript:alert(1)", "- a\n\n    [x]: javascript:alert(1)\n\n[x]",
    "[x]\n\n[x]:\n    javascript:alert(1)", "{# #}[x{# #}]{# #}: javascript:x", "[x]{# #}(javascript:x)", "[x](java{# #}script:x)",
    "x\n{: onclick=alert(1) }", "# x {: onclick=alert(1) }", "# x { onclick=alert(1) }", "*x*{: style='position:fixed' }",
    "x {: .md-dialog }", "x\n{{ '{' }}{: #__config }", "{: }", "# x {#__config}", "# x { .md-search }", "x\n{:onclick=x}",
    "[x](page:emergency){: href=javascript:x }", "[x](page:emergency){:target=_blank}", "a | b\n--|--\n1 | 2 {: onclick=x }",
)  # fmt: skip


@pytest.mark.parametrize("body", TRICKS)
def test_a_page_cannot_be_given_more_than_markdown(body: str) -> None:
    found(f"Before.\n\n{body}\n\nAfter.")


LONG_MARKDOWN = (
    "[a", "![a ", "[a](page:home) ", "**a ", "*a_ ", "`a ", "> a\n", "a|b\n-|-\n", "# a\n", "# a\n\n", "a\n---\n", "\\*",
    "&amp", "a\n: b\n", "a\n:   b\n\n", "a ", "a  \n", "1. a\n", "- a\n", "- a\n    - b\n", "*x", "_x_", "***a", "{a", "](page:home)",
    "~~~\na\n", "\n", "\ta\n", "    a\n", "[[a]]", "(", "!", "_a*", "``a`", "a:\n", "|", "|a|b|\n", "- - ", "1. 1. ", "    - a\n",
)  # fmt: skip


@pytest.mark.parametrize("piece", LONG_MARKDOWN)
def test_markdown_that_is_let_through_is_read_in_good_time(piece: str) -> None:
    prose = render(piece * (LONGEST_BODY // len(piece)))
    before = time.process_time()
    if prose.text is not None:
        markdown.markdown(prose.text, extensions=EXTENSIONS)
    assert time.process_time() - before < 8


EXTENSIONS = ["attr_list", "def_list", "md_in_html", "tables", "toc", "fenced_code"]
PIECES = st.sampled_from(
    ("<", ">", "script", "{#x#}", "{{ piece.place }}", "{{ '<b>' }}", "[x]", "(", ")", "javascript:", "page:home", ":", "{:",
     "{ ", "}", "onclick=x", "#", "\n", "\n\n", "    ", "*", "_", "`", "```", "!", "&#58;", "&lt;", "\\", "|", "-", "\"", "'", "~",
     "//x", "a", "1. ", "{% if true %}", "{% endif %}", "\t", "style=x", "![", "](", "<!--", "-->", "%", "+")
)  # fmt: skip


@settings(max_examples=500, deadline=None)
@given(st.lists(PIECES, max_size=14).map("".join))
def test_what_is_let_through_comes_to_html_that_the_proof_lets_through(body: str) -> None:
    """Python-Markdown makes it, with the extensions of guides; the proof judges it."""
    prose = render(body)
    if prose.text is None:
        return
    html = markdown.markdown(prose.text.replace("page:home", "../"), extensions=EXTENSIONS)
    judged = judge(html, PageKind("article"), ("html", "body", "article"))
    assert not judged.refused, (body, prose.text, html)
    assert judged.open == ("html", "body", "article"), html


def render(body: str) -> Any:
    return Renderer().render(Article("a", "content/articles/a.md", FRONT, body, 10), VALUES)


def test_what_articles_do_is_still_done() -> None:
    body = (
        "{% set own = namespace(n=0) -%}{% for n in numbers if n > 1 %}{% set own.n = own.n + n %}"
        "{{ loop.index }}/{{ loop.length }} {% endfor %}{{ own.n }} {{ home.rooms | words }} "
        "{{ '%.1f' | format(1.25) }} {{ home.name ~ '!' }} {{ home.rooms[0][1:] | upper }} "
        "{% for name, same in pieces('b', 'a') | groupby('name') %}{{ name }}{{ same | length }}{% endfor %} "
        "{% macro m(a) %}*{{ a }}*{% endmacro %}{{ m('b') ~ ' [c]' }} {{ 7 // 2 * 2 }}{{ 10 % 4 }}"
    )
    assert render(body).text == ("1/2 2/2 5 Hall and Kitchen 1.2 A home! ALL a1b1 *b* \\[c\\] 62")
