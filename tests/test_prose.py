"""Article bodies: this home's values, escaped; what is missing is a finding with its line."""

from datetime import date
from typing import Any

import markdown
import pytest
from bs4 import BeautifulSoup
from hypothesis import given
from hypothesis import strategies as st

from builder.guide.filters import lowered
from builder.guide.prose import Renderer, escaped
from builder.guide.view import View, view
from builder.languages.language import FIRST
from builder.model.article import Article, FrontMatter
from builder.model.equipment import Equipment

FRONT = FrontMatter.model_validate(
    {
        "title": "T",
        "summary": "S",
        "system": "water",
        "sources": {"a": {"fact": "F.", "basis": "common practice"}},
        "reviewed": date(2026, 9, 1),
    }
)
VALUES = {
    "piece": View("stopcock", {"name": "Stopcock", "make": None, "place": "under the *sink*"}),
    "numbers": (1, 2, 3),
    "has_article": {"water-off"}.__contains__,
}


def render(body: str) -> Any:
    return Renderer().render(Article("a", "content/articles/a.md", FRONT, body, 10), VALUES)


def test_values_are_filled_in_and_escaped() -> None:
    assert render("{{ piece.name }}: {{ piece.place }}").text == r"Stopcock: under the \*sink\*"


def test_a_value_that_ends_a_sentence_ends_it_once() -> None:
    values = VALUES | {"note": "Three houses share it."}
    article = Article(
        "a", "content/articles/a.md", FRONT, "{{ note }}. And so on... {{ note }}", 10
    )
    assert Renderer().render(article, values).text == (
        "Three houses share it. And so on... Three houses share it."
    )


def test_an_article_may_ask_and_loop() -> None:
    body = "{% if piece.make %}by {{ piece.make }}{% else %}no make{% endif %} {% for n in numbers %}{{ n }}{% endfor %}"
    assert render(body).text == "no make 123"
    assert render("{{ has_article('water-off') }} {{ piece.make is defined }}").text == "True False"
    assert render("{{ ['a', 'b', 'c'] | words }}").text == "a, b and c"
    asked = "{{ piece.make == 'Tarn' }} {{ piece.make != 'Tarn' }} {{ piece.make in ('Tarn', 'Oskerry') }}"
    assert render(asked).text == "False True False"


@pytest.mark.parametrize(
    ("body", "line", "wrong", "right"),
    [
        ("{{ piece.make > 'a' }}", 10, "'stopcock.make' has no value in this home.",
         "Add the value, or ask first: {% if … .make %}."),
        ("{{ {'a': 1}[piece.make] }}", 10, "'stopcock.make' has no value in this home.",
         "Add the value, or ask first: {% if … .make %}."),
        ("a\n\n{{ piece.make }}", 12, "'stopcock.make' has no value in this home.",
         "Add the value, or ask first: {% if … .make %}."),
        ("{{ piece.plce }}", 10, "'stopcock' has no 'plce'.", "Did you mean 'place'?"),
        ("{{ nothing }}", 10, "There is no 'nothing' here.", "Check the name."),
        ("{{ numbrs }}", 10, "There is no 'numbrs' here.", "Did you mean 'numbers'?"),
        ("\n{{ nothing.more }}", 11, "There is no 'nothing' here.", "Check the name."),
        ("{% for n in numbers %}\n{{ n.x }}\n{% endfor %}", 11, "There is no 'x' here.", "Check the name."),
        ("{{ 1 / 0 }}", 10, "The template cannot be filled in: division by zero.", "Correct the braces on this line."),
        ("{{ piece['name'].__class__ }}", 10, "There is no '__class__' here.", "Check the name."),
        ("{{ 'a' * 999999999 }}", 10, "The template does what articles may not: '*' is for numbers only.",
         "Correct the braces on this line."),
        ("{{ 10 ** 9 }}", 10, "The template does what articles may not: '**' is for numbers only.",
         "Correct the braces on this line."),
        ("{% for n in range(999999999) %}{% endfor %}", 10,
         "The template takes more than it may: range() counts to 1,000 at most.",
         "Say it with fewer loops and shorter texts."),
    ],
)  # fmt: skip
def test_mistakes_name_their_line(body: str, line: int, wrong: str, right: str) -> None:
    finding = render(body).finding
    assert finding is not None
    assert (finding.place.line, finding.wrong, finding.right) == (line, wrong, right)


def test_private_values_are_not_there_to_print() -> None:

    piece = Equipment(kind="stopcock", room="kitchen", place="here", serial="CANARY-4711")
    assert "serial" not in view("stopcock", piece)


@given(st.text(st.characters(codec="ascii", exclude_categories=["Cc"]), min_size=1, max_size=30))
def test_any_value_reads_letter_by_letter_after_markdown(value: str) -> None:
    """Read back by Python-Markdown and Beautiful Soup, with the extensions that guides use."""
    html = markdown.markdown(
        f"x {escaped(value)} x", extensions=["attr_list", "def_list", "tables"]
    )
    assert BeautifulSoup(html, "html.parser").get_text().split() == f"x {value} x".split()


def test_lists_of_names_with_and_in_them_stay_apart() -> None:
    assert FIRST.listed(["Hall", "Kitchen"]) == "Hall and Kitchen"
    assert FIRST.listed(["Hall", "Kitchen and dining room"]) == "Hall, and Kitchen and dining room"


def test_what_is_all_capitals_stays_so_in_small_letters() -> None:
    assert lowered("LPG Hob") == "LPG hob"
    assert lowered("A Gas boiler, FD30S") == "a gas boiler, FD30S"
