"""The judgement of published HTML: what ships is let through, every attack is refused, and no browser's
parser finds more in a page than the judgement did."""

import html5lib
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from builder.proof.allowed import CONTENT, FRAME, PageKind
from builder.proof.judging import content_hash, judge_page

SHIPPED = "var kept = 1 << 2 > 3"
GUIDE = PageKind("article", frozenset([content_hash(SHIPPED)]))
STICKER = PageKind("main", styles=frozenset([content_hash("p{margin:0}")]))
HEAD = '<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>T</title>'


def page(content: str, head: str = "", behind: str = "") -> str:
    return f"{HEAD}{head}</head><body><article>\n{content}\n</article>{behind}</body></html>"


def refused(text: str, kind: PageKind = GUIDE) -> list[str]:
    return [each.wrong for each in judge_page(text.encode(), kind).refused]


@pytest.mark.parametrize(
    "content",
    [
        "",
        "<p>Turn it <strong>clockwise</strong> &amp; wait.<br>Then 3 > 2.</p>",
        '<h2 id="turn-it-off">Turn</h2><a href="../two/#turn-it-off" class="handover-dial">two</a>',
        '<a href="tel:01632960000">call</a> <a href="tel:+441632960000">call</a>',
        '<a href="mailto:care@fennimarsh.example">write</a>',
        '<img src="../../photos/stopcock.jpg" alt="The &quot;stopcock&quot; &lt;red&gt;">',
        '<table><thead><tr><th scope="col">a</th></tr></thead><tbody><tr><td>b</td></tr></tbody></table>',
        '<svg class="plan" viewBox="-1 -2 3 4" role="img"><title id="p">P</title><defs>'
        '<pattern id="hatch"><path d="M0 0l1 1" transform="rotate(20)"/></pattern></defs>'
        '<rect x="1" width="2" fill="url(#hatch)"/><text x="1">1</text><use href="#hatch"/></svg>',
        '<span data-task="a.b" data-spans="2026-03-31/1 30">x</span>',
        '<ol start="3"><li>three</li></ol>',
    ],
)
def test_what_guides_hold_is_let_through(content: str) -> None:
    assert refused(page(content)) == []
    assert refused(page(content).replace("article>", "main>"), STICKER) == []


def test_what_ships_inline_is_let_through_and_nothing_else() -> None:
    assert refused(page("", f"<script>{SHIPPED}</script>")) == []
    assert refused(page("", f"<script>{SHIPPED} </script>")) == [
        "The page holds a script that the builder does not ship."
    ]
    assert refused(page(f"<script>{SHIPPED}</script>")) == ["<script> may not stand here."]
    data = '<script id="__config" type="application/json">{"a": "../assets/x/y.js"}</script>'
    assert refused(page("", behind=data)) == []
    assert refused(page("", '<script src="../assets/0a/b.min.js"></script>')) == []
    styled = f"{HEAD}<style>p{{margin:0}}</style></head><body><main></main></body></html>"
    assert refused(styled, STICKER) == []
    assert refused(styled, GUIDE) == [
        "The page holds a style sheet that the builder does not ship."
    ]


ADDRESSES = (
    "javascript:alert(1)", "JaVaScRiPt:alert(1)", " javascript:alert(1)", "java&#10;script:alert(1)",
    "java&Tab;script:alert(1)", "&#106;avascript:alert(1)", "&#x6A;avascript&colon;alert(1)",
    "\x01javascript:alert(1)", "data:text/html,x", "data:image/svg+xml,x", "vbscript:x", "blob:x",
    "file:///etc/passwd", "//elsewhere.example/x", "\\\\elsewhere.example/x", "/\\elsewhere.example",
    "https:elsewhere.example", "https://elsewhere.example/", "http:/x", "HTTPS://elsewhere.example/",
    "ftp://elsewhere.example/", "tel:javascript", "mailto:x@elsewhere.example?body=y", "?go=1",
    "\tjavascript:alert(1)", "javascript&NewLine;:alert(1)", "../x.html?next=//elsewhere.example",
    "#:~:text=x", "sms:+441632960000", "intent:x", "ws://elsewhere.example", "/absolute/",
    "javascript\uff1aalert(1)", "\u00a0javascript:alert(1)", "\u2028javascript:alert(1)", "../a b/",
)  # fmt: skip


