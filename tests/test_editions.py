"""A guide of a portfolio build is byte for byte what MkDocs alone makes of that plot."""

import shutil
from collections.abc import Iterator
from datetime import date
from pathlib import Path

from builder.errors import Findings
from builder.preparing import prepare
from builder.publish.register import read_register
from builder.sources.folder import Folder
from builder.writers.site.assets import Assets
from builder.writers.site.engine import SiteWriter, assets_of

DEMO = Path(__file__).parent.parent
DAY = date(2026, 3, 1)
GENERATED = 200
"""Plots of the generated portfolio; of each edition in it some plots are compared."""


def differences(root: Path, out: Path, references: list[str]) -> Iterator[str]:
    """Each file of a published guide that is not as MkDocs alone makes it from the plot's own home."""
    assets: Assets = assets_of(root)
    writer = SiteWriter(root, assets)
    preparation = prepare(root, references, DAY)
    alone = out.parent / "alone"
    for reference, prepared in preparation.plots.items():
        register = read_register(Folder(root), prepared.plot.development, Findings())
        code = register.guide(prepared.plot.numbers)
        assert code is not None
        host = prepared.traced.home.development.base_url.rstrip("/")
        assert writer.write(prepared.guide, alone / code, f"{host}/g/{code}/") == ()
        expected, found = files(alone / code), files(out / "g" / code)
        found.pop("calendar.ics", None)
        yield from (f"{reference}: {name}" for name in expected.keys() ^ found.keys())
        same = expected.keys() & found.keys()
        yield from (f"{reference}: {name}" for name in same if expected[name] != found[name])
        shutil.rmtree(alone)


def files(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }
