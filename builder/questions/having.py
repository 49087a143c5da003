"""What each home has, as a recall asks for it: every piece by make, model, kind and room.

The same names are alike here as for ``handover find``: capitals, spaces and signs do not matter.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, fields

from builder.preparing import Prepared
from builder.questions.document import Origin, origin_in
from builder.questions.pieces import alike_to, plainly


@dataclass(frozen=True, slots=True)
class Having:
    """One piece that one plot has: what a maker's notice names it by, where it is, and who says so.

    ``page``: the path of its page in the plot's guide, "" where it has none.
    """

    id: str
    title: str
    kind: str
    kind_name: str
    make: str
    model: str
    serial: str
    room: str
    where: str
    page: str
    origin: Origin


@dataclass(frozen=True, slots=True)
class Sought:
    """What a recall is about. All that is given must be true of one and the same piece."""

    make: str = ""
    model: str = ""
    kind: str = ""
    room: str = ""

    @property
    def empty(self) -> bool:
        return not any(getattr(self, each.name) for each in fields(self))

    def takes(self, piece: Having) -> bool:
        """Whether a piece is what is sought."""
        return self._fits(piece) and all(
            not asked or plainly(asked) == plainly(said)
            for asked, said in ((self.make, piece.make), (self.model, piece.model))
        )

    def may_take(self, piece: Having) -> bool:
        """Whether a piece may be it, because its make or model is recorded nowhere."""
        named = [(self.make, piece.make), (self.model, piece.model)]
        asked = [(wanted, said) for wanted, said in named if wanted]
        known = [(wanted, said) for wanted, said in asked if said]
        sure = bool(known) or bool(self.kind)
        return (
            bool(asked)
            and len(known) < len(asked)
            and sure
            and self._fits(piece)
            and all(plainly(wanted) == plainly(said) for wanted, said in known)
        )

    def _fits(self, piece: Having) -> bool:
        return self.kind in ("", piece.kind) and self.room in ("", piece.room)

    def lookalikes(self, pieces: Iterable[Having]) -> tuple[tuple[str, str], ...]:
        """Makes and models that may be the one that is sought, and were not counted as it."""
        listed = list(pieces)
        found = (
            (what, said)
            for what, asked in (("make", self.make), ("model", self.model))
            if asked
            for said in alike_to(asked, {getattr(each, what) for each in listed} - {""})
        )
        return tuple(found)


def pieces_in(prepared: Prepared) -> Iterator[Having]:
    """Every piece of a home, in the order of its rooms; emitters have a kind and a place alone."""
    home, merged = prepared.traced.home, prepared.traced.merged
    paths = {page.id: page.path for page in prepared.guide.pages}
    for piece in prepared.about.pieces:
        serial = home.equipment[piece.id].serial or ""
        said = "make" if piece.make else "kind"
        yield Having(
            piece.id, piece.title, piece.kind, piece.kind_name, piece.make or "", piece.model or "",
            serial, piece.room, piece.where, paths.get(f"equipment:{piece.id}", ""),
            origin_in(merged, ("equipment", piece.id, said)),
        )  # fmt: skip
    for zone_id, zone in home.zones.items():
        for name, each in zone.emitters.items():
            kind, room = home.kinds[each.kind].name, home.rooms[each.room].name
            yield Having(
                name, kind, each.kind, kind, "", "", "", room,
                f"{room}, {each.place}" if each.place else room, paths.get(f"room:{each.room}", ""),
                origin_in(merged, ("zones", zone_id, "emitters", name, "kind")),
            )  # fmt: skip
