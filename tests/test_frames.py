"""What stands around a page's content, rendered in two parts, is what one render of the whole gives.

The reference is Jinja's own render of the whole page.
"""

import pytest
from jinja2 import DictLoader, Environment, Template

from builder.writers.site.frames import Frame, Frames

BASE = """\
{% import "words.html" as said with context %}
<title>{% block htmltitle %}{{ title }}{% endblock %}</title>
{% set features = ["pruned"] %}
{% block header %}{% set features = [] %}<h2>{{ title }}</h2>{% endblock %}
{% if self.announce() %}<aside>{% block announce %}{{ news }}{% endblock %}</aside>{% endif %}
{% block site_nav %}{% for item in items %}<a>{{ said.loud(item) }}</a>{{ features }}{% endfor %}{% endblock %}
<article>{% block content %}{{ content }}{% endblock %}</article>
{% block footer %}{{ title }} ends{% endblock %}
"""
TEMPLATES = {
    "base.html": BASE,
    "words.html": "{% macro loud(word) %}{{ word | upper }} of {{ title }}{% endmacro %}",
    "main.html": """\
{% extends "base.html" %}
{% block htmltitle %}{{ super() }}, ours{% endblock %}
""",
    "own.html": """\
{% extends "base.html" %}
{% block site_nav %}<nav>{{ super() }}</nav>{% endblock %}
""",
    "bare.html": "<h1>{{ title }}</h1>{{ content }}<p>The end</p>",
}
CONTENT = "<p>Turn it to the right.</p>"


def template(name: str) -> Template:
    return Environment(loader=DictLoader(TEMPLATES)).get_template(name)


def values(items: tuple[str, ...], title: str = "Water", news: str = "") -> dict[str, object]:
    return {"title": title, "items": items, "content": CONTENT, "news": news}


def whole(frame: Frame) -> str:
    return "".join((*frame.before, CONTENT, frame.behind))


@pytest.mark.parametrize("name", ["main.html", "own.html", "bare.html"])
@pytest.mark.parametrize("news", ["", "New"])
def test_a_frame_is_what_stands_around_the_content(name: str, news: str) -> None:
    frames, page = Frames(), template(name)
    for items in ((), ("taps",), ("taps", "pipes")):
        for title in ("Water", "Heating"):
            given = values(items, title, news)
            frame = frames.frame(page, given, CONTENT, (title, news))
            assert whole(frame) == page.render(given)


def test_what_is_not_known_is_rendered_whole() -> None:
    given = values(("taps",))
    frame = Frames().frame(template("main.html"), given, CONTENT, None)
    assert whole(frame) == template("main.html").render(given)
    assert len(frame.before) == 1


def test_frames_share_all_but_the_navigation() -> None:
    frames, page = Frames(), template("main.html")
    one, other = (
        frames.frame(page, values(items), CONTENT, "Water") for items in (("taps",), ("pipes",))
    )
    assert one.before[0] is other.before[0]
    assert one.before[1] != other.before[1]
    assert one.before[2] is other.before[2]
    assert one.behind is other.behind


class Loud(str):
    """A text that says when it is printed."""

    printed = 0

    def __str__(self) -> str:
        Loud.printed += 1
        return str.__str__(self)


def test_the_rest_is_not_rendered_again() -> None:
    frames, page = Frames(), template("main.html")
    loud = {**values(()), "title": Loud("Water"), "content": Loud(CONTENT)}
    frames.frame(page, loud, CONTENT, "Water")
    assert Loud.printed > 0
    Loud.printed = 0
    assert whole(frames.frame(page, loud, CONTENT, "Water")) == page.render(values(()))
    assert Loud.printed == 0
