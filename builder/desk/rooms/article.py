"""One article: its text beside its page in a home of choice, tried as it is written, and
saved; and how far it is in each other language."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace

from starlette.exceptions import HTTPException

from builder.board.looking import Seen
from builder.board.standing import text_at
from builder.desk.answers import Answer, GoTo, PageAnswer, done
from builder.desk.asked import Asked
from builder.desk.desk import Desk
from builder.desk.room import Way, form, page
from builder.desk.rooms.articles import review_of
from builder.desk.rooms.history import history_of
from builder.desk.work import seeing_reach
from builder.errors import Finding, Severity
from builder.guide.pages import ChangedPage
from builder.rules.articles import OLDEST_READER, reading_age
from builder.saving.article_text import ArticleText, parts_of
from builder.saving.changes import Body, Change, Head, Put, Save, Whole, changed
from builder.saving.merging import Contest
from builder.saving.placing import Contents
from builder.saving.saves import Opened
from builder.saving.trying import only_in, pages_changed
from builder.saving.yaml_text import UnchangeableError, data_of
from builder.shipped import file_of
from builder.sources.languages import LanguageSource
from builder.sources.library import ARTICLES, ArticleSource
from builder.sources.workspace import Workspace

FIELDS = ("title", "summary", "reviewed")
"""What of the front matter has a field of its own."""
_STATES: Mapping[str, str] = {
    "read": "translated and read",
    "unread": "translated, and nobody who speaks it has read it: guides show the first language",
    "stale": "older than the article: guides show the first language until it is brought up to date",
    "incomplete": "lacks something: guides show the first language until it is whole",
}


@dataclass(frozen=True, slots=True)
class Editing:
    """An article that is being edited: its file in the workspace, and its text as it was opened.

    ``ships``: the file is not there yet; what is saved will stand for the one that ships.
    """

    source: ArticleSource
    file: str
    opened: Opened
    text: str
    ships: bool


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of a text: what a check says of it, its page, which pages differ, or why not."""

    findings: tuple[Finding, ...] = ()
    pages: tuple[ChangedPage, ...] = ()
    contests: tuple[Contest, ...] = ()
    wrong: str = ""
    preview: str = ""
    has_page: bool = False
    age: float = 0.0
    tried: bool = False
    texts: Contents = field(default_factory=dict)

    @property
    def errors(self) -> tuple[Finding, ...]:
        """What keeps the text from being saved."""
        return tuple(each for each in self.findings if each.severity is Severity.ERROR)


def _editing(desk: Desk, asked: Asked) -> Editing:
    source = desk.board.looking().workspace.articles.get(asked.named["article"])
    if source is None:
        raise HTTPException(404)
    article = source.article
    file = f"{ARTICLES}/{article.id}.md" if source.ships else article.file
    opened = desk.saves.opened(file)
    text = opened.text
    if text is None:
        text = file_of(desk.setting.root, article.file).read_text(encoding="utf-8")
    return Editing(source, file, opened, text, source.ships)


def _homes(desk: Desk, article: str) -> tuple[list[str], list[str]]:
    """The plots that get an article, and the others."""
    plots = desk.board.view().plots
    having = [each.reference for each in plots if article in each.articles]
    return having, [each.reference for each in plots if article not in each.articles]


def _home(desk: Desk, asked: Asked, having: list[str], others: list[str]) -> str:
    chosen = asked.text("home") or asked.query.get("home", "")
    known = [*having, *others]
    return chosen if chosen in known else next(iter(known), "")


def _changes(asked: Asked, editing: Editing) -> tuple[Change, ...]:
    """What a form says, as changes of the text that it was made from."""
    if "head" in asked.form:
        changes: tuple[Change, ...] = (Head(asked.form["head"][-1]),)
    else:
        puts = tuple(Put((name,), asked.text(name)) for name in FIELDS if name in asked.form)
        bodies = asked.form.get("body", ())
        changes = (*puts, *((Body(bodies[-1]),) if bodies else ()))
    if editing.ships:
        return (Whole(changed(editing.file, editing.text, changes) or ""),)
    return changes


def _outcome_as_saved(desk: Desk, editing: Editing, home: str) -> Outcome:
    """The article as it is saved, in a home."""
    return _outcome_in_home(home, editing.text, lambda: _said_now(desk, editing, home))


def _said_now(desk: Desk, editing: Editing, home: str) -> Outcome:
    now, file = desk.board.plot(home), editing.source.article.file
    found = (*desk.board.looking().of_file(file), *(each for each in now.findings if each.place.file == file))  # fmt: skip
    return _outcome(desk, editing, now, found)


