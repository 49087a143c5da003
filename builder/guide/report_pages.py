"""Report a fault: an e-mail or a call made ready for each thing of a home. Nothing is sent by the page.

What is dangerous is never for an e-mail: the page, and each thing that can hurt, say first whom to call.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from typing import Any
from urllib.parse import quote

from builder.guide.about import About
from builder.guide.front_pages import may_smell_of_gas, puts_faults_right
from builder.guide.pages import Guide, Page, looked_for
from builder.guide.pieces import Piece
from builder.guide.schedule.entries import Call, CoverLine, Period, Schedule
from builder.guide.schedule.wording import call_of
from builder.guide.values import Values
from builder.guide.whom import own_contact
from builder.languages.language import to_say

REPORT = "page:report"
LONGEST = 1_900
"""Characters of a link to an e-mail: some programs take no more than 2,000 (common practice)."""
PHOTOGRAPHS = to_say(
    "the whole thing from two steps away, the place where it fails, and its sticker"
)
"""What to photograph where the system of a thing says nothing else (common practice)."""
_ASKED = (to_say("What is wrong:"), to_say("Since when:"), to_say("What I tried:"))
_RESCUE = "emergency-services"
"""The role of whoever comes where somebody is in danger."""
_SAFE = "-._~"
"""Signs that need no escape in an address (RFC 3986, section 2.3)."""


@dataclass(frozen=True, slots=True)
class Mail:
    """An e-mail made ready: who gets it, on which days they answer for it, and its address."""

    name: str
    first: str
    last: str
    address: str


@dataclass(frozen=True, slots=True)
class Reported:
    """A thing that may fail. ``danger``: whom to call before anything else; ``call``: whom the home says to
    call for it, where that is nobody who answers for most things; ``periods``: who puts it right, where that
    is not whoever does for most of the home. ``mended_by``: whom its owner has it put right by on days on
    which nobody else does, with a number where that is a contact of this home."""

    id: str
    title: str
    where: str
    code: str
    danger: str
    call: Call | None
    periods: tuple[Period, ...]
    mails: tuple[Mail, ...]
    mended_by: Call


@dataclass(frozen=True, slots=True)
class Other:
    """A matter that somebody else answers for than for most of the home."""

    name: str
    includes: str
    periods: tuple[Period, ...]
    mails: tuple[Mail, ...]


@dataclass(frozen=True, slots=True)
class ReportedRoom:
    """A room and what may fail in it; last of all the room itself, for anything that is no thing."""

    id: str
    name: str
    things: tuple[Reported, ...]


def report_page(about: About, schedule: Schedule, codes: Mapping[str, str] | None = None) -> Page:
    """The page from which faults are reported. ``codes``: those of stickers, by ids of equipment."""
    home, who = about.home, puts_faults_right(schedule)
    rooms = cache(lambda: tuple(_rooms(about, schedule, codes or {})))
    return Page(
        id=REPORT,
        path="report",
        title=about.say("Report a fault"),
        layout="report",
        summary=about.say("Whom to call or write to, with everything they ask for made ready."),
        values=Values(
            {
                "spoken_home": _spoken_home(about),
                "postcode": home.plot.postcode,
                "danger": tuple(_called_first(about)),
                "gas": may_smell_of_gas(about),
                "who": who,
                "others": tuple(_Reporting(about, schedule, {}).others()),
                "photographs": about.language.text(PHOTOGRAPHS),
            },
            rooms=rooms,
            writes=lambda: any(_mails_in(rooms())),
            writes_until=lambda: _last_mail(rooms()),
        ),
        called=looked_for(about.say("report|fault|complain|repair|broken|defect|snag")),
        repeats=True,
    )  # fmt: skip


def _mails_in(rooms: Iterable[ReportedRoom]) -> Iterator[Mail]:
    return (mail for room in rooms for thing in room.things for mail in thing.mails)


def _last_mail(rooms: Iterable[ReportedRoom]) -> str:
    """The last day on which there is anyone to write to, or nothing where there always is."""
    days = [mail.last for mail in _mails_in(rooms)]
    return max(days, default="") if all(days) else ""


def _called_first(about: About) -> Iterator[dict[str, Any]]:
    """Whom to call before anything else: the emergency services, and whoever comes for a leak of fuel."""
    known = (about.home.fuels.get(each) for each in about.fuels)
    roles = (_RESCUE, *(each.emergency for each in known if each))
    found = (about.contact(role) for role in roles)
    yield from {each["id"]: each for each in found if each}.values()


def with_codes(guide: Guide, about: About, codes: Mapping[str, str]) -> Guide:
    """A guide whose reports name the stickers that were issued, by the ids of their equipment."""

    def coded(page: Page) -> Page:
        """The page with codes, at its place in the folder of its guide's language."""
        made = report_page(about.plainly if page.language else about, guide.schedule, codes)
        return replace(made, path=page.path, language=page.language)

    pages = tuple(coded(each) if each.id == REPORT else each for each in guide.pages)
    return replace(guide, pages=pages)


