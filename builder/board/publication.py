"""How the published guide of a plot compares with what it would be made from today."""

from collections.abc import Iterator, Mapping
from datetime import date

from builder.board.standing import Publication, text_at
from builder.build.manifest import GuideRecord, Records
from builder.build.sources import Sources, is_article
from builder.register.lines import Register
from builder.sources.workspace import PlotSource, Workspace

_WORDS: Mapping[str, str] = {
    "row": "its row in plots.csv",
    "codes": "its codes",
    "day": "the day, on which a waiver ends",
    "builder": "the builder itself",
    "articles": "which articles there are, and for whom",
    "templates": "the templates of pages",
    "pictures": "photographs",
}
"""What a guide is made from beside files, as people read it."""


def publication_of(
    plot: PlotSource, workspace: Workspace, register: Register, records: Records, sources: Sources,
    day: date,
) -> Publication | None:  # fmt: skip
    """The published guide of a plot, and what of all that it was made from has changed since."""
    code = register.guide(plot.numbers)
    record = records.read(code) if code else None
    if code is None or record is None:
        return None
    now = sources.inputs(plot, workspace, register, day, filter(is_article, record.inputs))
    issued = next((each.issued for each in register.codes if each.code == code), None)
    return Publication(code, _address(plot, workspace, code), issued, tuple(_changed(record, now)))


def _changed(record: GuideRecord, now: Mapping[str, str]) -> Iterator[str]:
    for name in dict.fromkeys((*record.inputs, *now)):
        if record.inputs.get(name) != now.get(name):
            yield _WORDS.get(name, name)


def _address(plot: PlotSource, workspace: Workspace, code: str) -> str:
    entry = workspace.developments[plot.development].entry
    host = text_at(entry, "development", "base_url").rstrip("/")
    return f"{host}/g/{code}/" if host else ""
