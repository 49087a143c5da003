"""What was measured when the systems of a home were set going, against what was designed."""

import re
from collections.abc import Iterable, Iterator

from builder.home.meters import boost_rates, counts_as, design_rates
from builder.layers.memo import Memo
from builder.model.home import Home
from builder.readiness.contents import air_movers
from builder.readiness.need import HAND_IN, Case, Lack, Need, before_handing_over
from builder.rules.reference import table_for

HOTTEST_BATH = 48.0
"""°C at a bath tap (common practice), where no value was read for the nation."""

COLD_PRESSURE = (1.0, 1.5)
"""Bar in a sealed heating system when it is cold (common practice), where its maker says no other."""

_AT = (HAND_IN, "commissioning")
_COMMON_PRACTICE = "common practice"
_BATH = "bath-hottest"
_NUMBER = re.compile(r"\d+(?:\.\d+)?")
_SEALED = ("filling-loop", "pressure-gauge")


@before_handing_over(
    "commissioning.ventilation",
    "The air of each room that has a fan or an air valve is measured.",
    owed_by="site",
    basis=_COMMON_PRACTICE,
    law="ventilation-commissioning",
)
def air_is_measured(case: Case) -> Iterator[Lack]:
    designed, boosted = design_rates(case.home), boost_rates(case.home)
    if case.record.commissioning.ventilation or not (air_movers(case) or designed):
        return
    parts = ["day: …", "by: ventilation-engineer"]
    parts += [f"rates: {_blanks(designed)}"] if designed else []
    parts += [f"boost_rates: {_blanks(boosted)}"] if boosted else []
    parts += ["whole_home_rate: …"] if _whole_home(case) is not None else []
    yield Lack("The ventilation has not been measured.", (*_AT, "ventilation"), _flow(parts))


@before_handing_over(
    "commissioning.air-rates",
    "Each air valve and fan moves the air that it was designed for.",
    owed_by="site",
    basis=_COMMON_PRACTICE,
    law="ventilation-commissioning",
)
def air_reaches_its_design(case: Case) -> Iterator[Lack]:
    if measured := case.record.commissioning.ventilation:
        for name, design in design_rates(case.home).items():
            named = _air_name(case.home, name)
            yield from _short(named, design, measured.rates.get(name), "rates", name)


@before_handing_over(
    "commissioning.boost-rates",
    "Each air valve that has a boost rate reaches it.",
    owed_by="site",
    basis=_COMMON_PRACTICE,
    law="ventilation-commissioning",
)
def boost_reaches_its_design(case: Case) -> Iterator[Lack]:
    if measured := case.record.commissioning.ventilation:
        for name, design in boost_rates(case.home).items():
            named = f"{_air_name(case.home, name)} on boost"
            yield from _short(named, design, measured.boost_rates.get(name), "boost_rates", name)


@before_handing_over(
    "commissioning.whole-home-rate",
    "The whole home is aired at the rate that it was designed for.",
    owed_by="site",
    basis=_COMMON_PRACTICE,
    law="ventilation-commissioning",
)
def whole_home_reaches_its_design(case: Case) -> Iterator[Lack]:
    measured, design = case.record.commissioning.ventilation, _whole_home(case)
    if measured and design is not None:
        yield from _short("The whole home", design, measured.whole_home_rate, "whole_home_rate")


def _whole_home(case: Case) -> float | None:
    return case.home.ventilation.whole_home_rate if case.home.ventilation else None


def _blanks(names: Iterable[str]) -> str:
    return _flow([f"{name}: …" for name in names])


def _flow(parts: Iterable[str]) -> str:
    return f"{{{', '.join(parts)}}}"


def _short(named: str, design: float | None, measured: float | None, *path: str) -> Iterator[Lack]:
    """The lack of a measured rate, or how far it falls short of the design."""
    at = (*_AT, "ventilation", *path)
    wanted = f"; the design is {design:g} l/s" if design is not None else ""
    if measured is None:
        yield Lack(f"{named}: no air flow is measured{wanted}.", at, "…")
    elif design is not None and measured < design:
        yield Lack(f"{named}: {measured:g} l/s measured{wanted}, so it falls short.", at, "…")


def _air_name(home: Home, name: str) -> str:
    valves = home.ventilation.air_valves if home.ventilation else {}
    if name not in valves:
        return home.equipment[name].name or home.kinds[home.equipment[name].kind].name
    valve = valves[name]
    way = {"extract": ", air out", "supply": ", air in", None: ""}[valve.direction]
    return f"{home.rooms[valve.room].name}{way} ({name})"


