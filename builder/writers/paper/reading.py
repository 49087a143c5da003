"""Reads the pages of a guide as the site engine does: the same Markdown, the same extensions."""

from pathlib import Path
from typing import Any

import markdown
from bs4 import BeautifulSoup

from builder.errors import HandoverError
from builder.sources.site_settings import site_settings

ALWAYS = ("toc", "tables", "fenced_code")
"""Extensions that the engine always uses (MkDocs 1.6, configuration, markdown_extensions)."""


class MarkdownReader:
    """Turns a page's Markdown into its elements, by the extensions of one ``mkdocs.yml``.

    FindingsError: what is wrong in that file.
    """

    def __init__(self, settings: Path, *, own_code: bool = False) -> None:
        names, configured = _extensions(settings, own_code=own_code)
        try:
            self._markdown = markdown.Markdown(extensions=names, extension_configs=configured)
        except (ImportError, AttributeError, TypeError) as error:
            raise HandoverError(f"'{settings}': an extension cannot be used: {error}") from error

    def html(self, text: str) -> str:
        """The HTML of one page, without its front matter."""
        self._markdown.reset()
        return self._markdown.convert(_body(text))


def elements(html: str) -> BeautifulSoup:
    """The elements of finished HTML."""
    return BeautifulSoup(html, "html.parser")


def _body(text: str) -> str:
    """The page below its front matter."""
    return text.split("\n---\n", 1)[1] if text.startswith("---\n") and "\n---\n" in text else text


def _extensions(settings: Path, *, own_code: bool) -> tuple[list[str], dict[str, dict[str, Any]]]:
    """The names of the extensions, each once, and the settings of those that have some."""
    names, configured = dict.fromkeys(ALWAYS), dict[str, dict[str, Any]]()
    for entry in site_settings(settings, own_code=own_code).get("markdown_extensions") or ():
        for name, values in entry.items() if isinstance(entry, dict) else ((entry, None),):
            names[name] = None
            configured[name] = dict(values or {})
    return list(names), configured
