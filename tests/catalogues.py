"""The catalogues of fixed words: `python -m tests.catalogues` takes the words of guides from code and
templates, and writes them into the catalogue of every language. Finished translations stay."""

import re
from collections.abc import Iterable, Iterator
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import IO

from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import read_po, write_po

ROOT = Path(__file__).parent.parent
LANGUAGES = ROOT / "content" / "languages"
JINJA = {"extensions": "jinja2.ext.i18n", "trim_blocks": "true", "newstyle_gettext": "true", "silent": "false"}  # fmt: skip
OPTIONS = {"jinja2": JINJA, "javascript": {"parse_template_string": "true"}}
METHODS = [
    *(
        (f"builder/{name}/**.py", "python")
        for name in ("demonstration", "guide", "home", "languages", "writers")
    ),
    ("site_templates/pages/**", "jinja2"),
    ("site_templates/theme/assets/*.js", "javascript"),
    ("site_templates/demonstration/*.html", "jinja2"),
    ("site_templates/demonstration/*.js", "javascript"),
    ("site_templates/demonstration/*.typ", "tests.catalogues:texts_of_paper"),
    ("site_templates/paper/*.typ", "tests.catalogues:texts_of_paper"),
    ("site_templates/stickers/*.html", "jinja2"),
    ("site_templates/theme/main.html", "jinja2"),
]
"""Where words of guides stand, and how they are read there."""
KEYWORDS = {
    "_": None, "gettext": None, "ngettext": (1, 2),
    "say": None, "say_number": (1, 2), "to_say": None,
}  # fmt: skip
"""What says a text, and which of its values are texts."""


Found = tuple[int, str, str, list[str]]


def texts_of_paper(
    file: IO[bytes], keywords: object, tags: object, options: object
) -> Iterator[Found]:
    """What a Typst template says, as Babel asks for it: line, function, text, comments."""
    text = file.read().decode("utf-8")
    for found in re.finditer(r'\bsay\("([^"\\]*)"', text):
        yield text.count("\n", 0, found.start()) + 1, "say", found[1], []


@cache
def fixed_words() -> Catalog:
    """All fixed words of guides."""
    found = Catalog()
    options = {pattern: OPTIONS[method] for pattern, method in METHODS if method in OPTIONS}
    for _, _, message, comments, context in extract_from_dir(
        ROOT, METHODS, options, keywords=KEYWORDS
    ):
        found.add(message, auto_comments=comments, context=context)
    return found


def catalogue(path: Path) -> Catalog:
    """A catalogue as it stands."""
    with path.open(encoding="utf-8") as file:
        return read_po(file, locale=path.parent.name)


def texts(words: Iterable[str] | Catalog) -> set[object]:
    """What a catalogue has words for."""
    return {message.id for message in words if message.id}  # type: ignore[union-attr]


def refreshed(path: Path) -> bytes:
    """A catalogue with the words of today: nothing more, and nothing less."""
    known = catalogue(path)
    known.update(fixed_words(), no_fuzzy_matching=True, update_creation_date=False)
    written = BytesIO()
    write_po(written, known, width=99, sort_output=True, ignore_obsolete=True, omit_header=False)
    return written.getvalue()


if __name__ == "__main__":
    for each in sorted(LANGUAGES.glob("*/messages.po")):
        each.write_bytes(refreshed(each))
