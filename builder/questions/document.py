"""A home as plain JSON: what ``handover find`` asks, and where each of its values came from."""

from dataclasses import dataclass
from typing import Any

from builder.errors import Place
from builder.layers.merge import Merged
from builder.questions.homes import ReadHome
from builder.sources.entry import Address

DEFAULT_LAYER = "nobody wrote it"
"""Stands for the layer of a value that no author wrote, such as ``page: true`` of a kind."""


@dataclass(frozen=True, slots=True)
class Origin:
    """The layer that said a value, and where; no place for a value that stands by default.

    Of a record: every layer that had a say in it, the one that added it first, and its place.
    """

    layer: str
    place: Place | None


@dataclass(frozen=True, slots=True)
class JsonDocument:
    """One home to be asked. ``plain`` holds mappings, lists, texts, numbers and booleans alone.

    Its names are those of ``builder/model/home.py``, ids are keys, dates are ISO 8601 texts, and
    what has no value is left out, so that ``[?@.make]`` asks for pieces that have a make. Beside
    the home stand ``plot.reference``, ``plot.development``, and ``articles`` by their ids.
    """

    home: ReadHome
    plain: dict[str, Any]

    def origin(self, location: Address) -> Origin:
        """Who said the value at a location; of a record, who added it first."""
        if not location:
            return Origin(DEFAULT_LAYER, None)
        if location[:1] == ("articles",):
            return self._article(location)
        if location in (("plot", "reference"), ("plot", "development")):
            location = ("plot", "number")
        return origin_in(self.home.traced.merged, location)

    def _article(self, location: Address) -> Origin:
        choice = self.home.selection.of(str(location[1])) if len(location) > 1 else None
        if choice is None:
            return Origin(DEFAULT_LAYER, None)
        return Origin(f"article {choice.article.id}", Place(choice.article.file))


def document_of(home: ReadHome) -> JsonDocument:
    """One home as JSON, in its own hand, with its private serial numbers and without its record.

    What was measured, counted and signed at handover stands beside a home, never in it.
    """
    plain = home.traced.home.model_dump(mode="json", by_alias=True, exclude_none=True)
    plot = home.plot
    plain["plot"] = {"reference": plot.reference, "development": plot.development, **plain["plot"]}
    plain["articles"] = {
        article.id: {"title": article.front.title, "system": article.front.system}
        for article in home.selection.articles
    }
    return JsonDocument(home, plain)


def origin_in(merged: Merged, location: Address) -> Origin:
    """Who said the value at a location of a home's data, and where."""
    found, rest = _walked(merged, location)
    if not rest or found.children is None:
        return _origin_of(found)
    kept = _kept_position(merged, location)
    return _origin_of(kept) if kept else Origin(DEFAULT_LAYER, None)


def _walked(merged: Merged, location: Address) -> tuple[Merged, Address]:
    """The last merged value on the way to a location, and the steps that were left."""
    here = merged
    for depth, step in enumerate(location):
        inner = here.child(step)
        if inner is None or inner.removed:
            return here, location[depth:]
        here = inner
    return here, ()


def _kept_position(merged: Merged, location: Address) -> Merged | None:
    """The position that the house type keeps for a piece of which an option left it open."""
    piece, field = location[:2], location[2:3]
    if len(piece) < 2 or piece[0] != "equipment" or field not in (("at",), ("height",)):  # noqa: PLR2004
        return None
    found, rest = _walked(merged, ("positions", piece[1], *field))
    return found if not rest else None


def _origin_of(merged: Merged) -> Origin:
    """A leaf comes from the layer that holds; a record from the one that added it, and all after."""
    if not merged.sayings:
        return Origin(DEFAULT_LAYER, None)
    if merged.children is None:
        return Origin(merged.sayings[-1].layer, merged.sayings[-1].place)
    layers = dict.fromkeys(saying.layer for saying in merged.sayings)
    return Origin(", ".join(layers), merged.sayings[0].named_at)
