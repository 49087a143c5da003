"""Writes a gettext catalogue for translators: texts of today, with all that is translated already."""

from collections.abc import Iterable
from io import BytesIO, StringIO

from babel.messages.catalog import Catalog
from babel.messages.pofile import read_po, write_po

_WIDTH = 99
"""Characters of a line."""


def with_texts(text: str, code: str, wanted: Iterable[str]) -> bytes:
    """A catalogue with these texts and no others. ``text``: the catalogue as it stands; what it says of
    them stays, its header too, and a text that is nearly one of today is kept as a suggestion, marked
    *fuzzy*."""
    known = read_po(StringIO(text), locale=code.replace("-", "_"))
    today = Catalog()
    for each in wanted:
        today.add(each)
    known.update(today, update_creation_date=False)
    written = BytesIO()
    write_po(written, known, _WIDTH, omit_header=True, sort_output=True, ignore_obsolete=True)
    return f"{_header_of(text, code)}\n\n".encode() + written.getvalue()


def _header_of(text: str, code: str) -> str:
    """What stands before the first text."""
    header = text.partition("\n\n")[0]
    has_one = 'msgid ""\nmsgstr ""\n' in f"{header}\n"
    return (header if has_one else new_catalogue(code)).strip()


def new_catalogue(code: str) -> str:
    """A catalogue without any text."""
    return f"""msgid ""
msgstr ""
"Language: {code}\\n"
"MIME-Version: 1.0\\n"
"Content-Type: text/plain; charset=utf-8\\n"
"Content-Transfer-Encoding: 8bit\\n"
"""