def _outcome_of_text(desk: Desk, editing: Editing, home: str, texts: Contents) -> Outcome:
    """A text in a home: nothing is written."""
    content = (texts[editing.file] or b"").decode("utf-8")
    outcome = _outcome_in_home(home, content, lambda: _said_then(desk, editing, home, texts))
    return replace(outcome, texts=texts)


def _said_then(desk: Desk, editing: Editing, home: str, texts: Contents) -> Outcome:
    now = desk.board.plot(home)
    then, told = desk.board.trial_of(home, texts)
    outcome = _outcome(desk, editing, then, (*only_in(then.findings, now.findings), *told))
    return replace(outcome, pages=pages_changed(now.guide, then.guide))


def _outcome_in_home(home: str, text: str, said: Callable[[], Outcome]) -> Outcome:
    """What is said of a text that can be read, where there is a home to show it in."""
    try:
        age = reading_age(parts_of(text).body)
    except UnchangeableError as error:
        return Outcome(wrong=str(error))
    if not home:
        return Outcome(wrong="There is no plot to try it in.", age=age)
    return replace(said(), age=age, tried=True)


def _outcome(desk: Desk, editing: Editing, looked: Seen, findings: Iterable[Finding]) -> Outcome:
    found = sorted(dict.fromkeys(findings), key=lambda each: (-each.severity, each.place))
    preview, has_page = _preview(desk, looked, editing.source.article.id)
    return Outcome(tuple(found), preview=preview, has_page=has_page)


def _preview(desk: Desk, looked: Seen, article: str) -> tuple[str, bool]:
    """The address of an article's page in a guide on trial; of its first page where it has none."""
    guide = looked.guide
    if guide is None:
        return "", False
    own = guide.page(f"article:{article}")
    return f"/live/t/{desk.trials.keep(guide)}/{f'{own.path}/' if own else ''}", own is not None


def _save_of(asked: Asked, editing: Editing) -> Save:
    reason = asked.reason(f"{editing.source.article.front.title}: corrected")
    based_on = asked.text("based-on") if not editing.ships else ""
    return Save(asked.who.role, reason, {editing.file: _changes(asked, editing)}, {editing.file: based_on})  # fmt: skip


def _attempt(desk: Desk, asked: Asked, editing: Editing, home: str) -> Outcome:
    try:
        draft = desk.saves.draft(_save_of(asked, editing))
    except UnchangeableError as error:
        return Outcome(wrong=str(error))
    if draft.contests:
        return Outcome(contests=draft.contests, texts=draft.becomes)
    return _outcome_of_text(desk, editing, home, draft.becomes)


def show(desk: Desk, asked: Asked) -> Answer:
    """The article as it is saved."""
    editing = _editing(desk, asked)
    home = _home(desk, asked, *_homes(desk, asked.named["article"]))
    return _page(desk, asked, editing, _outcome_as_saved(desk, editing, home), "article.html")


def front_matter(desk: Desk, asked: Asked) -> Answer:
    """The front matter of the article as a text."""
    editing = _editing(desk, asked)
    return _page(desk, asked, editing, Outcome(), "front_matter.html")


def _page(desk: Desk, asked: Asked, editing: Editing, outcome: Outcome, template: str) -> PageAnswer:  # fmt: skip
    article = editing.source.article
    having, others = _homes(desk, article.id)
    day, due = review_of(editing.source, desk.setting.today())
    if outcome.contests:
        # What stands there now, with what its author wants in it: that is what the next save is based on.
        text = (outcome.texts[editing.file] or b"").decode("utf-8")
        asked, editing = replace(asked, form={}), replace(editing, text=text)
    parts, said = _sent_parts(asked, editing)
    values = {
        "article": article,
        "kinds": _kinds(desk),
        "editing": editing,
        "written": said,
        "body": asked.form["body"][-1] if "body" in asked.form else parts.body,
        "head": asked.form["head"][-1] if "head" in asked.form else parts.head,
        "outcome": outcome,
        "errors_now": bool(outcome.errors),
        "oldest": OLDEST_READER,
        "having": having,
        "others": others,
        "home": _home(desk, asked, having, others),
        "review": day,
        "due": due,
        "history": history_of(editing.file),
        "translations": tuple(translations_of(article.id, desk.board.looking().workspace)),
        "may": asked.who.may("articles"),
        "reason": asked.text("reason"),
        "based_on": asked.text("based-on") or editing.opened.digest,
    }
    refused = bool(outcome.wrong or outcome.errors) and bool(asked.form)
    status = 409 if outcome.contests else 422 if refused else 200
    return PageAnswer(template, article.front.title, "articles", values, status)


