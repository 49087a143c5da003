"""What guidance asks for in the guide of a new home, looked for in the guide that this plot has."""

from collections.abc import Iterable, Iterator
from itertools import pairwise

from builder.guide.schedule.clock import covers_of
from builder.guide.schedule.days import ONE_DAY
from builder.guide.schedule.entries import CoverLine
from builder.model.equipment import Equipment
from builder.readiness.need import Case, Lack, Need, before_handing_over
from builder.readiness.reading import Topic, explained_by, has_tasks, speaks_of
from builder.readiness.recorded import alarms_of

ARTICLES = "content/articles"
_STANDARD = "housetypes/standard.yaml"
_CODES = "consumer codes for new homes (from memory)"
_ELECTRICAL = "BS 7671 (from memory)"
_COMMON_PRACTICE = "common practice"
_AIRED: tuple[Topic, ...] = (("vent", "window"), ("air",), ("open",))


@before_handing_over(
    "guide.ventilation-how", "The guide says how the ventilation of this home is run.",
    owed_by="technical", basis=_COMMON_PRACTICE, law="ventilation-information",
)  # fmt: skip
def how_the_ventilation_runs(case: Case) -> Iterator[Lack]:
    if case.home.ventilation is None:
        yield Lack(
            "Nothing says how this home is aired.", ("ventilation", "system"), "…",
            file=_house_type(case),
        )  # fmt: skip
        return
    moving = list(dict.fromkeys(piece.kind for piece in air_movers(case)))
    yield from _unexplained(case, moving)
    if not moving and not speaks_of(case.prepared, *_AIRED):
        yield _article("No article says how to air this home with its windows and vents.")


@before_handing_over(
    "guide.ventilation-why", "The guide says why the ventilation must run.",
    owed_by="technical", basis=_COMMON_PRACTICE, law="ventilation-information",
)  # fmt: skip
def why_the_ventilation_runs(case: Case) -> Iterator[Lack]:
    if not speaks_of(case.prepared, ("fresh air", "ventilat"), ("mould", "damp", "condens")):
        yield _article("No article says why a home needs fresh air.")


@before_handing_over(
    "guide.ventilation-places",
    "The guide says where the filters and controls of the ventilation are, and how often filters are seen to.",
    owed_by="technical", basis=_COMMON_PRACTICE, law="ventilation-information",
)  # fmt: skip
def where_the_ventilation_is_controlled(case: Case) -> Iterator[Lack]:
    systems = {case.home.kinds[piece.kind].system for piece in air_movers(case)}
    for name, piece in case.home.equipment.items():
        kind = case.home.kinds[piece.kind]
        if kind.system in systems and case.prepared.guide.page(f"equipment:{name}") is None:
            yield _lack(case, f"The guide has no page for {_low(case.titles[name])}.", "kinds", piece.kind, "page", value="true")  # fmt: skip
        for fact in kind.facts:
            if "filter" in fact and "every" in fact and fact not in piece.facts:
                yield _lack(case, f"{case.titles[name]}: nothing says how often its filter is seen to.", "equipment", name, "facts", fact)  # fmt: skip


@before_handing_over(
    "guide.heating-how", "The guide says how the heating and the hot water of this home are run.",
    owed_by="technical", basis=_COMMON_PRACTICE, law="home-user-guide",
)  # fmt: skip
def how_the_heating_runs(case: Case) -> Iterator[Lack]:
    heating, equipment = case.home.heating, case.home.equipment
    if heating is None and not case.home.zones:
        yield _lack(case, "Nothing says how this home is heated.", "heating", "source")
        return
    makers = (heating.source, heating.hot_water) if heating else ()
    kinds = [equipment[name].kind for name in makers if name]
    kinds += [each.kind for zone in case.home.zones.values() for each in zone.emitters.values()]
    yield from _unexplained(case, dict.fromkeys(kinds))


@before_handing_over(
    "guide.heating-controls", "The guide says how the controls of the heating are set.",
    owed_by="technical", basis=_COMMON_PRACTICE, law="home-user-guide",
)  # fmt: skip
def how_the_heating_is_set(case: Case) -> Iterator[Lack]:
    thermostats = [
        case.home.equipment[zone.thermostat].kind
        for zone in case.home.zones.values()
        if zone.thermostat
    ]
    yield from _unexplained(case, dict.fromkeys(thermostats))
    if not speaks_of(case.prepared, ("heating", "heater"), ("thermostat", "timer", "programmer")):
        yield _article("No article says how the heating is set.")


@before_handing_over(
    "guide.overheating", "The guide says how to keep the home cool: what to shade, and when to open windows.",
    owed_by="technical", basis=_COMMON_PRACTICE, law="overheating-information",
)  # fmt: skip
def how_to_keep_cool(case: Case) -> Iterator[Lack]:
    shading = ("shade", "shading", "blind", "curtain", "shutter")
    airing = ("at night", "in the evening", "cooler outside")
    if not speaks_of(case.prepared, ("hot", "heat"), shading, ("window",), airing):
        yield _article(
            "No article says how to keep this home cool: shade by day, open windows at night."
        )


