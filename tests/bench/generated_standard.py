"""The builder standard and the articles of a portfolio: the project's own, slimmed.

Guides are kept to about 45 pages: of the kinds of equipment, a few have a page of their own, and
of the articles, those that are listed here and whatever they lean on.
"""

import re
from pathlib import Path
from typing import Any

import yaml

PROJECT = Path(__file__).parents[2]
PAGED = frozenset({
    "stopcock", "consumer-unit", "gas-combination-boiler", "gas-system-boiler", "hot-water-cylinder",
    "air-source-heat-pump", "heat-interface-unit", "gas-emergency-valve", "filling-loop",
    "car-charger", "solar-inverter", "heat-recovery-unit", "continuous-extract-unit",
    "room-thermostat",
})  # fmt: skip
"""Kinds whose pieces have a page of their own."""

ARTICLES = (
    "boiler-care", "car-charger", "carbon-monoxide-alarm-sounds", "condensation-and-mould",
    "consumer-unit", "continuous-extract", "fire-and-how-to-leave", "heat-pump-care",
    "heat-recovery", "heating-controls-and-zones", "hot-water-cylinder", "reporting-a-defect",
    "room-thermostats", "smell-of-gas", "smoke-and-heat-alarms", "solar-panels", "system-pressure",
    "turning-off-the-water",
)  # fmt: skip
"""Articles with values, conditions, cautions, tasks, sources and links; each home gets 8 to 15."""


def standard() -> dict[str, Any]:
    """The builder standard: only kinds in ``PAGED`` have pages and stickers of their own."""
    text = (PROJECT / "housetypes" / "standard.yaml").read_text(encoding="utf-8")
    written = yaml.load(text, yaml.CSafeLoader)
    written["kinds"] = {name: _slim(name, kind) for name, kind in written["kinds"].items()}
    return dict(written)


def _slim(name: str, kind: dict[str, Any]) -> dict[str, Any]:
    kept = {key: value for key, value in kind.items() if key != "article" or value in ARTICLES}
    if name not in PAGED:
        kept["page"] = False
    if name not in PAGED or "article" not in kept:
        kept.pop("sticker", None)
    return kept


def articles() -> dict[str, str]:
    """The text of each article by its id; a link to one that is left out becomes its words."""
    folder = PROJECT / "content" / "articles"
    return {
        name: _LINK.sub(_kept, (folder / f"{name}.md").read_text(encoding="utf-8"))
        for name in ARTICLES
    }


_LINK = re.compile(r"\[([^\]]*)\]\(article:([a-z0-9-]+)\)")


def _kept(link: re.Match[str]) -> str:
    return link.group() if link[2] in ARTICLES else link[1]
