"""Stickers where they stick: which one belongs at each place of a home, and what one that was scanned is."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal

from builder.preparing import Prepared
from builder.register.codes import normal, sound
from builder.register.issuing import stickers_of
from builder.register.labelling import labels_of
from builder.register.lines import Register
from builder.sources.named_plots import today_of
from builder.sources.workspace import Workspace

_ADDRESS = re.compile(r"/[qQ]/([0-9A-Za-z]+)/?(?:[?#].*)?$")


@dataclass(frozen=True, slots=True)
class StickerPlace:
    """One place for a sticker: the piece that it is for, its code, since when, and where it sticks."""

    equipment: str
    code: str
    issued: date
    title: str
    room: str
    where: str


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a sticker is at a place. ``says``: what it is for, or what to do."""

    sort: Literal["right", "wrong", "unread"]
    says: str


def places_of(prepared: Prepared, register: Register) -> tuple[StickerPlace, ...]:
    """The places of a home whose stickers are issued, in walking order."""
    live = {each.issued.code: each for each in stickers_of(prepared, register) if each.live}
    return tuple(
        StickerPlace(str(live[each.code].equipment), each.code, live[each.code].issued.issued,
              each.equipment, each.room, each.where)
        for each in labels_of(prepared, register)
        if each.code in live
    )  # fmt: skip


def code_in(scanned: str) -> str:
    """The code in what a sticker holds, or in what somebody typed; "" where there is none."""
    found = _ADDRESS.search(scanned.strip())
    code = normal(found[1] if found else scanned.strip())
    return code if sound(code) else ""


def judged(
    scanned: str,
    place: StickerPlace,
    places: tuple[StickerPlace, ...],
    workspace: Workspace,
    registers: Mapping[str, Register],
) -> Verdict:
    """Whether what was scanned is the sticker of a place; if not, whose it is. ``registers``: by
    development."""
    code = code_in(scanned)
    if not code:
        return Verdict("unread", "This is no code of a sticker. Scan it again, or type the code that is printed on it.")  # fmt: skip
    if code == place.code:
        return Verdict("right", f"{place.title}: {place.where}.")
    own = next((each for each in places if each.code == code), None)
    if own is not None:
        return Verdict("wrong", f"This sticker is for {_low(own.title)}: {own.where}. Take it off, and put it there.")  # fmt: skip
    return Verdict("wrong", _elsewhere(code, workspace, registers))


def _elsewhere(code: str, workspace: Workspace, registers: Mapping[str, Register]) -> str:
    """What a sticker is that belongs at no place of this home."""
    for development, register in registers.items():
        issued = next((each for each in register.codes if each.code == code), None)
        if issued is None:
            continue
        if code in register.void:
            return "This sticker was taken back. Take it off, and throw it away."
        about = issued.wanted
        thing = "the guide" if about.leads_to == "guide" else about.kind or about.equipment
        issued_for = about.plot if "/" in about.plot else f"{development}/{about.plot}"
        plot = today_of(workspace, issued_for)
        return f"This sticker belongs to plot {plot} ({thing}), or to something that is gone. Take it off, and keep it apart."  # fmt: skip
    return "This code is in no register here. Take the sticker off, and ask where it came from."


def _low(title: str) -> str:
    return title[:1].lower() + title[1:]
