"""What the row of a plot says, and its options: kept in plots.csv, as the sales team's table has it."""

from builder.board.looking import Looked
from builder.desk.answers import Answer, done, refused
from builder.desk.asked import Asked
from builder.desk.desk import Desk
from builder.desk.editing import ShownForm, attempt, save_of, with_findings
from builder.desk.forms.fields import Field
from builder.desk.forms.reading import as_it_stands, as_sent
from builder.desk.room import form
from builder.desk.rooms.changes import changes_page, completion_field, row_fields, table_of
from builder.desk.rooms.plots import PLOT, looked_at, named, path_of
from builder.saving.changes import Cells


def change_facts(desk: Desk, asked: Asked) -> Answer:
    """Change cells of the row."""
    looked = looked_at(desk, asked)
    shown = row_fields(looked, desk.board.looking().workspace)
    return _change_cells(desk, asked, looked, shown, "Address and house type")


def change_completion(desk: Desk, asked: Asked) -> Answer:
    """Change the day of completion."""
    looked = looked_at(desk, asked)
    return _change_cells(desk, asked, looked, (completion_field(looked),), "Day of completion")


def _change_cells(
    desk: Desk, asked: Asked, looked: Looked, shown: tuple[Field, ...], what: str
) -> Answer:
    sent = as_sent(shown, asked)
    first = {each.name: asked.text(f"was.{each.name}") for each in sent}
    cells = {each.path[-1]: each.value for each in sent if each.value != first[each.name]}
    if not cells:
        return refused(path_of(named(asked), "changes"), "Nothing was changed on the page.")
    return _save_cells(desk, asked, looked, cells, as_it_stands(shown, asked), what)


def _save_cells(
    desk: Desk, asked: Asked, looked: Looked, cells: dict[str, str], shown: tuple[Field, ...], what: str
) -> Answer:  # fmt: skip
    reference, file = named(asked), table_of(looked)
    save = save_of(asked, {file: (Cells(looked.plot.number, cells),)}, f"{what} of {reference}")
    result = attempt(desk, reference, save, only_try=asked.text("act") == "try")
    if result.saved or result.nothing:
        return done(path_of(reference, "changes"), f"Saved in {file}.")
    told, left = with_findings(shown, file, (), result.findings)
    return changes_page(desk, looked, ShownForm(told, result, left, asked))


def change_options(desk: Desk, asked: Asked) -> Answer:
    """Add options to a plot, and take them back. Those that stay keep their order: later ones win."""
    looked = looked_at(desk, asked)
    known = desk.board.looking().workspace.options
    wanted = [each for each in asked.several("option") if each in known]
    now = looked.standing.facts.options
    ordered = [each for each in now if each in wanted or each not in known]
    ordered += [each for each in wanted if each not in ordered]
    if tuple(ordered) == now:
        return refused(path_of(named(asked), "changes"), "The plot has these options already.")
    return _save_cells(desk, asked, looked, {"options": "+".join(ordered)}, (), "Options")


WAYS = (
    form(f"{PLOT}/row", change_facts, "options"),
    form(f"{PLOT}/completion", change_completion, "dates"),
    form(f"{PLOT}/options", change_options, "options"),
)
