"""The changes that a file could see, as batches of edits: values, choices, less, and more."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from builder.layers.merge import REMOVED, Merged, plain_value
from builder.model.article import FrontMatter
from builder.model.home import Home
from builder.model.record import Record, Reference
from builder.model.shape import allowed_values, bare, child_type, fields, marked, type_at
from builder.questions.edits import GONE, Batch, Edit
from builder.questions.others import Sections, is_choice, new_value, other_value, refers_to
from builder.questions.owned import Owned, OwnedPart
from builder.sources.entry import Address

Sort = Literal["changed", "taken away", "added"]
ELSEWHERE = "elsewhere-on-trial"
_TWIN = "-twin-on-trial"
_ENTRY = 2
"""Steps of the way to an entry of a section."""


@dataclass(frozen=True, slots=True)
class Trial:
    """One change to try out, and what sort of change it is."""

    sort: Sort
    batch: Batch


_COMES_TO: Mapping[str, frozenset[str]] = {
    "rooms": frozenset({"room", "equipment", "article", "system", "plan"}),
    "systems": frozenset({"system"}),
    "kinds": frozenset({"system", "article", "equipment", "room", "home", "emergency", "first-weeks", "dates", "care", "plan"}),
}  # fmt: skip
"""For each section, the layouts of pages that tell of what is in, of, or of the kind of its entries.
A floor with something more on it is drawn anew on every page that shows the floor."""

_ELSEWHERE: Batch = (
    Edit(("systems", ELSEWHERE), {"name": "Elsewhere", "summary": "Elsewhere."}),
    Edit(("kinds", ELSEWHERE), {"name": "Something else", "system": ELSEWHERE, "what": "Something else."}),
    Edit(("room_kinds", ELSEWHERE), {"name": "Elsewhere"}),
    Edit(("rooms", ELSEWHERE), {"name": "Elsewhere", "kind": ELSEWHERE}),
)  # fmt: skip
"""Where things are moved on trial: a room, a kind and a system of which no page tells yet."""


def trials_of(owned: Owned, home: Home, sections: Sections) -> Iterator[Trial]:
    """Few large changes in place of many small ones: all texts at once, all choices at once, …

    Together they touch every value that the file gives, take away all that can be, fill in what
    can be written beside it, and double every entry that it adds.
    """
    elsewhere = dict.fromkeys(("systems", "kinds", "room_kinds", "rooms"), (ELSEWHERE,))
    yield from _changed_values(owned.values, {**sections, **elsewhere})
    yield from _choices(owned.values)
    yield Trial("taken away", tuple(_values_less(owned)))
    yield Trial("taken away", tuple(_entries_less(owned.added, home)))
    yield Trial("added", tuple(_fields_more(owned.records, sections)))
    yield Trial("added", tuple(_entries_more(owned.added)))


def _changed_values(values: Iterable[OwnedPart], sections: Sections) -> Iterator[Trial]:
    """Plain values, choices and ids apart; kinds by themselves, because articles ask for them."""
    sorted_out: dict[str, list[Edit]] = {"plain": [], "choice": [], "id": [], "kind": []}
    for part in values:
        other = other_value(part.annotation, part.merged.value, sections)
        if other is not None:
            sorted_out[_group(part)].append(Edit(part.address, other))
    for group, edits in sorted_out.items():
        before = _ELSEWHERE if edits and group in ("id", "kind") and sections.get("rooms") else ()
        yield Trial("changed", (*before, *edits))


def _choices(values: Iterable[OwnedPart]) -> Iterator[Trial]:
    """Each further choice of what a home has only one of, such as its form: articles ask for it."""
    for part in values:
        if len(part.address) <= _ENTRY:
            others = [each for each in allowed_values(part.annotation) if each != part.merged.value]
            for each in others[1:]:
                yield Trial("changed", (Edit(part.address, each),))


def destinations(values: Iterable[OwnedPart]) -> frozenset[str]:
    """The layouts of the pages that a thing may come to, where the file says where things are."""
    found: set[str] = set()
    for part in values:
        if (section := _section(part)) is not None:
            found |= _COMES_TO.get(section, frozenset())
    return frozenset(found)


def _section(part: OwnedPart) -> str | None:
    """The section that a value, or each item of a list, names an entry of."""
    inner = child_type(part.annotation, 0) if isinstance(part.merged.value, list) else None
    return refers_to(part.annotation) or (refers_to(inner) if inner is not None else None)


def _group(part: OwnedPart) -> str:
    section = _section(part)
    if section is not None:
        return "kind" if section == "kinds" else "id"
    return "choice" if is_choice(part.annotation) else "plain"


def _values_less(owned: Owned) -> Iterator[Edit]:
    """Every value that can be left out: what a lower layer says comes back."""
    for part in owned.values:
        lower = [each for each in part.merged.sayings if each.place.file != part.merged.sayings[-1].place.file]  # fmt: skip
        if lower and lower[-1].value is not REMOVED and lower[-1].value != {}:
            yield Edit(part.address, lower[-1].value)
        elif _optional(part.address):
            yield Edit(part.address, GONE)


def _optional(address: Address, root: type[Record] = Home) -> bool:
    """Whether a home, or an article, may do without what stands at an address."""
    holder = bare(type_at(root, address[:-1]))
    if not hasattr(holder, "model_fields"):
        return True
    return not fields(holder)[str(address[-1])].is_required()


def _entries_less(added: Iterable[OwnedPart], home: Home) -> Iterator[Edit]:
    """Every record that the file adds, but for those that what stays refers to."""
    less = {part.address for part in added if _optional(part.address)}
    referring = [
        (address, (mark.section, value))
        for address, value, marks in marked(home, Home)
        for mark in marks
        if isinstance(mark, Reference)
    ]
    while True:
        needed = {named for address, named in referring if not _inside(address, less)}
        kept = {each for each in less if each in needed}
        if not kept:
            break
        less -= kept
    yield from (Edit(address, GONE) for address in sorted(less, key=str) if not _inside(address[:-1], less))  # fmt: skip


def _inside(address: Address, records: set[Address]) -> bool:
    return any(address[:depth] in records for depth in range(1, len(address) + 1))


def _fields_more(records: Iterable[OwnedPart], sections: Sections) -> Iterator[Edit]:
    """Every simple field that the records leave out, filled in."""
    for part in records:
        present = part.merged.present
        for name, info in fields(bare(part.annotation)).items():
            if name not in present and not info.is_required():
                value = new_value(info.rebuild_annotation(), sections, info.default)
                if value is not None:
                    yield Edit((*part.address, name), value)


def _entries_more(added: Iterable[OwnedPart]) -> Iterator[Edit]:
    """A twin of every entry of a mapping that the file adds."""
    for part in added:
        holder = bare(type_at(Home, part.address[:-1]))
        if not hasattr(holder, "model_fields"):
            *way, name = part.address
            yield Edit((*way, f"{name}{_TWIN}"), plain_value(part.merged))


def ids_of(home: Home) -> Mapping[str, tuple[str, ...]]:
    """The ids of every section of a home."""
    sections: dict[str, Any] = {name: getattr(home, name) for name in Home.model_fields}
    return {name: tuple(each) for name, each in sections.items() if isinstance(each, Mapping)}


def article_trials(front: Mapping[str, Any], sections: Sections) -> Iterator[Trial]:
    """The changes that the front matter of an article could see."""
    tree = _as_part((), FrontMatter, front)
    values, records = tuple(_leaves(tree)), tuple(_records(tree))
    yield from _changed_values(values, {})
    yield Trial("taken away", tuple(
        Edit(part.address, GONE) for part in values if _optional(part.address, FrontMatter)
    ))  # fmt: skip
    yield Trial("added", tuple(_fields_more(records, sections)))
    yield Trial("added", tuple(
        Edit((*part.address[:-1], f"{part.address[-1]}{_TWIN}"), plain_value(part.merged))
        for part in records
        if len(part.address) == _ENTRY
    ))  # fmt: skip


def _as_part(address: Address, annotation: Any, value: Any) -> OwnedPart:
    if not isinstance(value, Mapping):
        return OwnedPart(address, annotation, Merged(value))
    children = {key: _as_part((), None, each).merged for key, each in value.items()}
    return OwnedPart(address, annotation, Merged(None, children))


def _below(part: OwnedPart) -> Iterator[OwnedPart]:
    """A part and all that is inside it, but for conditions, which are tried as a whole."""
    yield part
    for key, child in (part.merged.children or {}).items():
        if key != "when":
            yield from _below(
                OwnedPart((*part.address, key), child_type(part.annotation, key), child)
            )


def _leaves(part: OwnedPart) -> Iterator[OwnedPart]:
    return (each for each in _below(part) if each.merged.children is None)


def _records(part: OwnedPart) -> Iterator[OwnedPart]:
    return (each for each in _below(part) if each.merged.children is not None and each.is_record)
