"""Stickers on site: each scanned where it sticks, the right one or a loud no, and ticked in the record."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

from starlette.exceptions import HTTPException

from builder.board.looking import Looked
from builder.craft.pictures import PictureError, form_of, opened
from builder.craft.symbols import texts_in
from builder.desk.answers import Answer, FileAnswer, PageAnswer
from builder.desk.asked import Asked, Upload
from builder.desk.desk import Desk
from builder.desk.pages import static
from builder.desk.room import DeskRoom, form, page
from builder.desk.rooms.plots import looked_at
from builder.readiness.assess import Readiness
from builder.register.on_site import StickerPlace, Verdict, code_in, judged, places_of
from builder.saving.changes import Change, Put, Save
from builder.saving.merging import Contest
from builder.sources.entry import plain

_RECORD = ("handover", "stickers")
EARLIEST = 60
"""Days for which a telephone may have been without signal."""


@dataclass(frozen=True, slots=True)
class PlaceLine:
    """A place, and the day on which the right sticker was scanned there."""

    place: StickerPlace
    found: str


def _places(desk: Desk, looked: Looked) -> tuple[StickerPlace, ...]:
    if looked.prepared is None:
        return ()
    return places_of(looked.prepared, desk.board.looking().register(looked.plot.development))


def _record(looked: Looked) -> Mapping[str, object]:
    """What the plot's file says of its stickers."""
    written = plain(looked.plot.own).get("handover") if looked.plot.own is not None else None
    return dict((written or {}).get("stickers") or {})


def _lines(desk: Desk, looked: Looked) -> tuple[PlaceLine, ...]:
    record = _record(looked)
    found = record.get("found")
    days = found if isinstance(found, Mapping) else {}
    whole = str(record.get("scanned") or "")
    return tuple(
        PlaceLine(
            each,
            str(days.get(each.equipment) or (whole if each.issued.isoformat() <= whole else "")),
        )
        for each in _places(desk, looked)
    )


def choose(desk: Desk, asked: Asked) -> Answer:
    """The plots, those with stickers to be scanned first by the day of handover."""
    view = desk.board.view()
    waiting = [each for each in view.plots if not _is_scanned(each.readiness)]
    found = sorted(waiting, key=lambda each: (each.facts.completion is None, each.facts.completion or date.max, each.reference))  # fmt: skip
    words = asked.query.get("find", "").strip().lower().split()
    shown = [each for each in found if all(word in f"{each.reference} {each.facts.address}".lower() for word in words)]  # fmt: skip
    values = {"plots": shown[:100], "more": max(0, len(shown) - 100), "words": asked.query.get("find", "")}  # fmt: skip
    return PageAnswer("on_site.html", "Stickers on site", "on-site", values)


def _is_scanned(readiness: Readiness | None) -> bool:
    return readiness is not None and not any(
        each.need.startswith("stickers.") for each in readiness.missing
    )


def show(desk: Desk, asked: Asked) -> Answer:
    """The stickers of one plot, in walking order."""
    looked = looked_at(desk, asked)
    at = asked.query.get("at", "")
    chosen = (each.place for each in _lines(desk, looked) if each.place.equipment == at and not each.found)  # fmt: skip
    return _page(desk, asked, looked, at=next(chosen, None))


def _page(
    desk: Desk, asked: Asked, looked: Looked, verdict: Verdict | None = None, at: StickerPlace | None = None,
    contests: tuple[Contest, ...] = (), refused: str = "",
) -> PageAnswer:  # fmt: skip
    lines = _lines(desk, looked)
    left = [each for each in lines if not each.found]
    following = at if at is not None and (verdict is None or verdict.sort != "right") else left[0].place if left else None  # fmt: skip
    values = {
        "reference": looked.plot.reference,
        "facts": looked.standing.facts,
        "lines": lines,
        "left": len(left),
        "following": following,
        "verdict": verdict,
        "judged_at": at,
        "contests": contests,
        "refused": refused,
        "opened": desk.saves.opened(looked.plot.file).digest,
        "may": asked.who.may("stickers"),
        "today_iso": desk.setting.today().isoformat(),
    }
    return PageAnswer("on_site_plot.html", f"Stickers of {looked.plot.reference}", "on-site", values)  # fmt: skip


def scan(desk: Desk, asked: Asked) -> Answer:
    """One sticker at one place: typed, or on a photograph. The right one is ticked in the record."""
    looked = looked_at(desk, asked)
    lines = _lines(desk, looked)
    place = next((each.place for each in lines if each.place.equipment == asked.text("place")), None)  # fmt: skip
    if place is None:
        raise HTTPException(404)
    scanned, wrong = _scanned(asked)
    looking = desk.board.looking()
    registers = {name: looking.register(name) for name in looking.workspace.developments}
    verdict = Verdict("unread", wrong) if wrong else judged(scanned, place, tuple(each.place for each in lines), looking.workspace, registers)  # fmt: skip
    if verdict.sort != "right":
        return _page(desk, asked, looked, verdict, place)
    contests = _tick(desk, asked, looked, {place.equipment: desk.setting.today()})
    return _page(desk, asked, desk.board.plot(looked.plot.reference), verdict, place, contests)


