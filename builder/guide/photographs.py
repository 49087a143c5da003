"""The photographs of a home: what each shows, where to look on it, and how large its small copy is."""

from collections.abc import Callable, Iterator, Mapping
from pathlib import PurePosixPath

from builder.craft.pictures import COPY_SIDE
from builder.guide.pages import Photograph
from builder.model.equipment import Equipment
from builder.model.home import Home

Size = tuple[int, int]
"""Pixels, width and height."""
Ring = tuple[float, float]
"""Where to look on a picture: shares of its width from the left, and of its height from the top."""
SizeOf = Callable[[str], Size | None]
"""The size of the picture in a file of the workspace; none where it cannot be read."""


def names_of(piece: Equipment) -> tuple[str, ...]:
    """The names that the photographs of a piece have in a guide, without what their form adds."""
    return tuple(
        dict.fromkeys(_name_of_file(photo, ring) for photo, ring in _photographs_with_rings(piece))
    )


def _photographs_with_rings(piece: Equipment) -> Iterator[tuple[str, Ring | None]]:
    """The photographs of a piece, each with its ring: first the only one, where that is all it has."""
    if piece.photo:
        yield piece.photo, None
    for each in piece.photos.values():
        yield each.photo, each.ring


def photographs_of(home: Home, size_of: SizeOf) -> Iterator[Photograph]:
    """The photographs that pieces and rooms of a home show, each once, by name."""
    of_rooms = {room.photo: None for room in home.rooms.values() if room.photo}
    of_pieces = {
        each for piece in home.equipment.values() for each in _photographs_with_rings(piece)
    }
    shown = {_name_of_file(*each): each for each in (*of_pieces, *of_rooms.items())}
    for name, (photo, ring) in sorted(shown.items()):
        found = home.photos[photo]
        mirrored = found.hand not in (None, home.plot.hand)
        width, height = _fitting(size_of(found.file) or (4, 3))
        yield Photograph(
            file=found.file,
            name=f"{name}{PurePosixPath(found.file).suffix.lower()}",
            shows=found.shows,
            ring=(1 - ring[0], ring[1]) if ring and mirrored else ring,
            width=width,
            height=height,
            of_room=name in of_rooms,
            mirrored=mirrored,
        )


def _fitting(size: Size) -> Size:
    """The size of a picture whose longer side is no longer than the small copy's."""
    share = min(1.0, COPY_SIDE / max(size))
    return max(1, round(size[0] * share)), max(1, round(size[1] * share))


def _name_of_file(photo: str, ring: Ring | None) -> str:
    """Ids have no dots, so that a photograph with a ring never takes the name of another."""
    return photo if ring is None else f"{photo}.{round(ring[0] * 1000)}-{round(ring[1] * 1000)}"


def by_name(photographs: tuple[Photograph, ...]) -> Mapping[str, Photograph]:
    """Photographs by their names without what their form adds."""
    return {each.name.rpartition(".")[0]: each for each in photographs}
