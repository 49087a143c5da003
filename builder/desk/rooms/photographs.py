"""The photographs of a plot: taken with a telephone, re-encoded, with a ring put where to look."""

from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory

from PIL import Image
from starlette.exceptions import HTTPException

from builder.board.looking import Looked
from builder.craft.pictures import LONGEST_SIDE, PictureError, form_of, published_copy
from builder.desk.answers import Answer, FileAnswer, PageAnswer, done, refused
from builder.desk.asked import Asked
from builder.desk.desk import Desk
from builder.desk.editing import Attempt, as_looked_at, attempt, save_of
from builder.desk.room import DeskRoom, form, page
from builder.desk.rooms.plots import PLOT, looked_at, named, path_of, plot_page
from builder.disk import true_place
from builder.model.equipment import Equipment
from builder.model.home import Home
from builder.saving.changes import Change, Picture, Put, Save

DEPARTURE = "photographs"
"""The departure of a plot under which its own photographs stand."""
LARGEST = 20 * 1024 * 1024
"""Bytes of one photograph. A telephone's has 2 to 12 million."""
KEPT_SIDE = 2 * LONGEST_SIDE
"""Pixels of the longer side of the copy that is kept: the guide shows a smaller one."""
SHOWN_WIDTH = 340
"""Pixels of the picture in which a ring is put: it fits a telephone held upright."""
_ONE_AT_MOST = 0.9999


@dataclass(frozen=True, slots=True)
class Shown:
    """A photograph of a home: its id, the piece that it shows, where its ring is in shares of the
    picture, and whether it was taken of this plot."""

    id: str
    shows: str
    piece: str
    title: str
    ring: tuple[float, float] | None
    own: bool


def photographs_of(looked: Looked) -> tuple[Shown, ...]:
    """Every photograph that the guide of a plot shows, piece by piece."""
    if looked.prepared is None:
        return ()
    home = looked.prepared.traced.home
    titles = {piece.id: piece.title for piece in looked.prepared.about.pieces}
    found = []
    for name, piece in home.equipment.items():
        for photo, ring in _rings_of_piece(piece):
            if photo in home.photos:
                place = looked.prepared.traced.place("photos", photo)
                shows = home.photos[photo].shows
                own = place.file == looked.plot.file
                found.append(Shown(photo, shows, name, titles.get(name, name), ring, own))
    return tuple(found)


def _rings_of_piece(piece: Equipment) -> list[tuple[str, tuple[float, float] | None]]:
    found: list[tuple[str, tuple[float, float] | None]] = [(piece.photo, None)] if piece.photo else []  # fmt: skip
    found += [(each.photo, each.ring) for each in piece.photos.values()]
    return found


def show(desk: Desk, asked: Asked) -> PageAnswer:
    """The photographs of a plot, and the form for one more."""
    return _page(desk, looked_at(desk, asked), Attempt())


def _page(desk: Desk, looked: Looked, result: Attempt) -> PageAnswer:
    pieces = looked.prepared.about.pieces if looked.prepared is not None else ()
    values = {
        "photographs": photographs_of(looked),
        "pieces": [(each.id, f"{each.title}, {each.room}") for each in pieces],
        "based_on": as_looked_at(desk, looked, looked.plot.file),
        "result": result,
        "width": SHOWN_WIDTH,
    }
    return plot_page(
        "photographs.html", looked, "photographs", values, 422 if result.errors else 200
    )


def _home(looked: Looked) -> Home:
    if looked.prepared is None:
        raise HTTPException(404)
    return looked.prepared.traced.home


def picture(desk: Desk, asked: Asked) -> FileAnswer:
    """A photograph of the home, small: looked up among those that the home has."""
    looked = looked_at(desk, asked)
    photo = _home(looked).photos.get(asked.named["photo"])
    path = desk.setting.root / photo.file if photo is not None else None
    inside = path is not None and true_place(path).is_relative_to(true_place(desk.setting.root))
    if path is None or not inside or not path.is_file():
        raise HTTPException(404)
    return FileAnswer(published_copy(path), _KINDS.get(path.suffix.lower(), "image/jpeg"))


_KINDS = {".png": "image/png", ".webp": "image/webp"}


def add(desk: Desk, asked: Asked) -> Answer:
    """Keep a photograph of a piece: only its pixels, upright and of sane size."""
    looked, back = looked_at(desk, asked), path_of(named(asked), "photographs")
    piece, upload = asked.text("piece"), asked.upload("photograph")
    if looked.prepared is None or piece not in looked.prepared.traced.home.equipment:
        return refused(back, "Choose what the photograph shows. Nothing was kept.")
    if upload is None or not upload.content or len(upload.content) > LARGEST:
        return refused(back, f"Choose a photograph of at most {LARGEST // (1024 * 1024)} MB. Nothing was kept.")  # fmt: skip
    try:
        copy = _copied(upload.content)
    except PictureError as error:
        return refused(back, f"The photograph {error.says} {error.right} Nothing was kept.")
    save = _saving(desk, asked, looked, piece, copy)
    result = attempt(desk, named(asked), save, only_try=False)
    if result.saved:
        return done(f"{back}#photographs", "The photograph is kept. Tap or click on it where to look, and a ring is put there.")  # fmt: skip
    return _page(desk, looked, result)


