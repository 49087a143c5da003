"""Reads care articles: YAML front matter between two lines of dashes, then Markdown."""

import re
from pathlib import Path

from builder.errors import Finding, Findings, Place
from builder.model.article import Article, FrontMatter
from builder.sources.checking import check
from builder.sources.entry import Entry
from builder.sources.folder import Folder
from builder.sources.yaml_reader import read_yaml

_FENCE = "---"
_HTML = re.compile(r"<(/?[A-Za-z][^>]*|!--.*?)>")


def read_article(folder: Folder, path: Path, findings: Findings) -> tuple[Article, Entry] | None:
    """An article and the entries of its front matter, or nothing and findings."""
    text = folder.read(path, findings)
    if text is None:
        return None
    file = folder.name(path)
    lines = text.split("\n")
    end = next((n for n, line in enumerate(lines[1:], 1) if line.rstrip() == _FENCE), None)
    if lines[0].rstrip() != _FENCE or end is None:
        findings.add(_no_front_matter(file))
        return None
    return _article(path.stem, file, lines, end, findings)


def _article(
    identifier: str, file: str, lines: list[str], end: int, findings: Findings
) -> tuple[Article, Entry] | None:
    entry = read_yaml("\n".join(lines[1:end]), file, findings, first_line=2)
    front = check(entry, FrontMatter, findings) if entry else None
    tags = list(_tags(file, lines, end))
    findings.extend(tags)
    if entry is None or front is None or tags:
        return None
    body = "\n".join(lines[end + 1 :])
    return Article(identifier, file, front, body, end + 2), entry


def _tags(file: str, lines: list[str], end: int) -> list[Finding]:
    """One finding for each HTML tag in the body."""
    return [
        Finding(
            "article.html",
            Place(file, number, tag.start() + 1),
            f"'{tag.group()}' is HTML, and articles are Markdown.",
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
