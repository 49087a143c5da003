"""Background ventilators: enough of them, where the system asks for them, and nowhere else."""

from collections.abc import Iterator

from builder.home.survey import Survey
from builder.rules.measures import under
from builder.rules.moving_air import aired_through
from builder.rules.reference import Table
from builder.rules.rule import HomeRule, Problem, rule_by

_NATURAL = ("natural", "intermittent-extract")


@rule_by(
    "ventilation", "background-natural-several-floors", "background-natural-one-floor",
    identifier="ventilation.background-area",
    says="Each room has ventilators of the area that a home with fans that run now and then needs.",
)  # fmt: skip
def rooms_have_ventilators(home: Survey, table: Table) -> Iterator[Problem]:
    if home.home.ventilation is None or home.home.ventilation.system not in _NATURAL:
        return
    several = len({room.floor for _, room in home.living()} - {None}) > 1
    rows = table.row(f"background-natural-{'several-floors' if several else 'one-floor'}")
    for room, _ in home.living():
        least = max((rows.get(role, 0) for role in _roles(home, room)), default=0)
        yield from _too_small(home, room, least)


@rule_by(
    "ventilation", "background-continuous",
    identifier="ventilation.background-continuous",
    says="Each habitable room of a home with continuous extract has ventilators of enough area.",
)  # fmt: skip
def habitable_rooms_have_ventilators(home: Survey, table: Table) -> Iterator[Problem]:
    ventilation = home.home.ventilation
    if ventilation is None or ventilation.system != "continuous-extract":
        return
    for room in home.habitable:
        if home.kind_of_room(room).extract is None:
            yield from _too_small(home, room, table.row("background-continuous")["habitable"])


@rule_by(
    "ventilation", "ventilators-with-heat-recovery",
    identifier="ventilation.background-with-heat-recovery",
    says="A home with heat recovery has no background ventilators.",
)  # fmt: skip
def heat_recovery_has_no_ventilators(home: Survey, _: Table) -> Iterator[Problem]:
    ventilation = home.home.ventilation
    for name, window in home.home.windows.items():
        heat_recovery = ventilation is not None and ventilation.system == "heat-recovery"
        if heat_recovery and window.background_ventilator:
            yield Problem(
                ("windows", name, "background_ventilator"),
                f"'{window.name}' has a ventilator of {window.background_ventilator:g} mm², beside heat recovery.",
                "Take it out: the unit brings the fresh air in.",
            )


@rule_by(
    "ventilation", "ventilators-in-wet-rooms",
    identifier="ventilation.background-in-wet-room",
    says="Wet rooms of a home with continuous extract have no background ventilators.",
)  # fmt: skip
def wet_rooms_have_no_ventilators(home: Survey, _: Table) -> Iterator[Problem]:
    ventilation = home.home.ventilation
    wet = {room for room, _ in home.wet_rooms() if not home.kind_of_room(room).habitable}
    for name, window in home.home.windows.items():
        continuous = ventilation is not None and ventilation.system == "continuous-extract"
        if continuous and window.room in wet and window.background_ventilator:
            yield Problem(
                ("windows", name, "background_ventilator"),
                f"'{window.name}' has a ventilator, and the fan takes air out of the same room.",
                "Take it out: fresh air comes in through the habitable rooms.",
            )


def _roles(home: Survey, room: str) -> Iterator[str]:
    kind = home.kind_of_room(room)
    if kind.habitable:
        yield "habitable"
    if kind.extract:
        yield kind.extract


def _too_small(home: Survey, room: str, least: float) -> Iterator[Problem]:
    windows = {name: each for name, each in home.home.windows.items() if each.room == room}
    area = sum(each.background_ventilator or 0 for each in windows.values())
    within = not windows and aired_through(home, room)
    if under(area, least) and not within:
        name = home.home.rooms[room].name
        first = next(iter(windows), None)
        yield Problem(
            ("windows", first) if first else ("rooms", room),
            f"The background ventilators of '{name}' add up to {area:,.0f} mm²; it needs {least:,.0f} mm².",
            "Write 'background_ventilator' of its windows, the equivalent area in mm², or have larger ones fitted.",
        )


VENTILATORS: tuple[HomeRule, ...] = (
    rooms_have_ventilators,
    habitable_rooms_have_ventilators,
    heat_recovery_has_no_ventilators,
    wet_rooms_have_no_ventilators,
)