def _spoken_home(about: About) -> str:
    plot, development = about.home.plot, about.home.development
    return about.say(
        "plot %(number)s, %(development)s, %(address)s",
        number=plot.number, development=development.name, address=plot.address,
    )  # fmt: skip


def _rooms(about: About, schedule: Schedule, codes: Mapping[str, str]) -> Iterator[ReportedRoom]:
    reporting = _Reporting(about, schedule, codes)
    by_room: dict[str, list[Piece]] = {name: [] for name in about.home.rooms}
    for piece in about.pieces:
        by_room[piece.room_id].append(piece)
    for name, pieces in by_room.items():
        things = tuple(reporting.thing(each) for each in pieces)
        room = about.home.rooms[name].name
        yield ReportedRoom(name, room, (*things, reporting.rest(name, room)))


@dataclass(frozen=True)
class _Reporting:
    """Makes the reports of one home ready."""

    about: About
    schedule: Schedule
    codes: Mapping[str, str]

    def thing(self, piece: Piece) -> Reported:
        line, usual = self._line(piece), puts_faults_right(self.schedule)
        periods = line.periods if line else usual
        code = self.codes.get(piece.id, "")
        made, say = " ".join(filter(None, (piece.make, piece.model))), self.about.say
        lines = (
            say("Room: %(room)s", room=f"{piece.room}{f', {piece.floor}' if piece.floor else ''}"),
            say("Thing: %(thing)s", thing=piece.name),
            say("Where: %(place)s", place=piece.place),
            say("Sticker: %(code)s", code=code) if code else "",
            say("Make: %(made)s", made=made) if made else "",
        )
        shots = self.about.home.systems[piece.system].photograph or self.about.language.text(
            PHOTOGRAPHS
        )
        return Reported(
            id=piece.id,
            title=piece.title,
            where=piece.place,
            code=code,
            danger=self._danger(piece),
            call=self._call_for(piece, periods),
            periods=() if periods == usual else periods,
            mails=tuple(self._mails(periods, f"{piece.name}, {piece.room}", lines, shots)),
            mended_by=self._mended_by(piece, periods),
        )

    def _call_for(self, piece: Piece, periods: tuple[Period, ...]) -> Call | None:
        """Whom the home says to call for a thing; in an emergency, its danger tells."""
        contact = own_contact(piece, self.about.contacts)
        answering = {period.call.name for period in periods if period.call}
        if contact is None or contact["name"] in answering:
            return None
        return call_of(self.about.home.contacts[contact["id"]])

    def _mended_by(self, piece: Piece, periods: tuple[Period, ...]) -> Call:
        """Who mends a thing for its owner: whoever looks after it, or the trade that may."""
        home = self.about.home
        answering = {period.call.name for period in periods if period.call}
        contact = home.contacts.get(piece.served_by or "")
        if contact and contact.name not in answering:
            return call_of(contact)
        fuel = home.fuels.get(piece.fuel or "")
        trade = home.kinds[piece.kind].mended_by or (fuel and fuel.registered)
        trade = trade or home.systems[piece.system].mended_by
        return Call(trade or self.about.say("a registered person"), None)

    def others(self) -> Iterator[Other]:
        """What is no thing, and that others answer for: the structure, what is shared."""
        usual = puts_faults_right(self.schedule)
        usually = {each.call for each in usual if each.call}
        shots = self.about.language.text(PHOTOGRAPHS)
        for line in self.schedule.clock:
            later = tuple(each for each in line.periods if each.call and each.call not in usually)
            if later:
                lines = (self.about.say("Thing: %(thing)s", thing=line.name),)
                mails = tuple(self._mails(later, line.name, lines, shots))
                yield Other(line.name, line.includes, line.periods, mails)

    def rest(self, identifier: str, room: str) -> Reported:
        """Whatever else is wrong in a room: a crack, a mark, a door."""
        periods = puts_faults_right(self.schedule)
        say = self.about.say
        lines = (say("Room: %(room)s", room=room), say("Thing: %(thing)s", thing=""))
        shots = self.about.language.text(PHOTOGRAPHS)
        mails = tuple(self._mails(periods, room, lines, shots))
        return Reported(f"in-{identifier}", say("Anything else here"), say("a door, a wall, a mark, damp"),
                        "", "", None, (), mails, Call(say("a local builder, joiner or decorator"), None))  # fmt: skip

    def _line(self, piece: Piece) -> CoverLine | None:
        """The line of the cover clock that a piece has of its own, or shares with those of its term."""
        term = self.about.home.kinds[piece.kind].cover
        if term is None:
            return None
        own, alike = f".{piece.id}", f".{term.replace(' ', '-')}"
        lines = [each for each in self.schedule.clock if each.id.endswith((own, alike))]
        return next((each for each in lines if each.id.endswith(own)), next(iter(lines), None))

    def _danger(self, piece: Piece) -> str:
        """Whom to call first about a thing that can hurt."""
        fuel, say = self.about.home.fuels.get(piece.fuel or ""), self.about.say
        contact = self.about.contact(fuel.emergency) if fuel and fuel.emergency else None
        if fuel and contact and contact["telephone"]:
            sign = (
                say("Do you smell gas?")
                if fuel.gas
                else say("Is %(fuel)s leaking?", fuel=fuel.name.lower())
            )
            go = say("Do not write. Go outside and call %(number)s.", number=contact["telephone"])
            return f"{sign} {go}"
        if piece.turns_off == "electricity" or piece.system == "electrical":
            return say(
                "Sparks, smoke or a smell of burning? Do not write. Go outside and call %(number)s.",
                number=self._rescue,
            )
        if piece.system == "fire-safety":
            return say(
                "Is an alarm sounding? Do not write. Get everyone out and call %(number)s.",
                number=self._rescue,
            )
        return ""

    @property
    def _rescue(self) -> str:
        """The number of the emergency services, or their name where none is known."""
        contact = self.about.contact(_RESCUE)
        return (contact and contact["telephone"]) or self.about.say("the emergency services")

    def _mails(
        self, periods: tuple[Period, ...], subject: str, lines: tuple[str, ...], shots: str
    ) -> Iterator[Mail]:
        about = self.about
        say, plot = about.say, about.home.plot
        title = say(
            "Fault, plot %(number)s, %(development)s: %(subject)s",
            number=plot.number, development=about.home.development.name, subject=subject,
        )  # fmt: skip
        home = say("Home: %(home)s, %(postcode)s", home=_spoken_home(about), postcode=plot.postcode)
        asked = map(about.language.text, _ASKED)
        photographs = say("Photographs: %(shots)s.", shots=shots)
        body = (home, *filter(None, lines), "", *asked, "", photographs)
        for period in periods:
            if period.call and period.call.email:
                yield Mail(
                    period.call.name,
                    period.first.isoformat() if period.first else "",
                    period.last.isoformat() if period.last else "",
                    mail_address(period.call.email, title, body),
                )


@lru_cache(maxsize=2_000)
def mail_address(to: str, subject: str, lines: tuple[str, ...]) -> str:
    """The address of an e-mail made ready, its lines ended as RFC 6068 asks; what is too long for some
    programs is cut at the end of a line."""
    for count in range(len(lines), 0, -1):
        body = quote("\r\n".join((*lines[:count], "")), safe=_SAFE)
        address = f"mailto:{to}?subject={quote(subject, safe=_SAFE)}&body={body}"
        if len(address) <= LONGEST:
            return address
    return f"mailto:{to}"
