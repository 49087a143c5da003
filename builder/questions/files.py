"""What each file of a workspace is to the builder, and which plots read it."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

from jinja2 import Environment
from jinja2.meta import find_referenced_templates

from builder.disk import true_place
from builder.errors import UsageError, near_miss
from builder.guide.parts import layouts_through
from builder.languages.templates import SAYS as SAYS_TEXTS
from builder.layers.stack import files_of
from builder.model.article import Article
from builder.model.home import Home
from builder.questions.homes import Homes, ReadHome
from builder.questions.owned import OwnedTarget, lines_under
from builder.selection.choosing import choose
from builder.shipped import LAYER, layered, shipped
from builder.sources.entry import Entry
from builder.sources.library import shipped_articles
from builder.sources.workspace import Workspace

Use = Literal[
    "layer", "article", "photograph", "page template", "site", "sticker page", "label", "paper",
    "run sheet", "walk", "documents", "library", "codes", "nothing",
]  # fmt: skip
PAGES = "site_templates/pages/"
SAYS: dict[Use, str] = {
    "layer": "Homes are made from it.",
    "article": "It is an article.",
    "photograph": "Pages show this photograph.",
    "page template": "Pages are written through it.",
    "site": "Every page of every guide is dressed in it.",
    "sticker page": "Every page behind a sticker is written through it.",
    "label": "Sheets of stickers are printed through it. No page shows it.",
    "paper": "Papers are printed through it. No page shows it.",
    "run sheet": "Run sheets of the demonstration are written from it. No page shows it.",
    "walk": "Run sheets of the demonstration and the walk round in each guide are written from it.",
    "documents": "'handover ready' asks for these papers. No page shows them.",
    "library": "It takes away articles that ship.",
    "codes": "It holds the codes of guides and stickers: their addresses change, and no page does. "
    "Never change or delete a line: printed stickers lead there.",
    "nothing": "Nothing reads it.",
}
"""What each use is, in words."""


_FOLDERS: tuple[tuple[str, Use], ...] = (
    (PAGES, "page template"),
    ("site_templates/theme/", "site"),
    ("site_templates/offline/", "site"),
    ("site_templates/paper/", "paper"),
    ("site_templates/demonstration/", "run sheet"),
    ("content/demonstration/", "walk"),
)
_FILES: dict[str, Use] = {
    "mkdocs.yml": "site",
    "site_templates/stickers/page.html": "sticker page",
    "site_templates/stickers/part.html": "sticker page",
    "site_templates/stickers/page.css": "sticker page",
    "site_templates/stickers/sheet.typ": "label",
    "site_templates/stickers/stock.yaml": "label",
    "stickers/stock.yaml": "label",
    "content/documents.yaml": "documents",
    "content/library.yaml": "library",
}


@dataclass(frozen=True, slots=True)
class Reading:
    """A target, what it is used for, and the plots that read it."""

    target: OwnedTarget
    use: Use
    plots: tuple[str, ...]


def target_of(root: Path, named: str) -> OwnedTarget:
    """The file, and the line where one is named, that a command line means: FILE or FILE:LINE.

    A file is looked for here, then in the workspace. UsageError where it is in neither.
    """
    text, _, last = named.rpartition(":")
    file, line = (text, int(last)) if text and last.isdecimal() else (named, None)
    inside = true_place(root)
    for path in (Path(file), root / file):
        if path.is_file() and true_place(path).is_relative_to(inside):
            return OwnedTarget(true_place(path).relative_to(inside).as_posix(), line)
    if file.startswith(LAYER) and shipped(file.removeprefix(LAYER)).is_file():
        return OwnedTarget(file, line)
    if Path(file).is_file():
        raise UsageError(f"'{file}' is outside the workspace '{root}'.")
    raise UsageError(
        f"There is no file '{file}' in the workspace '{root}'.{_files_like(inside, file)}"
    )


def _files_like(root: Path, file: str) -> str:
    known = [
        path.relative_to(root).as_posix()
        for folder in ("housetypes", "developments", "content", "site_templates")
        for path in sorted((root / folder).rglob("*"))
        if path.is_file()
    ]
    close = near_miss(file, known)
    by_name = {Path(each).name: each for each in known}
    named = near_miss(Path(file).name, by_name)
    close = close or (by_name[named] if named else None)
    return f" Did you mean '{close}'?" if close else ""


def with_lines(target: OwnedTarget, workspace: Workspace) -> OwnedTarget:
    """A target of one line, with the lines of all that stands under the name on it."""
    if target.line is None:
        return target
    entries = (each for each in _entries(workspace) if each.place.file == target.file)
    under = {line for entry in entries for line in lines_under(entry, target.line)}
    return replace(target, lines=frozenset(under | {target.line}))


def _entries(workspace: Workspace) -> Iterator[Entry]:
    """Every file that was read into entries."""
    yield from workspace.shared_layers
    for plot in workspace.plots.values():
        yield from (each for each in (plot.own, plot.row) if each is not None)
    yield from (source.entry for source in workspace.articles.values())


def reading_of(homes: Homes, target: OwnedTarget) -> Reading:
    """What a file is used for, and by which of the plots asked for."""
    if target.file in homes.workspace.unread:
        raise UsageError(
            f"'{target.file}' has mistakes, so nobody can say what it reaches. See 'handover check'."
        )
    layers = {name: files_of(homes.workspace, homes.workspace.plots[name]) for name in homes.asked}
    readers = tuple(name for name, files in layers.items() if target.file in files)
    if readers:
        return Reading(target, "layer", readers)
    use = _use(homes, target.file)
    plots = tuple(
        name for name, home in homes.homes.items() if _reads(home, target.file, use, homes)
    )
    return Reading(target, use if plots else "nothing", plots)


def _use(homes: Homes, file: str) -> Use:
    workspace = homes.workspace
    if any(source.article.file == file for source in workspace.articles.values()):
        return "article"
    if any(file == f"{each.file}/register.csv" for each in workspace.developments.values()):
        return "codes"
    if any(file in photographs(home.traced.home) for home in homes.homes.values()):
        return "photograph"
    return "nothing" if _is_covered(workspace, file) else _use_by_name(file.removeprefix(LAYER))


def _is_covered(workspace: Workspace, file: str) -> bool:
    """Whether a file that ships is read by nobody, because the workspace has its own of its name."""
    own = workspace.folder.root / file.removeprefix(LAYER)
    return file.startswith(LAYER) and (own.exists() or "/articles/" in file)


def _use_by_name(file: str) -> Use:
    if file in _FILES:
        return _FILES[file]
    return next((use for folder, use in _FOLDERS if file.startswith(folder)), "nothing")


def _reads(home: ReadHome, file: str, use: Use, homes: Homes) -> bool:
    if use == "photograph":
        return file in photographs(home.traced.home)
    if use == "codes":
        return file.startswith(f"{homes.workspace.developments[home.plot.development].file}/")
    if use == "library":
        return bool(returning(home.traced.home, homes.workspace))
    if file.removeprefix(LAYER).startswith("content/demonstration/"):
        return _is_shown(home.traced.home, _words_in(homes, file))
    return use != "nothing"


def returning(home: Home, workspace: Workspace) -> tuple[Article, ...]:
    """The articles that ship, that the workspace takes away and that this home would get."""
    ships = shipped_articles(workspace.folder.root)
    return choose((ships[name].article for name in workspace.removed), home).articles


def photographs(home: Home) -> frozenset[str]:
    """The files of a home's photographs, and of its builder's logo."""
    logo = home.builder.look.logo if home.builder.look else None
    return frozenset(
        {*(photo.file for photo in home.photos.values()), *([logo.file] if logo else [])}
    )


def layouts_of(root: Path, file: str) -> frozenset[str]:
    """The layouts that a page template, or a part that templates take in, is of."""
    asks = {
        name: _asks(path)
        for name, path in layered(root, PAGES).files("*").items()
        if path.suffix in (".md", ".html")
    }
    wanted = Path(file).name
    reached = {wanted}
    while more := {name for name, asked in asks.items() if asked & reached} - reached:
        reached |= more
    return frozenset(layout for name in reached for layout in layouts_through(name))


def _asks(path: Path) -> frozenset[str]:
    """The templates that a template takes in."""
    found = find_referenced_templates(
        Environment(autoescape=True, extensions=[SAYS_TEXTS]).parse(
            path.read_text(encoding="utf-8")
        )
    )
    return frozenset(each for each in found if each)


def _words_in(homes: Homes, file: str) -> Entry | None:
    from_file = (each.entry for each in homes.demonstration if each.entry.place.file == file)
    return next(from_file, None)


def _is_shown(home: Home, words: Entry | None) -> bool:
    """Whether the run sheet of a home says something of a file of words."""
    if words is None:
        return True
    kinds = set(_kinds_of(home))
    room_kinds = {room.kind for room in home.rooms.values()}
    general = {"subjects", "before", "times"} & words.children.keys()
    return bool(general or kinds & _ids(words, "kinds") or room_kinds & _ids(words, "room_kinds"))


def _kinds_of(home: Home) -> Iterator[str]:
    for piece in home.equipment.values():
        yield from (piece.kind, *home.kinds[piece.kind].counts_as)
    for zone in home.zones.values():
        yield from (each.kind for each in zone.emitters.values())


def _ids(words: Entry, section: str) -> set[str]:
    held = words.children.get(section)
    return set(held.children) if held else set()
