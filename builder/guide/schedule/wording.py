"""Words of a schedule that several of its parts share."""

from collections.abc import Iterable
from datetime import date

from builder.guide.schedule.entries import Call
from builder.guide.terms import every, not_before
from builder.home.lengths import after
from builder.languages.language import FIRST, Language, to_say
from builder.model.article import Month, Source, Task
from builder.model.people import Contact

CLOSED = to_say("Closed on bank holidays")
BY = {
    "you": to_say("You do this."),
    "registered-person": to_say("A registered person does this."),
    "builder": to_say("Your builder does this."),
    "keeper": to_say("Whoever looks after it does this."),
}


def by_in(language: Language) -> dict[str, str]:
    """Who does it, in a language."""
    return {name: language.text(text) for name, text in BY.items()}


def basis_of(source: Source, language: Language = FIRST) -> str:
    """A source in words; nothing for what nobody has read yet, which is no source for an owner."""
    if source.basis == "from memory":
        return ""
    named = ", ".join(each for each in (source.document, source.edition, source.where) if each)
    if source.basis == "published":
        return named
    basis = language.say("common practice")
    return f"{basis}: {named}" if named else basis


def call_of(contact: Contact) -> Call:
    return Call(contact.name, contact.telephone, contact.email)


def hours_of(contact: Contact, language: Language = FIRST) -> str | None:
    """When a contact answers, in words, with the days that move it: "… Closed on bank holidays"."""
    if "bank-holidays" not in contact.closed:
        return contact.hours
    closed = language.text(CLOSED)
    return f"{contact.hours}. {closed}" if contact.hours else closed


def rhythm(term: str, first: date | None, language: Language) -> str:
    """A rhythm in words, with its first day where that is known."""
    often = every(term, language)
    if first is None:
        return often
    return language.say("%(often)s, first on %(day)s", often=often, day=language.day(first))


def limits(task: Task, completion: date | None, counted_from: str, language: Language) -> str:
    """Between what days a rhythm or a season runs, in words; nothing where it has no limit."""
    parts = []
    if task.opens:
        parts.append(not_before(task.opens, completion, counted_from, language))
    if task.closes:
        parts.append(_until(task.closes, completion, counted_from, language))
    return ", ".join(parts)


def _until(term: str, completion: date | None, counted_from: str, language: Language) -> str:
    if completion:
        return language.say("until %(day)s", day=language.day(after(completion, term)))
    said = language.term(term)
    return language.say("until %(term)s after %(day)s", term=said, day=counted_from)


def in_months(months: Iterable[Month], language: Language) -> str:
    """The months of a season in words: ``in October and November``."""
    named = language.listed(map(language.month, months))
    return language.say("in %(months)s", months=named)