@before_handing_over(
    "commissioning.water", "The stopcock is tried, and the bath cannot scald.",
    owed_by="site", basis=_COMMON_PRACTICE,
)  # fmt: skip
def water_is_tried(case: Case) -> Iterator[Lack]:
    home, test, at = case.home, case.record.commissioning.water, (*_AT, "water")
    pieces = home.equipment.values()
    shut = any(home.kinds[piece.kind].turns_off == "water" for piece in pieces)
    bath = any(counts_as(home, piece, "blending-valve") for piece in pieces)
    if test is None:
        parts = ["day: …", "by: plumber"]
        parts += ["stopcock_tried: …"] if shut else []
        parts += ["bath_temperature: …"] if bath else []
        yield Lack("The water has not been tried.", at, _flow(parts))
        return
    if shut and not test.stopcock_tried:
        yield Lack("The stopcock has not been turned off and on.", (*at, "stopcock_tried"), "…")
    measured, path = test.bath_temperature, (*at, "bath_temperature")
    hottest, basis = _hottest_bath(home)
    if bath and measured is None:
        yield Lack("The hottest water of the bath tap is not measured.", path, "…")
    elif measured is not None and measured > hottest:
        yield Lack(_scalds(measured, hottest), path, "…", basis=basis)


def _hottest_bath(home: Home) -> tuple[float, str]:
    """°C, and its source: by the edition that the home is built to."""
    table = table_for(home, "water", Memo())
    if table is None or table.lacks((_BATH,)):
        return HOTTEST_BATH, "common practice"
    return table.number(_BATH), table.source(_BATH)


def _scalds(measured: float, hottest: float) -> str:
    return (
        f"The bath tap gives {measured:g} °C; the most is {hottest:g} °C. "
        "Very hot water can scald: a registered plumber must set its valve."
    )


@before_handing_over(
    "commissioning.heating", "The heating is set going, at its cold pressure.",
    owed_by="site", basis=_COMMON_PRACTICE, law="heating-commissioning",
)  # fmt: skip
def heating_is_set_going(case: Case) -> Iterator[Lack]:
    home, test, at = case.home, case.record.commissioning.heating, (*_AT, "heating")
    if home.heating is None and not home.zones:
        return
    sealed = any(counts_as(home, piece, *_SEALED) for piece in home.equipment.values())
    if test is None:
        parts = ["day: …", "by: heating-engineer", *(["pressure: …"] if sealed else [])]
        yield Lack("The heating has not been set going.", at, _flow(parts))
        return
    lowest, highest = _cold_pressure(home)
    if sealed and test.pressure is None:
        yield Lack("The cold pressure of the heating is not measured.", (*at, "pressure"), "…")
    elif test.pressure is not None and not lowest <= test.pressure <= highest:
        yield Lack(
            f"The heating stands at {test.pressure:g} bar when cold; {lowest:g} to {highest:g} bar is right.",
            (*at, "pressure"), "…",
        )  # fmt: skip


def _cold_pressure(home: Home) -> tuple[float, float]:
    """What the source of the heat states of its pressure, else what is common."""
    source = home.equipment.get(home.heating.source or "") if home.heating else None
    for fact, value in (source.facts if source else {}).items():
        found = [float(each) for each in _NUMBER.findall(str(value))]
        if "pressure" in fact and found:
            return min(found), max(found)
    return COLD_PRESSURE


@before_handing_over(
    "commissioning.electricity", "The electricity is tested, and its certificate has a number.",
    owed_by="site", basis="BS 7671 (from memory)",
)  # fmt: skip
def electricity_is_tested(case: Case) -> Iterator[Lack]:
    home, test, at = case.home, case.record.commissioning.electricity, (*_AT, "electricity")
    kinds = home.kinds
    if not any(kinds[piece.kind].turns_off == "electricity" for piece in home.equipment.values()):
        return
    if test is None:
        yield Lack("The electricity has not been tested.", at, '{day: …, by: electrician, certificate: "…"}')  # fmt: skip
    elif test.certificate is None:
        yield Lack("The number of the electrical certificate is not written down.", (*at, "certificate"), '"…"')  # fmt: skip


@before_handing_over(
    "commissioning.gas", "The gas pipes are tested, and what burns gas is set going.",
    owed_by="site", basis=_COMMON_PRACTICE, law="gas-safety",
)  # fmt: skip
def gas_is_tested(case: Case) -> Iterator[Lack]:
    home = case.home
    gas = any(home.kinds[piece.kind].turns_off == "gas" for piece in home.equipment.values())
    if gas and case.record.commissioning.gas is None:
        yield Lack("The gas has not been tested.", (*_AT, "gas"), "{day: …, by: gas-engineer}")


COMMISSIONING: tuple[Need, ...] = (
    air_is_measured, air_reaches_its_design, boost_reaches_its_design,
    whole_home_reaches_its_design, water_is_tried, heating_is_set_going, electricity_is_tested,
    gas_is_tested,
)  # fmt: skip
