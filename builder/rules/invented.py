"""Invented names and numbers, which a demonstration has and a home never: nobody answers them.

A development that says ``invented: true`` is one for trying out, and says so on every page. In any
other, a number that is kept for drama, an address under ``.example``, the name of the builder that
ships with the demo, or a postcode of no place is a mistake that stops its plots.
"""

import re
from collections.abc import Iterator, Mapping

from builder.errors import Finding, Findings, Severity
from builder.layers.merge import Layer, Merged, Merging, leaves
from builder.model.telephone import is_invented
from builder.rules.rule import Rule
from builder.sources.entry import Entry, plain
from builder.sources.workspace import DevelopmentSource, PlotSource, Workspace

INVENTED = Rule(
    "invented.name-or-number",
    "A development whose homes are real has no invented name, number or address.",
    Severity.ERROR,
    basis="house rule: what the demo and the first files of a workspace invent reaches no real home",
)
SHIPPED_NAMES = ("Fennimarsh", "Anytown")
"""What the builder of the demo is called, whose standard a new workspace begins with; and the town that
the first file of a development stands in, whose name its council and its supplier bear."""
_NAMED = ("name", "supplier", "address")
_EXAMPLE = re.compile(r"\.example\b")
_POSTCODE = re.compile(r"([A-Z]{1,2})[0-9][0-9A-Z]? ?[0-9][A-Z]{2}")
_AREAS = frozenset(
    [
        "AB",
        "AL",
        "B",
        "BA",
        "BB",
        "BD",
        "BH",
        "BL",
        "BN",
        "BR",
        "BS",
        "BT",
        "CA",
        "CB",
        "CF",
        "CH",
        "CM",
        "CO",
        "CR",
        "CT",
        "CV",
        "CW",
        "DA",
        "DD",
        "DE",
        "DG",
        "DH",
        "DL",
        "DN",
        "DT",
        "DY",
        "E",
        "EC",
        "EH",
        "EN",
        "EX",
        "FK",
        "FY",
        "G",
        "GL",
        "GU",
        "HA",
        "HD",
        "HG",
        "HP",
        "HR",
        "HS",
        "HU",
        "HX",
        "IG",
        "IP",
        "IV",
        "KA",
        "KT",
        "KW",
        "KY",
        "L",
        "LA",
        "LD",
        "LE",
        "LL",
        "LN",
        "LS",
        "LU",
        "M",
        "ME",
        "MK",
        "ML",
        "N",
        "NE",
        "NG",
        "NN",
        "NP",
        "NR",
        "NW",
        "OL",
        "OX",
        "PA",
        "PE",
        "PH",
        "PL",
        "PO",
        "PR",
        "RG",
        "RH",
        "RM",
        "S",
        "SA",
        "SE",
        "SG",
        "SK",
        "SL",
        "SM",
        "SN",
        "SO",
        "SP",
        "SR",
        "SS",
        "ST",
        "SW",
        "SY",
        "TA",
        "TD",
        "TF",
        "TN",
        "TQ",
        "TR",
        "TS",
        "TW",
        "UB",
        "W",
        "WA",
        "WC",
        "WD",
        "WF",
        "WN",
        "WR",
        "WS",
        "WV",
        "YO",
        "ZE",
    ]
)
"""The areas that postcodes of the United Kingdom begin with (Royal Mail's list, from memory)."""
_RIGHT = (
    "Write what is real. While you try things out, write 'invented: true' under 'development':"
    " every page then says that it is made up."
)


def invented_values(workspace: Workspace) -> Iterator[Finding]:
    """Everything invented that the homes of a development that is not would show."""
    for development in workspace.developments.values():
        if development.entry is not None and not _says_so(development.entry):
            yield from _findings_of_development(workspace, development)


def _says_so(entry: Entry) -> bool:
    return plain(entry)["development"].get("invented") is True


def _findings_of_development(
    workspace: Workspace, development: DevelopmentSource
) -> Iterator[Finding]:
    plots = tuple(plot.reference for plot in development.plots.values())
    files: dict[str, list[tuple[tuple[str | int, ...], Merged]]] = {}
    for path, said in leaves(_merged(workspace, development)):
        if not said.removed and _is_made_up(path, str(said.value)):
            files.setdefault(said.sayings[-1].place.file, []).append((path, said))
    for values in files.values():
        yield _finding(values, plots)
    for plot in development.plots.values():
        yield from _findings_of_plot(plot)


def _merged(workspace: Workspace, development: DevelopmentSource) -> Merged:
    """What the standard and the development together say of who builds and whom to call."""
    merging, merged = Merging(Findings()), Merged()
    for name, entry in (("standard", workspace.standard), ("development", development.entry)):
        if entry is not None:
            merged = merging.over(
                merged, Layer(name, Entry(_sections_of_people(entry), entry.place))
            )
    return merged


def _sections_of_people(entry: Entry) -> Mapping[str, Entry]:
    sections = ("builder", "development", "contacts", "utilities")
    return {name: each for name, each in entry.children.items() if name in sections}


def _is_made_up(path: tuple[str | int, ...], text: str) -> bool:
    """Whether a value is a number kept for films, an address of nobody, or a name of the demo."""
    if path[-1] == "telephone":
        return is_invented(text)
    if path[-1] in ("email", "base_url"):
        return _EXAMPLE.search(text) is not None
    return path[-1] in _NAMED and any(name in text for name in SHIPPED_NAMES)


def _findings_of_plot(plot: PlotSource) -> Iterator[Finding]:
    cell = plot.row.children["plot"].child("postcode")
    found = _POSTCODE.fullmatch(str(cell.value).upper()) if cell else None
    if cell is not None and found is not None and found[1] not in _AREAS:
        wrong = f"No postcode begins with {found[1]}: '{cell.value}' is of no place."
        made_up = INVENTED.finding(cell.place, wrong, _RIGHT, "plot.postcode")
        yield made_up.for_plots(plot.reference)


def _finding(values: list[tuple[tuple[str | int, ...], Merged]], plots: tuple[str, ...]) -> Finding:
    """All that is made up in one file, at the place of the first."""
    path, first = values[0]
    place = first.sayings[-1].place
    told = "; ".join(f"{'.'.join(map(str, path))}: {said.value}" for path, said in values)
    wrong = f"Nobody can be reached by these, because they are made up. {told}."
    return INVENTED.finding(place, wrong, _RIGHT, ".".join(map(str, path))).for_plots(*plots)