def _copied(content: bytes) -> bytes:
    """The pixels of a picture alone, as a JPEG or in its own form."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / f"photograph{form_of(content) or ''}"
        path.write_bytes(content)
        return published_copy(path, side=KEPT_SIDE)


def _saving(desk: Desk, asked: Asked, looked: Looked, piece: str, copy: bytes) -> Save:
    name = _free_name(desk, looked, piece)
    file = f"developments/{looked.plot.development}/photos/{name}{form_of(copy) or '.jpg'}"
    shows = asked.text("shows") or f"Where to find it: {_title(looked, piece)}"
    changes: tuple[Change, ...] = (
        *_headed(desk, looked),
        Put(_departure_path("photos", name), {"file": file, "shows": shows}),
        Put(_departure_path("equipment", piece, "photos", name), {"photo": name}),
    )
    return save_of(asked, {file: (Picture(copy),), looked.plot.file: changes}, f"Photograph of {_title(looked, piece)} in {named(asked)}")  # fmt: skip


def _title(looked: Looked, piece: str) -> str:
    pieces = looked.prepared.about.pieces if looked.prepared is not None else ()
    return next((each.title for each in pieces if each.id == piece), piece)


def _departure_path(*path: str) -> tuple[str, ...]:
    return ("departures", DEPARTURE, "changes", *path)


def _headed(desk: Desk, looked: Looked) -> tuple[Change, ...]:
    """The note and the day of the departure, where it is the plot's first photograph."""
    own = looked.plot.own
    told = own.child("departures") if own is not None else None
    if told is not None and DEPARTURE in told.children:
        return ()
    at = ("departures", DEPARTURE)
    return (Put((*at, "note"), "Photographs that were taken of this home."), Put((*at, "date"), desk.setting.today().isoformat()))  # fmt: skip


def _free_name(desk: Desk, looked: Looked, piece: str) -> str:
    """An id for a photograph that neither the home nor the folder has yet."""
    taken = set(_home(looked).photos)
    folder = desk.setting.root / "developments" / looked.plot.development / "photos"
    taken |= {each.stem for each in folder.glob("*")} if folder.is_dir() else set()
    name = f"plot-{looked.plot.number}-{piece}"[:58]
    return next(each for each in (f"{name}-{n}" for n in range(1, 999)) if each not in taken)


def put_ring(desk: Desk, asked: Asked) -> Answer:
    """Put a ring where to look: where the picture was tapped, or where two numbers say."""
    looked, back = looked_at(desk, asked), path_of(named(asked), "photographs")
    photo, piece = asked.text("photo"), asked.text("piece")
    known = next((each for each in photographs_of(looked) if (each.id, each.piece, each.own) == (photo, piece, True)), None)  # fmt: skip
    ring = _ring(desk, looked, asked)
    if known is None or ring is None:
        return refused(back, "A ring is put by tapping on a photograph of this plot, or by two numbers from 0 to 100.")  # fmt: skip
    change = Put(_departure_path("equipment", piece, "photos", photo, "ring"), list(ring))
    save = save_of(asked, {looked.plot.file: (change,)}, f"Ring on a photograph of {named(asked)}")
    result = attempt(desk, named(asked), save, only_try=False)
    if result.saved or result.nothing:
        return done(f"{back}#photographs", "The ring is put.")
    return _page(desk, looked, result)


def _ring(desk: Desk, looked: Looked, asked: Asked) -> tuple[float, float] | None:
    """Where the ring is, in shares of the picture from the left and from the top."""
    tapped = asked.text("tap.x"), asked.text("tap.y")
    if all(each.isdecimal() and len(each) < 6 for each in tapped):  # noqa: PLR2004
        photo = _home(looked).photos.get(asked.text("photo"))
        if photo is None:
            return None
        wide, high = _size(published_copy(desk.setting.root / photo.file))
        x, y = (int(each) / SHOWN_WIDTH for each in tapped)
        return _share(x), _share(y * wide / high)
    typed = asked.text("from-left"), asked.text("from-top")
    if all(each.isdecimal() and len(each) < 4 for each in typed):  # noqa: PLR2004
        x, y = (int(each) / 100 for each in typed)
        return _share(x), _share(y)
    return None


def _share(value: float) -> float:
    return round(min(max(value, 0.0), _ONE_AT_MOST), 3)


def _size(content: bytes) -> tuple[int, int]:
    with Image.open(BytesIO(content)) as found:
        return found.width, found.height


ROOM = DeskRoom(
    "photographs", "", "",
    (
        page(f"{PLOT}/photographs", show),
        page(f"{PLOT}/photographs/{{photo}}", picture),
        form(f"{PLOT}/photographs", add, "photographs"),
        form(f"{PLOT}/ring", put_ring, "photographs"),
    ),
)  # fmt: skip