@before_handing_over(
    "guide.safe-windows", "The guide says how windows are opened without anyone falling out.",
    owed_by="technical", basis=_COMMON_PRACTICE, law="overheating-information",
)  # fmt: skip
def how_windows_are_safe(case: Case) -> Iterator[Lack]:
    windows = bool(case.home.windows)
    if windows and not speaks_of(case.prepared, ("window",), ("fall", "climb"), ("child",)):
        yield _article("No article says how windows are opened without a child falling out.")


@before_handing_over(
    "guide.maintenance", "The guide says what is maintained, and when.",
    owed_by="technical", basis=_COMMON_PRACTICE, law="ventilation-information",
)  # fmt: skip
def what_is_maintained(case: Case) -> Iterator[Lack]:
    home = case.home
    for name in dict.fromkeys(piece.kind for piece in home.equipment.values()):
        kind = home.kinds[name]
        tended = kind.service_every or any("filter" in fact for fact in kind.facts)
        if tended and not has_tasks(case.prepared, name):
            yield _article(f"No article says what is done for the {_low(kind.name)}, and when.")


@before_handing_over(
    "guide.cover", "The guide says what is covered, and until when.",
    owed_by="customer-care", basis=_CODES,
)  # fmt: skip
def what_is_covered(case: Case) -> Iterator[Lack]:
    covered = ("cover", "warrant", "guarantee")
    if not speaks_of(case.prepared, covered, ("two years", "2 years", "ten years", "10 years", "years 3", "until which day")):  # fmt: skip
        yield _article("No article says what is covered, and until when.")


@before_handing_over(
    "guide.cover-clock", "The guide says who puts right each matter of this home, on every day.",
    owed_by="technical", basis=_CODES,
)  # fmt: skip
def each_matter_has_somebody(case: Case) -> Iterator[Lack]:
    about, lines = case.prepared.about, case.prepared.guide.schedule.clock
    covered = {name for cover in covers_of(about).values() for name in cover.matters}
    for name, matter in case.home.matters.items():
        own = [each for each in lines if each.id.partition(".")[0] == name]
        if about.applies(matter) and name not in covered:
            yield _nobody(f"{matter.name}: nobody puts it right.", name)
        for gap in dict.fromkeys(filter(None, map(_gap, own))):
            yield _nobody(f"{matter.name}: nobody puts it right {gap}.", name)


def _nobody(says: str, matter: str) -> Lack:
    return Lack(says, ("covers", "…", "matters"), f"[{matter}]", file=_STANDARD)


def _gap(line: CoverLine) -> str:
    """The days on which nobody answers, where days are known."""
    for earlier, later in pairwise(line.periods):
        if earlier.last and later.first and later.first - earlier.last > ONE_DAY:
            first, last = earlier.last + ONE_DAY, later.first - ONE_DAY
            return f"from {first.isoformat()} to {last.isoformat()}"
    end = line.periods[-1].last if line.periods else None
    return f"after {end.isoformat()}" if end else ""


@before_handing_over(
    "guide.contacts", "The guide says whom to call about a fault.",
    owed_by="customer-care", basis=_CODES,
)  # fmt: skip
def whom_to_call(case: Case) -> Iterator[Lack]:
    reached = (
        not each["emergency"] and (each["telephone"] or each["email"])
        for each in case.prepared.about.contacts.values()
    )
    if not any(reached):
        yield Lack(
            "No contact is there for a fault that is no emergency.",
            ("contacts", "customer-care"), '{name: …, call_for: …, telephone: "…"}',
            file="housetypes/standard.yaml",
        )  # fmt: skip


@before_handing_over(
    "guide.owner-duties", "The guide says what the owner looks after.",
    owed_by="customer-care", basis=_CODES,
)  # fmt: skip
def what_the_owner_does(case: Case) -> Iterator[Lack]:
    duties = ("your part", "your job", "you look after", "you are responsible", "responsible for")
    if not speaks_of(case.prepared, duties, ("service", "clean", "clear")):
        yield _article("No article says what the owner looks after.")


@before_handing_over(
    "guide.residual-risks", "The guide says what is hidden in walls, and what must not be cut.",
    owed_by="technical", basis=_COMMON_PRACTICE, law="residual-risks",
)  # fmt: skip
def which_risks_remain(case: Case) -> Iterator[Lack]:
    if not speaks_of(case.prepared, ("drill",), ("cable",), ("pipe",)):
        yield _article("No article says where cables and pipes run before you drill.")
    if not speaks_of(case.prepared, ("beam", "structur", "carries weight"), ("engineer",), ("cut", "take out")):  # fmt: skip
        yield _article("No article says which walls and beams must not be cut.")