@pytest.mark.parametrize("address", ADDRESSES)
@pytest.mark.parametrize("element", ['<a href="{}">x</a>', '<img src="{}" alt="">'])
def test_addresses_that_lead_out(address: str, element: str) -> None:
    assert refused(page(element.format(address)))


ELEMENTS = (
    "<script>alert(1)</script>", "<SCRIPT>alert(1)</SCRIPT>", "<script\n>alert(1)</script\n>",
    "<script src='x.js'></script>", "<script/src=x></script>", "<script x>alert(1)</script foo>",
    '<iframe src="../x/"></iframe>', '<iframe srcdoc="x"></iframe>', '<object data="x"></object>',
    '<embed src="x">', '<form action="https://elsewhere.example/"></form>', "<form></form>",
    "<input>", '<button formaction="x">x</button>', "<textarea></textarea>", "<select></select>",
    '<meta http-equiv="refresh" content="0;url=https://elsewhere.example/">', "<base href='//x/'>",
    '<link rel="stylesheet" href="x.css">', '<link rel="prefetch" href="../x">', "<style>p{}</style>",
    '<img src="x.png" srcset="https://elsewhere.example/x 2x" alt="">', "<picture></picture>",
    '<video src="x"></video>', '<audio src="x"></audio>', '<source src="x">', '<track src="x">',
    '<p onclick="x()">x</p>', '<p ONCLICK="x()">x</p>', '<img src="x" onerror="x()" alt="">',
    '<details ontoggle="x()" open>x</details>', '<p style="position:fixed">x</p>',
    '<svg><script>alert(1)</script></svg>', '<svg onload="x()"></svg>', '<svg/onload=x()>',
    '<svg><animate attributeName="href" values="javascript:x"/></svg>', "<svg><set/></svg>",
    '<svg><a href="javascript:x"><text>x</text></a></svg>', "<svg><foreignObject></foreignObject></svg>",
    '<svg><use href="https://elsewhere.example/x#y"/></svg>', '<svg><use xlink:href="#x"/></svg>',
    '<svg><image href="x"/></svg>', '<svg><style>p{}</style></svg>', '<svg><p>x</p></svg>',
    '<svg><rect fill="url(https://elsewhere.example/x)"/></svg>', "<rect/>", "<title>x</title>",
    "<math><mtext></mtext></math>", "<template></template>", "<noscript>x</noscript>", "<slot></slot>",
    "<marquee>x</marquee>", "<blink>x</blink>", "<xmp>x</xmp>", "<plaintext>", "<dialog open>x</dialog>",
    "<frameset></frameset>", "<applet></applet>", "<bgsound src='x'>", "<isindex>", "<image src=x>",
    "<portal src='x'></portal>", "<x-y>x</x-y>", "<noembed></noembed>", "<noframes></noframes>",
    '<a href="x" ping="https://elsewhere.example/">x</a>', '<a href="x" target="_blank">x</a>',
    '<a href="x" download>x</a>', '<blockquote cite="https://elsewhere.example/">x</blockquote>',
    '<table background="x"><tr><td>x</td></tr></table>', '<p id="__config">x</p>', '<p class="md-dialog">x</p>',
    '<p data-md-component="search">x</p>', '<p name="x">x</p>', '<p contenteditable>x</p>',
    '<p is="x-y">x</p>', '<p nonce="x">x</p>', '<p slot="x">x</p>', '<p accesskey="x">x</p>',
    '<p autofocus tabindex="0">x</p>', '<p tabindex="7">x</p>', '<p itemid="x">x</p>', "<p popover>x</p>",
    '<p xmlns="x">x</p>', '<p xml:base="x">x</p>', "<!-- a note -->", "<!-->", "<!--><script>x</script>",
    "<![CDATA[x]]>", "<?php x ?>", "<!doctype html>", "</>", "<", "<p", "<p ", "a <b", "<1", "</ p>",
    '<p title="<script>">x</p>', "<p title=`x`>x</p>", '<p title="x>x</p>', "<p title='x\">x</p>",
    '<p title="a"class="b">x</p>', "<p/class=x>x</p>", "<p =x>x</p>", "<p\x0cclass=x>x</p>", "<p\x0bid=x>x</p>",
    "<p\rid=x>x</p>", "<p>x", "x</p>", "<b><i>x</b></i>", "<p/>", "<div/>", "</br>", "<br></br>",
    "</article>x<article>", '</article><script src="../assets/a/b.js"></script><article>',
    "</body>", "<body>", "<html>", "<article></article>", "<p>x</p></article></body></html>",
    "\x00", "\x08", "\x1b(B", "x\u202etxt", "\ue000plot.number\ue001", "\ufffe",
)  # fmt: skip


