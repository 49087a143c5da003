"""A guide in one file, to be opened from a disk: for a landlord, an agent, or whoever has no network."""

from collections.abc import Iterator, Mapping
from datetime import date
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from builder.build.plot_writing import codes_of
from builder.errors import Finding, Findings, HandoverError
from builder.guide.changes import without_changes
from builder.guide.report_pages import with_codes
from builder.guide.translating import in_all_languages
from builder.preparing import Preparation, Prepared
from builder.register.issuing import stickers_in
from builder.register.reading import read_register
from builder.writers.site.engine import SiteWriter
from builder.writers.site.from_disk import for_disk

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
    register = read_register(folder, prepared.plot.development, Findings())
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
