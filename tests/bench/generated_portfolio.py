"""Writes a whole workspace of many plots into a folder: the same for the same seed.

Ten developments for a thousand plots, eleven house types of one to four storeys in both hands,
six sets of options, dates that differ, serial numbers, and departures on three plots of a hundred.
``python -m tests.bench.generated_portfolio FOLDER --plots 1000 --seed 1`` writes one to look at.
"""

import argparse
import csv
import io
import random
import shutil
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import yaml

from tests.bench.generated_places import PLOTS_A_STREET, Site
from tests.bench.generated_standard import PROJECT, articles, standard
from tests.bench.generated_types import (
    FLAT_SETS,
    OPTION_SETS,
    OPTIONS,
    burns_gas,
    house_types,
    shares_an_entrance,
)

Data = dict[str, Any]
PLOTS_A_DEVELOPMENT = 100
FIRST_COMPLETION = date(2025, 2, 3)
COMPLETIONS_OVER = 720
"""Days after the first completion in which all others fall."""

UNKNOWN_COMPLETIONS = 0.07
DEPARTURES = 0.03
COLUMNS = (
    "plot", "address", "postcode", "house_type", "hand", "options", "completion", "front_faces",
)  # fmt: skip
SERIALS = ("boiler", "heat-pump", "cylinder", "ventilation-unit", "consumer-unit", "oven")
EDITIONS = {
    "combustion": "2022", "electricity": "2018", "energy": "2021", "falling": "2013", "fire": "2019",
    "structure": "1995", "ventilation": "2021", "water": "2016",
}  # fmt: skip
CLOSED = ["Saturday", "Sunday", "bank-holidays"]


@dataclass(frozen=True)
class Development:
    """One development and the house types that it builds.

    Some have a managing agent, and then flats; some have no gas; some have no fibre.
    """

    site: Site
    plots: int

    @property
    def has_agent(self) -> bool:
        return self.site.number % 3 == 0

    @property
    def has_gas(self) -> bool:
        return self.site.number % 5 != 3

    @property
    def has_fibre(self) -> bool:
        return self.site.number % 4 != 2

    def builds(self, types: dict[str, Data]) -> list[str]:
        return [
            name
            for name, said in types.items()
            if (self.has_gas or not burns_gas(said))
            and (self.has_agent or not shares_an_entrance(said))
        ]


def generate(folder: Path, plots: int, seed: int) -> None:
    """Write a workspace of this many plots into an empty folder."""
    types = house_types()
    dump(folder / "housetypes" / "standard.yaml", standard())
    shutil.copytree(PROJECT / "housetypes" / "look", folder / "housetypes" / "look")
    for name, said in types.items():
        dump(folder / "housetypes" / f"{name}.yaml", said)
    for name, said in OPTIONS.items():
        dump(folder / "housetypes" / "options" / f"{name}.yaml", said)
    for name, text in articles().items():
        write(folder / "content" / "articles" / f"{name}.md", text)
    for development in developments(plots):
        rng = random.Random(f"{seed} {development.site.number}")
        _development(folder / "developments" / development.site.id, development, types, rng)


