"""What was read from a model, what was guessed, left out, and is still needed: for people and programs."""

from collections.abc import Iterator
from typing import Any

from builder.importers.models.draft import one_line
from builder.importers.models.making import MadeDraft
from builder.importers.models.writing import noticed, plain_of


def report_text(made: MadeDraft) -> Iterator[str]:
    """The report in lines."""
    return map(one_line, _report_lines(made))


def _report_lines(made: MadeDraft) -> Iterator[str]:
    said = [each for _, each in made.draft.values()]
    told = sum(each.origin is not None and not each.guess for each in said)
    guessed = sum(bool(each.guess) for each in said)
    yield f"{len(said)} values: {told} as the model says them, {guessed} guessed, {len(said) - told - guessed} counted."
    for section, entries in made.draft.sections.items():
        yield f"  {section}: {len(entries)}"
    yield from _section_lines("Noticed", noticed(made))
    yield from _section_lines("Guessed", [f"{path}: {guess}" for path, guess in _guesses(made)])
    yield from _section_lines(
        "Left out", [f"{each.count} of {each.what}: {each.why}" for each in made.draft.left_out]
    )
    yield from _section_lines(
        "Still needed", [f"{each.what}: {each.why}" for each in made.draft.needed]
    )


def _guesses(made: MadeDraft) -> Iterator[tuple[str, str]]:
    """Guesses, the same one of an entry only once."""
    seen: set[tuple[str, str]] = set()
    for address, said in made.draft.values():
        entry = ".".join(address[:2])
        if said.guess and (entry, said.guess) not in seen:
            seen.add((entry, said.guess))
            yield ".".join(address), said.guess


def _section_lines(title: str, lines: list[str]) -> Iterator[str]:
    if lines:
        yield f"{title}:"
        yield from (f"  {line}" for line in lines)


def report_data(made: MadeDraft) -> dict[str, Any]:
    """The report as data, for JSON."""
    draft = made.draft
    return {
        "form": made.drawing.form,
        "program": made.drawing.program,
        "unit": made.drawing.unit,
        "home": made.home.name,
        "homes": [
            {"name": each.name, "rooms": len(each.rooms), "area": round(each.area, 2)} for each in made.homes
        ],
        "alike": [{"home": each.other, "hand": "opposite" if each.mirrored else "as-drawn", "turned": each.turned} for each in made.alike],
        "front_faces": made.faces,
        "values": [
            {
                "path": ".".join(address),
                "value": plain_of(said.value),
                "origin": said.origin and {"entity": said.origin.entity, "attribute": said.attribute,
                                           "id": said.origin.identifier, "file": said.origin.file},
                "guess": said.guess or None,
            }
            for address, said in draft.values()
        ],
        "noticed": noticed(made),
        "left_out": [{"what": each.what, "why": each.why, "count": each.count} for each in draft.left_out],
        "needed": [{"what": each.what, "why": each.why, "example": each.example} for each in draft.needed],
    }  # fmt: skip
