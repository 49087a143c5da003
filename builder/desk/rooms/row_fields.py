"""The fields of a plot's row: what plots.csv says of it."""

from builder.board.looking import Looked
from builder.board.standing import text_at
from builder.desk.forms.fields import Field, spoken
from builder.sources.entry import plain
from builder.sources.workspace import Workspace

FACTS = ("address", "postcode", "house_type", "hand", "front_faces", "warrant")
"""The columns that sales and technical keep; the day of completion stands by itself."""


def table_of(looked: Looked) -> str:
    """The table in which the row of a plot stands."""
    return f"developments/{looked.plot.development}/plots.csv"


def row_fields(looked: Looked, workspace: Workspace) -> tuple[Field, ...]:
    """The cells of a plot's row, but for its number and its options."""
    row = plain(looked.plot.row).get("plot", {})
    types = tuple((name, _called(workspace, name)) for name in workspace.house_types)
    hands = (("as-drawn", "as drawn"), ("opposite", "opposite hand"))
    choices = {"house_type": types, "hand": hands}
    labels = {"front_faces": "The front faces, in degrees from north"}
    return tuple(
        Field(
            ("plot", name), labels.get(name, spoken(name)),
            "choice" if name in choices else "day" if name == "warrant" else "text",
            "" if row.get(name) is None else str(row[name]), choices.get(name, ()), group="plot",
        )
        for name in FACTS
    )  # fmt: skip


def completion_field(looked: Looked) -> Field:
    """The day of legal completion."""
    day = looked.standing.facts.completion
    return Field(("plot", "completion"), "Legal completion", "day", day.isoformat() if day else "")


def _called(workspace: Workspace, house_type: str) -> str:
    return text_at(workspace.house_types[house_type], "house_type", "name") or house_type
