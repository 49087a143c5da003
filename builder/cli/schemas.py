"""``handover schema``: JSON Schemas that editors read, one for each kind of source file."""

import json
from pathlib import Path

import click
from pydantic import BaseModel

from builder.cli.options import workspace_option
from builder.disk import save_inside
from builder.importers.models.own_words import ModelWordsFile
from builder.importers.spreadsheets.confirmed import ColumnsFile
from builder.model.article import FrontMatter
from builder.model.demonstration import DemonstrationFile
from builder.model.site_settings import SiteSettings
from builder.model.symptom import SymptomFile
from builder.model.translation import ArticleTexts, SymptomTextsFile
from builder.sources.files import (
    DEVELOPMENT_FILE,
    HOUSE_TYPE_FILE,
    OPTION_FILE,
    PAPERS_FILE,
    PLOT_FILE,
    STANDARD_FILE,
)
from builder.sources.library import LibraryFile
from builder.writers.home_file.writing import home_schema
from builder.writers.stickers.stock import StockFile

SHAPES: dict[str, type[BaseModel]] = {
    "standard": STANDARD_FILE.whole,
    "development": DEVELOPMENT_FILE.whole,
    "housetype": HOUSE_TYPE_FILE.whole,
    "option": OPTION_FILE.whole,
    "plot": PLOT_FILE.whole,
    "article": FrontMatter,
    "demonstration": DemonstrationFile,
    "symptoms": SymptomFile,
    "library": LibraryFile,
    "documents": PAPERS_FILE.whole,
    "translated-article": ArticleTexts,
    "translated-symptoms": SymptomTextsFile,
    "stock": StockFile,
    "columns": ColumnsFile,
    "model-words": ModelWordsFile,
    "mkdocs": SiteSettings,
}
HOME = "home"
"""The file that ``handover export json`` writes: a shape for other programs."""
_DIALECT = "https://json-schema.org/draft/2020-12/schema"


def schema_text(name: str) -> str:
    """The schema of one kind of file, as it is written."""
    shape = home_schema() if name == HOME else SHAPES[name].model_json_schema(by_alias=True)
    schema = {"$schema": _DIALECT, **shape}
    return json.dumps(schema, indent=2, ensure_ascii=False, sort_keys=True) + "\n"


def write_schemas(folder: Path, root: Path) -> tuple[Path, ...]:
    """Write every schema into a folder, which lies in ``root`` whatever links stand on the way."""
    written = []
    for name in (*SHAPES, HOME):
        path = folder / f"{name}.json"
        save_inside(root, path, schema_text(name).encode("utf-8"))
        written.append(path)
    return tuple(written)


@click.command()
@click.option("--out", type=click.Path(file_okay=False, path_type=Path),
              help="Folder for the schemas. Default: schemas, in the workspace.")  # fmt: skip
@workspace_option
def schema(out: Path | None, workspace: Path) -> None:
    """Write the JSON Schemas that editors use to complete and check YAML files, and that of
    'handover export json', for programs."""
    for path in write_schemas(out or workspace / "schemas", out or workspace):
        click.echo(path.as_posix())
