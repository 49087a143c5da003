"""All that templates may say of one home, by the names that authors use."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from builder.errors import suggestion
from builder.guide.listed import with_names
from builder.guide.pieces import (
    EmitterPiece,
    Piece,
    ZonePiece,
    contacts_named_by,
    doing_by_kind,
    home_with_only,
    needing_mains,
    numbered_by_kind,
    piece_view,
    pieces_of,
    zones_of,
)
from builder.guide.plan.marks import North, compass, north_mark
from builder.guide.plan.plans import Plans
from builder.guide.prose import Prose, with_dialling
from builder.guide.schedule.wording import hours_of
from builder.guide.terms import covered_first
from builder.guide.view import MissingValueError, View, view
from builder.guide.wall.view import Walls
from builder.guide.whom import CARE, CalledFor, whom_to_call
from builder.home.roles import holder_of
from builder.languages.language import FIRST, Language, Say
from builder.layers.memo import Memo
from builder.model.article import Article, FrontMatter
from builder.model.home import Home
from builder.model.nation import Nation
from builder.model.people import Contact
from builder.model.record import entries_of
from builder.model.services import Utility
from builder.selection.choosing import Selection
from builder.selection.conditions import Judge, fuels_in, kinds_in, work_of

_DRAWN = ("floors", "rooms", "room_kinds", "doors", "windows", "stairs", "fittings", "equipment", "kinds", "garage", "systems")  # fmt: skip
"""The sections of a home that plans are drawn from. They see no other."""
_NAMES_IN = {
    "windows": ("rooms",), "finishes": ("rooms",), "doors": ("rooms", "room_kinds"), "rooms": ("floors",),
    **dict.fromkeys(("communal", "premises"), ("contacts",)),
}  # fmt: skip
"""For each section whose entries name entries of others: those."""
_LISTED = (
    "rooms", "doors", "windows", "lawns", "fences", "gates", "parking", "stores",
    "communal", "keys", "finishes", "utilities", "options", "parts", "premises", "documents",
)  # fmt: skip
_BEHIND = {
    "equipment": "pieces", "pieces": "pieces", "stops_without_power": "pieces", "zones": "zones",
    "emitters": "zones", "emitters_of": "zones", "contacts": "contacts", "has_article": "chosen", "has_kind": "kinds",
    "home_is": "true_names", "has_fuel": "fuels", "whom_to_call": "pieces",
    "terms": "terms", "nation": "nation", "covered": "covered",
}  # fmt: skip
"""For each further name that articles use: what of a home stands behind it."""
NAMES = frozenset({*_LISTED, *_BEHIND})
"""The names that articles use, but for ``home``."""
QUESTIONS = frozenset({"pieces", "has_article", "has_kind", "has_fuel", "home_is", "whom_to_call"})
"""Those of them that are asked with words."""


@dataclass(frozen=True)
class About:
    """One home in words, with the selection that was made for it."""

    home: Home
    selection: Selection
    kept: Memo = field(default_factory=Memo, compare=False, repr=False)
    without_own: Home | None = field(default=None, compare=False, repr=False)
    """The home without what is one plot's own, where that is known."""
    as_drawn: Home | None = field(default=None, compare=False, repr=False)
    """The same as its authors drew it, before it was turned to the hand of the plot."""
    language: Language = field(default=FIRST, compare=False, repr=False)
    in_first: "About | None" = field(default=None, compare=False, repr=False)
    """The same home in the first language, where this is in another."""

    @cached_property
    def bodies(self) -> dict[str, Prose]:
        """The bodies of its articles that were asked for so far, by their ids."""
        return {}

    @property
    def alike(self) -> Home:
        """The home whose sections are the very same as those of its like."""
        return self.without_own or self.home

    @property
    def say(self) -> Say:
        """Says a sentence in the language of the guide."""
        return self.language.say

    @property
    def plainly(self) -> "About":
        """The same home in the first language: what is compared by its words is compared there."""
        return self.in_first or self

    @cached_property
    def pieces(self) -> tuple[Piece, ...]:
        home = self.alike
        read = (home.equipment, home.kinds, home.rooms, home.floors, home.contacts)
        parts = (pieces_of, *read, home.reused_water)
        return self.kept.made_from(parts, lambda: self.kept.same(pieces_of(home, self.language)))

    @cached_property
    def plans(self) -> Plans:
        """The plans of the home, without a north mark: homes that are drawn alike share them. Nothing
        is drawn before a page asks."""
        drawn = {name: self.kept.alike(getattr(self.alike, name)) for name in _DRAWN}
        parts = (Plans, self.pieces, *drawn.values())
        return self.kept.made_from(
            parts, lambda: Plans(home_with_only(drawn), self.pieces, self.kept, self.language)
        )

    @property
    def north(self) -> North | None:
        """Where north is on the plans, where that is known."""
        faces = self.home.plot.front_faces
        return (
            None if faces is None else North(north_mark(faces), self.language.text(compass(faces)))
        )

    @cached_property
    def walls(self) -> Walls:
        """The walls of the home, for what hangs on them: homes that are built alike share them,
        whatever hangs there."""
        plans = self.plans
        return self.kept.made_from((Walls, plans.built), lambda: Walls(plans.survey))

    @cached_property
    def zones(self) -> tuple[ZonePiece, ...]:
        home, pieces = self.home, self.pieces
        parts = (zones_of, home.zones, home.kinds, home.rooms, home.contacts, pieces)
        return self.kept.made_from(parts, lambda: self.kept.same(zones_of(home, pieces)))

    @cached_property
    def contacts(self) -> dict[str, dict[str, Any]]:
        """The contacts that concern this home, by id."""
        contacts = self.home.contacts
        return self.kept.once(_contacts, contacts, self._applying("contacts"), self.language)

    @property
    def terms(self) -> Mapping[str, str]:
        """The words of the home's nation."""
        return self.home.terms

    @property
    def counted_from(self) -> str:
        """The day that dates are counted from, while nobody knows which it is."""
        return self.say("your %(day)s", day=self.home.terms["completion-day"])

    @cached_property
    def covered(self) -> Mapping[str, str]:
        """By matter: how long whoever answers for it first does so, as in "in the first two years"."""
        covers = [each for each in self.home.covers.values() if self.applies(each)]
        return self.kept.alike(covered_first(covers))

    @property
    def nation(self) -> Nation:
        return self.home.nation

    def of_kinds(self, *kinds: str) -> tuple[Piece, ...]:
        """The pieces that do the work of one of these kinds."""
        found = {number for kind in kinds for number in self._doing.get(kind, ())}
        return tuple(self.pieces[number] for number in sorted(found))

    @cached_property
    def _doing(self) -> Mapping[str, list[int]]:
        """For each kind, the numbers of the pieces that do its work."""
        return self.kept.once(doing_by_kind, self.pieces)

    def parts(self, name: str, words: tuple[str, ...] = ()) -> tuple[object, ...]:
        """What stands behind a name that articles use, ``home.<section>`` among them, or behind a
        question that is asked with ``words``.

        Two homes that have the very same parts show the same by this name.
        """
        if words:
            return self._answer(name, words)
        holder, _, part = name.partition(".")
        if holder == "home":
            return (self.section(part) if part else self.home,)
        if part:
            return (self._said_of((part,)),)
        if name == "whom_to_call":
            return (*self._pieces_and_contacts(self.pieces), self.zones, self._said_of((CARE,)))
        if name in ("pieces", "stops_without_power"):
            return self._pieces_and_contacts(
                self.pieces if name == "pieces" else self._without_power
            )
        return (self._listed_sections[name] if name in _LISTED else getattr(self, _BEHIND[name]),)

    def _answer(self, asked: str, words: tuple[str, ...]) -> tuple[object, ...]:
        """The answer to a question, as the very same object where it is the same."""
        if asked == "whom_to_call":
            heaters = self.kept.same(
                tuple((each.title, each.call) for each in self._heaters(words))
            )
            calls = self._said_of((CARE, *(call for _, call in heaters if call)))
            return (*self._answer("pieces", words), heaters, calls)
        if asked == "pieces":
            parts = (About.of_kinds, self.pieces, words)
            return self._pieces_and_contacts(
                self.kept.made_from(parts, lambda: self.of_kinds(*words))
            )
        if asked == "home_is" and words[0] not in self.judge.named:
            return (self.kept.same(tuple(self.judge.named)),)
        known: tuple[str, ...] = getattr(self, _BEHIND[asked])
        return (words[0] in known,)

    def _pieces_and_contacts(self, pieces: tuple[Piece, ...]) -> tuple[object, ...]:
        """Some pieces, and all that is said of the contacts that they name."""
        same = self.kept.made_from((Memo.same, pieces), lambda: self.kept.same(pieces))
        return same, self._said_of(self.kept.once(contacts_named_by, same))

    @property
    def _without_power(self) -> tuple[Piece, ...]:
        """The pieces that need the mains."""
        return self.kept.once(needing_mains, self.pieces)

    def _said_of(self, contacts: Iterable[str]) -> tuple[tuple[str, str | None], ...]:
        """All that is said of some contacts: the very same where it is the same."""
        return self.kept.same(tuple((name, self._roles_as_text.get(name)) for name in contacts))

    @cached_property
    def _roles_as_text(self) -> dict[str, str]:
        return {name: repr(each) for name, each in self._by_role.items()}

    @cached_property
    def chosen(self) -> tuple[str, ...]:
        """The ids of the articles that this home gets."""
        return self.kept.same(tuple(article.id for article in self.selection.articles))

    @cached_property
    def kinds(self) -> tuple[str, ...]:
        """The kinds whose work a piece or an emitter of this home does."""
        does = (work_of(kind, self.home) for kind, _ in kinds_in(self.home))
        return self.kept.same(tuple(sorted({each for kinds in does for each in kinds})))

    @cached_property
    def fuels(self) -> tuple[str, ...]:
        """The fuels that this home burns, stores or meters."""
        return self.kept.same(tuple(sorted({fuel for fuel, _ in fuels_in(self.home)})))

    @cached_property
    def true_names(self) -> tuple[str, ...]:
        """The named conditions that hold for this home."""
        judge = self.judge
        return self.kept.same(tuple(name for name in judge.named if judge.is_so(name)))

    def contact(self, role: str | None) -> dict[str, Any] | None:
        """The contact of this home that has a role, or none."""
        holder = holder_of(role, self.home.contacts) if role else None
        return self.contacts.get(holder) if holder else None

    @cached_property
    def by_title(self) -> tuple[Article, ...]:
        """The articles that this home gets, by their titles."""
        order = self.language.order
        return tuple(sorted(self.selection.articles, key=lambda each: order(each.front.title)))

    def serving(self, kinds: Iterable[str]) -> Iterator[Article]:
        """The articles of this home that serve one of these kinds, by their titles."""
        found = {number for kind in kinds for number in self._serving.get(kind, ())}
        return (self.by_title[number] for number in sorted(found))

    @cached_property
    def _serving(self) -> Mapping[str, list[int]]:
        """For each kind, the numbers of the articles that serve it."""
        return numbered_by_kind(each.front.serves for each in self.by_title)

    def values(self, article: Article) -> dict[str, Any]:
        """What the body of an article may use: see DEVELOPERS.md, "An article"."""
        served = self.of_kinds(*article.front.serves)
        serves = article.front.serves

        def called(*kinds: str) -> str:
            asked = kinds or serves
            things: list[CalledFor] = [*self.of_kinds(*asked), *self._heaters(asked)]
            return whom_to_call(things, self._by_role, self.language)

        return {**self._common, "equipment": self._views(served), "whom_to_call": called}

    def _heaters(self, kinds: Iterable[str]) -> tuple[EmitterPiece, ...]:
        """The radiators and other emitters that do the work of one of these kinds."""
        each_one = (each for zone in self.zones for each in zone.emitters)
        return tuple(each for each in each_one if not set(kinds).isdisjoint(each.does))

    @cached_property
    def _common(self) -> dict[str, Any]:
        emitters = tuple(each for zone in self.zones for each in zone.emitters)
        return {
            "home": view("home", self.home),
            "contacts": view("contacts", self._by_role),
            "terms": view("terms", self.home.terms),
            "nation": view("nation", self.home.nation),
            "covered": view("covered", self.covered),
            "zones": view("zones", self.zones),
            "emitters": view("emitters", emitters),
            "emitters_of": lambda *names: view("emitters", self._heaters(names)),
            "pieces": lambda *names: self._views(self.of_kinds(*names)),
            "stops_without_power": self._views(self._without_power),
            "has_article": set(self.chosen).__contains__,
            "has_kind": set(self.kinds).__contains__,
            "has_fuel": set(self.fuels).__contains__,
            "home_is": self._is_so,
            **self._listed_sections,
        }

    @cached_property
    def _by_role(self) -> dict[str, dict[str, Any]]:
        """The contacts by their ids and by the further roles that they have."""
        dialled = {name: with_dialling(each) for name, each in self.contacts.items()}
        roles = [(role, name) for name in dialled for role in self.contacts[name]["roles"]]
        return {**{role: dialled[name] for role, name in reversed(roles)}, **dialled}

    def _is_so(self, name: str) -> bool:
        """Whether a named condition holds. KeyError, said plainly: there is none of that name."""
        if name not in self.judge.named:
            raise MissingValueError(
                f"There is no condition '{name}'.\n"
                + suggestion(name, self.judge.named, "Conditions are")
            )
        return name in self.true_names

    @cached_property
    def _listed_sections(self) -> dict[str, Any]:
        """Sections that repeat, as lists whose entries carry their id and the names of rooms."""
        return {name: self._list(name) for name in _LISTED}

    def _list(self, section: str) -> tuple[View, ...]:
        """The entries of a section that apply; what they refer to is part of what is shown."""
        entries, applying = self.section(section), self._applying(section)
        named = self._named_in(section)

        def listed() -> tuple[View, ...]:
            each = {
                name: with_names(
                    {"id": name, **entries_of(entries[name])},
                    section,
                    self.home,
                    self.pieces,
                    self.language,
                )
                for name in applying
            }
            return tuple(view(f"{section}.{name}", each[name]) for name in each)

        return self.kept.made_from((_LISTED, section, entries, applying, *named), listed)

    def _named_in(self, section: str) -> tuple[Any, ...]:
        """What the entries of a section name: rooms, floors, contacts, pieces or doors."""
        if section in ("utilities", "parts", "gates"):
            ways = ("rooms", "room_kinds", "doors") if section == "parts" else ()
            return (self.pieces, self.language, *map(self.section, ways))
        return tuple(self.section(each) for each in _NAMES_IN.get(section, ()))

    def section(self, name: str) -> Any:
        """A section of the home: the very same for all homes that say the same in it."""
        return self.kept.alike(getattr(self.home, name))

    def _applying(self, section: str) -> tuple[str, ...]:
        """The ids of the entries of a section that apply in this home."""
        entries: Mapping[str, Any] = getattr(self.home, section)
        return self.kept.same(tuple(name for name, each in entries.items() if self.applies(each)))

    @cached_property
    def judge(self) -> Judge:
        """Who answers conditions for this home."""
        return Judge(self.plainly.home, self.kept, self.plainly.alike)

    def applies(self, entry: Any) -> bool:
        """Whether an entry that says when it applies does so in this home."""
        return self.judge.applies(entry)

    def actions(self, front: FrontMatter) -> tuple[str, ...]:
        """The one or two things that people scan a sticker for, in this home."""
        others = (each.do for each in front.other_actions.values() if self.applies(each))
        return next(others, front.actions)

    @property
    def utilities(self) -> tuple[Utility, ...]:
        return tuple(each for each in self.home.utilities.values() if self.applies(each))

    def _views(self, pieces: tuple[Piece, ...]) -> tuple[View, ...]:
        return tuple(piece_view(piece, self._by_role) for piece in pieces)


def _contacts(
    contacts: Mapping[str, Contact], applying: tuple[str, ...], language: Language
) -> dict[str, dict[str, Any]]:
    hours = {name: hours_of(contacts[name], language) for name in applying}
    said = {name: entries_of(contacts[name]) for name in applying}
    return {name: {"id": name, **said[name], "hours": hours[name]} for name in applying}
