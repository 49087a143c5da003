"""Where a published tree is sent: a folder, or an object store or server that fsspec knows."""

import hashlib
import os
import re
import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final, Protocol
from urllib.parse import urlsplit

from builder.build.exchanging import exchange
from builder.build.tree import linked
from builder.deploy.serving import kept_for, media_type
from builder.deploy.verifying import WORKPLACE, tree_files, without_code
from builder.errors import HandoverError, UsageError

_OBJECT_STORES: Final = frozenset({"s3", "s3a", "gs", "gcs", "abfs", "abfss", "az"})
"""Protocols that have no folders to make: a path is one name."""
_S3: Final = frozenset({"s3", "s3a"})
_MD5: Final = re.compile(r'"?([0-9a-f]{32})"?')
_OLD: Final = ".old"
_EXTRA: Final = "Install what it needs: pip install 'handover-pack-builder[deploy]'."


@dataclass(frozen=True, slots=True)
class Held:
    """One file that a destination holds: its size in bytes, and its MD5 where the host says it."""

    size: int
    md5: str = ""


class Destination(Protocol):
    """What a deployment asks of a place. Paths are those of the tree; any error is HandoverError."""

    @property
    def address(self) -> str:
        """Where it is, as people may read it: with no password."""

    @property
    def at_once(self) -> int:
        """How many files are sent at the same time."""

    def holds(self) -> Mapping[str, Held]:
        """Every file that is there."""

    def exists(self, path: str) -> bool:
        """Whether one file is there."""

    def agrees(self, path: str, held: Held, content: bytes) -> bool:
        """Whether a file there has this content, as far as can be told without fetching it."""

    def put(self, path: str, content: bytes) -> None:
        """Send one file, whole."""

    def remove(self, path: str) -> None:
        """Delete one file; one that is gone already is no error."""


def destination_at(address: str) -> Destination:
    """The destination that an address means: one with "://" is fsspec's, any other is a folder."""
    if address.startswith("file://"):
        return FolderDestination(Path(address.removeprefix("file://")))
    if "://" not in address:
        return FolderDestination(Path(address))
    return StoreDestination.at(address)


@dataclass(frozen=True, slots=True)
class FolderDestination:
    """A folder of this machine, or of a disk that it reaches. Each file is swapped in whole, and each
    guide too: it is finished beside the others and exchanged with the one that stands there."""

    root: Path

    @property
    def address(self) -> str:
        return os.path.realpath(self.root)

    @property
    def at_once(self) -> int:
        return 2

    def holds(self) -> Mapping[str, Held]:
        with _failing_in_one_line(f"'{self.address}' cannot be read"):
            if not self.root.exists():
                return {}
            return {
                path: Held((self.root / path).lstat().st_size) for path in tree_files(self.root)
            }

    def exists(self, path: str) -> bool:
        return (self.root / path).is_file()

    def agrees(self, path: str, held: Held, content: bytes) -> bool:
        with _failing_in_one_line(f"'{without_code(path)}' in '{self.address}' cannot be read"):
            return held.size == len(content) and (self.root / path).read_bytes() == content

    def put(self, path: str, content: bytes) -> None:
        place = self.root / path
        draft = place.with_name(f".{place.name}.new")
        with _failing_in_one_line(f"'{without_code(path)}' cannot be written to '{self.address}'"):
            place.parent.mkdir(parents=True, exist_ok=True)
            draft.write_bytes(content)
            draft.replace(place)

    def exchange(self, folder: str, files: Mapping[str, bytes]) -> None:
        """Put files into a folder, by their paths in it, all at once. What else is there stays."""
        place, draft = self.root / folder, self._workplace / Path(folder).name
        with _failing_in_one_line(
            f"'{without_code(folder)}' cannot be written to '{self.address}'"
        ):
            shutil.rmtree(draft, ignore_errors=True)
            draft.mkdir(parents=True)
            for name in tree_files(place) if place.is_dir() else ():
                if name not in files:
                    (draft / name).parent.mkdir(parents=True, exist_ok=True)
                    linked(place / name, draft / name)
            for name, content in files.items():
                (draft / name).parent.mkdir(parents=True, exist_ok=True)
                (draft / name).write_bytes(content)
            exchange(draft, place, draft.with_name(f"{draft.name}{_OLD}"))
            shutil.rmtree(draft, ignore_errors=True)

    @contextmanager
    def healed(self) -> Iterator[None]:
        """Put back guides that a killed run had taken out, and leave nothing of a run behind."""
        self._clear_away()
        try:
            yield
        finally:
            self._clear_away()

    def _clear_away(self) -> None:
        with _failing_in_one_line(f"'{self.address}' cannot be written"):
            for left in self.root.glob(f"{WORKPLACE}*"):
                for old in left.glob(f"*{_OLD}"):
                    place = self.root / "g" / old.name.removesuffix(_OLD)
                    if not place.exists():
                        old.rename(place)
                shutil.rmtree(left, ignore_errors=True)

    @property
    def _workplace(self) -> Path:
        return self.root / f"{WORKPLACE}{os.getpid()}"

    def remove(self, path: str) -> None:
        place = self.root / path
        with _failing_in_one_line(
            f"'{without_code(path)}' cannot be deleted from '{self.address}'"
        ):
            place.unlink(missing_ok=True)
        with suppress(OSError):  # the first folder that still holds something ends it
            for folder in place.relative_to(self.root).parents[:-1]:
                (self.root / folder).rmdir()


