"""What a published tree holds, recorded beside it: which files, with which content, made from what.

Codes cannot be guessed, so that no list of them may lie in the tree, which is uploaded whole. The
records of ``public`` lie in ``.public.records``, private: ``guides/<CODE>.json``, one for each
guide, and ``shared.json`` for what is no one guide's.
"""

import json
import os
import re
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from builder.digests import digest_of
from builder.disk import for_the_owner, left_out_of_git, private_folder
from builder.errors import HandoverError, UsageError

VERSION: Final = 1
_GUIDE: Final = "handover-guide-record"
_SHARED: Final = "handover-shared-record"
_LAST: Final = "handover-last-build"
_MOVES: Final = "handover-redirects-record"
_REDIRECTS: Final = "redirects.json"
_HOSTS: Final = "handover-hosts-record"
_LAST_BUILD: Final = "last-build.json"
_RECORDS: Final = ".records"
_CODE: Final = re.compile(r"[0-9A-Za-z_-]+")
_HEXADECIMAL: Final = re.compile(r"[0-9a-f]*")
DIGITS: Final = 64
"""Hexadecimal digits of a SHA-256."""


@dataclass(frozen=True, slots=True)
class GuideRecord:
    """One guide as it was published, with the sticker pages that lead to it.

    ``inputs`` is a digest for each thing that the guide was made from, by name. ``files`` is the
    SHA-256 of each file in lower-case hexadecimal, by its path in the published tree. ``findings``
    and ``changes`` are plain data for JSON. ``pages``: what each page says, by its id, as a digest
    and its title. ``made``: a digest of all that each page was made from, by its id. ``others``: the words
    that only other homes may read, each with whose they are.
    """

    reference: str
    code: str
    inputs: Mapping[str, str]
    files: Mapping[str, str]
    findings: tuple[Mapping[str, Any], ...] = ()
    changes: tuple[Mapping[str, Any], ...] = ()
    pages: Mapping[str, str] = field(default_factory=dict)
    made: Mapping[str, str] = field(default_factory=dict)
    others: Mapping[str, str] = field(default_factory=dict)


def records_folder(out: Path) -> Path:
    """Where the records of a published tree lie: beside it, never inside. A tree has one true place,
    whatever links and spellings lead to it, or two builds would not know of each other."""
    tree = Path(os.path.realpath(out))
    if not tree.name:
        raise UsageError(f"'{out}' is not a folder for this. Name one of its own.")
    return tree.with_name(f".{tree.name}{_RECORDS}")


def records_of_trees(root: Path) -> Iterator["Records"]:
    """The records of every published tree that lies in a folder."""
    for folder in sorted(root.glob(f".*{_RECORDS}")):
        if folder.is_dir():
            yield Records(folder, folder)


def begin_records(folder: Path) -> None:
    """Make the folder of records, which is private and never part of a project's history. OSError
    where it cannot be made."""
    left_out_of_git(private_folder(folder))


