"""Values that an author, a spreadsheet or somebody who means harm may write anywhere."""

from typing import Any

from tests.attack.ground import CANARY

RUN = f"open('{CANARY}','w')"
TEXTS: tuple[str, ...] = (
    "", " ", "\t", "\x00", "\x07", "\x1b[31mred", "a\nb", "a\r\nb", "a\rb", "\u2028", "\u202eabc", "\ufeff", "\ud800",
    "\U0001f6b0", "厨房", "ﷺ" * 20, "e\u0301" * 40, "A" * 3_000, "A" * 100_000, "a " * 20_000,
    "<script>attack()</script>", "<ScRiPt>attack()</sCrIpT>", "<img src=x onerror=attack()>", "</title><script>attack()</script>",
    "\" onmouseover=\"attack()", "' onload='attack()", "<svg onload=attack()>", "&lt;script&gt;attack()&lt;/script&gt;",
    "<!--", "-->", "]]>", "<![CDATA[", "<iframe src=//attack.example>", "<meta http-equiv=refresh content=0;url=//attack.example>",
    "javascript:attack()", "JaVaScRiPt:attack()", "java\tscript:attack()", "data:text/html,<script>attack()</script>", "vbscript:attack()",
    "//attack.example/x", "https://attack.example/\"><script>attack()</script>", "[attack](javascript:attack())", "![attack](//attack.example/x.png)",
    "<javascript:attack()>", "[attack]: javascript:attack()", "attack{: onclick=attack() }", "`attack`", "# attack", "- attack", "1. attack",
    "| attack | b |\n| --- | --- |", "```\nattack", "    attack", "***", "---", "\\", "\\\\", "%s%n%x", "$(touch " + CANARY + ")", "`touch " + CANARY + "`",
    "; touch " + CANARY, "| touch " + CANARY, "{{ 7 * 7 }}", "{{ attack }}", "{% for x in y %}", "{# attack #}", "{{ home }}",
    "{{ ''.__class__.__mro__[1].__subclasses__() }}", "{{ cycler.__init__.__globals__ }}", "{left}", "{right}", "{left", "{attack}", "{term:attack}",
    "{call:attack}", "{call:customer-care}", "{0}", "{0.__class__}", "%(attack)s", "${attack}", "#{attack}", "=cmd|' /C calc'!A0", "+1+1", "@SUM(1)",
    "../../../../etc/passwd", "/etc/passwd", "..", ".", "/", "C:\\attack", "\\\\attack\\x", "file:///etc/passwd", "~", "null", "true", "NaN", ".inf",
    "-1", "0", "1e400", "9" * 5_000, "0x10", "0o17", "1_000", "١٢", "1,5", "2026-02-30", "2026-13-01", "0000-00-00", "9999-12-31", "10000-01-01",
    "2026-03-31T10:00:00", "31/03/2026", "left", "on the left", "normally", "attack", "customer-care", "stopcock", "outside", "__class__", "constructor",
    "CON", "a/b", "a\\b", "a:b", "a,b", "a;b", "a\"b", "a'b", "*", "?", "&attack", "*attack", "!!python/object/apply:os.system [touch]", "<<",
    "999", "01632 960100", "+44 1632 960100", "tel:999", "a@b", "a@attack.example", "https://guides.example", "http://guides.example:99999", "https://[::1",
)  # fmt: skip
OTHERS: tuple[Any, ...] = (
    None, True, False, 0, -1, 1, 2, 3.5, -0.0, 0.1, 1e-320, 1e308, 10**30, -(10**30), 10**400, 2**63, 5_000, 2400, float("inf"), float("-inf"), float("nan"),
    [], [[]], [None], ["attack"], [0, 0], [[0, 0], [1, 1]], [[0, 0], [0, 0], [0, 0]], [[0, 0], [4, 0], [0, 4], [4, 4]], [1] * 2_000,
    {}, {"attack": None}, {"attack": {}}, {"attack": "attack"}, {"": ""}, {"a b": 1}, {"__class__": 1}, {"<script>attack()</script>": {}},
    {"\n": 1}, {"name": "attack"}, {"a" * 300: {}}, {str(number): number for number in range(400)},
)  # fmt: skip
ALL: tuple[Any, ...] = (*TEXTS, *OTHERS)
KEYS = ("attack", "", " ", "a b", "A", "ä", "a/b", "../a", "a.b", "<b>", "a" * 300, "0", "-", "__init__", "\u202e", "null", "a\nb", "{{ a }}")  # fmt: skip
