"""Jobs of COBie from the schedule of a home, and who does them."""

from collections.abc import Mapping
from datetime import date

from builder.guide.schedule.entries import ScheduleEntry
from builder.model.home import Home
from builder.writers.workbook.cobie_assets import CobieAssets, term
from builder.writers.workbook.cobie_rows import CobieHome, Rows

_RESOURCES = {
    "you": "Owner",
    "registered-person": "Registered person",
    "builder": "Builder",
    "keeper": "Keeper",
}
_WHOLE = "Home"
_CATEGORY = {
    "rhythm": "Preventive Maintenance",
    "season": "Preventive Maintenance",
    "opens": "Operation",
    "closes": "Operation",
}


def resources(rows: Rows) -> None:
    """Who does jobs: roles, never persons."""
    for name in _RESOURCES.values():
        rows.add(
            "Resource",
            name,
            Category="Labor",
            Description=name,
            ExtObject="Role",
            ExtIdentifier=name,
        )


def write_jobs(
    rows: Rows, about: CobieHome, assets: CobieAssets, spaces: Mapping[str, str], prefix: str
) -> None:
    """A job for each entry of the schedule. What concerns no piece is a job of the home as a whole."""
    home = about.home
    whole = None
    for entry in about.schedule.entries:
        kind = _type_of(entry, about, assets)
        if kind is None:
            whole = whole or _whole_home(rows, about, assets, spaces, prefix)
            kind = whole
        number, unit = _frequency(entry)
        start = _start(entry, home)
        rows.add(
            "Job", f"{prefix}{entry.id}", Category=_CATEGORY[entry.kind], Status="Not Started", TypeName=kind,
            Description=_in_sentences(entry.what, entry.when), Start=start, TaskStartUnit="day" if start is not None else None,
            Frequency=number, FrequencyUnit=unit, TaskNumber=entry.id, ResourceNames=_RESOURCES[entry.by],
            ExtObject="Entry", ExtIdentifier=f"{about.reference}/schedule/{entry.id}",
        )  # fmt: skip


def _in_sentences(what: str, when: str) -> str:
    """What is done, and when, each as a sentence."""
    said = [what, f"{when[:1].upper()}{when[1:]}"]
    return " ".join(each if each.endswith(".") else f"{each}." for each in said if each)


def _type_of(entry: ScheduleEntry, about: CobieHome, assets: CobieAssets) -> str | None:
    """The type that an entry is about: that of its piece, or of the first that its article serves."""
    what, _, name = (entry.target or "").partition(":")
    equipment = about.home.equipment
    if what == "equipment" and name in equipment:
        return assets.type_of(equipment[name], about.home)
    kinds = about.serves.get(name, ()) if what == "article" else ()
    piece = next((each for each in equipment.values() if each.kind in kinds), None)
    return assets.type_of(piece, about.home) if piece else None


def _whole_home(
    rows: Rows, about: CobieHome, assets: CobieAssets, spaces: Mapping[str, str], prefix: str
) -> str:
    """The type of a home as a whole, with a component: a type that nothing is of would lead nowhere."""
    name = assets.opening_type(_WHOLE)
    first = next(each for each, room in about.home.rooms.items() if room.floor)
    rows.add(
        "Component", f"{prefix}home", TypeName=name, Space=spaces[first], Description="The home as a whole", TagNumber="home",
        ExtObject="Plot", ExtIdentifier=about.reference, AssetIdentifier=about.reference,
    )  # fmt: skip
    return name


def _frequency(entry: ScheduleEntry) -> tuple[int | None, str | None]:
    if entry.every:
        return term(entry.every)
    return (1, "year") if entry.kind == "season" else (None, None)


def _start(entry: ScheduleEntry, home: Home) -> int | None:
    """Days from legal completion to the first time."""
    first: date | None = entry.first
    completion = home.plot.completion
    return (first - completion).days if first and completion else None
