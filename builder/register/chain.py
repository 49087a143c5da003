"""What shows that a register is whole: a digest at the end of each line, and a seal beside the file.

The digest of a line is made from the one above it and from what the line says, so that no line can be
changed, moved or lost without the next one telling. ``register.seal`` says how many lines there are
and how the last one ends, so that lost last lines tell too, and a file that is gone. Both show accidents.
They are no signature: whoever means to can write them anew.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from builder.digests import digest_of
from builder.disk import save
from builder.errors import Finding, Findings, Place
from builder.register.codes import SEAL
from builder.sources.folder import Folder

CHAIN: Final = "chain"
"""The name of the column of digests."""
START: Final = ""
"""What stands above the first line."""
DIGITS: Final = 16
"""Hexadecimal digits of the SHA-256 that a line carries: enough against accidents, and short."""

_SEAL: Final = re.compile(rf"^lines (\d+)\ndigest ([0-9a-f]{{{DIGITS}}}|none)$", re.MULTILINE)
_NOTE: Final = """\
# The seal of register.csv beside it, which holds every code that was ever issued.
# Keep both under version control. The builder writes both: change neither by hand.
"""


@dataclass(frozen=True, slots=True)
class Seal:
    """How many lines a register has at least, and the digest of the last of those."""

    lines: int
    digest: str


def chained(above: str, cells: Iterable[str]) -> str:
    """The digest of a line with these cells, under a line with the digest ``above``."""
    return digest_of("\x1f".join((above, *cells)).encode("utf-8", "surrogatepass"))[:DIGITS]


def chain_of(lines: Iterable[Sequence[str]], above: str = START) -> Iterator[str]:
    """The digest of each line, one under the other."""
    for cells in lines:
        above = chained(above, cells)
        yield above


def sealed_beside(register: Path) -> Path:
    """Where the seal of a register lies: beside it, by the name that people know it by."""
    return register.with_name(SEAL)


def read_seal(folder: Folder, register: Path, findings: Findings) -> Seal | None:
    """The seal of a register; none where there is none. One that cannot be read is a finding, and says
    nothing."""
    path = sealed_beside(register)
    if not path.exists() and not path.is_symlink():
        return None
    text = folder.read(path, findings)
    found = seals_in(text or "")
    if text is not None and len(found) != 1:
        findings.add(_unreadable(folder.name(path), register.parent.name))
    return found[0] if len(found) == 1 else Seal(0, START)


def seals_in(text: str) -> tuple[Seal, ...]:
    """Every seal that a text holds: two, where two branches of a project were put together."""
    return tuple(
        Seal(int(lines), START if digest == "none" else digest)
        for lines, digest in _SEAL.findall(text)
    )


def write_seal(register: Path, lines: int, digest: str) -> None:
    """Seal a register that has these many lines, of which the last ends in ``digest``."""
    text = f"{_NOTE}lines {lines}\ndigest {digest or 'none'}\n"
    save(sealed_beside(register), text.encode())


def _unreadable(file: str, development: str) -> Finding:
    return Finding(
        "register.seal", Place(file), "This seal was changed, or two versions of it were put together.",
        f"Run 'handover stickers merge {development}': it puts the versions together and seals them.",
    )  # fmt: skip
