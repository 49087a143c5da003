"""The catalogues that ship: `python -m tests.catalogues` takes the words of guides from code and
templates, and those of what ships for homes from its data, and writes them into the catalogues of every
language. Finished translations stay."""

import re
from collections.abc import Iterable, Iterator
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import IO

from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import read_po, write_po

from builder.errors import Findings
from builder.guide.walk.script import script_of
from builder.home.spoken import OF_MIST
from builder.home.spoken import spoken as in_words
from builder.languages.catalogue import with_texts
from builder.questions.homes import read_homes
from builder.questions.languages import is_words, texts_of_home
from builder.sources.entry import Entry
from builder.sources.nations import every_nation, nations
from builder.sources.workspace import read_workspace

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


_NOT_SHOWN = ("basis", "words")
"""What stands in data and is no text to say: citations of laws, and words that only proof looks for."""


@cache
def library_words() -> frozenset[str]:
    """All texts of what ships for homes: kinds, systems and rooms, what nations add, and what is said at
    a demonstration. The demo's builder, and whom it is called by, are no part of it."""
    findings = Findings()
    workspace = read_workspace(ROOT, findings)
    standard = workspace.standard
    assert standard is not None
    own = [each for name, each in standard.children.items() if name not in ("builder", "contacts")]
    below = [
        each
        for layer in (every_nation(), *nations().values())
        for name, each in layer.children.items()
        if name != "nation"
    ]
    written = {text for each in (*own, *below) for text in _leaves(each)}
    homes = read_homes(ROOT, ())
    said = {text for each in homes.homes.values() for text in texts_of_home(each.traced.home)}
    drawn = {text for each in workspace.drawings.values() for text in (each.title, each.describes)}
    spoken = script_of(workspace, findings).texts()
    told = written & said
    mist = {each for text in told if (each := in_words(text, OF_MIST)) != text}
    return frozenset(filter(is_words, {*spoken, *drawn, *told, *mist}))


def _leaves(entry: Entry) -> Iterator[str]:
    for name, each in entry.children.items():
        if name not in _NOT_SHOWN:
            yield from _leaves(each)
    if isinstance(entry.value, tuple):
        for item in entry.value:
            yield from _leaves(item)
    if isinstance(entry.value, str):
        yield entry.value


def catalogue(path: Path) -> Catalog:
    """A catalogue as it stands."""
    with path.open(encoding="utf-8") as file:
        return read_po(file, locale=path.parent.name)


def texts(words: Iterable[str] | Catalog) -> set[object]:
    """What a catalogue has words for."""
    return {message.id for message in words if message.id}  # type: ignore[union-attr]


def refreshed_library(path: Path) -> bytes:
    """The catalogue of what ships for homes, with the texts of today beside those that it has: names
    that many homes give their rooms and doors stand there too."""
    known = path.read_text(encoding="utf-8")
    kept = {str(each) for each in texts(catalogue(path))}
    return with_texts(known, path.parent.name, sorted(kept | library_words()))


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
    for each in sorted(LANGUAGES.glob("*/library.po")):
        each.write_bytes(refreshed_library(each))