@pytest.mark.parametrize("attack", ELEMENTS)
def test_attacks_are_refused(attack: str) -> None:
    assert refused(page(attack))
    assert refused(page(f"<p>Before.</p>\n{attack}\n<p>After.</p>"))


@pytest.mark.parametrize(
    "head",
    [
        '<meta http-equiv="refresh" content="0;url=//elsewhere.example/">',
        '<meta http-equiv="content-security-policy" content="x">', '<base href="../">',
        '<script src="../photos/x.js"></script>', '<script src="//elsewhere.example/assets/x.js"></script>',
        '<script src="../assets/a.js">alert(1)</script>', '<script type="importmap">{}</script>',
        '<script type="speculationrules">{}</script>', '<link rel="preconnect" href="//x.example">',
        '<link rel="stylesheet" href="https://elsewhere.example/x.css">', '<meta charset="utf-7">',
        '<script type="application/json">{"a": "<!--<script>"}</script>', "<script>alert(1)",
        '<form action="../x/"></form>', '<input formaction="x">', '<body onload="x()">',
    ],
)  # fmt: skip
def test_the_frame_is_judged_too(head: str) -> None:
    assert refused(page("", head))


def test_what_is_refused_has_its_line_and_column() -> None:
    (found,) = judge_page(page("<p>\nTwo <iframe></iframe></p>").encode(), GUIDE).refused[:1]
    assert (found.line, found.column, found.code) == (4, 5, "proof.markup")
    assert judge_page(b"\n\xff", GUIDE).refused[0].wrong == "The page is not written in UTF-8."


def test_places_and_links_are_read_in_the_same_pass() -> None:
    judged = judge_page(
        page('<h2 id="a">A</h2>\n<a href="../b/#c">b</a> <a href="#a&#x2d;b">x</a>').encode(), GUIDE
    )
    assert judged.anchors == {"a"}
    assert [(each.tag, each.target, each.line) for each in judged.links] == [
        ("a", "../b/#c", 4),
        ("a", "#a-b", 4),
    ]


NAMES = st.sampled_from(
    ("p", "a", "img", "svg", "title", "path", "table", "td", "style", "script", "desc", "text", "g", "b",
     "li", "ul", "select", "math", "use", "br", "details", "template", "noscript", "h1", "pre")
)  # fmt: skip
GIVEN = st.sampled_from(
    ("", ' href="#x"', ' href="javascript:x"', ' class="a"', ' onclick="x"', " id=x", ' title="&lt;b>"',
     "/", ' src="x.png"', " hidden", ' style="x"', " d='M0 0'", ' href="../x/"')
)  # fmt: skip
TOKEN = st.one_of(
    st.builds("<{}{}>".format, NAMES, GIVEN),
    st.builds("</{}>".format, NAMES),
    st.builds("<{}{}></{}>".format, NAMES, GIVEN, NAMES),
    st.sampled_from(
        (
            "x",
            "&lt;",
            "<!--",
            "-->",
            "<![CDATA[",
            "]]>",
            "<",
            ">",
            '"',
            "'",
            "\n",
            "</article>",
            "<?",
        )
    ),
)


@settings(max_examples=1500, deadline=None)
@given(st.lists(TOKEN, max_size=9).map("".join))
@example('<svg><title><path d="M0 0"/></title></svg>')
@example(
    '<svg><desc></desc><text><tspan></tspan></text></svg><table><tr><td><a href="#x">x</a></td></tr></table>'
)
def test_a_browser_finds_nothing_else_in_what_is_let_through(content: str) -> None:
    text = page(content)
    if refused(text):
        return
    tree = html5lib.parse(text, treebuilder="lxml", namespaceHTMLElements=False)
    for element in tree.iter():
        if not isinstance(element.tag, str):
            assert "doctype" in str(element).lower(), "no comment"
            continue
        name = element.tag.rpartition("}")[2]
        inside = any(each.tag == "article" for each in element.iterancestors())
        assert name in (CONTENT if inside else FRAME), (content, name)
        assert not any(each.lower().startswith(("on", "style")) for each in element.attrib), content
        assert "javascript:" not in str(element.attrib), content
