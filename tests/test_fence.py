"""Templates of a workspace: the same pages as by the builder's own, and no way to run for ever or out of them."""

from datetime import date
from pathlib import Path

import pytest
from jinja2 import DictLoader, StrictUndefined, TemplateError

from builder.guide.fence import LIMITS, FencedEnvironment, environment_for, filled_in, values_within
from builder.languages.language import FIRST
from builder.languages.templates import SAYS, install_words
from builder.preparing import prepare
from builder.shipped import Layered, layered
from builder.writers.site.pages import Pages
from builder.writers.site.templates import FOLDER
from tests.broken_workspaces import run
from tests.conftest import COTTAGE, PROJECT

DAY = date(2026, 11, 26)


def fenced(source: str, **values: object) -> str:
    environment = environment_for(
        ours=False, loader=DictLoader({"page.html": source}), undefined=StrictUndefined, autoescape=True
    )  # fmt: skip
    return filled_in(environment, "page.html", **values)


@pytest.mark.parametrize("root", [COTTAGE, PROJECT], ids=["cottage", "demo"])
def test_pages_are_the_same_within_the_fence(root: Path) -> None:
    """Letter by letter, and far from the limits."""
    asked = () if root == COTTAGE else ("mill-lane/03", "harbour-view/01", "marlpit-yard/02")
    shipped = layered(PROJECT, FOLDER)
    plain, within = Pages(shipped), Pages(Layered(shipped.folders, ours=False))
    pages = 0
    for prepared in prepare(root, asked, DAY).plots.values():
        for own, other in zip(plain.of(prepared.guide), within.of(prepared.guide), strict=True):
            assert [each.text for each in own.parts] == [each.text for each in other.parts]
            pages += 1
    assert pages > 100


@pytest.mark.parametrize(
    "source",
    [
        "{{ 1 + 2 }} {{ [1, 2] | join('; ') }} {{ 'a' ~ 1 }} {{ 'A b' | replace('b', 'c') | lower }}",
        "{{ names | map('upper') | join(' ') }} {{ '%.1f' | format(2.345) }} {{ names.0 }} {{ names[1][0] }}",
        "{% macro x(a) %}<b>{{ a }}</b>{% endmacro %}{{ x('<') ~ '<' }}{{ (x(1), '<') | join('<') }}",
        "{% for a in names if a != 'b' %}{{ loop.index }}{{ a }}{% else %}none{% endfor %}{{ none }}{{ true }}",
        "{{ '<' | e }}{{ '<' | safe }}{{ names | length }}{{ names | sort | reverse | first }}{{ day }}",
    ],
)
def test_what_templates_do_is_the_same_within_the_fence(source: str) -> None:
    values = {"names": ("b", "a<", "c"), "day": DAY}
    plain = environment_for(ours=True, autoescape=True).from_string(source).render(**values)
    assert fenced(source, **values) == plain


def spoken(source: str, **values: object) -> str:
    environment = environment_for(
        ours=False, loader=DictLoader({"page.html": source}), undefined=StrictUndefined, autoescape=True, extensions=[SAYS]
    )  # fmt: skip
    install_words(environment, FIRST, values_within)
    return filled_in(environment, "page.html", **values)


def test_texts_of_catalogues_are_said_within_the_fence() -> None:
    assert spoken("{{ _('Find') }} {{ _('a %(b)s of 5%%', b='<') }}") == "Find a &lt; of 5%"
    assert spoken("{{ ngettext('%(num)d stop', '%(num)d stops', 2) }}") == "2 stops"
    assert spoken("{% trans a=name %}by {{ a }}{% endtrans %}", name="me") == "by me"


@pytest.mark.parametrize(
    "source",
    [
        "{{ _('%(b)999999999d', b=1) }}",
        "{{ _('%(b)*d', b=1) }}",
        "{{ _('%999999999s', b=1) }}",
        "{{ _('%(b)s' | replace('%', '%(b)s%'), b=long) }}",
        "{{ _('%(b)s %(b)s', b=long) }}",
        "{{ _('%(b)s', b=home) }}",
        "{{ _('%(c)s', b=1) }}",
        "{{ _(1) }}",
        "{{ ngettext('a', 'b', home) }}",
    ],
)
def test_a_text_is_no_way_out(source: str) -> None:
    with pytest.raises(TemplateError):
        spoken(source, home=object(), long="a" * LIMITS.text)


