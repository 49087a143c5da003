"""Articles: all of them, where each is used, what a check says of it, and when it is to be read again."""

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date

from dateutil.relativedelta import relativedelta

from builder.desk.answers import Answer, PageAnswer
from builder.desk.asked import Asked
from builder.desk.desk import Desk
from builder.desk.room import DeskRoom, page
from builder.errors import Severity
from builder.rules.articles import REVIEWED_EVERY
from builder.sources.library import ArticleSource

SOON = 90
"""Days ahead in which a review is said to be due soon."""


@dataclass(frozen=True, slots=True)
class ArticleLine:
    """One article in the list: how many homes get it, what a check says of its text, and its review."""

    id: str
    title: str
    system: str
    layer: str
    homes: int
    mistakes: int
    remarks: int
    review: date
    due: str


def review_of(source: ArticleSource, today: date) -> tuple[date, str]:
    """The day on which an article is to be read again, and a word for it."""
    day = source.article.front.reviewed + relativedelta(years=REVIEWED_EVERY)
    if day < today:
        return day, "overdue"
    return day, "due soon" if (day - today).days <= SOON else "in time"


def listed(desk: Desk) -> tuple[ArticleLine, ...]:
    """All articles of the workspace, in the order of their titles."""
    looking, view, today = desk.board.looking(), desk.board.view(), desk.setting.today()
    homes = Counter(article for each in view.plots for article in each.articles)
    found = [*looking.read, *looking.shared]
    mistakes = Counter(each.place.file for each in found if each.severity is Severity.ERROR)
    remarks = Counter(each.place.file for each in found if each.severity is Severity.WARNING)
    lines = []
    for name, source in looking.workspace.articles.items():
        file, front = source.article.file, source.article.front
        day, due = review_of(source, today)
        lines.append(ArticleLine(name, front.title, front.system, source.layer, homes[name], mistakes[file], remarks[file], day, due))  # fmt: skip
    return tuple(sorted(lines, key=lambda each: each.title.casefold()))


_WHICH: Mapping[str, Callable[[ArticleLine], bool]] = {
    "": lambda _: True,
    "review": lambda each: each.due != "in time",
    "mistakes": lambda each: bool(each.mistakes or each.remarks),
    "unused": lambda each: not each.homes,
    "own": lambda each: each.layer != "the shipped library",
}


def show(desk: Desk, asked: Asked) -> Answer:
    """The list, narrowed by words, system, or what is to be done."""
    lines = listed(desk)
    words = asked.query.get("find", "").strip()
    system, todo = asked.query.get("system", ""), asked.query.get("todo", "")
    wanted = _WHICH.get(todo, _WHICH[""])
    shown = [
        each
        for each in lines
        if wanted(each)
        and system in ("", each.system)
        and all(word in f"{each.title} {each.id}".lower() for word in words.lower().split())
    ]
    looking = desk.board.looking()
    unread = [each for each in looking.read if each.place.file.startswith("content/articles/") and each.severity is Severity.ERROR]  # fmt: skip
    values = {
        "lines": shown,
        "count": len(lines),
        "words": words,
        "system": system,
        "todo": todo,
        "systems": sorted({each.system for each in lines}),
        "waiting": desk.board.view().waiting,
        "unread": unread,
    }
    return PageAnswer("articles.html", "Articles", "articles", values)


ROOM = DeskRoom("articles", "Articles", "/articles", (page("/articles", show),))
