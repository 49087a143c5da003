"""Reads care articles: YAML front matter between two lines of dashes, then Markdown."""

import re
from dataclasses import dataclass
from pathlib import Path
from typing import Generic, TypeVar

from builder.errors import Finding, Findings, Place, printable
from builder.model.article import Article, FrontMatter
from builder.model.record import Record
from builder.sources.checking import check
from builder.sources.entry import Entry
from builder.sources.folder import Folder
from builder.sources.yaml_reader import read_on

_FENCE = "---"
_HTML = re.compile(r"<(/?[A-Za-z][^>]*|!--.*?)>")


Front = TypeVar("Front", bound=Record)


@dataclass(frozen=True, slots=True)
class WithFrontMatter(Generic[Front]):
    """A Markdown file: its front matter with its entries, and its body with the line that it begins on."""

    front: Front
    entry: Entry
    body: str
    body_line: int


def read_article(folder: Folder, path: Path, findings: Findings) -> tuple[Article, Entry] | None:
    """An article and the entries of its front matter, or nothing and all that is wrong with it."""
    read = read_with_front_matter(folder, path, FrontMatter, findings)
    if read is None:
        return None
    file = folder.name(path)
    return Article(path.stem, file, read.front, read.body, read.body_line), read.entry


def read_with_front_matter(
    folder: Folder, path: Path, shape: type[Front], findings: Findings
) -> WithFrontMatter[Front] | None:
    """A Markdown file with front matter of a shape, or nothing and all that is wrong with it."""
    found = Findings()
    read = _read(folder, path, shape, found)
    findings.extend(found)
    return None if len(found) else read


def _read(
    folder: Folder, path: Path, shape: type[Front], findings: Findings
) -> WithFrontMatter[Front] | None:
    text = folder.read_on(path, findings)
    if text is None:
        return None
    file = folder.name(path)
    lines = text.split("\n")
    end = next((n for n, line in enumerate(lines[1:], 1) if line.rstrip() == _FENCE), None)
    if lines[0].rstrip() != _FENCE or end is None:
        findings.add(_no_front_matter(file))
        return None
    findings.extend(_tags(file, lines, end))
    read = read_on("\n".join(lines[1:end]), file, findings, first_line=2)
    front = check(read.entry, shape, findings) if read else None
    if read is None or not isinstance(front, shape):
        return None
    return WithFrontMatter(front, read.entry, "\n".join(lines[end + 1 :]), end + 2)


def _tags(file: str, lines: list[str], end: int) -> list[Finding]:
    """One finding for each HTML tag in the body."""
    return [
        Finding(
            "article.html",
            Place(file, number, tag.start() + 1),
            f"'{printable(tag.group())}' is HTML, and articles are Markdown.",
            "Write it in Markdown.",
        )
        for number, line in enumerate(lines[end + 1 :], start=end + 2)
        for tag in _HTML.finditer(line)
    ]


def _no_front_matter(file: str) -> Finding:
    return Finding(
        "article.front-matter",
        Place(file),
        "This article has no front matter.",
        "Begin the file with a line '---', the front matter, and another line '---'.",
    )


def article_twice(file: str, identifier: str, first: str) -> Finding:
    """Two files of one id: nobody could tell which one holds."""
    return Finding(
        "article.twice",
        Place(file),
        f"The article '{identifier}' stands in two files; the first is {first}.",
        "Rename one of them.",
    )
