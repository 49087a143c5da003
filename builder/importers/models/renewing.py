"""What a newer model would change in a house type, worked out and not written yet."""

from dataclasses import dataclass, replace
from pathlib import Path

from builder.disk import save_inside
from builder.errors import UsageError
from builder.importers.models.housetype import house_type_from
from builder.importers.models.record import (
    ModelRecord,
    place_of,
    read_record,
    record_of,
    source_of,
    text_of,
)
from builder.importers.models.request import ModelRequest
from builder.importers.models.updating import Change, renamed, updated


@dataclass(frozen=True)
class Renewed:
    """The text of a house type with what a model changed, every difference, and the new record."""

    text: str
    changes: tuple[Change, ...]
    record: ModelRecord

    @property
    def made(self) -> int:
        """How many changes are made; of the others a person has the last word."""
        return sum(each.effect != "kept" for each in self.changes)


def renewed(root: Path, name: str, asked: ModelRequest) -> Renewed:
    """A house type brought up to date with newer models. Nothing is written.

    Raises FindingsError for models that cannot be used, UsageError for a house type that was not read
    from one.
    """
    file, earlier = root / "housetypes" / f"{name}.yaml", read_record(root, name)
    if not file.is_file():
        raise UsageError(
            f"There is no house type '{name}'. To begin it: handover new housetype {name} --from …"
        )
    if earlier is None:
        raise UsageError(
            f"House type '{name}' was not read from a model: nobody can tell what a person wrote in it."
        )
    title = earlier.values["house_type.name"].value if "house_type.name" in earlier.values else name
    asked = asked.as_before("" if earlier.home == "1" else earlier.home, earlier.asked)
    made = house_type_from(root, str(title), asked).made
    made = replace(made, draft=renamed(made.draft, earlier))
    try:
        text, changes = updated(file.read_text(encoding="utf-8"), earlier, made.draft)
    except ValueError as error:
        raise UsageError(
            f"'{file}' cannot be read: {error}. 'handover check' says more."
        ) from error
    sources = [source_of(path) for path in asked.files]
    return Renewed(text, changes, record_of(made, sources, asked.kept))


def keep_record(root: Path, name: str, record: ModelRecord) -> None:
    """Keep what a model said of a house type beside it."""
    save_inside(root, place_of(root, name), text_of(record).encode("utf-8"))