@pytest.mark.parametrize(
    "source",
    [
        "{% for a in range(1000) %}{% for b in range(1000) %}{% for c in range(1000) %}x{% endfor %}{% endfor %}{% endfor %}",
        "{% for a in range(10**9) %}x{% endfor %}",
        "{{ 'a' * 10**9 }}",
        "{{ [1] * 10**9 }}",
        "{{ 9 ** 9 ** 9 }}",
        "{{ '%999999999d' | format(1) }}",
        "{{ '%*d' | format(999999999, 1) }}",
        "{{ '%999999999d' % 1 }}",
        "{{ '{:999999999}'.format(1) }}",
        "{{ 'a'.center(999999999) }}",
        "{{ 'a'.ljust(999999999) }}",
        "{{ 'a'['zfill'](999999999) }}",
        "{{ (1).to_bytes(999999999, 'big') }}",
        "{{ 'a' | center(999999999) }}",
        "{{ 'a' | indent(999999999) }}",
        "{{ [1] | slice(999999999) | list }}",
        "{{ 1.5 | round(999999999, 'ceil') }}",
        "{{ lipsum(999999999) }}",
        "{% set n = namespace(a='aa') %}{% for i in range(90) %}{% set n.a = n.a ~ n.a %}{% endfor %}{{ n.a }}",
        "{% set n = namespace(a='aa') %}{% for i in range(90) %}{% set n.a = n.a + n.a %}{% endfor %}{{ n.a }}",
        "{% set n = namespace(a=[1]) %}{% for i in range(90) %}{% set n.a = n.a + n.a %}{% endfor %}{{ n.a | length }}",
        "{% set n = namespace(a=9) %}{% for i in range(90) %}{% set n.a = n.a * n.a %}{% endfor %}{{ n.a }}",
        "{% set n = namespace(a='a') %}{% for i in range(90) %}{% set n.a = n.a | replace('a', 'aa') %}{% endfor %}",
        "{% set n = namespace(a='a') %}{% for i in range(90) %}{% set n.a = [n.a, n.a] | join %}{% endfor %}",
        "{% macro a(n) %}{{ a(n + 1) }}{% endmacro %}{{ a(0) }}",
        "{% macro a(n) %}{% if n %}{{ a(n - 1) }}{{ a(n - 1) }}{% endif %}{% endmacro %}{{ a(60) }}",
        "{% include 'page.html' %}",
        "{% include 'page.html' %}{% include 'page.html' %}",
        "{% import 'page.html' as x %}",
        "{% extends 'page.html' %}",
        "{% for a in [1] recursive %}{{ loop([1]) }}{% endfor %}",
        "{{ " + "(" * 500 + "1" + ")" * 500 + " }}",
        "{% if 1 %}" * 500 + "{% endif %}" * 500,
        "x" * 300_000,
        "{{ 1 + 1 }}" * 15_000,
        "{{ home }}",
        "{{ home | string }}",
        "{{ home ~ '' }}",
        "{{ '%s' | format(home) }}",
        "{{ [home] | join }}x",
        "{{ home.__class__ }}",
        "{{ ''.__class__.__mro__ }}",
        "{{ home | attr('__class__') }}",
        "{{ home | pprint }}",
        "{{ [1, 2] | random }}",
        "{{ cycler.__init__.__globals__ }}",
        "{{ 1 / 0 }}",
        "{{ [1, 'a'] | sort }}",
        "{{ 'a' + 1 }}",
    ],
)  # fmt: skip
def test_what_a_template_may_not_do_is_one_plain_error(source: str) -> None:
    class Home:
        pass

    with pytest.raises(TemplateError) as caught:
        fenced(source, home=Home())
    assert " at 0x" not in str(caught.value)


def test_a_template_is_charged_for_itself_alone() -> None:
    environment = FencedEnvironment(
        loader=DictLoader({"page.html": "{% for a in range(900) %}{{ text }}{% endfor %}"})
    )
    for _ in range(5):
        assert len(filled_in(environment, "page.html", text="x" * 4_000)) == 3_600_000
    with pytest.raises(TemplateError, match="it repeats or prints more than any page needs"):
        filled_in(environment, "page.html", text="x" * (LIMITS.units // 900))


HOSTILE = "{% for a in range(1000) %}{% for b in range(1000) %}{% for c in range(1000) %}x{% endfor %}{% endfor %}{% endfor %}"


@pytest.mark.parametrize(
    ("name", "command"),
    [
        ("site_templates/pages/emergency.md", "build"),
        ("site_templates/pages/home-top.html", "build"),
        ("site_templates/stickers/page.html", "build"),
        ("site_templates/portfolio/page.html", "build"),
        ("site_templates/demonstration/page.html", "demonstration riverside/01 --out walk"),
    ],
)
def test_a_hostile_template_of_a_workspace_stops_that_alone(
    name: str, command: str, cottage: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(cottage)
    if "stickers" in name:
        assert run("stickers", "issue").exit_code == 0
    (cottage / name).parent.mkdir(parents=True)
    (cottage / name).write_text(f"\n{HOSTILE}", encoding="utf-8")
    result = run(*command.split(), "--date", DAY.isoformat())
    assert isinstance(result.exception, SystemExit), result.exception
    assert result.exit_code == 1
    assert name in result.output
    assert "it repeats or prints more than any page needs" in result.output
