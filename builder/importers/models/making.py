"""From a drawing to the draft of a house type: the steps in their order."""

from collections import Counter
from collections.abc import Container
from dataclasses import dataclass, replace

from builder.errors import Finding, FindingsError, UsageError, near_miss
from builder.importers.finding import about
from builder.importers.models import needs, services
from builder.importers.models.doubts import doubtful_unit, nameless, unheard
from builder.importers.models.draft import DraftedValue, HouseTypeDraft, plain
from builder.importers.models.drawn import ModelDrawing
from builder.importers.models.frame import Axes
from builder.importers.models.frontage import ModelEntrance, entrances, frame_of, front_faces
from builder.importers.models.homes import (
    HomeInModel,
    Known,
    Likeness,
    homes_of,
    known_rooms,
    likenesses,
)
from builder.importers.models.panes import lit, numbered
from builder.importers.models.pieces import fitted
from builder.importers.models.rooms import HomeOfModel, RoomLayout, above_ground, laid_out
from builder.importers.models.ways import joined
from builder.importers.models.words import OPEN_AIR, Vocabulary

_STOREY = 2.9
"""Metres from floor to floor, to tell which storey a front door is on."""
_ENOUGH = 400
"""Names that are looked at to know the language of a model."""


@dataclass(frozen=True)
class WantedHome:
    """What a house type is made of: its title, which home of the model, which side is the front."""

    title: str
    home: str | None = None
    front: str | None = None
    kinds: Container[str] = ()


@dataclass(frozen=True)
class MadeDraft:
    """A draft, and what else the model tells: its homes, which are alike, and the frame it stands in."""

    draft: HouseTypeDraft
    drawing: ModelDrawing
    home: HomeInModel
    homes: tuple[HomeInModel, ...]
    alike: tuple[Likeness, ...]
    frame: Axes
    faces: float | None


def made(drawing: ModelDrawing, wanted: WantedHome, words: Vocabulary) -> MadeDraft:
    """The house type that a drawing shows.

    Raises FindingsError where it shows none, and UsageError where one of several homes is not named.
    """
    spoken = _words_in_order(drawing, words)
    rooms = known_rooms(drawing, spoken)
    homes = homes_of(drawing, rooms, spoken)
    home = _chosen(homes, wanted, drawing)
    front = next(iter(entrances(drawing, home, rooms)), None)
    frame, why = frame_of(home, front, wanted.front)
    draft = HouseTypeDraft(noticed=[f"The plan: {why}."])
    _describe(wanted, home, homes, front, draft)
    layout = laid_out(drawing, home.rooms, frame, _level_of(front, home), spoken, draft)
    if not layout.rooms:
        raise FindingsError([_no_rooms(drawing, "None of its spaces is a room.")])
    up = front.above if front is not None and front.is_shared else 0.0
    above_ground(layout, draft, up)
    read = HomeOfModel(drawing, rooms, layout, spoken, draft)
    joined(read, front)
    lit(read)
    numbered(draft)
    services.served(fitted(read, wanted.kinds), layout, draft)
    needs.listed(layout, draft)
    _garage(layout, draft)
    draft.noticed += [
        *doubtful_unit(drawing),
        *unheard(home.rooms, spoken),
        *nameless(home.rooms),
        *drawing.faults,
    ]
    faces = front_faces(frame, drawing.north)
    return MadeDraft(draft, drawing, home, homes, tuple(likenesses(home, homes)), frame, faces)


def _words_in_order(drawing: ModelDrawing, words: Vocabulary) -> Vocabulary:
    """The words in the order of the languages that the model is written in."""
    rooms = [each.name or each.number for each in drawing.spaces]
    return words.speaking(rooms, [each.texts[0] for each in drawing.things[:_ENOUGH] if each.texts])


def _no_rooms(drawing: ModelDrawing, wrong: str) -> Finding:
    right = "Draw the rooms of the home as spaces (IfcSpace), or export them with the model."
    return refused(drawing, "model.no-rooms", wrong, right)


def _chosen(
    homes: tuple[HomeInModel, ...], wanted: WantedHome, drawing: ModelDrawing
) -> HomeInModel:
    if not homes:
        raise FindingsError(
            [_no_rooms(drawing, "It has no spaces, and no walls that close round a room.")]
        )
    if wanted.home is None and len(homes) == 1:
        return homes[0]
    for home in homes:
        if wanted.home is not None and home.name.casefold() == wanted.home.casefold():
            return home
    listed = "; ".join(
        f"{each.name} ({len(each.rooms)} rooms, {each.area:.0f} m²)" for each in homes
    )
    if wanted.home is None:
        raise UsageError(
            f"The model holds {len(homes)} homes, told apart by {homes[0].told_by}. Name one with --home: {listed}."
        )
    close = near_miss(wanted.home, [each.name for each in homes])
    hint = f" Did you mean '{close}'?" if close else ""
    raise UsageError(f"The model has no home '{wanted.home}'.{hint} Its homes: {listed}.")


def _level_of(front: ModelEntrance | None, home: HomeInModel) -> int:
    """The storey of the front door; else the lowest that has rooms."""
    if front is not None:
        return front.room.space.storey
    return min(each.space.storey for each in home.rooms)


