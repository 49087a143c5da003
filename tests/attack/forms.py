"""Files in forms that nobody expects: encodings, line ends, cut off, twice, huge, and no files at all."""

import os
import random
import socket
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.attack.ground import Ground, _clear
from tests.attack.outcomes import Outcome
from tests.attack.values import TEXTS

Change = Callable[[bytes, random.Random], bytes]


def _cut(content: bytes, rng: random.Random) -> bytes:
    return content[: rng.randrange(len(content) + 1)]


def _flipped(content: bytes, rng: random.Random) -> bytes:
    changed = bytearray(content or b"x")
    for _ in range(rng.choice((1, 1, 2, 8))):
        changed[rng.randrange(len(changed))] = rng.randrange(256)
    return bytes(changed)


def _put_in(content: bytes, rng: random.Random) -> bytes:
    place = rng.randrange(len(content) + 1)
    put = rng.choice(TEXTS).encode("utf-8", "surrogatepass")
    return content[:place] + put + content[place:]


def _line_twice(content: bytes, rng: random.Random) -> bytes:
    lines = content.split(b"\n")
    line = rng.choice(lines)
    lines.insert(rng.randrange(len(lines)), line)
    return b"\n".join(lines)


def _line_lost(content: bytes, rng: random.Random) -> bytes:
    lines = content.split(b"\n")
    del lines[rng.randrange(len(lines))]
    return b"\n".join(lines)


def _lines_swapped(content: bytes, rng: random.Random) -> bytes:
    lines = content.split(b"\n")
    one, other = rng.randrange(len(lines)), rng.randrange(len(lines))
    lines[one], lines[other] = lines[other], lines[one]
    return b"\n".join(lines)


def _indented(content: bytes, rng: random.Random) -> bytes:
    lines = content.split(b"\n")
    line = rng.randrange(len(lines))
    lines[line] = rng.choice((b" ", b"\t", b"  ", b"   ")) + lines[line]
    return b"\n".join(lines)


def _recoded(encoding: str) -> Change:
    return lambda content, _: content.decode("utf-8", "replace").encode(encoding, "replace")


def _ended(by: bytes) -> Change:
    return lambda content, _: content.replace(b"\n", by)


def _whole(content: bytes) -> Change:
    return lambda _before, _rng: content


BOMB = b"a: &a [x, x, x, x, x, x, x, x, x]\n" + b"".join(
    b"%c: &%c [*%c, *%c, *%c, *%c, *%c, *%c, *%c, *%c]\n" % (98 + n, 98 + n, *([97 + n] * 8)) for n in range(8)
)  # fmt: skip
CHANGES: dict[str, Change] = {
    "cut off": _cut, "cut off again": _cut, "bytes flipped": _flipped, "bytes flipped again": _flipped, "a text put in": _put_in,
    "another text put in": _put_in, "a line twice": _line_twice, "a line lost": _line_lost, "lines swapped": _lines_swapped, "a line indented": _indented,
    "utf-16": _recoded("utf-16"), "utf-16-le": _recoded("utf-16-le"), "utf-32": _recoded("utf-32"), "utf-7": _recoded("utf-7"),
    "latin-1": _whole("name: Caf\xe9".encode("latin-1")), "utf-8 with a mark": _recoded("utf-8-sig"), "ebcdic": _recoded("cp500"),
    "carriage returns": _ended(b"\r"), "both ends": _ended(b"\r\n"), "mixed ends": _ended(b"\n\r"), "line separators": _ended("\u2028".encode()),
    "form feeds": _ended(b"\x0c"), "nothing": _whole(b""), "a mark alone": _whole(b"\xef\xbb\xbf"), "nul": _whole(b"\x00" * 500), "ff": _whole(b"\xff" * 500),
    "twice": lambda content, _: content + content, "two documents": lambda content, _: content + b"\n---\n" + content, "a tag": _whole(b"!!python/object/apply:os.system ['true']\n"),
    "an alias bomb": _whole(BOMB), "deep brackets": _whole(b"a: " + b"[" * 20_000), "deep braces": _whole(b"{a: " * 5_000), "deep lists": _whole(b"- " * 20_000),
    "a merge key": lambda content, _: content + b"\n<<: {a: b}\n", "a list": _whole(b"- a\n- b\n"), "a number": _whole(b"5\n"), "digits": _whole(b"a: " + b"9" * 60_000),
    "a long key": _whole(b"a" * 70_000 + b": 1\n"), "many keys": _whole(b"".join(b"k%d: 1\n" % n for n in range(30_000))), "many columns": _whole(b"a," * 20_000 + b"\n" + b"1," * 20_000),
    "a long line": _whole(b"x" * 130_000), "quotes": _whole(b'"' * 5_001), "three megabytes": _whole(b"# x\n" * 800_000), "comments": _whole(b"# nothing\n"),
    "json": _whole(b'{"development": {"name": "x"}}'), "xml": _whole(b"<?xml version='1.0'?><!DOCTYPE a [<!ENTITY e SYSTEM 'file:///etc/passwd'>]><a>&e;</a>"),
    "a zip": _whole(b"PK\x03\x04" + b"\x00" * 400), "conflict marks": lambda content, _: b"<<<<<<< ours\n" + content + b"=======\n" + content + b">>>>>>> theirs\n",
    "tabs": lambda content, _: content.replace(b"  ", b"\t"), "no last end": lambda content, _: content.rstrip(b"\n"), "percent": _whole(b"%YAML 9.9\n---\na: b\n"),
}  # fmt: skip


