"""Which table of a subject holds for a home: by the edition that is named, or by a day."""

from builder.layers.memo import Memo
from builder.model.home import Home
from builder.model.nation import Nation
from builder.model.people import Development, Plot
from builder.rules.reference import Table, library


def table_for(home: Home, subject: str, kept: Memo) -> Table | None:
    """The table of a subject in the nation and edition of a home; looked up once for all alike."""
    return kept.once(_table, home.development, home.nation, home.plot, subject)


def _table(development: Development, nation: Nation, plot: Plot, subject: str) -> Table | None:
    named = development.editions.get(subject)
    day = plot.warrant or development.warrant
    if named is None and nation.editions_by == "warrant" and day is not None:
        return library().on(development.taken_nation, subject, day)
    return library().table(development.taken_nation, subject, named)
