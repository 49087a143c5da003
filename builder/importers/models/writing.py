"""The file of a house type from its draft: YAML with the origin of each value beside it."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import yaml

from builder.importers.models.draft import DraftedValue, Entry, HouseTypeDraft, one_line
from builder.importers.models.making import MadeDraft

_ORDER = ("house_type", "form", "building", "floors", "rooms", "doors", "windows", "stairs", "fittings", "heating", "zones", "ventilation", "equipment",
          "finishes", "garage")  # fmt: skip
_WIDE = 100_000


def file_of(made: MadeDraft, files: Sequence[str]) -> str:
    """The text of ``housetypes/<name>.yaml``. ``files``: the models that it was read from."""
    lines = [*_head(made, files), *_lines_to_work_through(made)]
    for section in _ORDER:
        lines += _section(section, made.draft)
    return "\n".join(map(one_line, lines)) + "\n"


def _head(made: MadeDraft, files: Sequence[str]) -> Iterator[str]:
    drawing = made.drawing
    yield "# yaml-language-server: $schema=../schemas/housetype.json"
    yield f"# A house type read from {', '.join(files)} ({drawing.form}, {drawing.unit}{', ' + drawing.program if drawing.program else ''})."
    yield "# Lengths in metres, as seen from the street: x grows to the right and y to the back, to the middle of the"
    yield '# walls between rooms. "area" is the floor between the faces of the walls, in square metres.'
    yield '# Beside each value stands where it came from: entity, attribute and GlobalId; "guessed" says what no model'
    yield "# says outright, and why it was taken so. Change what is wrong: an update leaves alone what a person wrote."


def _lines_to_work_through(made: MadeDraft) -> Iterator[str]:
    draft = made.draft
    if draft.noticed or len(made.homes) > 1:
        yield from ("#", "# Noticed in the model:")
        yield from (f"# - {line}" for line in noticed(made))
    if draft.needed:
        yield from (
            "#",
            "# What a guide still needs, and no model says. Work through it and delete the lines:",
        )
        for each in draft.needed:
            yield f"# - {each.what}: {each.why}." + (f"  {each.example}" if each.example else "")
    if draft.left_out:
        yield from ("#", "# In the model, and left out here:")
        for left in draft.left_out:
            yield (
                f"# - {left.count} of {left.what}: {left.why}."
                if left.count > 1
                else f"# - {left.what}: {left.why}."
            )


def noticed(made: MadeDraft) -> list[str]:
    """What a person is told of the model as a whole, in sentences."""
    lines = [*made.draft.noticed]
    if made.faces is not None:
        lines.append(
            f"True north of the model: the front looks to {made.faces:g}°; a plot says its own 'front_faces'."
        )
    if len(made.homes) > 1:
        others = ", ".join(each.name for each in made.homes if each.name != made.home.name)
        lines.append(
            f"This is home {made.home.name}; the model holds {others} too, told apart by {made.home.told_by}."
        )
    for like in made.alike:
        hand = "opposite" if like.mirrored else "as-drawn"
        how = "the mirror image of this home" if like.mirrored else "this home again"
        turned = f", turned by {like.turned}°" if like.turned and not like.mirrored else ""
        lines.append(
            f"Home {like.other} is {how}{turned}: its plots are of this house type with 'hand: {hand}'."
        )
    return lines


def _section(name: str, draft: HouseTypeDraft) -> Iterator[str]:
    single = draft.single.get(name)
    if isinstance(single, DraftedValue):
        yield from ("", _line(0, name, single))
    elif single:
        yield from ("", f"{name}:", *_entry(single, 1))
    elif entries := draft.entries(name):
        yield from ("", f"{name}:")
        for identifier, entry in entries.items():
            yield f"  {identifier}:{_whence(entry)}"
            yield from _entry(entry, 2)


def _whence(entry: Entry) -> str:
    origin = next((said.origin for said in entry.values() if said.origin), None)
    name = origin.name.replace("#", " ").strip() if origin else ""
    return f"  # {origin.entity} '{' '.join(name.split())}'" if origin and name else ""


def _entry(entry: Entry, depth: int) -> Iterator[str]:
    for key, said in entry.items():
        if isinstance(said.value, Mapping):
            yield f"{'  ' * depth}{key}:{_comment(said)}"
            for inner, value in said.value.items():
                yield f"{'  ' * (depth + 1)}{inner}: {flow(value)}"
        else:
            yield _line(depth, key, said)


def _line(depth: int, key: str, said: DraftedValue) -> str:
    return f"{'  ' * depth}{key}: {flow(said.value)}{_comment(said)}"


def _comment(said: DraftedValue) -> str:
    comment = " ".join(said.comment.split())
    return f"  # {comment}" if comment else ""


def flow(value: Any) -> str:
    """A value as it stands on one line of YAML, read back as the same."""
    written = yaml.safe_dump(
        plain_of(value), default_flow_style=True, width=_WIDE, allow_unicode=True, sort_keys=False
    )
    return written.removesuffix("...\n").strip()


def plain_of(value: Any) -> Any:
    """A value in lists and dictionaries, as files hold it."""
    if isinstance(value, tuple | list):
        return [plain_of(each) for each in value]
    if isinstance(value, Mapping):
        return {str(key): plain_of(each) for key, each in value.items()}
    if isinstance(value, float) and value == int(value) and abs(value) < 1e9:
        return int(value)
    return value
