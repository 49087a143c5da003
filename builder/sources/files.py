"""The shape of each kind of source file: which sections of a home it may write."""

from typing import Any

from pydantic import Field, create_model

from builder.model.handover import Handover
from builder.model.home import Home
from builder.model.people import Builder, Development, HouseType, Option
from builder.model.record import ById, Day, Identifier, Record, Text, empty
from builder.model.shape import partial

_OWN_SECTIONS = frozenset({"builder", "development", "house_type", "plot", "options"})
"""Sections that one layer alone writes; every other section may stand in any layer."""


def _sections() -> dict[str, Any]:
    return {
        name: (info.rebuild_annotation(), Field(default=None))
        for name, info in partial(Home).model_fields.items()
        if name not in _OWN_SECTIONS
    }


Changes = create_model("Changes", __base__=Record, **_sections())
"""What a layer says of a home: any sections, each as far as it differs."""

StandardFile = create_model("StandardFile", __base__=Record, builder=(Builder, ...), **_sections())
DevelopmentFile = create_model(
    "DevelopmentFile", __base__=Record, development=(Development, ...), **_sections()
)
HouseTypeFile = create_model(
    "HouseTypeFile", __base__=Record, house_type=(HouseType, ...), **_sections()
)
OptionFile = create_model("OptionFile", __base__=Record, option=(Option, ...), **_sections())


class Departure(Record):
    """What differs on this one plot from all that its layers say, why, and since when."""

    note: Text
    date: Day
    changes: Changes


class PlotFile(Record):
    """``plots/<plot>.yaml``. Serial numbers and ``handover`` are private: nothing publishes them.

    ``registrations``: the day on which each piece of equipment was registered with its maker; its
    cover counts from then. ``formerly`` lists numbers that the plot had before: its codes stay its
    own.
    """

    departures: ById[Departure] = Field(default_factory=empty)
    serials: ById[Text] = Field(default_factory=empty)
    registrations: ById[Day] = Field(default_factory=empty)
    formerly: tuple[Identifier, ...] = ()
    handover: Handover | None = None
