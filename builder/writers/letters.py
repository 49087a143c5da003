"""Letters to owners as one PDF, each on a page of its own."""

import json
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from builder.craft.typesetting import set_files
from builder.errors import UsageError, suggestion
from builder.shipped import is_shipped, own_or_shipped

_MARKER = re.compile(r"\{([^{}\n]*)\}")
LONGEST = 8_000
"""Characters of the text of a letter: about three pages."""
FOLDER = "site_templates/letters"
TEXT = f"{FOLDER}/recall.txt"
_TEMPLATE = f"{FOLDER}/letter.typ"


@dataclass(frozen=True, slots=True)
class Letter:
    """One letter: whom it is for, and its paragraphs in lines. One that begins with ``#`` is a heading."""

    title: str
    paragraphs: tuple[tuple[str, ...], ...]


def check_text(text: str, markers: Iterable[str]) -> None:
    """UsageError for a text that is empty, far too long, or has a marker that nobody knows."""
    known = list(markers)
    if not text.strip():
        raise UsageError("The letter has no words.")
    if len(text) > LONGEST:
        raise UsageError(f"The letter has {len(text):,} characters; at most {LONGEST:,} are set.")
    for name in _MARKER.findall(text):
        if name not in known:
            raise UsageError(f"Nobody knows what '{{{name}}}' stands for. {suggestion(name, known, 'Known are')}")  # fmt: skip


def filled(text: str, title: str, values: Mapping[str, str]) -> Letter:
    """The letter of one home. A sentence that stands on markers of which none has a value is left out:
    what has no value is never printed as a gap. A value of several lines is printed on as many."""
    paragraphs = []
    for paragraph in re.split(r"\n\s*\n", text.replace("\r\n", "\n").strip()):
        lines = tuple(_lines(paragraph, values))
        if lines:
            paragraphs.append(lines)
    return Letter(title, tuple(paragraphs))


def _lines(paragraph: str, values: Mapping[str, str]) -> Iterator[str]:
    for line in paragraph.split("\n"):
        sentences = re.split(r"(?<=[.!?]) ", line.strip())
        kept = " ".join(each for each in sentences if not _lacks(each, values))
        said = _MARKER.sub(lambda found: values[found[1]], kept)
        yield from (" ".join(each.split()) for each in said.split("\n") if each.strip())


def _lacks(sentence: str, values: Mapping[str, str]) -> bool:
    """Whether a sentence stands on markers of which none has a value; one that has some is kept."""
    names = _MARKER.findall(sentence)
    return bool(names) and not any(values[name] for name in names)


def recall_text(root: Path) -> str:
    """The words of a recall letter: the workspace's own, else those that ship."""
    return own_or_shipped(root, TEXT).read_text(encoding="utf-8")


def letters_pdf(root: Path, letters: Iterable[Letter], builder: str, title: str, day: date) -> bytes:  # fmt: skip
    """The PDF of some letters; ``title`` is what the whole is called."""
    values = {
        "title": title,
        "builder": builder,
        "day": [day.year, day.month, day.day],
        "letters": [{"title": each.title, "paragraphs": each.paragraphs} for each in letters],
    }
    template = own_or_shipped(root, _TEMPLATE)
    files = {"main": template.read_bytes(), "values.json": json.dumps(values, ensure_ascii=False).encode()}  # fmt: skip
    return set_files(files, f"'{_TEMPLATE}'", "" if is_shipped(template) else _TEMPLATE)
