"""Asks Typst which characters its own fonts have. ``python -m tests.paper_letters`` prints their ranges."""

import re
import sys
import unicodedata
from collections.abc import Iterable, Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

import typst

_HEAD = '#set document(title: "x")\n#set text(lang: "en", font: "Libertinus Serif")\n= T\n'
_REFUSED = re.compile(r'the text `"(.*?)"` could not be displayed')
_AT_ONCE = 1_500


def without_shape(characters: Iterable[str]) -> set[str]:
    """Those that Typst refuses to set in a lasting and accessible document."""
    lines = "\n".join(f'#par(text("\\u{{{ord(each):x}}}"))' for each in characters)
    with TemporaryDirectory() as folder:
        main = Path(folder) / "main.typ"
        main.write_text(_HEAD + lines, encoding="utf-8")
        try:
            typst.compile(
                main, format="pdf", ignore_system_fonts=True, pdf_standards=["ua-1", "a-2a"]
            )
        except typst.TypstError as error:
            return set(map(_character, _REFUSED.findall(error.diagnostic)))
    return set()


def _character(quoted: str) -> str:
    return chr(int(quoted[3:-1], 16)) if quoted.startswith("\\u{") else quoted


def known() -> Iterator[str]:
    """Every character of the first two planes that Typst's fonts have."""
    every = [chr(each) for each in range(0x20, 0x20000)
             if unicodedata.category(chr(each)) not in ("Cc", "Cs", "Co", "Cn")]  # fmt: skip
    for start in range(0, len(every), _AT_ONCE):
        part = every[start : start + _AT_ONCE]
        gone = without_shape(part)
        yield from (each for each in part if each not in gone)


def ranges(characters: Iterable[str]) -> Iterator[str]:
    """Characters as ranges of numbers: ``0020-007E``."""
    first = last = -1
    for number in (*map(ord, characters), sys.maxsize):
        if number != last + 1:
            if first >= 0:
                yield f"{first:04X}-{last:04X}" if last > first else f"{first:04X}"
            first = number
        last = number


if __name__ == "__main__":
    sys.stdout.write(" ".join(ranges(known())) + "\n")
