"""All that templates may say of one home, by the names that authors use."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from builder.guide.pieces import Piece, ZonePiece, pieces_of, zones_of
from builder.guide.plan.plans import Plans
from builder.guide.prose import dialled
from builder.guide.schedule.wording import hours_of
from builder.guide.view import View, view
from builder.model.article import Article
from builder.model.home import Home
from builder.model.record import entries_of
from builder.model.services import Utility
from builder.selection.choosing import Selection
from builder.selection.conditions import judge, kinds_in

_NAMED_ROOMS = ("windows", "finishes")


@dataclass(frozen=True)
class About:
    """One home in words, with the selection that was made for it."""

    home: Home
    selection: Selection

    @cached_property
    def pieces(self) -> tuple[Piece, ...]:
        return pieces_of(self.home)

    @cached_property
    def plans(self) -> Plans:
        """The plans of the home; nothing is drawn before a page asks."""
        return Plans(self.home, self.pieces)

    @cached_property
    def zones(self) -> tuple[ZonePiece, ...]:
        return zones_of(self.home, self.pieces)

    @cached_property
    def contacts(self) -> dict[str, dict[str, Any]]:
        """The contacts that concern this home, by id."""
        return {
            name: {"id": name, **entries_of(contact), "hours": hours_of(contact)}
            for name, contact in self.home.contacts.items()
            if self.applies(contact)
        }

    def of_kinds(self, *kinds: str) -> tuple[Piece, ...]:
        return tuple(piece for piece in self.pieces if piece.kind in kinds)

    def values(self, article: Article) -> dict[str, Any]:
        """What the body of an article may use: see DEVELOPERS.md, "An article"."""
        served = self.of_kinds(*article.front.equipment)
        return {**self._common, "equipment": self._views(served)}

    @cached_property
    def _common(self) -> dict[str, Any]:
        chosen = {article.id for article in self.selection.articles}
        kinds = {kind for kind, _ in kinds_in(self.home)}
        emitters = tuple(each for zone in self.zones for each in zone.emitters)
        return {
            "home": view("home", self.home),
            "contacts": view(
                "contacts", {name: _dialled(each) for name, each in self.contacts.items()}
            ),
            "zones": view("zones", self.zones),
            "emitters": view("emitters", emitters),
            "emitters_of": lambda *names: view(
                "emitters", tuple(each for each in emitters if each.kind in names)
            ),
            "pieces": lambda *names: self._views(self.of_kinds(*names)),
            "has_article": chosen.__contains__,
            "has_kind": kinds.__contains__,
            **self._listed,
        }

    @cached_property
    def _listed(self) -> dict[str, Any]:
        """Sections that repeat, as lists whose entries carry their id and the names of rooms."""
        return {name: self._list(name) for name in (
            "rooms", "doors", "windows", "lawns", "fences", "gates", "parking", "stores",
            "communal", "keys", "finishes", "utilities", "options",
        )}  # fmt: skip

    def _list(self, section: str) -> tuple[View, ...]:
        entries: Mapping[str, Any] = getattr(self.home, section)
        return tuple(
            view(f"{section}.{name}", {"id": name, **self._named(entries_of(entry), section)})
            for name, entry in entries.items()
            if self.applies(entry)
        )

    def applies(self, entry: Any) -> bool:
        """Whether an entry that says when it applies does so in this home."""
        when = getattr(entry, "when", None)
        return when is None or judge(when, self.home).holds

    @property
    def utilities(self) -> tuple[Utility, ...]:
        return tuple(each for each in self.home.utilities.values() if self.applies(each))

    def _named(self, entry: dict[str, Any], section: str) -> dict[str, Any]:
        """An entry with the names of what it refers to in place of their ids."""
        rooms = self.home.rooms
        if section in _NAMED_ROOMS:
            entry["room_id"], entry["room"] = entry["room"], rooms[entry["room"]].name
        if section == "doors":
            entry["rooms"] = tuple(rooms[room].name for room in entry["between"])
        if section == "rooms" and entry["floor"]:
            entry["floor"] = self.home.floors[entry["floor"]].name
        if section == "communal":
            entry["looked_after_by"] = _dialled(
                entries_of(self.home.contacts[entry["looked_after_by"]])
            )
        if section == "utilities":
            entry = _dialled(entry)
            entry["meter"] = next((each for each in self.pieces if each.id == entry["meter"]), None)
        return entry

    def _views(self, pieces: tuple[Piece, ...]) -> tuple[View, ...]:
        return tuple(piece_view(piece) for piece in pieces)


def _dialled(entry: Mapping[str, Any]) -> dict[str, Any]:
    """An entry whose telephone number dials when it is touched."""
    telephone = entry["telephone"]
    return {**entry, "telephone": None if telephone is None else dialled(telephone)}


def piece_view(piece: Piece) -> View:
    """A piece as articles see it: its facts by their ids."""
    entries = {name: getattr(piece, name) for name in piece.__slots__}
    entries["facts"] = View(f"{piece.id}.facts", dict(piece.facts_by_id))
    return View(piece.id, entries)
