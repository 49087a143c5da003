"""The scripts that stand inside pages, worked out from the templates of the theme package alone.

A host's policy names them by their hashes. What a page holds besides runs nowhere.
"""

import re
from functools import cache
from importlib.resources import files

from jinja2 import DictLoader, Environment, StrictUndefined

_TEMPLATES = ("base", "content", "palette")
"""Partial templates of the theme that hold a script which our settings use."""

_SCRIPT = re.compile(r"<script>(.*?)</script>", re.DOTALL)
_DEEPEST = 6
"""Folders that a page lies deep in its guide at most; a script of the theme names the way back."""


@cache
def inline_scripts() -> frozenset[str]:
    """The text of every script that the frame of a page may hold."""
    folder = files("material") / "templates" / "partials" / "javascripts"
    sources = {each: (folder / f"{each}.html").read_text(encoding="utf-8") for each in _TEMPLATES}
    environment = Environment(
        loader=DictLoader(sources), undefined=StrictUndefined, autoescape=True
    )
    ways = [".", *("/".join([".."] * depth) for depth in range(1, _DEEPEST + 1))]
    return frozenset(
        script
        for name in sources
        for way in ways
        for script in _SCRIPT.findall(
            environment.get_template(name).render(base_url=way, config={"extra": {}}, features=())
        )
    )
