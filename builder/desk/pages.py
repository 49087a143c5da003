"""Pages of the desk, through templates that ship: a workspace lays none of its own over them."""

import re
from collections.abc import Mapping
from datetime import datetime
from functools import cache
from importlib.resources import files
from typing import Any

from jinja2 import Environment, FunctionLoader, StrictUndefined

from builder.desk.accounts import spoken
from builder.desk.forms.fields import called
from builder.errors import counted
from builder.guide.terms import spoken_day

_PACKAGE = "builder.desk"
_FIELD = re.compile(r"[a-z0-9_.-]+")
_COMMAND = re.compile(r" Run: handover .*", re.DOTALL)
STATIC: Mapping[str, str] = {
    "desk.css": "text/css; charset=utf-8",
    "desk.js": "text/javascript; charset=utf-8",
    "on-site.js": "text/javascript; charset=utf-8",
}
"""The files that pages load: one style sheet, one script of our own, and one more for a telephone on site."""


def rendered(template: str, values: Mapping[str, Any]) -> str:
    """A page as HTML. A value that a template asks for and nobody gave is an error."""
    return _environment().get_template(template).render(values)


def compile_all() -> None:
    """Have every template at hand, so that the first page made from one waits for nothing."""
    for each in (files(_PACKAGE) / "templates").iterdir():
        if each.name.endswith(".html"):
            _environment().get_template(each.name)


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=FunctionLoader(_source), undefined=StrictUndefined, autoescape=True,
        trim_blocks=True, lstrip_blocks=True, auto_reload=False,
    )  # fmt: skip
    environment.filters["day"] = spoken_day
    environment.filters["role"] = spoken
    environment.filters["counted"] = counted
    environment.filters["moment"] = moment
    environment.filters["at_desk"] = at_desk
    environment.filters["called"] = field_called
    environment.filters["file_in_words"] = file_in_words
    environment.filters["field_first"] = with_field_called
    return environment


def _source(name: str) -> str:
    return (files(_PACKAGE) / "templates" / name).read_text(encoding="utf-8")


def static(name: str) -> bytes:
    """One of the files that pages load."""
    return (files(_PACKAGE) / "static" / name).read_bytes()


def at_desk(says: str) -> str:
    """A sentence without the command that a terminal would need: here there is a page for it."""
    return _COMMAND.sub("", says)


def field_called(field: str) -> str:
    """A field in words, by its dotted path: "Serials, boiler"."""
    return " → ".join(called(each) for each in field.split("."))


def with_field_called(says: str) -> str:
    """A sentence about a field that begins with its path, with the field in words."""
    field, colon, rest = says.partition(": ")
    return f"{field_called(field)}: {rest}" if colon and _FIELD.fullmatch(field) else says


_FILES: tuple[tuple[str, str], ...] = (
    (r"content/articles/(?:.*/)?([^/]+)\.md", "the article “{}”"),
    (r"developments/[^/]+/plots/([^/]+)\.yaml", "what is written of plot {} alone"),
    (r"developments/([^/]+)/development\.yaml", "the development {}"),
    (r"housetypes/standard\.yaml", "the builder's standard"),
    (r"housetypes/options/([^/]+)\.yaml", "the option {}"),
    (r"housetypes/([^/]+)\.yaml", "the house type {}"),
)
"""The files that guides are made from, and what each holds in words."""


def file_in_words(name: str) -> str:
    """What a file holds, for who never sees it; what is no such file stays as it is said."""
    for form, words in _FILES:
        if found := re.fullmatch(form, name):
            return words.format(*(each.replace("-", " ") for each in found.groups()))
    return name


def moment(written: str) -> str:
    """A day and an hour (ISO 8601) in words."""
    try:
        hour = datetime.fromisoformat(written)
    except ValueError:
        return written
    return f"{spoken_day(hour.date())}, {hour:%H:%M}"
