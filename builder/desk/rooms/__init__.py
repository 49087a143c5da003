"""The rooms of the desk, in the order of the navigation. One without a title has no entry there."""

from builder.desk.room import DeskRoom
from builder.desk.rooms import (
    article,
    articles,
    changes,
    departures,
    history,
    home,
    house_types,
    live,
    models,
    on_site,
    overview,
    owner,
    papers,
    photographs,
    printing,
    recall,
    record,
    release,
    row,
    spreadsheet,
    today,
    working,
)

_CHANGES = DeskRoom("changes", "", "", (*changes.WAYS, *row.WAYS, *departures.WAYS))

ROOMS: tuple[DeskRoom, ...] = (
    today.ROOM,
    overview.ROOM,
    home.ROOM,
    _CHANGES,
    record.ROOM,
    photographs.ROOM,
    papers.ROOM,
    owner.ROOM,
    on_site.ROOM,
    house_types.ROOM,
    DeskRoom("models", "", "", models.WAYS),
    articles.ROOM,
    DeskRoom("articles", "", "", article.WAYS),
    recall.ROOM,
    history.ROOM,
    live.ROOM,
    spreadsheet.ROOM,
    release.ROOM,
    printing.ROOM,
    working.ROOM,
)
