"""Homes with dates, for the tests of the schedule and of the calendar: the small example, and more."""

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from functools import cache
from pathlib import Path

import yaml
from dateutil.relativedelta import relativedelta

from builder.build.building import publish
from builder.build.report import Target
from builder.guide.about import About
from builder.guide.pages import Guide
from builder.guide.schedule.entries import Schedule, ScheduleEntry, Span
from builder.guide.schedule.making import schedule_of
from builder.model.article import Article, FrontMatter, Task
from builder.model.home import Home
from builder.preparing import prepare
from builder.selection.choosing import choose
from tests.conftest import COTTAGE
from tests.demo import served

DAY = date(2026, 3, 1)
_FRONT = {
    "title": "Care",
    "summary": "What to do.",
    "system": "water",
    "sources": {"it": {"fact": "It is so.", "basis": "common practice"}},
    "reviewed": date(2026, 1, 1),
}
ASKED = {
    "damage": {"do": "Report all damage.", "closes": "7 days"},
    "faults": {"do": "Report every fault.", "closes": "2 years"},
    "turf": {"do": "Walk on the turf.", "opens": "8 weeks"},
    "paint": {"do": "Decorate.", "opens": "18 months", "closes": "24 months"},
    "service": {"do": "Have it serviced.", "every": "1 year", "by": "registered-person"},
    "quarter": {"do": "Look at the filters.", "every": "3 months"},
    "odd": {"do": "Change the filter.", "every": "5 months"},
    "monthly": {"do": "Test it.", "every": "1 month"},
    "weekly": {"do": "Run the taps.", "every": "1 week"},
    "watering": {"do": "Water the turf.", "every": "1 day", "closes": "8 weeks"},
    "summer": {"do": "Water the beds.", "every": "2 weeks", "months": ["June", "July"]},
    "frost": {"do": "Drain the tap.", "months": ["October"]},
    "leaves": {"do": "Clear leaves.", "months": ["October", "November", "February"]},
    "rare": {"do": "Have it checked.", "every": "2 years", "months": ["May"]},
    "solar": {"do": "Have the panels checked.", "every": "5 years"},
    "late": {"do": "Oil the timber.", "every": "6 months", "opens": "1 year"},
    "beyond": {"do": "Replace the alarms.", "every": "12 years"},
}
"""A task of every form that the model allows."""

COVERS = {
    "matters": {
        "marks": {"name": "Marks", "includes": "scratches"},
        "faults": {"name": "Faults", "includes": "what fails"},
        "structure": {"name": "Structure", "includes": "walls"},
        "appliances": {"name": "Appliances", "includes": "machines"},
        "shared": {"name": "Shared parts", "includes": "paths", "when": {"has": "communal"}},
    },
    "covers": {
        "damage": {"name": "Your builder", "contact": "customer-care", "matters": ["marks"], "ends": "7 days", "basis": "common practice"},
        "builder": {"name": "Your builder", "contact": "customer-care", "matters": ["faults", "structure"], "ends": "2 years", "basis": "common practice"},
        "structural": {"name": "Structural cover", "contact": "customer-care", "matters": ["structure"], "starts": "2 years", "ends": "10 years", "basis": "common practice"},
        "makers": {"name": "The maker", "matters": ["appliances"], "anchor": "registration", "basis": "common practice"},
        "owner": {"name": "You", "matters": ["marks", "faults", "structure", "appliances", "shared"], "basis": "common practice"},
    },
}  # fmt: skip


@cache
def cottage() -> Home:
    """The first plot of the small example, as its author drew it."""
    return prepare(COTTAGE, ["riverside/01"], DAY).homes["riverside/01"].traced.drawn


def articles(tasks: dict[str, dict[str, object]]) -> tuple[Article, ...]:
    """One article that asks for these tasks."""
    asked = {name: {**task, "basis": "it"} for name, task in tasks.items()}
    front = FrontMatter.model_validate({**_FRONT, "tasks": asked})
    return (Article("care", "content/articles/care.md", front, "", 1),)


