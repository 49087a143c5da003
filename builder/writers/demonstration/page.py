"""The run sheet on a tablet: one HTML file, whole in itself, that works without a network.

It asks nobody for anything: its own policy lets run only the one script and the one style sheet
that it holds, by their hashes. What is filled in stays on the device until it is exported.
"""

import base64
import hashlib
import json
import re
from collections.abc import Container
from pathlib import Path

from jinja2 import TemplateError
from markupsafe import Markup

from builder.demonstration.sheet import RunSheet
from builder.errors import HandoverError
from builder.guide.fence import filled_in
from builder.guide.template_files import template_files
from builder.languages.foreign import marked
from builder.languages.language import FIRST, Language
from builder.model.demonstration import RECORD_FORM, RECORD_VERSION
from builder.shipped import Layered
from builder.writers.demonstration.words import plain_sheet

FOLDER = "site_templates/demonstration"
_SAID = re.compile(r'\bsay\("([^"\\]*)"')


def page_of(
    sheet: RunSheet, templates: Layered, language: Language = FIRST, unsaid: Container[str] = ()
) -> str:
    """The HTML of a run sheet, in the language that it was made in; ``unsaid``: texts that it shows in the
    first, which are marked so."""
    try:
        script, style = (_text_of_file(templates.path(name)) for name in ("page.js", "page.css"))
        html = filled_in(
            template_files(templates, language),
            "page.html",
            sheet=plain_sheet(sheet, language),
            direction=language.direction,
            words=json.dumps({ours: language.text(ours) for ours in _said_by(script) if language.knows(ours)}),
            form=RECORD_FORM,
            version=RECORD_VERSION,
            script=Markup(script),  # noqa: S704 - our own file, named by its hash
            style=Markup(style),  # noqa: S704 - our own file, named by its hash
            policy=_policy(script, style),
        )  # fmt: skip
        return html if language is FIRST else marked(html, language, unsaid.__contains__)
    except (TemplateError, OSError) as error:
        raise HandoverError(f"'{templates.path('page.html')}' cannot be used: {error}") from error


def _said_by(script: str) -> list[str]:
    """The texts that the script says."""
    return _SAID.findall(script)


def _text_of_file(path: Path) -> str:
    return path.read_text(encoding="utf-8").replace("\r\n", "\n")


def _policy(script: str, style: str) -> str:
    """Nothing is loaded and nothing is sent; what the page holds may run."""
    return (
        f"default-src 'none'; script-src '{_hash(script)}'; style-src '{_hash(style)}'; "
        "base-uri 'none'; form-action 'none'"
    )


def _hash(text: str) -> str:
    digest = hashlib.sha256(text.encode("utf-8")).digest()
    return f"sha256-{base64.b64encode(digest).decode('ascii')}"
