"""``handover kinds``: kinds of equipment and rooms, with their facts and units."""

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import click

from builder.cli.options import workspace_option
from builder.cli.show import columns
from builder.errors import Findings, UsageError, near_miss
from builder.selection.named import shipped_conditions
from builder.sources.entry import plain
from builder.sources.nations import every_nation
from builder.sources.workspace import Workspace, read_workspace

_ALL = 500


@click.command()
@click.argument("kind", required=False)
@workspace_option
def kinds(kind: str | None, workspace: Path) -> None:
    """List kinds of equipment and rooms; of one KIND its facts, their units, and lines to copy.

    ``contacts`` in place of a KIND lists the roles of contacts, and which homes need which;
    ``conditions`` those that articles, symptoms and contacts ask for with ``is:``.
    """
    read = read_workspace(workspace, Findings())
    pieces, rooms = _kinds(read, "kinds"), _kinds(read, "room_kinds")
    if kind is None:
        _list(pieces, rooms)
    elif kind == "contacts":
        _list_roles(_kinds(read, "roles"))
    elif kind == "conditions":
        _list_conditions(read)
    elif kind in pieces:
        for line in _kind_lines(kind, pieces[kind]):
            click.echo(line)
    elif kind in rooms:
        for line in _about_room(kind, rooms[kind]):
            click.echo(line)
    else:
        close = near_miss(kind, [*pieces, *rooms])
        raise UsageError(
            f"There is no kind '{kind}'."
            + (f" Did you mean '{close}'?" if close else " 'handover kinds' lists them.")
        )


def _kinds(workspace: Workspace, section: str) -> dict[str, dict[str, Any]]:
    """Kinds that any layer which plots share defines; a later layer wins."""
    found: dict[str, dict[str, Any]] = {}
    for layer in (every_nation(), *workspace.shared_layers):
        entry = layer.child(section)
        for name, each in (entry.children if entry else {}).items():
            said = plain(each)
            if isinstance(said, dict):
                found[name] = {**found.get(name, {}), **said}
    return found


def _list(pieces: Mapping[str, dict[str, Any]], rooms: Mapping[str, dict[str, Any]]) -> None:
    rows = [(name, str(said.get("name", "")), str(said.get("system", "")), ", ".join(said.get("facts", {})))
            for name, said in sorted(pieces.items(), key=lambda each: (str(each[1].get("system")), each[0]))]  # fmt: skip
    for line in columns(("kind of equipment", "name", "system", "facts"), rows, shown=_ALL):
        click.echo(line)
    click.echo("")
    rooms_listed = [
        (name, str(said.get("name", "")), ", ".join(_traits(said)))
        for name, said in sorted(rooms.items())
    ]
    for line in columns(("kind of room", "name", "is"), rooms_listed, shown=_ALL):
        click.echo(line)


def _list_roles(roles: Mapping[str, dict[str, Any]]) -> None:
    """What contacts are for: a contact has the role of its own id, and those under its ``roles``."""
    rows = [
        (name, str(said.get("name", "")), _homes_that_need(said)) for name, said in roles.items()
    ]
    for line in columns(("role", "who it is", "needed by"), rows, shown=_ALL):
        click.echo(line)


def _list_conditions(read: Workspace) -> None:
    """The named conditions: those that ship, and those of the workspace over them."""
    ship = {name: {"says": each.says} for name, each in shipped_conditions().items()}
    rows = [
        (name, str(said.get("says", "")))
        for name, said in {**ship, **_kinds(read, "conditions")}.items()
    ]
    for line in columns(("condition", "holds where"), rows, shown=_ALL):
        click.echo(line)


def _homes_that_need(said: Mapping[str, Any]) -> str:
    when = said.get("when", {})
    asked = [*_as_tuple(when.get("fuel")), *_as_tuple(when.get("is"))]
    if not said.get("needed"):
        return ""
    return f"homes with {' or '.join(asked)}" if asked else "every home"


def _as_tuple(value: Any) -> tuple[str, ...]:
    return (value,) if isinstance(value, str) else tuple(value or ())


def _traits(said: Mapping[str, Any]) -> Iterator[str]:
    words = {
        "habitable": "lived in",
        "sleeping": "slept in",
        "circulation": "passed through",
        "shared": "shared",
    }
    yield from (word for key, word in words.items() if said.get(key))
    if said.get("inside") is False:
        yield "outside"
    if said.get("heated") is False:
        yield "not heated"
    if said.get("extract"):
        yield f"extract as {said['extract']}"


def _kind_lines(kind: str, said: Mapping[str, Any]) -> Iterator[str]:
    yield f"{kind}: {said.get('name', '')}. {said.get('what', '')}"
    if said.get("caution"):
        yield f"  Caution: {said['caution']}"
    for key, label in (("system", "system"), ("article", "article to read first"), ("sticker", "sticker"), ("turns_off", "turns off"),
                       ("service_every", "serviced every"), ("cover", "cover of its maker"), ("register_within", "registered within")):  # fmt: skip
        if said.get(key):
            yield f"  {label}: {said[key]}"
    facts = said.get("facts", {})
    for name, fact in facts.items():
        unit = f", in {fact['unit']}" if fact.get("unit") else ""
        needed = ", needed" if fact.get("required") else ""
        yield f"  fact {name}: {fact.get('name', '')} ({fact.get('type', 'text')}{unit}{needed})"
    yield "  To copy:"
    example = ", ".join(f"{name}: {_example(fact)}" for name, fact in facts.items())
    yield f"    {kind}: {{kind: {kind}, room: …, place: …, at: [x, y], height: …{', facts: {' + example + '}' if example else ''}}}"


def _example(fact: Mapping[str, Any]) -> str:
    return {"number": "1", "yes-no": "true"}.get(
        str(fact.get("type")), "6 months" if fact.get("rhythm") else "…"
    )


def _about_room(kind: str, said: Mapping[str, Any]) -> Iterator[str]:
    yield f"{kind}: {said.get('name', '')}, a kind of room"
    traits = ", ".join(_traits(said))
    if traits:
        yield f"  {traits}"
    yield "  To copy:"
    yield f"    {kind}: {{name: {said.get('name', kind)}, kind: {kind}, floor: ground, outline: [[0, 0], [3, 0], [3, 4], [0, 4]]}}"
