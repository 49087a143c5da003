"""What is damaged of a release that is kept: it is asked before anything of it is published again."""

from collections.abc import Iterator
from pathlib import Path

from builder.build.manifest import guide_record_in
from builder.build.releases import GUIDE, RECORD, REPLACED, Former
from builder.digests import digest_of
from builder.disk import links_on_the_way


def damage(folder: Path, out: Path) -> str | None:
    """What is wrong with the first file that is not as it was kept; nothing where all of them are, or
    stand in the published tree again.

    A guide that a publishing kept and did not come to replace, because it was stopped, stands there
    still; one that a take-back put in before it was stopped stands there again.
    """
    return next(_damaged(folder, out), None)


def stands_again(former: Former, out: Path) -> bool:
    """Whether a former guide is in the published tree, every page of it."""
    guide = {name: digest for name, digest in former.record.files.items() if name.startswith("g/")}
    return not any(_other(out, name, digest) for name, digest in guide.items())


def _damaged(folder: Path, out: Path) -> Iterator[str]:
    codes, shared = _noted(folder)
    yield from filter(None, (_other(folder, name, digest) for name, digest in shared.items()))
    known = {path.parent.name for path in folder.glob(f"*/{RECORD}")}
    for code in sorted(known.union(codes)):
        record = guide_record_in(folder / code / RECORD)
        if record is None:
            yield f"the record of the guide '{code}' is gone or cannot be read"
            continue
        former = Former(folder / code, record)
        wrong = next(_guide(former), None)
        if wrong and not stands_again(former, out):
            yield wrong
        yield from _stickers(former)


def _noted(folder: Path) -> tuple[list[str], dict[str, str]]:
    """The codes of the guides that were kept, and the digests of what they share. A release of an
    earlier version has none noted."""
    try:
        lines = (folder / REPLACED).read_text(encoding="utf-8").splitlines()
    except (OSError, ValueError):
        return [], {}
    shared = [line.rpartition(" ") for line in lines if " " in line]
    return [line for line in lines if " " not in line], {name: digest for name, _, digest in shared}


def _guide(former: Former) -> Iterator[str]:
    """What is wrong with a guide that is kept."""
    inside = f"g/{former.record.code}/"
    files = {
        name.replace(inside, f"{GUIDE}/", 1): digest
        for name, digest in former.record.files.items()
        if name.startswith(inside)
    }
    if not (former.folder / GUIDE).is_dir():
        yield f"the guide of '{former.record.reference}' is gone"
    yield from filter(None, (_other(former.folder, name, each) for name, each in files.items()))
    for path in sorted((former.folder / GUIDE).rglob("*")):
        name = path.relative_to(former.folder).as_posix()
        if name not in files and not path.is_dir():
            yield f"'{name}' was added"


def _stickers(former: Former) -> Iterator[str]:
    for name, digest in former.record.files.items():
        if not name.startswith("g/") and (wrong := _other(former.folder, name, digest)):
            yield wrong


def _other(folder: Path, name: str, digest: str) -> str | None:
    """How a file is another than it was."""
    path = folder / name
    if next(links_on_the_way(path, folder), None):
        return f"'{name}' is a link"
    if not path.is_file():
        return f"'{name}' is gone"
    return None if digest_of(path.read_bytes()) == digest else f"'{name}' is another"