def _kinds(desk: Desk) -> Mapping[str, str]:
    """What kinds of equipment are called, as far as the standard says."""
    standard = desk.board.looking().workspace.standard
    kinds = standard.child("kinds") if standard is not None else None
    return {
        name: text_at(kinds, name, "name") or name for name in (kinds.children if kinds else ())
    }


def _sent_parts(asked: Asked, editing: Editing) -> tuple[ArticleText, Mapping[str, str]]:
    """The parts of the text, and the fields of its front matter, as they are or as they were sent."""
    parts = parts_of(editing.text)
    head = data_of(parts.head)
    return parts, {name: asked.text(name) if name in asked.form else str(head.get(name, "")) for name in FIELDS}  # fmt: skip


def send(desk: Desk, asked: Asked) -> Answer:
    """Try the text that was sent, or save it where a check has nothing against it."""
    editing = _editing(desk, asked)
    home = _home(desk, asked, *_homes(desk, asked.named["article"]))
    template = "front_matter.html" if "head" in asked.form else "article.html"
    if asked.text("act") == "reviewed":
        asked = _reviewed_today(desk, asked)
    outcome = _attempt(desk, asked, editing, home)
    if asked.text("act") == "try" or not outcome.tried or outcome.errors:
        return _page(desk, asked, editing, outcome, template)
    save = _save_of(asked, editing)
    saved = desk.saves.save(save, desk.setting.now())
    if isinstance(saved, tuple):
        return _page(
            desk,
            asked,
            editing,
            Outcome(contests=saved, texts=desk.saves.draft(save).becomes),
            template,
        )
    path = f"/articles/{editing.source.article.id}"
    if saved.entry is None:
        return done(path, "The article says so already: there was nothing to save.")
    homes, _ = _homes(desk, editing.source.article.id)
    return done(path, f"Saved. {len(homes)} of {len(desk.board.looking().workspace.plots)} homes get this article, and their guides change with the next release.")  # fmt: skip


def _reviewed_today(desk: Desk, asked: Asked) -> Asked:
    """The same form with today as the day of the review."""
    sent = {**asked.form, "reviewed": (desk.setting.today().isoformat(),)}
    if not asked.text("reason"):
        sent["reason"] = ("Read again and found right",)
    return replace(asked, form=sent)


def reach(desk: Desk, asked: Asked) -> Answer:
    """Begin to see which homes and pages the text that was sent would change, in all of them."""
    editing = _editing(desk, asked)
    home = _home(desk, asked, *_homes(desk, asked.named["article"]))
    outcome = _attempt(desk, asked, editing, home)
    if not outcome.tried or outcome.errors:
        return _page(desk, asked, editing, outcome, "article.html")
    setting, title = desk.setting, editing.source.article.front.title
    arguments = (setting.root, setting.out, dict(outcome.texts), setting.today())
    back = f"/articles/{editing.source.article.id}"
    plots = len(desk.board.looking().workspace.plots)
    job = desk.jobs.begin(f"What a change of '{title}' changes", seeing_reach, arguments, back=back, by=asked.who.role, total=plots)  # fmt: skip
    return GoTo(f"/jobs/{job.id}")


def try_live(desk: Desk, asked: Asked) -> Answer:
    """What a check says of the text while it is written, and where its page can be looked at."""
    editing = _editing(desk, asked)
    home = _home(desk, asked, *_homes(desk, asked.named["article"]))
    outcome = _attempt(desk, asked, editing, home)
    values = {"outcome": outcome, "oldest": OLDEST_READER, "home": home, "editing": editing}
    return PageAnswer("article_tried.html", "", "articles", values)


WAYS: tuple[Way, ...] = (
    page("/articles/{article}", show),
    form("/articles/{article}", send, "articles"),
    form("/articles/{article}/try", try_live, "articles"),
    form("/articles/{article}/reach", reach, "articles"),
    page("/articles/{article}/front-matter", front_matter),
)


@dataclass(frozen=True, slots=True)
class Translation:
    """One language: what it calls itself, the file of the translation if there is one, its state in words,
    and what it lacks."""

    language: str
    file: str
    state: str
    lacks: tuple[str, ...]


def translations_of(article: str, workspace: Workspace) -> Iterator[Translation]:
    """The article in each other language of the workspace."""
    for source in workspace.languages.values():
        yield _translation_in(article, source)


def _translation_in(article: str, source: LanguageSource) -> Translation:
    name = source.translated.language.name
    said = next((each for each in source.said if each.of == f"article:{article}"), None)
    if said is None:
        return Translation(name, "", "not translated: guides show the first language", ())
    lacks = tuple(f"{each.wrong} {each.right}" for each in said.findings)
    return Translation(name, said.place.file, _STATES[said.state], lacks)
