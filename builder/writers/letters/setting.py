"""Letters to owners as one PDF, each on a page of its own."""

import json
from collections.abc import Iterable
from datetime import date
from pathlib import Path

from builder.craft.typesetting import set_files
from builder.shipped import is_shipped, own_or_shipped
from builder.writers.letters.filling import Letter

FOLDER = "site_templates/letters"
TEXT = f"{FOLDER}/recall.txt"
_TEMPLATE = f"{FOLDER}/letter.typ"


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
