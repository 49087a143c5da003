"""What can be wrong in this home: a page that lists it, and one for each with its questions."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from builder.guide.about import About
from builder.guide.pages import Link, Page, looked_for
from builder.guide.pieces import Piece
from builder.guide.schedule.entries import Period, Schedule
from builder.guide.schedule.wording import basis_of
from builder.guide.whom import named_contact
from builder.languages.language import to_say
from builder.model.symptom import Step, Symptom, Within
from builder.selection.wording import worded

WRONG = "page:wrong"
WITHIN: Mapping[Within, str] = {
    "now": to_say("Do it now."),
    "today": to_say("Do it today."),
    "this-week": to_say("Do it this week."),
    "soon": to_say("It can wait a few days."),
}


@dataclass(frozen=True, slots=True)
class ShownStep:
    """A step of a symptom in one home: a question with the answers that apply, or an end.

    ``via``: the answer that leads to it, for a reader who has all steps before them on paper.
    ``matter``: what somebody puts right after it, by its id; who does stands in the page's ``whom``.
    ``own_calls``: by the ids of its pieces, whom the home says to call for one, where ``call`` is another.
    """

    id: str
    via: str
    ask: str | None
    answers: tuple[tuple[str, str], ...]
    caution: str | None
    do: tuple[str, ...]
    pieces: tuple[Piece, ...]
    read: tuple[Link, ...]
    call: Mapping[str, Any] | None
    own_calls: Mapping[str, Mapping[str, Any]]
    matter: str | None
    within: str

    @property
    def says_nothing(self) -> bool:
        """Whether nothing of this home is left in it."""
        return not (self.answers or self.do or self.call or self.matter or self.read)


def symptom_pages(
    symptoms: Mapping[str, Symptom], about: About, schedule: Schedule
) -> tuple[Page, ...]:
    """The pages of what can be wrong in a home, the list of them first; none without symptoms."""
    applying = {
        name: worded(each, about.home, about.kept, about.kept.once(_kinds_of, each))
        for name, each in symptoms.items()
        if about.applies(each)
    }
    known = _what_steps_read(about, schedule)
    pages = tuple(_page(name, each, about, schedule, known) for name, each in applying.items())
    return (_list(applying, about), *pages) if pages else ()


def _kinds_of(symptom: Symptom) -> frozenset[str]:
    """The kinds of the things that the steps of a symptom look at."""
    return frozenset(kind for step in symptom.steps.values() for kind in step.see)


def _list(symptoms: Mapping[str, Symptom], about: About) -> Page:
    urgent = [_link(name, each) for name, each in symptoms.items() if each.urgent]
    groups = [(about.say("What cannot wait"), tuple(urgent))] if urgent else []
    for system, named in about.home.systems.items():
        links = [
            _link(name, each)
            for name, each in symptoms.items()
            if each.system == system and not each.urgent
        ]
        if links:
            groups.append((named.name, tuple(sorted(links, key=lambda link: link.text))))
    return Page(
        id=WRONG,
        path="wrong",
        title=about.say("Something is wrong"),
        layout="wrong",
        summary=about.say("Touch what you see, hear or smell."),
        values={"groups": tuple(groups), "urgent": True},
        called=looked_for(about.say("problem|fault|help|broken|not working")),
    )


def _link(name: str, symptom: Symptom) -> Link:
    return Link(symptom.title, f"symptom:{name}")


def _what_steps_read(about: About, schedule: Schedule) -> tuple[object, ...]:
    """All that the steps of symptoms are made from in a home, besides what applies there: the very same
    parts for all homes in which it is the same."""
    titles = tuple((each.id, each.front.title) for each in about.selection.articles)
    matters = tuple((each.id, bool(each.periods)) for each in schedule.clock)
    own = (about.language, about.pieces, about.plainly.pieces, about.contacts, about.home.contacts)
    return (*own, *map(about.kept.same, (titles, matters)))


def _page(
    name: str, symptom: Symptom, about: About, schedule: Schedule, known: tuple[object, ...]
) -> Page:
    applying = tuple(about.applies(each) for each in about.kept.once(_conditional, symptom))
    parts = (_shown_of, symptom, *known, about.kept.same(applying))
    shown = about.kept.made_from(parts, lambda: _shown_of(symptom, about, schedule))
    return Page(
        id=f"symptom:{name}",
        path=f"wrong/{name}",
        title=symptom.title,
        layout="symptom",
        summary=about.say("Answer the question, and do what it says."),
        values={
            **shown,
            "urgent": symptom.urgent,
            "whom": tuple(
                (matter, _answering_periods(matter, schedule)) for matter in shown["matters"]
            ),
            "reviewed": symptom.reviewed,
        },
        called=symptom.words,
    )


def _conditional(symptom: Symptom) -> tuple[Any, ...]:
    """All in a symptom that may apply in one home and not in another."""
    steps = symptom.steps.values()
    inside = (each for step in steps for each in (step.also, step.answers, step.other_calls))
    return tuple(entry for each in (*inside, symptom.sources) for entry in each.values())


def _shown_of(symptom: Symptom, about: About, schedule: Schedule) -> Mapping[str, Any]:
    """What a symptom's page shows in all homes that are alike in it, whatever their dates."""
    steps = tuple(_steps(symptom, about, schedule))
    sources = [(each.fact.rstrip("."), basis_of(each, about.language)) for each in symptom.sources.values() if about.applies(each)]  # fmt: skip
    return {
        "steps": steps,
        "matters": tuple(dict.fromkeys(step.matter for step in steps if step.matter)),
        "sources": tuple({"fact": fact, "basis": basis} for fact, basis in sources if basis),
    }


