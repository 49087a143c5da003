"""Serves a guide with MkDocs while its sources are edited. What serves takes long to load."""

from pathlib import Path
from tempfile import TemporaryDirectory

from mkdocs.commands.serve import serve

from builder.shipped import own_or_shipped
from builder.writers.site.engine import SETTINGS


def preview(root: Path, reference: str, address: str | None) -> None:
    """Serve one plot's guide, written again whenever a source file changes, until interrupted."""
    settings = own_or_shipped(root, SETTINGS)
    plugins = {"search": {}, "handover": {"plot": reference, "workspace": str(root.resolve())}}
    with TemporaryDirectory() as empty:
        serve(str(settings), plugins=plugins, docs_dir=empty, dev_addr=address, livereload=True)