def developments(plots: int) -> list[Development]:
    """Ten for each thousand plots, and at least two where there are plots for two."""
    number = max(min(2, plots), -(-plots // PLOTS_A_DEVELOPMENT))
    return [
        Development(Site(each), plots // number + (each < plots % number)) for each in range(number)
    ]


def references(plots: int) -> list[str]:
    """Every plot of a portfolio, as <development>/<plot>."""
    return [
        f"{development.site.id}/{_number(index)}"
        for development in developments(plots)
        for index in range(development.plots)
    ]


def _number(index: int) -> str:
    return f"{index + 1:03}"


def _development(
    folder: Path, development: Development, types: dict[str, Data], rng: random.Random
) -> None:
    dump(folder / "development.yaml", _said_of(development))
    built = development.builds(types)
    rows = []
    for index in range(development.plots):
        row = _row(development.site, index, types, built, rng)
        rows.append(row)
        own = _own(types[row["house_type"]], rng)
        if own:
            dump(folder / "plots" / f"{row['plot']}.yaml", own)
    write(folder / "plots.csv", _table(rows))


def _said_of(development: Development) -> Data:
    site = development.site
    said: Data = {
        "development": {
            "name": site.name, "address": f"{site.name}, {site.town}, {site.postcode(0)}",
            "base_url": site.host, "nation": "england", "invented": True, "editions": dict(EDITIONS),
        },
        "contacts": _contacts(site),
        "water": {"source": "mains", "metered": True, "contact": "water-company"},
        "foul_drainage": {"to": "sewer", "contact": "water-company"},
        "utilities": _utilities(site),
    }  # fmt: skip
    if development.has_fibre:
        said["utilities"]["broadband"] = {
            "name": "Broadband", "supplier": f"{site.town} Fibre", "telephone": site.telephone(3),
            "note": "A fibre cable is ready at the broadband point",
        }  # fmt: skip
    if development.has_agent:
        said["contacts"]["managing-agent"] = {
            "name": f"{site.name} Estate Management", "call_for": "the shared paths and gardens",
            "telephone": site.telephone(4), "hours": "Monday to Friday, 9 am to 5 pm", "closed": CLOSED,
        }  # fmt: skip
        said["contacts"]["managing-agent-urgent"] = {
            "name": f"{site.name} urgent line", "call_for": "a lift that is stuck, or water or fire in a shared hall",
            "telephone": site.telephone(9), "hours": "Day and night",
        }  # fmt: skip
        said["communal"] = {
            "gardens": {"name": "Shared gardens", "place": "behind the last house of each street", "looked_after_by": "managing-agent"},
        }  # fmt: skip
        said["covers"] = {
            "managing-agent": {"name": "The managing agent", "contact": "managing-agent", "matters": ["shared-parts"], "basis": "common practice"},
        }  # fmt: skip
    return said


def _contacts(site: Site) -> Data:
    return {
        "water-company": {
            "name": f"{site.town} Water", "call_for": "no water, brown water, or a leak in the street",
            "telephone": site.telephone(0), "hours": "Day and night", "emergency": True,
            "roles": ["sewer-company", "sprinkler-engineer", "heat-operator"],
        },
        "council": {
            "name": f"{site.town} Town Council", "call_for": "bin days, recycling and council tax",
            "telephone": site.telephone(1), "hours": "Monday to Friday, 9 am to 5 pm", "closed": CLOSED,
        },
    }  # fmt: skip


def _utilities(site: Site) -> Data:
    return {
        "water": {
            "name": "Water and drains", "supplier": f"{site.town} Water",
            "telephone": site.telephone(0), "meter": "water-meter",
        },
        "electricity": {
            "name": "Electricity", "supplier": f"{site.town} Power",
            "telephone": site.telephone(2), "meter": "electric-meter",
        },
    }  # fmt: skip


def _row(
    site: Site, index: int, types: dict[str, Data], built: list[str], rng: random.Random
) -> dict[str, str]:
    house_type = rng.choice(built)
    flat = shares_an_entrance(types[house_type])
    chosen = FLAT_SETS if flat else OPTION_SETS
    street = index // PLOTS_A_STREET
    return {
        "plot": _number(index),
        "address": site.address(index, flat=flat),
        "postcode": site.postcode(street),
        "house_type": house_type,
        "hand": rng.choice(("as-drawn", "opposite")),
        "options": rng.choices(list(chosen), list(chosen.values()))[0],
        "completion": _completion(rng),
        "front_faces": str(45 * (street % 8)),
    }


def _completion(rng: random.Random) -> str:
    day = FIRST_COMPLETION + timedelta(days=rng.randrange(COMPLETIONS_OVER))
    weekday = day - timedelta(days=max(0, day.weekday() - 4))
    return "" if rng.random() < UNKNOWN_COMPLETIONS else weekday.isoformat()


def _own(house_type: Data, rng: random.Random) -> Data:
    """What a plot's own file says: serial numbers, and at times what the site changed."""
    serials = {
        piece: f"{piece[:2].upper()}-{rng.randrange(10**6):06}"
        for piece in SERIALS
        if piece in house_type["equipment"]
    }
    departures = {"changed-on-site": _departure(rng)} if rng.random() < DEPARTURES else {}
    return {key: said for key, said in (("departures", departures), ("serials", serials)) if said}


def _departure(rng: random.Random) -> Data:
    changes = rng.choice((
        {"equipment": {"stopcock": {"place": f"low down, behind white panel {rng.randrange(1, 9)}"}}},
        {"finishes": {"hall-walls": {"colour": rng.choice(("Pale Reed", "Clay", "Dusk"))}}},
        {"equipment": {"data-point": {"kind": "data-point", "room": "hall", "place": "low down on the {left}", "height": 0.45}}},
    ))  # fmt: skip
    day = date(2025, 1, 6) + timedelta(days=rng.randrange(300))
    return {"note": "The site changed this.", "date": day, "changes": changes}


def _table(rows: list[dict[str, str]]) -> str:
    text = io.StringIO()
    writer = csv.DictWriter(text, COLUMNS, lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


def dump(path: Path, said: Data) -> None:
    """Write a YAML file, with its folder."""
    write(path, yaml.dump(said, Dumper=_Written, sort_keys=False, allow_unicode=True, width=200))


class _Written(yaml.CSafeDumper):
    """Writes out what repeats: a workspace has no aliases."""

    def ignore_aliases(self, data: Any) -> bool:
        return True


def write(path: Path, text: str) -> None:
    """Write a text file, with its folder."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8", newline="\n")


def main() -> None:
    """Write a portfolio from the command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--plots", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    generate(asked.folder, asked.plots, asked.seed)


if __name__ == "__main__":
    main()
