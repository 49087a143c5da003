"""The stops of a demonstration, in walking order: what is shown, said and tried at each."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

from builder.guide.about import About
from builder.guide.pieces import floor_name
from builder.guide.walk.paces import Paces
from builder.guide.walk.script import Script
from builder.guide.walk.things import SUBJECTS, Contents, Thing
from builder.guide.walk.walking import LOFT, Walk, Walking
from builder.languages.language import Say
from builder.model.demonstration import Alone, Showing

ARRIVAL = "arrival"


@dataclass(frozen=True, slots=True)
class Item:
    """Things of one sort at one stop. ``say`` and ``tries`` are none where they were said before.

    ``name`` is what they are called by whoever reads alone, without their number and from where they
    are shown. ``as_at`` names the stop at which this was shown in full. ``owner_reads`` and ``owner_tries`` are
    for an owner who walks round alone.
    """

    id: str
    name: str
    title: str
    things: tuple[Thing, ...]
    cautions: tuple[str, ...]
    show: str
    say: str | None
    tries: str | None
    article: str | None
    as_at: str | None
    minutes: float
    owner_reads: str | None = None
    owner_tries: str | None = None


@dataclass(frozen=True, slots=True)
class Stop:
    """One place where the walk halts. ``way`` says how to get there from the stop before."""

    id: str
    title: str
    floor: str | None
    way: str
    items: tuple[Item, ...]

    @property
    def minutes(self) -> float:
        return sum(item.minutes for item in self.items)


@dataclass(frozen=True)
class Stops:
    """Sets the stops of one home, from what there is in it and what is said of that."""

    contents: Contents
    script: Script

    @property
    def _about(self) -> About:
        return self.contents.about

    @cached_property
    def walk(self) -> Walk:
        return Walking(self.contents.survey, self._wanted_rooms).walk()

    @cached_property
    def _shown_things(self) -> tuple[Thing, ...]:
        """The things of which there is something to say; of equipment there always is."""
        return tuple(each for each in self.contents.things if self._showing(each) is not None)

    def _showing(self, thing: Thing) -> Showing | None:
        usual = self._usual_showing(thing)
        return usual and self.script.in_home(usual, self.contents.about)

    def _usual_showing(self, thing: Thing) -> Showing | None:
        if thing.section == "kinds":
            return self.script.of_kind(thing.key, self._about.home, self._about.say)
        if thing.section == "subjects":
            return self.script.subjects.get(thing.key)
        return self.script.room_kinds.get(thing.key)

    @cached_property
    def _wanted_rooms(self) -> frozenset[str]:
        return frozenset(each.room for each in self._shown_things)

    def stops(self) -> tuple[Stop, ...]:
        """The stops in walking order. Nothing that has something to show is left out."""
        made: list[Stop] = []
        said: dict[tuple[str, str], str] = {}
        before: str | None = None
        for identifier, room, things in self._halts():
            title = self._title(identifier, room)
            items = tuple(self._items(title, things, said))
            made.append(
                Stop(identifier, title, self._floor(room), self._way_between(before, room), items)
            )
            before = room
        return tuple(made)

    def _halts(self) -> Iterator[tuple[str, str, list[Thing]]]:
        """Id, room and things of each stop: the arrival, then room by room."""
        early, by_room = [], defaultdict(list)
        for each in self._shown_things:
            if self._is_shown_on_arrival(each):
                early.append(each)
            else:
                by_room[each.room].append(each)
        if early:
            yield self._free(ARRIVAL), self.contents.out_of_doors, early
        for room in self._rooms():
            if by_room[room]:
                yield room, room, by_room[room]

    def _rooms(self) -> Iterator[str]:
        walk = self.walk
        yield from walk.approach
        for floor in walk.floors:
            yield from floor.rooms
        yield from walk.afterwards
        yield from walk.outside

    def _is_shown_on_arrival(self, thing: Thing) -> bool:
        """Whether a thing outside is shown before the front door is opened: in a building of flats,
        all that is out of doors."""
        kind = self.contents.survey.kind_of_room(thing.room)
        if kind.inside or kind.shared or kind.from_home or thing.section == "room_kinds":
            return False
        showing = self._showing(thing)
        return bool(self.walk.approach) or (showing is not None and showing.first)

    def _free(self, wanted: str) -> str:
        """An id that no room has."""
        taken = self.contents.about.home.rooms
        return wanted if wanted not in taken else self._free(f"{wanted}-first")

    def _title(self, identifier: str, room: str) -> str:
        name = self.contents.about.home.rooms[room].name
        if identifier != room:
            return self._about.say("Outside, before you go in")
        if room in self.walk.approach:
            return self._about.say("%(room)s, on the way to your door", room=name)
        return name

    def _floor(self, room: str) -> str | None:
        return floor_name(room, self.contents.about.home)

    def _way_between(self, before: str | None, room: str) -> str:
        """How to get from one stop to the next: stairs first, then what is walked through."""
        if before is None or before == room:
            return ""
        steps = [self._stairs(before, room)]
        rooms = self.contents.about.home.rooms
        passed = [rooms[each].name for each in self._between(before, room)]
        if passed:
            rooms_passed = self._about.say(", then ").join(passed)
            steps.append(self._about.say("On the way: %(rooms)s.", rooms=rooms_passed))
        return " ".join(filter(None, steps))

    @cached_property
    def _paces(self) -> Paces:
        return Paces(self.contents.survey)

    def _between(self, room: str, other: str) -> tuple[str, ...]:
        """The rooms that are walked through from one stop to the next, and what is outside where two that
        are inside have no other way between them."""
        kinds = self.contents.survey.kind_of_room
        indoors = kinds(room).inside and kinds(other).inside
        between = self._paces.between(room, other)
        return tuple(each for each in between if kinds(each).inside or indoors)

    def _stairs(self, before: str, room: str) -> str:
        home = self.contents.about.home
        floors = [home.rooms[each].floor for each in (before, room)]
        levels = [home.floors[floor].level if floor else 0 for floor in floors]
        if levels[0] == levels[1]:
            return ""
        say = self._about.say
        to = home.floors[floors[1]].name.lower() if floors[1] else say("front door")
        if levels[1] > levels[0]:
            return say("Go up to the %(floor)s.", floor=to)
        return say("Go down to the %(floor)s.", floor=to)

    def _items(
        self, stop: str, things: Iterable[Thing], said: dict[tuple[str, str], str]
    ) -> Iterator[Item]:
        groups: dict[tuple[str, str, bool], list[Thing]] = defaultdict(list)
        for each in things:
            groups[each.section, each.key, each.above].append(each)
        for section, key, above in sorted(groups, key=self._rank):
            group = groups[section, key, above]
            showing = self._showing(group[0])
            if showing is not None:
                item = self._item(group, showing, said.get((section, key)), above=above)
                said.setdefault((section, key), stop)
                yield item

    def _rank(self, group: tuple[str, str, bool]) -> tuple[int, int, str]:
        """What turns a supply off comes first, then system by system, then doors and windows."""
        section, key, _ = group
        if section == "kinds":
            home = self.contents.about.home
            kind = home.kinds[key]
            return (0 if kind.turns_off else 1, list(home.systems).index(kind.system), key)
        if section == "subjects":
            return (2, list(SUBJECTS).index(key), key)
        return (3, 0, key)

    def _item(
        self, group: list[Thing], showing: Showing, as_at: str | None, *, above: bool
    ) -> Item:
        full = as_at is None or showing.every
        alone = showing.alone or Alone()
        return Item(
            id=f"{group[0].section}.{group[0].key}{'.above' if above else ''}",
            name=_name(group),
            title=_title(group, self._about.say, above=above),
            things=tuple(group),
            cautions=tuple(self._cautions(group[0], showing, above=above)),
            show=showing.show,
            say=showing.say if full else None,
            tries=showing.try_ if full and not above else None,
            article=group[0].article,
            as_at=None if full else as_at,
            minutes=showing.minutes if as_at is None else showing.again,
            owner_reads=(alone.say or showing.say) if full else None,
            owner_tries=(alone.try_ or showing.try_) if full and not above else None,
        )

    def _cautions(self, thing: Thing, showing: Showing, *, above: bool) -> Iterator[str]:
        """What can hurt somebody, said before anything is touched."""
        loft = self.script.room_kinds.get(LOFT)
        if above and loft and loft.caution:
            yield loft.caution
        kind = self.contents.about.home.kinds[thing.key] if thing.section == "kinds" else None
        told = showing.caution or ""
        if kind and kind.caution and kind.caution not in told:
            yield kind.caution
        if told:
            yield told


def _name(group: list[Thing]) -> str:
    """What things of one sort are called: the only one by its own name, doors and windows never."""
    alone = len(group) == 1 and group[0].section != "subjects"
    return group[0].title if alone else group[0].group


def _title(group: list[Thing], say: Say, *, above: bool) -> str:
    """What the things are called for whoever shows them: how many they are, and whether they are out of
    reach."""
    counted = len(group) > 1 and group[0].section != "subjects"
    title = f"{_name(group)} ({len(group)})" if counted else _name(group)
    return say("%(thing)s, shown from below", thing=title) if above else title