class Records:
    """The records of one published tree, each written whole: a reader sees the old or the new.

    ``folder`` is where they lie, if not beside the tree: a tree may have been copied elsewhere.
    """

    def __init__(self, out: Path, folder: Path | None = None) -> None:
        self.folder = folder or records_folder(out)
        self._guides = self.folder / "guides"

    def exist(self) -> bool:
        """Whether anything was ever recorded here."""
        return (self.folder / "shared.json").is_file() or any(self.codes())

    def codes(self) -> tuple[str, ...]:
        """The codes of all guides that have a record, sound or not, sorted."""
        if not self._guides.is_dir():
            return ()
        return tuple(sorted(each.stem for each in self._guides.glob("[!.]*.json")))

    def sticker_codes(self) -> frozenset[str]:
        """The codes of all stickers whose pages stand in the tree that lies beside these records."""
        tree = self.folder.with_name(self.folder.name.removeprefix(".").removesuffix(_RECORDS))
        try:
            return frozenset(filter(_CODE.fullmatch, os.listdir(tree / "Q")))
        except OSError:
            return frozenset()

    def read(self, code: str) -> GuideRecord | None:
        """A guide's record; none where there is none, or where this version cannot read it."""
        if not _CODE.fullmatch(code):
            return None
        record = guide_record_in(self.file(code))
        return record if record is not None and record.code == code else None

    def file(self, code: str) -> Path:
        """Where the record of a guide lies."""
        return self._guides / f"{code}.json"

    def write(self, record: GuideRecord) -> None:
        """Keep a guide's record in place of the last one."""
        if not _CODE.fullmatch(record.code):
            raise HandoverError(f"'{record.code}' is no code of a guide. Codes are of letters and digits.")  # fmt: skip
        plain = {
            "reference": record.reference,
            "code": record.code,
            "inputs": dict(record.inputs),
            "files": dict(record.files),
            "findings": [dict(each) for each in record.findings],
            "changes": [dict(each) for each in record.changes],
            "pages": dict(record.pages),
            "made": dict(record.made),
            "others": dict(record.others),
        }
        _write(self._guides / f"{record.code}.json", _GUIDE, plain)

    def all(self) -> Iterator[GuideRecord]:
        """Every record that can be read, by code."""
        for code in self.codes():
            record = self.read(code)
            if record is not None:
                yield record

    def last_build(self) -> dict[str, Any] | None:
        """What the last build of all plots kept; none where something has changed since."""
        return _read(self.folder / _LAST_BUILD, _LAST)

    def write_last_build(self, plain: Mapping[str, Any]) -> None:
        """Keep what a build of all plots reported."""
        _write(self.folder / _LAST_BUILD, _LAST, plain)

    def drop_last_build(self) -> None:
        """Keep nothing of it: the tree is about to change."""
        path = self.folder / _LAST_BUILD
        try:
            path.unlink(missing_ok=True)
        except OSError as error:
            raise HandoverError(f"'{path}' cannot be taken away: {error.strerror}.") from error

    @property
    def redirects_folder(self) -> Path:
        """Where what old hosts serve is kept, a folder for each: it names all codes."""
        return self.folder / "redirects"

    def redirects(self) -> Mapping[str, str]:
        """The SHA-256 of each file that an old host serves, as "host/path"."""
        files = (_read(self.folder / _REDIRECTS, _MOVES) or {}).get("files")
        return dict(files) if files is not None and _are_files(files) else {}

    def moves(self) -> Mapping[str, Mapping[str, Mapping[str, str]]]:
        """New addresses by old paths, for each old host and each development that has left it."""
        found = (_read(self.folder / _REDIRECTS, _MOVES) or {}).get("moves")
        shares = found if isinstance(found, dict) else {}
        sound = all(isinstance(each, dict) and all(map(_are_words, each.values())) for each in shares.values())  # fmt: skip
        return shares if sound else {}

    def write_redirects(
        self, moves: Mapping[str, Mapping[str, Mapping[str, str]]], files: Mapping[str, str]
    ) -> None:
        """Keep what old hosts serve: texts as "host/path", and from which moves they are. OSError where
        they cannot be written."""
        if not files and not self.redirects():
            return
        digests = {name: digest_of(text.encode()) for name, text in files.items()}
        for name, text in files.items():
            path = self.redirects_folder / name
            if not path.is_file() or digest_of(path.read_bytes()) != digests[name]:
                private_folder(self.redirects_folder)
                path.parent.mkdir(parents=True, exist_ok=True)
                write_private(path, text)
        for name in self.redirects().keys() - files.keys():
            (self.redirects_folder / name).unlink(missing_ok=True)
        if (self.moves(), self.redirects()) != (moves, digests):
            _write(self.folder / _REDIRECTS, _MOVES, {"moves": moves, "files": digests})

    def hosts(self) -> Mapping[str, tuple[str, ...]]:
        """Every host that guides of a development were published for, by the development's id."""
        found = (_read(self.folder / "hosts.json", _HOSTS) or {}).get("hosts")
        lists = found.items() if isinstance(found, dict) else ()
        return {str(name): tuple(map(str, each)) for name, each in lists if isinstance(each, list)}

    def write_hosts(self, hosts: Mapping[str, Collection[str]]) -> None:
        """Keep them in place of the last record of them, if they are others."""
        if self.hosts() != {name: tuple(each) for name, each in hosts.items()}:
            _write(self.folder / "hosts.json", _HOSTS, {"hosts": {name: list(each) for name, each in hosts.items()}})  # fmt: skip

    def shared(self) -> Mapping[str, str]:
        """The SHA-256 of each file that is no one guide's, by its path in the tree."""
        found = _read(self.folder / "shared.json", _SHARED) or {}
        files = found.get("files")
        return dict(files) if files is not None and _are_files(files) else {}

    def write_shared(self, files: Mapping[str, str]) -> None:
        """Keep what is no one guide's, in place of the last record of it."""
        _write(self.folder / "shared.json", _SHARED, {"files": dict(files)})


