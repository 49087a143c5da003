"""What is doubtful in a model as a whole: its unit of length, and the language of its names."""

from collections.abc import Iterator, Sequence

from builder.errors import Finding
from builder.importers.finding import about
from builder.importers.models.drawn import ModelDrawing
from builder.importers.models.homes import Known
from builder.importers.models.own_words import OWN
from builder.importers.models.request import UNITS
from builder.importers.models.words import Vocabulary

_WIDE, _HIGH = (1.0, 16.0), (1.8, 5.0)
"""Metres that the middle one of the rooms of a home is wide, and how high."""
_FAR = 8.0
"""How many times too large or small a model is that shows no house: feet for metres are 3.3 times."""
_HALF, _SHOWN = 0.5, 5


def wrong_unit(drawing: ModelDrawing, file: str) -> Finding | None:
    """A mistake where rooms are so large or small that the model shows no house in its unit."""
    factor, unit = _fitting(drawing)
    if 1 / _FAR < factor < _FAR:
        return None
    right = (
        f"Its numbers fit {unit}: add --unit {unit}, or have the model exported in its right unit."
    )
    return about(file, "model.unit", f"{_sizes(drawing)} No home is like that.", right)


def doubtful_unit(drawing: ModelDrawing) -> Iterator[str]:
    """One sentence where another unit fits better than the one that a model says."""
    factor, unit = _fitting(drawing)
    if factor != 1.0:
        yield f"{_sizes(drawing)} Its numbers fit {unit}: if that is its unit, begin again with --unit {unit}."


def _sizes(drawing: ModelDrawing) -> str:
    wide, high = drawing.typical or (0.0, None)
    what = "rooms" if drawing.spaces or not drawing.walls else "walls"
    tall = f" and {_length(high)} high" if high is not None else ""
    return f"Read in {drawing.unit}, its {what} are about {_length(wide)} wide{tall}."


def _length(metres: float) -> str:
    if metres >= 1000:
        return f"{metres / 1000:,.1f} km"
    return f"{metres:,.1f} m" if metres >= 1 else f"{metres * 100:,.2f} cm"


def _fitting(drawing: ModelDrawing) -> tuple[float, str]:
    """By how much a model is to be enlarged to show a house, and the unit that says so; 1 where its own
    does, or none does."""
    if drawing.typical is None or _is_likely(drawing.typical, 1.0):
        return 1.0, drawing.unit
    for unit, metres in UNITS.items():
        if _is_likely(drawing.typical, metres / drawing.scale):
            return metres / drawing.scale, unit
    return 1.0, drawing.unit


def _is_likely(typical: tuple[float, float | None], factor: float) -> bool:
    wide, high = typical[0] * factor, typical[1]
    tall = high is None or high == 0 or _HIGH[0] <= high * factor <= _HIGH[1]
    return tall and _WIDE[0] <= wide <= _WIDE[1]


def unheard(rooms: Sequence[Known], words: Vocabulary) -> Iterator[str]:
    """One sentence where most names of rooms are words of no language that there is a table for."""
    named = [each for each in rooms if _is_word(each.space.name or each.space.number)]
    silent = [each for each in named if not words.room((each.space.name, *each.space.words))]
    if len(silent) < 2 or len(silent) <= _HALF * len(named):
        return
    names = dict.fromkeys(f"'{each.space.name or each.space.number}'" for each in silent)
    shown = ", ".join(list(names)[:_SHOWN]) + (", …" if len(names) > _SHOWN else "")
    yield (
        f"{len(silent)} of {len(named)} names of rooms are in no language that words are known of ({shown}): their kinds"
        f" were guessed by their size. Correct them, or add the words as {OWN}/<language>.yaml and begin again."
    )


def nameless(rooms: Sequence[Known]) -> Iterator[str]:
    """One sentence where spaces have no names, and one where a home has two kitchens and two bathrooms."""
    silent = [each for each in rooms if not _is_word(each.space.name or each.space.number)]
    unknown = [each for each in silent if not each.kind]
    if unknown:
        yield f"{len(unknown)} of {len(rooms)} spaces have no name: what kind of room each is was guessed by its size. Correct them."
    kitchens = [each for each in rooms if each.kind in ("kitchen", "kitchen-dining")]
    baths = [each for each in rooms if each.kind in ("bathroom", "shower-room")]
    if len(kitchens) > 1 and len(baths) > 1:
        yield (
            f"The model was read as one home with {len(kitchens)} kitchens. Are they several homes? Put the spaces of each"
            " into a zone of its own (IfcZone), or number them by home (A1, A2, B1)."
        )


def _is_word(name: str) -> bool:
    return sum(each.isalpha() for each in name) > 2