@before_handing_over(
    "guide.fire-alarms", "The guide says what each alarm is for, and how it is tested.",
    owed_by="technical", basis=_COMMON_PRACTICE, law="fire-information",
)  # fmt: skip
def what_the_alarms_are(case: Case) -> Iterator[Lack]:
    yield from _unexplained(
        case, dict.fromkeys(piece.kind for piece in alarms_of(case.home).values())
    )


@before_handing_over(
    "guide.ways-out", "The guide says how to leave in a fire.", owed_by="technical", basis=_COMMON_PRACTICE, law="fire-information",
)  # fmt: skip
def how_to_leave(case: Case) -> Iterator[Lack]:
    leaving = ("get out", "way out", "ways out", "leave")
    if not speaks_of(case.prepared, ("fire",), ("smoke",), leaving, ("stay out", "go back")):
        yield _article("No article says how to leave in a fire.")


@before_handing_over(
    "guide.test-buttons", "The guide says when the test buttons of the consumer unit are pressed.",
    owed_by="technical", basis=_ELECTRICAL,
)  # fmt: skip
def when_test_buttons_are_pressed(case: Case) -> Iterator[Lack]:
    if not speaks_of(case.prepared, ("test button",), ("consumer unit", "safety switch")):
        yield _article("No article says how the test buttons of the consumer unit are pressed.")


@before_handing_over(
    "guide.manuals", "The guide says where the manuals and certificates are.",
    owed_by="customer-care", basis=_COMMON_PRACTICE, law="home-user-guide",
)  # fmt: skip
def where_the_manuals_are(case: Case) -> Iterator[Lack]:
    if not speaks_of(case.prepared, ("manual", "handbook"), ("certificate",)):
        yield _article("No article says where the manuals and certificates of this home are.")


@before_handing_over(
    "guide.bins", "The guide says where the bins stand.", owed_by="customer-care", basis=_COMMON_PRACTICE, law="bins",
)  # fmt: skip
def where_the_bins_stand(case: Case) -> Iterator[Lack]:
    if not any(store.kind in ("refuse", "recycling") for store in case.home.stores.values()):
        yield _lack(
            case, "Nothing says where the bins stand.", "stores", "bins",
            value="{name: Bin space, kind: refuse, place: …}",
        )  # fmt: skip


@before_handing_over(
    "guide.suppliers", "The guide names the supplier of what each meter counts.", owed_by="sales",
    basis="common practice: a buyer gives the first reading to the supplier",
)  # fmt: skip
def who_supplies_what_is_metered(case: Case) -> Iterator[Lack]:
    home = case.home
    supplied = {each.meter for each in home.utilities.values()}
    for name, piece in home.equipment.items():
        if home.kinds[piece.kind].meter and name not in supplied:
            yield Lack(
                f"{case.titles[name]}: no supplier is named.", ("utilities", name),
                f"{{name: …, supplier: …, meter: {name}}}",
                file=f"developments/{case.prepared.plot.development}/development.yaml",
            )  # fmt: skip


def air_movers(case: Case) -> tuple[Equipment, ...]:
    """The unit and the fans that move the air of a home."""
    ventilation, equipment = case.home.ventilation, case.home.equipment
    if ventilation is None:
        return ()
    names = [ventilation.unit, *(valve.by for valve in ventilation.air_valves.values())]
    return tuple(equipment[name] for name in dict.fromkeys(names) if name)


def _unexplained(case: Case, kinds: Iterable[str]) -> Iterator[Lack]:
    for kind in kinds:
        if not explained_by(case.prepared, kind):
            yield _article(f"No article is about the {_low(case.home.kinds[kind].name)}.")


def _article(says: str) -> Lack:
    return Lack(says, file=ARTICLES)


def _lack(case: Case, says: str, *path: str, value: str = "…") -> Lack:
    return Lack(says, path, value, file=_house_type(case))


def _house_type(case: Case) -> str:
    return f"housetypes/{case.home.plot.house_type}.yaml"


def _low(name: str) -> str:
    return f"{name[0].lower()}{name[1:]}"


CONTENTS: tuple[Need, ...] = (
    how_the_ventilation_runs, why_the_ventilation_runs, where_the_ventilation_is_controlled,
    how_the_heating_runs, how_the_heating_is_set, how_to_keep_cool, how_windows_are_safe,
    what_is_maintained, what_is_covered, each_matter_has_somebody, whom_to_call, what_the_owner_does, which_risks_remain,
    what_the_alarms_are, how_to_leave, when_test_buttons_are_pressed, where_the_manuals_are,
    where_the_bins_stand, who_supplies_what_is_metered,
)  # fmt: skip