def _read(path: Path, form: str) -> dict[str, Any] | None:
    try:
        found = json.loads(path.read_bytes())
    except (OSError, ValueError, RecursionError):
        return None
    known = isinstance(found, dict) and (found.get("form"), found.get("version")) == (form, VERSION)
    return found if known else None


def guide_record_in(path: Path) -> GuideRecord | None:
    """The record that a file holds; none where it holds none that this version can read."""
    found = _read(path, _GUIDE)
    return None if found is None else _guide_record(found)


def _guide_record(found: dict[str, Any]) -> GuideRecord | None:
    reference, code = found.get("reference"), found.get("code")
    inputs, files = found.get("inputs"), found.get("files")
    findings, changes = found.get("findings"), found.get("changes")
    pages, made = found.get("pages", {}), found.get("made", {})
    others = found.get("others", {})
    sound = (
        isinstance(reference, str)
        and isinstance(code, str)
        and _are_words(inputs)
        and _are_files(files)
        and _are_mappings(findings)
        and _are_mappings(changes)
        and _are_words(pages)
        and _are_words(made)
        and _are_words(others)
    )
    if not sound:
        return None
    return GuideRecord(
        str(reference), str(code), inputs or {}, files or {}, tuple(findings or ()),
        tuple(changes or ()), pages, made, others,
    )  # fmt: skip


def _are_words(found: object) -> bool:
    return isinstance(found, dict) and all(isinstance(each, str) for each in found.values())


def _are_mappings(found: object) -> bool:
    return isinstance(found, list) and all(isinstance(each, dict) for each in found)


def _are_files(found: object) -> bool:
    """Whether these are digests by paths that stay inside a tree: a record is read to delete by."""
    if not isinstance(found, dict) or not _are_words(found):
        return False
    digests = found.values()
    return (
        stay_inside(found)
        and all(len(each) == DIGITS for each in digests)
        and _HEXADECIMAL.fullmatch("".join(digests)) is not None
    )


def stay_inside(paths: Iterable[str]) -> bool:
    """Whether paths are as records write them: plain, from the top of the tree, with no way out.

    All are looked at in one pass, because a development has hundreds of thousands.
    """
    listed = list(paths)
    text = "\n".join(f"/{path}/" for path in listed)
    ways_out = ("//", "/./", "/../", "\\", "\0")
    return text.count("\n") == max(len(listed) - 1, 0) and not any(out in text for out in ways_out)


def _write(path: Path, form: str, plain: Mapping[str, Any]) -> None:
    """One line for each file, so that two records can be compared by eye."""
    whole = {"form": form, "version": VERSION, **plain}
    text = json.dumps(whole, sort_keys=True, ensure_ascii=False, separators=(",\n", ": "))
    try:
        private_folder(path.parent)
        write_private(path, f"{text}\n")
    except OSError as error:
        raise HandoverError(f"The record '{path}' cannot be written: {error.strerror}.") from error


def write_private(path: Path, text: str) -> None:
    """Put a text among the records, whole, for its owner alone. OSError where it cannot be."""
    draft = path.with_name(f".{path.name}.new")
    draft.unlink(missing_ok=True)
    with open(draft, "x", encoding="utf-8", newline="\n", opener=for_the_owner) as file:
        file.write(text)
    draft.replace(path)