def _steps(symptom: Symptom, about: About, schedule: Schedule) -> Iterator[ShownStep]:
    """The steps that are reached in this home, the first one first, each before those it leads to."""
    seen, waiting = set[str](), [(symptom.first, "")]
    while waiting:
        name, via = waiting.pop(0)
        if name in seen:
            continue
        seen.add(name)
        step = _shown_step(name, via, symptom.steps[name], about, schedule)
        yield step
        waiting += [(to, say) for say, to in step.answers]


def _shown_step(name: str, via: str, step: Step, about: About, schedule: Schedule) -> ShownStep:
    also = [line for each in step.also.values() if about.applies(each) for line in each.do]
    articles = {article.id: article for article in about.selection.articles}
    read = tuple(Link(articles[each].front.title, f"article:{each}") for each in step.read if each in articles)  # fmt: skip
    instead = _other_call(step, about)
    call, pieces = instead or about.contact(step.call), tuple(_pieces(step, about))
    return ShownStep(
        id=name,
        via=via,
        ask=step.ask,
        answers=tuple((each.say, each.to) for each in step.answers.values() if about.applies(each)),
        caution=step.caution,
        do=(*step.do, *also),
        pieces=pieces,
        read=read,
        call=call,
        own_calls=_own_calls(pieces, about, call),
        matter=step.matter
        if step.matter and not instead and _answering_periods(step.matter, schedule)
        else None,
        within=about.language.text(WITHIN[step.within]) if step.within else "",
    )


def _own_calls(
    pieces: tuple[Piece, ...], about: About, call: Mapping[str, Any] | None
) -> dict[str, Mapping[str, Any]]:
    found = ((each.id, named_contact(each, about.contacts)) for each in pieces)
    return {name: own for name, own in found if own and own != call}


def _pieces(step: Step, about: About) -> Iterator[Piece]:
    """The home's own pieces that a step names."""
    rooms = {each.room_id for each in about.of_kinds(step.beside)} if step.beside else None
    serving = {each.id for each in about.plainly.of_kinds(*step.see) if _serves(each, step)}
    for piece in about.of_kinds(*step.see):
        if (rooms is None or piece.room_id in rooms) and piece.id in serving:
            yield piece


def _serves(piece: Piece, step: Step) -> bool:
    what = step.serving.get(piece.kind)
    return what is None or what in (piece.serves or "").lower()


def _other_call(step: Step, about: About) -> Mapping[str, Any] | None:
    """Whom this home calls in place of the others that the step names."""
    found = (about.contact(each.role) for each in step.other_calls.values() if about.applies(each))
    return next((each for each in found if each), None)


def _answering_periods(matter: str, schedule: Schedule) -> tuple[Period, ...]:
    """Who puts a matter right, and when; nobody where that differs from thing to thing."""
    of_it = f"{matter}."
    lines = [each for each in schedule.clock if each.id == matter or each.id.startswith(of_it)]
    return lines[0].periods if len(lines) == 1 else ()
