"""Where stickers go, wall by wall: each wall drawn once, with the numbers that the fixing list has."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from builder.craft.drawings import standing_alone
from builder.guide.labels import Label
from builder.guide.wall.svg import shared_wall_svg
from builder.guide.wall.together import SharedWall, gathered
from builder.guide.wall.words import place, stand
from builder.writers.stickers.text import tidy


@dataclass(frozen=True, slots=True)
class FixingLine:
    """One sticker on a wall: its number in the list, what it is for, and how high and far along."""

    number: int
    equipment: str
    place: str


@dataclass(frozen=True, slots=True)
class FixingWall:
    """One wall of one plot: where to stand, the drawing as an SVG document, its words, its stickers."""

    plot: str
    stand: str
    drawing: str
    says: str
    lines: tuple[FixingLine, ...]


def fixing_walls(labels: Sequence[Label], style: str) -> Iterator[FixingWall]:
    """The walls on which any of these stickers stick, plot by plot. ``style`` is CSS for drawings."""
    numbered = tuple(enumerate(labels, 1))
    for plot in dict.fromkeys(label.plot for label in labels):
        seen = {
            number: (tidy(label.equipment), label.wall)
            for number, label in numbered
            if label.plot == plot and label.wall is not None
        }
        lines = {number: FixingLine(number, title, tidy(place(view))) for number, (title, view) in seen.items()}  # fmt: skip
        for wall in gathered((number, view) for number, (_, view) in seen.items()):
            yield _wall(plot, wall, tuple(lines[each.number] for each in wall.things), style)


def _wall(plot: str, wall: SharedWall, lines: tuple[FixingLine, ...], style: str) -> FixingWall:
    where = stand(wall.view)
    return FixingWall(
        plot=tidy(plot),
        stand=tidy(where),
        drawing=standing_alone(str(shared_wall_svg(wall)), style),
        says=f"{where} On it: {wall.numbers()}.",
        lines=lines,
    )
