"""Digests of contents, and of the builder itself."""

import hashlib
from collections.abc import Iterable, Mapping
from functools import cache
from importlib.metadata import version
from pathlib import Path

import builder

_LIBRARIES = ("mkdocs", "mkdocs-material", "markdown", "jinja2", "icalendar")


@cache
def tool_digest() -> str:
    """Of the builder's own code and the libraries that shape what it writes."""
    package = Path(builder.__file__).parent
    versions = {name: version(name) for name in _LIBRARIES}
    return of_mapping({**versions, "": of_files([package])})


def of_files(paths: Iterable[Path]) -> str:
    """A digest of files, and of all files in folders."""
    found: dict[str, str] = {}
    for path in paths:
        inside = sorted(path.rglob("*")) if path.is_dir() else [path]
        for each in inside:
            if each.is_file() and each.suffix not in (".pyc", ".pyo"):
                found[each.relative_to(path.parent).as_posix()] = digest_of(each.read_bytes())
    return of_mapping(found)


def of_mapping(digests: Mapping[str, str]) -> str:
    """A digest of digests by name."""
    return digest_of(
        "".join(f"{name}\0{each}\0" for name, each in sorted(digests.items())).encode()
    )


def digest_of_file(path: Path) -> str:
    """The SHA-256 of a file of any size, in hexadecimal."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def digest_of(content: bytes) -> str:
    """The SHA-256 of bytes, in hexadecimal."""
    return hashlib.sha256(content).hexdigest()


def of_texts(*texts: str) -> str:
    """A digest of texts, each with its length, so that no other texts come to the same."""
    return digest_of("".join(f"{len(text)}:{text}" for text in texts).encode())
