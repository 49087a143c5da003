"""A guide in one file, to be opened from a disk: for a landlord, an agent, or whoever has no network.

Every link in it names a file, and nothing is fetched. Browsers show no folder's first page there and let no
script fetch a file, so that links end in ``index.html``, and the words that readers look for are a script.
"""

import posixpath
import re
from collections.abc import Iterator, Mapping
from datetime import date
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from builder.build.plot_writing import codes_of
from builder.errors import Finding, HandoverError
from builder.guide.changes import without_changes
from builder.guide.report_pages import with_codes
from builder.guide.translating import in_all_languages
from builder.preparing import Preparation, Prepared
from builder.register.issuing import stickers_in
from builder.register.moving import register_of
from builder.writers.site.converting import WORDS
from builder.writers.site.engine import SiteWriter
from builder.writers.site.offline import WORKER

_EARLIEST = (1980, 1, 1, 0, 0, 0)
"""The day that every file in a copy bears, the first that the form has: no clock is read."""
_READABLE = 0o100644 << 16


def copy_of(
    preparation: Preparation, reference: str, day: date, *, own_code: bool = False
) -> bytes:
    """The guide of a plot as a ZIP file. The same guide gives the same bytes.

    Raises:
        HandoverError: the site engine warns of something in the guide.
    """
    prepared = preparation.plots[reference]
    files = _files(preparation, prepared, day, own_code=own_code)
    return _zipped(f"{prepared.plot.development}-{prepared.plot.number}", for_disk(files))


def _files(
    preparation: Preparation, prepared: Prepared, day: date, *, own_code: bool
) -> dict[str, bytes]:
    """The files of a plot's guide in all its languages, the theme's among them."""
    folder = preparation.workspace.folder
    register = register_of(preparation.workspace, prepared.plot.development)
    stickers = stickers_in(prepared.plot, prepared.traced.home, register)
    codes = codes_of(stickers)
    guide = in_all_languages(
        with_codes(without_changes(prepared.guide), prepared.about, codes),
        [with_codes(without_changes(each.guide), each.about, codes) for each in prepared.others],
    )
    code = register.guide(prepared.plot.numbers) or prepared.plot.reference
    writer = SiteWriter(folder.root, own_code=own_code)
    with TemporaryDirectory() as place:
        # The address is that of no host: nothing in a copy leads to the web.
        _refuse(writer.write(guide, Path(place), "https://copy.example/"))
        files = dict(_read(Path(place)))
    if guide.schedule.completion is not None:
        # What writes calendars takes long to load, and not every home has dates.
        from builder.writers.calendar.writing import next_editions  # noqa: PLC0415

        files |= next_editions(guide, code, day, lambda _: None)
    return files


def _refuse(findings: tuple[Finding, ...]) -> None:
    if findings:
        raise HandoverError("\n".join(str(each) for each in findings))


def _read(folder: Path) -> Iterator[tuple[str, bytes]]:
    for path in sorted(folder.rglob("*")):
        if path.is_file():
            yield path.relative_to(folder).as_posix(), path.read_bytes()


def _zipped(folder: str, files: Mapping[str, bytes]) -> bytes:
    """Files in one folder of a ZIP file, in the order of their names."""
    whole = BytesIO()
    with ZipFile(whole, "w", ZIP_DEFLATED, compresslevel=9) as file:
        for name, content in sorted(files.items()):
            entry = ZipInfo(f"{folder}/{name}", _EARLIEST)
            entry.compress_type, entry.external_attr, entry.create_system = (
                ZIP_DEFLATED,
                _READABLE,
                3,
            )
            file.writestr(entry, content)
    return whole.getvalue()


_PAGE = "index.html"
_LINK = re.compile(r'(<(?:a|link|script|img)\b[^>]*?\s(?:href|src)=")([^"]*)(")')
_ELSEWHERE = re.compile(r"[a-z][a-z0-9+.-]*:|#|/", re.IGNORECASE)
_FOR_SERVERS = frozenset({WORKER, "sitemap.xml", "sitemap.xml.gz", "404.html"})
"""Files that only a guide on the web has a use for."""


def for_disk(files: Mapping[str, bytes]) -> dict[str, bytes]:
    """The files of a guide as they open from a disk, by their paths in it."""
    return dict(
        _on_disk(name, content) for name, content in files.items() if name not in _FOR_SERVERS
    )


def _on_disk(name: str, content: bytes) -> tuple[str, bytes]:
    """A file as it is on a disk: its path, and what it holds. Each language has words of its own."""
    if name == WORDS or name.endswith(f"/{WORDS}"):
        script = b"window.handoverWords = " + content + b";\n"
        return f"{name.removesuffix('.json')}.js", script
    return name, _page(name, content) if name.endswith(".html") else content


def _page(name: str, content: bytes) -> bytes:
    """A page whose links name files. No worker keeps it: it is kept already."""
    here = posixpath.dirname(name)

    def named(found: re.Match[str]) -> str:
        before, target, after = found.groups()
        return f"{before}{_file(target, here)}{after}"

    page = content.decode("utf-8").replace(" data-keeps", "").replace(" data-clears", "")
    return _LINK.sub(named, page).encode()


def _file(target: str, here: str) -> str:
    """Where a link of a page in a folder leads, as a file."""
    path, mark, place = target.partition("#")
    if not path or _ELSEWHERE.match(target):
        return target
    folder = path.endswith("/") or path in (".", "..")
    whole = posixpath.join(here, path, _PAGE if folder else "")
    return f"{posixpath.relpath(posixpath.normpath(whole), here or '.')}{mark}{place}"
