"""The pictures beside the pages of a guide: photographs, each copied once for all guides of a process,
and the look of its builder, a small style sheet over the theme's and the logo. Knows no site engine.

``photos/`` holds what is seen when a picture is touched, ``photos/small/`` what stands on a page, and
``photos/room/`` what stands beside the name of a room on the first page.
"""

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from builder.craft.logos import published_logo
from builder.craft.pictures import COPY_SIDE, LONGEST_SIDE, published_copy
from builder.guide.pages import Guide, GuideLook, Photograph
from builder.home.palette import Tones
from builder.recent import RecentResults

FOLDER, STYLE = "photos", "look.css"
ROOM = 240
"""Pixels of the longer side beside the name of a room."""

COPIES = 200
"""Copies that a process keeps: those of the photographs of some house types."""


class Copies:
    """Makes the copies of photographs of one workspace."""

    def __init__(self, root: Path) -> None:
        self._root = root
        self._made: RecentResults[tuple[object, ...], bytes] = RecentResults(COPIES)

    def files(self, photographs: Iterable[Photograph]) -> Mapping[str, bytes]:
        """The files of a guide's photographs by their paths in it."""
        return {path: self._copy(each, side) for each in photographs for path, side in _paths(each)}

    def file(self, photographs: Iterable[Photograph], name: str) -> bytes | None:
        """One of them by its path; nothing where no photograph has it."""
        named = (
            (each, side) for each in photographs for path, side in _paths(each) if path == name
        )
        return next((self._copy(each, side) for each, side in named), None)

    def large(self, photograph: Photograph) -> bytes:
        """The largest copy that is published."""
        return self._copy(photograph, LONGEST_SIDE)

    def _copy(self, photograph: Photograph, side: int) -> bytes:
        key = (photograph.file, photograph.ring, photograph.mirrored, side)
        known = self._made.get(key)
        if known is None:
            file, mirrored = self._root / photograph.file, photograph.mirrored
            made = published_copy(file, side, photograph.ring, mirrored=mirrored)
            known = self._made.keep(key, made)
        return known


def _paths(photograph: Photograph) -> Iterator[tuple[str, int]]:
    yield f"{FOLDER}/{photograph.name}", LONGEST_SIDE
    yield f"{FOLDER}/small/{photograph.name}", COPY_SIDE
    if photograph.of_room:
        yield f"{FOLDER}/room/{photograph.name}", ROOM


def look_files(look: GuideLook | None, root: Path) -> Mapping[str, bytes]:
    """The files of a guide's look, by their names in it; ``root``: the workspace."""
    return dict(_files(look, root)) if look else {}


def look_names(guide: Guide) -> tuple[str, ...]:
    """The names of the files of a guide's look."""
    look = guide.look
    if look is None:
        return ()
    return (STYLE, look.logo.name) if look.logo else (STYLE,)


def shown_in_frame(name: str, look: GuideLook | None) -> Mapping[str, str]:
    """What the frame says of a builder: its name, and of its look the style sheet, the logo, and what
    that shows."""
    if look is None:
        return {"name": name}
    logo = {"logo": look.logo.name, "shows": look.logo.shows} if look.logo else {}
    return {"name": name, "style": STYLE, **logo}


def _files(look: GuideLook, root: Path) -> Iterator[tuple[str, bytes]]:
    yield STYLE, _style(look).encode()
    if look.logo:
        yield look.logo.name, published_logo(root / look.logo.file)


def _style(look: GuideLook) -> str:
    return f"{_tones(look.light)}@media (prefers-color-scheme:dark){{{_tones(look.dark)}}}\n"


def _tones(tones: Tones) -> str:
    """The names that the theme's style sheet has for them."""
    return (
        f":root{{--brand:{tones.colour};--brand-ink:{tones.ink};--link:{tones.colour};"
        f"--paper:{tones.ground};--card:{tones.card}}}"
    )