@dataclass(frozen=True, slots=True)
class StoreDestination:
    """A place that fsspec reaches. ``system`` is its file system, ``root`` the path in it."""

    address: str
    system: Any
    root: str

    @classmethod
    def at(cls, address: str) -> "StoreDestination":
        """Open an address. UsageError where its kind is not known, or needs what is not here."""
        shown = without_password(address).rstrip("/")
        try:
            from fsspec.core import url_to_fs  # type: ignore[import-untyped]  # noqa: PLC0415  (an extra)
        except ImportError as error:
            raise UsageError(f"'{shown}' is no folder. {_EXTRA}") from error
        try:
            system, root = url_to_fs(address)
        except ImportError as error:
            raise UsageError(f"'{shown}' cannot be reached: {_reason(error)}. {_EXTRA}") from error
        except ValueError as error:
            right = "Write a folder, or an address such as s3://bucket/folder."
            raise UsageError(f"'{shown}' cannot be sent to: {_reason(error)}. {right}") from error
        except Exception as error:
            raise HandoverError(f"'{shown}' cannot be reached: {_reason(error)}.") from error
        return cls(shown, system, root.rstrip("/"))

    @property
    def at_once(self) -> int:
        return 16

    def holds(self) -> Mapping[str, Held]:
        with _failing_in_one_line(f"'{self.address}' cannot be read"):
            self.system.invalidate_cache()
            try:
                found = self.system.find(self.root, detail=True)
            except FileNotFoundError:
                found = {}
            start = len(self.root) + 1
            return {
                name[start:]: Held(int(about["size"]), _md5(about))
                for name, about in found.items()
                if about["type"] == "file"
            }

    def exists(self, path: str) -> bool:
        with _failing_in_one_line(f"'{self.address}' cannot be read"):
            return bool(self.system.isfile(self._name(path)))

    def agrees(self, path: str, held: Held, content: bytes) -> bool:
        digest = hashlib.md5(content, usedforsecurity=False).hexdigest()
        return held.size == len(content) and held.md5 == digest

    def put(self, path: str, content: bytes) -> None:
        name, told = self._name(path), self._headers_for(path)
        with _failing_in_one_line(f"'{without_code(path)}' cannot be written to '{self.address}'"):
            try:
                self.system.pipe_file(name, content, **told)
            except FileNotFoundError:
                if _protocols(self.system) & _OBJECT_STORES:
                    raise
                self.system.makedirs(name.rpartition("/")[0], exist_ok=True)
                self.system.pipe_file(name, content)

    def remove(self, path: str) -> None:
        with _failing_in_one_line(
            f"'{without_code(path)}' cannot be deleted from '{self.address}'"
        ):
            try:
                self.system.rm_file(self._name(path))
            except FileNotFoundError:
                return

    def _name(self, path: str) -> str:
        return f"{self.root}/{path}"

    def _headers_for(self, path: str) -> dict[str, str]:
        """What a store that serves its files itself is told of a file, as S3 names it."""
        if not _protocols(self.system) & _S3:
            return {}
        return {"ContentType": media_type(path), "CacheControl": kept_for(path)}


def _protocols(system: Any) -> frozenset[str]:
    named = system.protocol
    return frozenset((named,) if isinstance(named, str) else named)


def _md5(about: Mapping[str, Any]) -> str:
    """The MD5 that a store says: S3 gives it as the entity tag of a file sent in one piece
    (Amazon S3 API reference, Object, from memory); a tag of another form is no MD5."""
    found = _MD5.fullmatch(str(about.get("ETag", "")))
    return found[1] if found else ""


@contextmanager
def _failing_in_one_line(what: str) -> Iterator[None]:
    """Say in one line what went wrong at a destination, whatever its library raises."""
    try:
        yield
    except Exception as error:
        raise HandoverError(f"{what}: {_reason(error)}.") from error


def _reason(error: Exception) -> str:
    spoken = getattr(error, "strerror", None) or str(error) or type(error).__name__
    return " ".join(str(spoken).split()).rstrip(".")


def without_password(address: str) -> str:
    """An address as it may be shown: what stands before an @ in it is left out."""
    host = urlsplit(address).netloc
    return address.replace(host, host.rpartition("@")[2], 1) if "@" in host else address
