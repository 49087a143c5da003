"""Words of a schedule that several of its parts share."""

from datetime import date

from builder.guide.schedule.entries import Call
from builder.guide.terms import after, every, not_before, spoken_day
from builder.model.article import Source, Task
from builder.model.people import Contact

CLOSED = "Closed on bank holidays"
BY = {
    "you": "You do this.",
    "registered-person": "A registered person does this.",
    "builder": "Your builder does this.",
    "keeper": "Whoever looks after it does this.",
}


def basis_of(source: Source) -> str:
    """A source in words; nothing for what nobody has read yet, which is no source for an owner."""
    if source.basis == "from memory":
        return ""
    named = ", ".join(each for each in (source.document, source.edition, source.where) if each)
    if source.basis == "published":
        return named
    return f"{source.basis}: {named}" if named else source.basis


def call_of(contact: Contact) -> Call:
    return Call(contact.name, contact.telephone, contact.email)


def hours_of(contact: Contact) -> str | None:
    """When a contact answers, in words, with the days that move it: "… Closed on bank holidays"."""
    if "bank-holidays" not in contact.closed:
        return contact.hours
    return f"{contact.hours}. {CLOSED}" if contact.hours else CLOSED


def rhythm(term: str, first: date | None) -> str:
    """A rhythm in words, with its first day where that is known."""
    return f"{every(term)}, first on {spoken_day(first)}" if first else every(term)


def limits(task: Task, completion: date | None, counted_from: str) -> str:
    """Between what days a rhythm or a season runs, in words; nothing where it has no limit."""
    parts = []
    if task.opens:
        parts.append(not_before(task.opens, completion, counted_from))
    if task.closes:
        ends = completion and spoken_day(after(completion, task.closes))
        parts.append(f"until {ends}" if ends else f"until {task.closes} after {counted_from}")
    return ", ".join(parts)
