"""Values and bytes that nobody means to write, put into any source file of the small whole example."""

import re
import shutil
from pathlib import Path

from hypothesis import strategies as st

from tests.broken_workspaces import WHOLE

FILES = tuple(
    sorted(
        path.relative_to(WHOLE).as_posix()
        for path in WHOLE.rglob("*")
        if path.suffix in (".yaml", ".csv", ".md")
    )
)
NEW_FILES = (
    "content/documents.yaml", "content/demonstration/own.yaml", "stickers/stock.yaml",
    "developments/riverside/register.csv", "developments/riverside/plots/01.yaml",
    "housetypes/options/other.yaml",
)  # fmt: skip
VALUES = (
    "", "~", "true", "7", "-0", "1e999", "-1e308", ".nan", ".inf", "9" * 18, "9" * 5_000, "0x1F", "1_000",
    "[]", "{}", "[[1, 2], [3]]", "{a: {b: {c: 1}}}", "[" * 60, "{a: " * 60, "*anchor", "&anchor x", "!!binary aGk=",
    "!!int x", "! x", "!!python/object/apply:os.system [id]", '"\\0"', '"\\ud800"', '"\\u202e"', '"a\\nb"', '"a\\tb"',
    '"\\e[31m"', "2026-02-30", "0000-00-00", "0001-01-01", "9999-12-31", "31/02/2026", "99999999 years", "0 days",
    "<b>x</b>", "{{ 7 * 7 }}", "{% raw %}", "{left}", "{up}", "left", "x" * 3_000, "../../../etc/passwd", "/etc/passwd",
    "https://", "a@b", "'", '"', "|", ">", "?", "- a", "a: b: c", "# x", "%YAML 1.1", "---", "...", "<<: {a: 1}",
    "\u00a0", "\u3000", "é", "中文", "😀", "e\u0301" * 40, "=1+1", "@x", "001", "1.50", "NaN", "Infinity", "no", "on",
)  # fmt: skip
"""Each stands where another value stood."""

_PLACES = re.compile(
    r"(?<=: )[^,{}\n]+|(?<=,)[^,\n]*|(?<=^)[a-z_-]+(?=:)|(?<=\[)[^,\]\n]+", re.MULTILINE
)


def changed(text: str, value: str, at: float) -> str:
    """A text with one of its values replaced."""
    places = list(_PLACES.finditer(text))
    if not places:
        return value
    place = places[int(at * len(places)) % len(places)]
    return text[: place.start()] + value + text[place.end() :]


@st.composite
def contents(draw: st.DrawFn, file: str) -> bytes:
    """A file that somebody spoilt: another value, other bytes in its middle, or other bytes altogether."""
    path = WHOLE / file
    whole = path.read_bytes() if path.exists() else b"a: {b: c}\n"
    kind = draw(st.sampled_from(("value", "value", "value", "bytes", "cut", "all")))
    if kind == "value":
        text = whole.decode()
        for _ in range(draw(st.integers(1, 3))):
            text = changed(text, draw(st.sampled_from(VALUES)), draw(st.floats(0, 1)))
        return text.encode()
    other = draw(
        st.binary(max_size=60)
        | st.text(max_size=60).map(lambda text: text.encode("utf-8", "replace"))
    )
    if kind == "all":
        return other
    start = draw(st.integers(0, len(whole)))
    end = start if kind == "bytes" else draw(st.integers(start, len(whole)))
    return whole[:start] + other + whole[end:]


@st.composite
def spoilt(draw: st.DrawFn) -> tuple[str, bytes]:
    """A source file and what it holds."""
    file = draw(st.sampled_from((*FILES, *NEW_FILES)))
    return file, draw(contents(file))


def lay_spoilt(folder: Path, file: str, content: bytes) -> Path:
    """The whole example in a folder, with one file spoilt."""
    workspace = folder / "workspace"
    shutil.copytree(WHOLE, workspace)
    (workspace / file).parent.mkdir(parents=True, exist_ok=True)
    (workspace / file).write_bytes(content)
    return workspace