def _scanned(asked: Asked) -> tuple[str, str]:
    """What was typed or photographed, or what is wrong with it."""
    if asked.text("code"):
        return asked.text("code"), ""
    photograph = asked.upload("photograph")
    if photograph is None:
        return "", "Type the code, or take a photograph of the sticker."
    found = _codes_in_photograph(photograph)
    codes = [each for each in found if code_in(each)]
    if len(codes) > 1:
        return "", "There is more than one sticker on the photograph. Take it of one alone."
    if codes:
        return codes[0], ""
    return "", "No sticker can be read on the photograph. Hold the telephone closer, or type the code."  # fmt: skip


def _codes_in_photograph(upload: Upload) -> tuple[str, ...]:
    ending = form_of(upload.content)
    if ending is None:
        return ()
    with TemporaryDirectory() as folder:
        path = Path(folder) / f"photograph{ending}"
        path.write_bytes(upload.content)
        try:
            with opened(path) as picture:
                return texts_in(picture)
        except PictureError:
            return ()


def _tick(
    desk: Desk, asked: Asked, looked: Looked, days: Mapping[str, date]
) -> tuple[Contest, ...]:
    """Write in the plot's record that stickers were found; the last one says that all were."""
    lines, file = _lines(desk, looked), looked.plot.file
    new = {name: day for name, day in days.items() if not any(each.place.equipment == name and each.found for each in lines)}  # fmt: skip
    if not new:
        return ()
    changes = list(_changes(lines, new, _record(looked)))
    places = {each.place.equipment: each.place.title for each in lines}
    reason = f"Scanned where it sticks: {', '.join(places[each] for each in new)}"[:300]
    based_on = {file: desk.saves.opened(file).digest}
    save = Save(asked.who.role, reason, {file: tuple(changes)}, based_on)
    done = desk.saves.save(save, desk.setting.now())
    return done if isinstance(done, tuple) else ()


def _changes(
    lines: tuple[PlaceLine, ...], new: Mapping[str, date], record: Mapping[str, object]
) -> Iterator[Change]:
    for name, day in new.items():
        yield Put((*_RECORD, "found", name), day.isoformat())
    if all(each.found or each.place.equipment in new for each in lines):
        last = max((*(each.found for each in lines if each.found), *(each.isoformat() for each in new.values())))  # fmt: skip
        if not record.get("fixed"):
            yield Put((*_RECORD, "fixed"), last)
        yield Put((*_RECORD, "scanned"), last)


def sync(desk: Desk, asked: Asked) -> Answer:
    """Ticks of a telephone that was without signal: each a code at a place, on a day. What is not right
    is told, and never ticked."""
    looked = looked_at(desk, asked)
    lines = {each.place.equipment: each for each in _lines(desk, looked)}
    today, days, refused = desk.setting.today(), {}, 0
    for tick in asked.several("tick")[:500]:
        equipment, code, written = (*tick.split(" "), "", "", "")[:3]
        line = lines.get(equipment)
        if line is None or code_in(code) != line.place.code:
            refused += 1
            continue
        days[equipment] = _day(written, today)
    contests = _tick(desk, asked, looked, days)
    says = f"{refused} of the stickers that were scanned without signal are not the right ones any more: scan them again." if refused else ""  # fmt: skip
    return _page(desk, asked, desk.board.plot(looked.plot.reference), contests=contests, refused=says)  # fmt: skip


def _day(written: str, today: date) -> date:
    """The day on which a telephone says that it scanned; today, where that cannot be."""
    try:
        day = date.fromisoformat(written)
    except ValueError:
        return today
    return day if 0 <= (today - day).days <= EARLIEST else today


def worker(desk: Desk, asked: Asked) -> Answer:
    """The script that keeps the pages of this room on a telephone."""
    del desk, asked
    return FileAnswer(static("on-site-worker.js"), "text/javascript; charset=utf-8")


PLOT = "/on-site/{development}/{plot}"
ROOM = DeskRoom(
    "on-site", "Stickers on site", "/on-site",
    (
        page("/on-site", choose),
        page("/on-site/worker.js", worker),
        page(PLOT, show),
        form(PLOT, scan, "stickers"),
        form(f"{PLOT}/sync", sync, "stickers"),
    ),
)  # fmt: skip