def about(
    completion: date | None,
    tasks: dict[str, dict[str, object]] | None = None,
    **sections: object,
) -> About:
    """The small example with another completion, other tasks, and any sections changed."""
    plain = cottage().model_dump(by_alias=True)
    plain["plot"]["completion"] = completion
    home = Home.model_validate({**plain, **COVERS, **sections})
    return About(home, choose(articles(ASKED if tasks is None else tasks), home))


def moved(home: About, completion: date | None) -> About:
    """The same home with another completion."""
    plot = home.home.plot.model_copy(update={"completion": completion})
    return About(home.home.model_copy(update={"plot": plot}), home.selection)


@cache
def without_days() -> About:
    """The small example with every task but that of days, which has thousands of dates."""
    return about(None, {name: asked for name, asked in ASKED.items() if name != "watering"})


def guide(completion: date | None, tasks: dict[str, dict[str, object]] | None = None) -> Guide:
    """A guide that has nothing but dates."""
    made = schedule_of(about(completion, tasks))
    return Guide("riverside/01", "Plot 01, 1 Riverside", "Fennimarsh Homes", (), (), (), made)


def task(**said: object) -> Task:
    return Task.model_validate({"do": "Do it.", "basis": "it", **said})


def project_about(reference: str) -> About:
    """A plot of the demo."""
    root = Path(__file__).parent.parent
    return prepare(root, [reference], date(2026, 11, 25)).homes[reference].about


def dated_workspace(folder: Path) -> Path:
    """The small example in a folder, with covers and with an article that asks for every form."""
    workspace = folder / "cottage"
    shutil.copytree(COTTAGE, workspace)
    standard = workspace / "housetypes" / "standard.yaml"
    added = yaml.safe_dump(COVERS, sort_keys=False)
    standard.write_text(standard.read_text(encoding="utf-8") + added, encoding="utf-8")
    tasks = {name: {**task, "basis": "it"} for name, task in ASKED.items()}
    front = yaml.safe_dump({**_FRONT, "tasks": tasks}, sort_keys=False)
    article = workspace / "content" / "articles" / "care.md"
    article.write_text(f"---\n{front}---\n\nCare for it.\n", encoding="utf-8")
    return workspace


def spans_for_ever(entry: ScheduleEntry, completion: date) -> Iterator[Span]:
    """The spans of an entry for fifty years: by a count through all days and months of them, and by no
    code of the builder."""
    if not entry.comes_back:
        yield from entry.spans
        return
    opens, closes = entry.opens or completion, entry.closes or date.max
    if entry.kind == "season":
        years = range(completion.year, completion.year + 50)
        months = [date(year, number, 1) for year in years for number in entry.month_numbers]
        ends = [each + relativedelta(months=1, days=-1) for each in months]
        cut = [
            Span(max(first, opens), min(last, closes))
            for first, last in zip(months, ends, strict=True)
        ]
        cut = [each for each in cut if each.first <= each.last]
        rests = {"2 years": 2}.get(entry.every or "1 year", 1)
        yield from (each for each in cut if (each.first.year - cut[0].first.year) % rests == 0)
        return
    count, unit = (entry.every or "").split(" ")
    step = {f"{unit.rstrip('s')}s": int(count)}
    for index in range(1, 50 * 366):
        day = completion + relativedelta(**{name: index * each for name, each in step.items()})  # type: ignore[arg-type]
        if day.year >= completion.year + 50:
            return
        if opens <= day <= closes and (not entry.months or day.month in entry.month_numbers):
            yield Span(day, day)


@dataclass(frozen=True)
class DatedSite:
    """A published guide with dates: its folder, its address on this machine, and its schedule."""

    schedule: Schedule
    folder: Path
    address: str
    host: str
    undated: str


@contextmanager
def dated_site(folder: Path) -> Iterator[DatedSite]:
    """The guides of that workspace, published and served as a host would: one has no completion."""
    workspace = dated_workspace(folder)
    prepared = prepare(workspace, [], DAY)
    report = publish(Target(workspace, (), folder / "public", DAY))
    first, second = (each.folder for each in report.published)
    with served(folder / "public") as host:
        schedule = prepared.plots["riverside/01"].guide.schedule
        yield DatedSite(schedule, first, f"{host}/g/{first.name}", host, f"{host}/g/{second.name}")
