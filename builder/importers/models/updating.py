"""A house type brought up to date with a newer model: what the model changed, and nothing else.

Three are compared: what the model said when it was read last, what it says now, and what stands in
the file. What a person wrote is never changed.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal

from builder.importers.models.draft import DraftedValue, Entry, HouseTypeDraft
from builder.importers.models.record import ModelRecord, ModelValue
from builder.importers.models.writing import plain_of
from builder.saving.changing import ChangingFile

Effect = Literal["changed", "added", "taken out", "kept"]
_ENTRY = 2
"""Steps to an entry of a section; a field of it is one step further."""
_REFERRING = ("room", "between", "opens_into", "floor", "rooms", "thermostat", "source", "hot_water", "unit", "by")  # fmt: skip


@dataclass(frozen=True, slots=True)
class Change:
    """One difference: what the model said, says now, what stands in the file, and what became of it."""

    path: str
    effect: Effect
    before: Any
    now: Any
    why: str = ""


def updated(
    text: str, earlier: ModelRecord, draft: HouseTypeDraft
) -> tuple[str, tuple[Change, ...]]:
    """The file with what the model changed, and all differences. Raises ValueError for a broken file."""
    file = ChangingFile(text)
    changes = tuple(_Updating(file, earlier, draft).changes())
    touched = any(each.effect != "kept" for each in changes)
    return (file.text if touched else text), changes


def renamed(draft: HouseTypeDraft, earlier: ModelRecord) -> HouseTypeDraft:
    """The draft with the ids that the same entities had before, so that references still hold."""
    names = dict(_renamings(draft, earlier))
    sections = {
        section: {
            names.get((section, name), name): _referring(entry, names)
            for name, entry in entries.items()
        }
        for section, entries in draft.sections.items()
    }
    single = {
        name: said if isinstance(said, DraftedValue) else _referring(said, names)
        for name, said in draft.single.items()
    }
    return HouseTypeDraft(sections, single, draft.left_out, draft.needed, draft.noticed)


def _renamings(
    draft: HouseTypeDraft, earlier: ModelRecord
) -> Iterator[tuple[tuple[str, str], str]]:
    before: dict[tuple[str, str], str] = {}
    for path, said in earlier.values.items():
        steps = path.split(".")
        if len(steps) > _ENTRY and said.identifier:
            before.setdefault((steps[0], said.identifier), steps[1])
    for section, entries in draft.sections.items():
        taken: set[str] = set()
        for name, entry in entries.items():
            key = (section, _identity(entry))
            known = before.get(key)
            if known and known not in taken and (known == name or known not in entries):
                taken.add(known)
                yield (section, name), known


def _identity(entry: Entry) -> str:
    return next((said.origin.identifier for said in entry.values() if said.origin), "")


def _referring(entry: Entry, names: Mapping[tuple[str, str], str]) -> Entry:
    flat = {old: new for (_, old), new in names.items()}

    def turned(key: str, value: Any) -> Any:
        if isinstance(value, Mapping):
            return {flat.get(name, name): turned(name, each) for name, each in value.items()}
        if key not in _REFERRING:
            return value
        if isinstance(value, str):
            return flat.get(value, value)
        return tuple(flat.get(each, each) for each in value) if isinstance(value, tuple) else value

    return {key: replace(said, value=turned(key, said.value)) for key, said in entry.items()}


class _Updating:
    """One update of the file of a house type."""

    def __init__(self, file: ChangingFile, earlier: ModelRecord, draft: HouseTypeDraft) -> None:
        self.file, self.before = file, earlier.values
        self.now = {".".join(address): said for address, said in draft.values()}

    def changes(self) -> Iterator[Change]:
        """Every difference, done as it is told where the model has its way."""
        for path, said in self.now.items():
            change = self._change_of(path, said)
            if change is not None:
                yield change
        yield from self._gone_changes()

    def _change_of(self, path: str, said: DraftedValue) -> Change | None:
        steps, now = path.split("."), plain_of(said.value)
        earlier, here = self.before.get(path), plain_of(self.file.at(steps))
        if earlier is None:
            return self._new(path, steps, said, here)
        if now in (earlier.value, here):
            return None
        if here is None:
            return Change(path, "kept", earlier.value, now, "a person took it out")
        if here != earlier.value:
            return Change(path, "kept", here, now, "a person wrote it")
        self.file.put(steps, now, said.comment)
        return Change(path, "changed", earlier.value, now)

    def _new(self, path: str, steps: list[str], said: DraftedValue, here: Any) -> Change | None:
        now = plain_of(said.value)
        if here is not None:
            return None if here == now else Change(path, "kept", here, now, "a person wrote it")
        if len(steps) > _ENTRY and self._was_taken_out(steps):
            return Change(path, "kept", None, now, "a person took the whole entry out")
        self.file.put(steps, now, said.comment)
        return Change(path, "added", None, now)

    def _was_taken_out(self, steps: list[str]) -> bool:
        entry = ".".join(steps[:_ENTRY]) + "."
        known = any(path.startswith(entry) for path in self.before)
        return known and self.file.at(steps[:_ENTRY]) is None

    def _gone_changes(self) -> Iterator[Change]:
        """What the model had before and has no longer."""
        entries: dict[str, dict[str, ModelValue]] = {}
        for path, said in self.before.items():
            steps = path.split(".")
            if path not in self.now and self.file.at(steps) is not None:
                entries.setdefault(".".join(steps[:_ENTRY]), {})[path] = said
        for entry, values in entries.items():
            yield from self._taken_out(entry, values)

    def _taken_out(self, entry: str, values: Mapping[str, ModelValue]) -> Iterator[Change]:
        whole = not any(path.startswith(entry + ".") for path in self.now) and entry not in values
        untouched = all(
            plain_of(self.file.at(path.split("."))) == said.value for path, said in values.items()
        )
        added = whole and len(self.file.at(entry.split(".")) or {}) > len(values)
        for path, said in values.items():
            if not untouched or added:
                yield Change(path, "kept", said.value, None, "a person changed this entry")
            else:
                yield Change(path, "taken out", said.value, None)
                self.file.take_out(path.split("."))
        if whole and untouched and not added:
            self.file.take_out(entry.split("."))