def _describe(
    wanted: WantedHome,
    home: HomeInModel,
    homes: tuple[HomeInModel, ...],
    front: ModelEntrance | None,
    draft: HouseTypeDraft,
) -> None:
    """The name of the house type, one sentence about it, and its form."""
    form, why = _form_and_why(home, homes, front)
    beds = sum(each.kind == "bedroom" for each in home.rooms)
    storeys = len(
        {each.space.storey for each in home.rooms if each.kind not in ("loft", "communal")}
    )
    said = {1: "on one floor", 2: "on two floors", 3: "on three floors"}.get(
        storeys, f"on {storeys} floors"
    )
    count = {1: "one bedroom", 2: "two bedrooms", 3: "three bedrooms", 4: "four bedrooms"}.get(
        beds, f"{beds} bedrooms"
    )
    draft.single["house_type"] = {
        "name": DraftedValue(plain(wanted.title), None, "", ""),
        "summary": DraftedValue(
            f"{'An' if form == 'apartment' else 'A'} {form.replace('-', ' ')} with {count} {said}.",
            None,
            "",
            "counted in the model",
        ),
    }
    draft.single["form"] = DraftedValue(form, None, "", why)
    if form in ("apartment", "maisonette"):
        draft.single["building"] = _building(home, homes, front)


def _form_and_why(
    home: HomeInModel, homes: tuple[HomeInModel, ...], front: ModelEntrance | None
) -> tuple[str, str]:
    storeys = {each.space.storey for each in home.rooms if each.kind not in ("loft", *OPEN_AIR)}
    shared = front is not None and front.is_shared
    stacked = any(_is_over(home, other) for other in homes if other.name != home.name)
    if shared or stacked:
        why = (
            "its front door leads to a shared place"
            if shared
            else "another home is above or below it"
        )
        return ("apartment" if len(storeys) == 1 else "maisonette"), why
    if len(storeys) == 1:
        return "bungalow", "all its rooms are on one floor, and nothing is above or below them"
    return "house", "its rooms are on several floors, and no other home is above or below them"


def _building(
    home: HomeInModel, homes: tuple[HomeInModel, ...], front: ModelEntrance | None
) -> dict[str, DraftedValue]:
    """Where a home stands in its building, as far as the model shows the others."""
    above, below = (
        any(_is_over(home, other, way) for other in homes if other.name != home.name)
        for way in (1, -1)
    )
    origin = front.door.origin if front else None
    shared = front is not None and front.is_shared
    said = {
        "storey": DraftedValue(max(round(front.above / _STOREY), 0) if front else 0, origin, "ObjectPlacement", "from the height of the front door"),
        "own_entrance": DraftedValue(not shared, origin, "ObjectPlacement", "the front door leads to a shared place" if shared else "the front door leads outside"),
    }  # fmt: skip
    if len(homes) > 1:
        said["homes_above"] = DraftedValue(above, origin, "", "by the other homes in the model")
        said["homes_below"] = DraftedValue(below, origin, "", "by the other homes in the model")
    return said


def _is_over(home: HomeInModel, other: HomeInModel, way: int = 0) -> bool:
    """Whether a room of another home lies above (1), below (-1) or either (0) one of this home."""
    return any(
        _lies(one, its, way) and one.shape.intersection(its.shape).area > 0.5 * min(one.shape.area, its.shape.area)
        for one in home.rooms
        for its in other.rooms
    )  # fmt: skip


def _lies(one: Known, other: Known, way: int) -> bool:
    """Whether a room is on a higher storey (1), on a lower one (-1), or on either (0)."""
    up = other.space.storey - one.space.storey
    return up != 0 and (way == 0 or up * way > 0)


def _garage(layout: RoomLayout, draft: HouseTypeDraft) -> None:
    garage = next((each for each in layout.rooms.values() if each.kind == "garage"), None)
    if garage is None:
        return
    origin = garage.known.space.origin
    near = any(
        each.id != garage.id and each.floor == garage.floor and each.outline.distance(garage.outline) < 0.05
        for each in layout.rooms.values()
    )  # fmt: skip
    draft.single["garage"] = {
        "kind": DraftedValue(
            "integral" if near else "detached",
            origin,
            "Representation",
            "it touches other rooms" if near else "it touches no other room",
        ),
        "place": DraftedValue(
            "where the plan shows it", origin, "Representation", "say it in words"
        ),
        "room": DraftedValue(garage.id, origin, "LongName"),
    }


def together(drawings: list[ModelDrawing]) -> ModelDrawing:
    """Several models of one building laid over each other; the first one has the rooms."""
    first = drawings[0]
    with_rooms = next(
        (each for each in drawings if each.spaces),
        next((each for each in drawings if each.walls), first),
    )
    known = {each.origin.identifier for each in with_rooms.things}
    things = [
        each
        for other in drawings
        if other is not with_rooms
        for each in other.things
        if each.origin.identifier not in known
    ]
    counts = sum((Counter(each.counts) for each in drawings), Counter[str]())
    return replace(
        with_rooms,
        doors=with_rooms.doors or tuple(door for each in drawings for door in each.doors),
        windows=with_rooms.windows or tuple(window for each in drawings for window in each.windows),
        stairs=with_rooms.stairs or tuple(stair for each in drawings for stair in each.stairs),
        walls=with_rooms.walls or tuple(wall for each in drawings for wall in each.walls),
        things=(*with_rooms.things, *things),
        north=next((each.north for each in drawings if each.north is not None), None),
        faults=tuple(fault for each in drawings for fault in each.faults),
        counts=dict(counts),
    )


def refused(drawing: ModelDrawing, code: str, wrong: str, right: str) -> Finding:
    """A mistake of a model as a whole."""
    files = [each.origin.file for each in drawing.storeys] + [
        each.origin.file for each in drawing.walls
    ]
    return about(files[0] if files else "the model", code, wrong, right)