def _pipe(path: Path, _root: Path) -> None:
    os.mkfifo(path)


def _folder(path: Path, _root: Path) -> None:
    path.mkdir()


def _socket(path: Path, _root: Path) -> None:
    here = Path.cwd()
    os.chdir(path.parent)  # The name of a socket may have about a hundred letters.
    try:
        with socket.socket(socket.AF_UNIX) as made:
            made.bind(path.name)
    finally:
        os.chdir(here)


def _linked(target: str) -> Callable[[Path, Path], None]:
    return lambda path, _root: path.symlink_to(target)


def _gone(_path: Path, _root: Path) -> None:
    return


def _huge(path: Path, _root: Path) -> None:
    with path.open("wb") as file:
        file.truncate(300 * 1024**2)


THINGS: dict[str, Callable[[Path, Path], None]] = {
    "a pipe": _pipe, "a folder": _folder, "a socket": _socket, "gone": _gone, "huge": _huge, "a link to nothing": _linked("nowhere"),
    "a link to itself": _linked("."), "a link out": _linked("/etc/passwd"), "zeros without end": _linked("/dev/zero"), "a link to a terminal": _linked("/dev/tty"),
    "a link to memory": _linked("/proc/self/mem"), "a link up": _linked(".."),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class FormTry:
    """A file of the workspace in another form."""

    file: str
    form: str
    seed: int

    @property
    def name(self) -> str:
        return f"{self.file}: {self.form} ({self.seed})"

    def make(self, ground: Ground) -> tuple[Outcome, str]:
        if self.form in THINGS:
            path = ground.root / self.file
            path.parent.mkdir(parents=True, exist_ok=True)
            _clear(path)
            THINGS[self.form](path, ground.root)
        else:
            before = ground.before.get(self.file, b"a: b\n")
            ground.write(self.file, CHANGES[self.form](before, random.Random(self.seed)))
        return ground.checked_and_built()


OTHERS = ("mkdocs.yml", "content/languages/cy/messages.po", "developments/riverside/plots/03.yaml", "content/articles/new.md", "site_templates/pages/finishes.md", "developments/riverside/plots/02.yml",
          "content/drawings/own.svg", "content/symptoms/own.yaml", "site_templates/pages/home-top.html", "developments/riverside/columns.yaml", "content/model-words/german.yaml",
          "site_templates/stickers/page.html", "housetypes/.hidden.yaml", "content/articles/a b.md", "housetypes/Big.yaml")  # fmt: skip
"""Files that the workspace has not, and that somebody may put there."""


def tries(rng: random.Random, number: int) -> Iterator[FormTry]:
    """So many forms of so many files: each form of each file before any comes again."""
    from tests.attack.fields import CSV, FILES  # noqa: PLC0415 - both name the files

    pictures = ("developments/riverside/photos/stopcock.jpg", "developments/riverside/register.csv", "developments/riverside/register.seal")  # fmt: skip
    files = [*(file for file, _ in FILES.values()), CSV, *pictures, *OTHERS]
    every = [(file, form) for file in dict.fromkeys(files) for form in (*CHANGES, *THINGS)]
    rng.shuffle(every)
    for turn in range(number):
        yield FormTry(*every[turn % len(every)], rng.randrange(2**32))
