"""Reads and writes gettext catalogues: what a language says for each of our texts."""

import gettext
import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from io import BytesIO, StringIO

from babel.messages.catalog import Catalog, Message
from babel.messages.pofile import PoFileError, PoFileParser, read_po, write_po

from builder.errors import Finding, Place, printable
from builder.languages.language import Texts

_TAG = re.compile(r"<[^<>]*>?")
"""A mark of HTML, or what a browser takes for the beginning of one."""
_VALUE = re.compile(r"%\((\w+)\)[sd]")
_MARKER = re.compile(r"\{[a-z]+:[a-z0-9-]+\}")
"""What stands for somebody to call, or for a word of the nation."""
_TAKES_VALUES = re.compile(r"(?:[^%]|%%|%\(\w+\)[sd])*")
_BREAKS = re.compile(r"[\x00-\x1f\x7f]")
_MOST_FORMS = 6
"""No language has more plural forms (Unicode CLDR, plural rules, from memory)."""
_PLURAL = re.compile(r"(?:[\sn?:()=!<>&|]|\d{1,6}|%\s*[1-9]\d{0,5})+")
"""A choice of a form by a number: it compares remainders, and divides by nothing that may be 0."""
_SHOWN = 60
"""Letters of such a choice that a finding shows."""
_COUNTED = 1_000
"""Numbers that a choice of forms is tried with."""
_READ_BY = re.compile(r"^# Read by: (?P<role>[^,\n]+), (?P<day>\d{4}-\d\d-\d\d)$", re.MULTILINE)
_WIDTH = 99
"""Characters of a line."""


@dataclass(frozen=True, slots=True)
class ReadCatalogue:
    """What a catalogue says: its ``texts``, how many it lacks (``open``), which plural forms numbers
    take (``plural``, where it has texts with several), and the role that read it, if any."""

    file: str
    texts: Texts
    open: int
    plural: Callable[[int], int] | None
    read_by: str

    @property
    def place(self) -> Place:
        """The place in the catalogue at which a message begins."""
        return Place(self.file)


def read_catalogue(text: str, file: str, code: str) -> tuple[ReadCatalogue | None, list[Finding]]:
    """A catalogue, without what is wrong in it, and what that is.

    A message that is marked *fuzzy* was made from another text, or nobody has read it: it is not said.
    """
    try:
        catalogue = _OfFewForms(locale=code.replace("-", "_"))
        PoFileParser(catalogue, abort_invalid=True).parse(StringIO(text))
        plural = _plural(catalogue)
    except (PoFileError, ValueError, TypeError) as error:
        line = getattr(error, "lineno", 0) + 1  # The library counts lines from 0.
        said = str(error).rpartition(" on ")[0] or str(error)
        return None, [_unreadable(Place(file, line), said)]
    found = [_checked_message(each, catalogue, file) for each in _finished(catalogue)]
    wrong = {id(message) for message, finding in found if finding}
    texts = {
        _ours(each): _forms_of(each) for each in _finished(catalogue) if id(each) not in wrong
    }  # fmt: skip
    read = _READ_BY.search(catalogue.header_comment)
    lacking = sum(1 for each in catalogue if each.id) - len(texts)
    made = ReadCatalogue(file, texts, lacking, plural, read["role"] if read else "")
    return made, [finding for _, finding in found if finding]


class _OfFewForms(Catalog):
    """A catalogue for which nobody makes room for a thousand million plural forms."""

    @property
    def num_plurals(self) -> int:
        number: int = super().num_plurals
        if not 1 <= number <= _MOST_FORMS:
            raise ValueError(f"it has {number} plural forms, and languages have 1 to {_MOST_FORMS}")
        return number


def _plural(catalogue: Catalog) -> Callable[[int], int] | None:
    """Which form a number takes. ValueError where its choice is none of those forms, or no choice at all."""
    if all(len(_forms_of(each)) == 1 for each in catalogue):
        return None
    chosen = str(catalogue.plural_expr)
    if not _PLURAL.fullmatch(chosen):
        raise ValueError(f"'{printable(chosen, _SHOWN)}' chooses no plural form")
    choose: Callable[[int], int] = gettext.c2py(chosen)
    highest = max(map(choose, range(_COUNTED)))
    if highest >= catalogue.num_plurals:
        raise ValueError(
            f"'{printable(chosen, _SHOWN)}' chooses form {highest} of {catalogue.num_plurals}, counted from 0"
        )
    return choose


def _finished(catalogue: Catalog) -> Iterator[Message]:
    """The messages that have a finished text."""
    for message in catalogue:
        if message.id and not message.fuzzy and all(map(str.strip, _forms_of(message))):
            yield message


def _ours(message: Message) -> str:
    return message.id if isinstance(message.id, str) else message.id[0]


def _forms_of(message: Message) -> tuple[str, ...]:
    return (message.string,) if isinstance(message.string, str) else tuple(message.string or ())


def _checked_message(
    message: Message, catalogue: Catalog, file: str
) -> tuple[Message, Finding | None]:
    """What is wrong with a message: other values or other marks than ours has."""
    place = Place(file, message.lineno or 1)
    for error in message.check(catalogue):
        right = "Write the values of the first language, such as %(day)s, with the same names."
        return message, Finding("language.values", place, f"'{_ours(message)}': {error}.", right)
    if not all(_takes_the_same(message, text) for text in _forms_of(message)):
        wrong = f"'{_ours(message)}' has other values in its translation, or a '%' that is none."
        right = "Write the values of the first language with the same names, and no other '%'."
        return message, Finding("language.values", place, wrong, right)
    if any(_markers_in(text) != _markers_in(_ours(message)) for text in _forms_of(message)):
        named = " ".join(_markers_in(_ours(message)))
        wrong = f"'{_ours(message)}' names others in braces in its translation."
        right = f"Write these, each as it stands: {named}." if named else "Write no braces in it."
        return message, Finding("language.values", place, wrong, right)
    if any(set(_BREAKS.findall(text)) - set(_ours(message)) for text in _forms_of(message)):
        wrong = f"'{_ours(message)}' has a line break or a tab in its translation."
        return message, Finding("language.line", place, wrong, "Write it as one line.")
    ours = sorted(_TAG.findall(_ours(message)))
    for text in _forms_of(message):
        if sorted(_TAG.findall(text)) != ours:
            wrong = f"'{_ours(message)}' has other marks in its translation."
            listed = " ".join(ours)
            right = f"Write these and no others: {listed}." if ours else "Write no '<' in it."
            return message, Finding("language.marks", place, wrong, right)
    return message, None


def _markers_in(text: str) -> list[str]:
    return sorted(_MARKER.findall(text))


def _takes_the_same(message: Message, text: str) -> bool:
    """Whether a translation takes the values of ours; a text of a home, such as "60 % of it", takes none."""
    ours = (message.id,) if isinstance(message.id, str) else message.id
    if not all(map(_TAKES_VALUES.fullmatch, ours)):
        return True
    known = {name for each in ours for name in _VALUE.findall(each)}
    return bool(_TAKES_VALUES.fullmatch(text)) and set(_VALUE.findall(text)) <= known


def _unreadable(place: Place, said: str) -> Finding:
    return Finding(
        "language.catalogue",
        place,
        f"The catalogue cannot be read: {said.rstrip('.')}.",
        "Write it as gettext does: msgid and msgstr, each in quotes.",
    )


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
