"""Homes that lack one thing each: how each need is broken, and the exact words that follow.

The demo's closed plots have all that is needed; a case takes one thing away from one of them.
"""

import json
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from builder.errors import Finding, Findings, Place, Severity
from builder.guide.about import About
from builder.guide.schedule.entries import CoverLine
from builder.model.handover import Handover
from builder.model.home import Home
from builder.readiness.need import Case
from builder.selection.choosing import Selection
from builder.sources.records import digest_of, read_record

Change = Callable[[Case], Case]
GAS, AIR = "mill-lane/01", "harbour-view/01"
"""A house with fans that run at times, and a house with continuous extract and a cylinder."""

WARNING = Finding(
    "fire.example", Place("housetypes/a.yaml", 3, 5), "This is wrong.", "This is right.",
    severity=Severity.WARNING, basis="Approved Document B",
)  # fmt: skip
WAIVED = replace(WARNING, severity=Severity.NOTE, waived="until 2027-01-01 by the engineer: agreed")


@dataclass(frozen=True)
class Lacking:
    """One way to fall short of a need, on one plot, and what is then said."""

    need: str
    plot: str
    change: Change
    says: tuple[str, ...]


def without(*path: str) -> Change:
    """A record that lacks what stands at a path."""

    def change(case: Case) -> Case:
        told, (*way, last) = _told(case), path
        inner = told
        for step in way:
            inner = inner[step]
        del inner[last]
        return _that_says(case, told)

    return change


def written(*path: str, to: Any) -> Change:
    """A record that says something else at a path."""

    def change(case: Case) -> Case:
        told, (*way, last) = _told(case), path
        inner = told
        for step in way:
            inner = inner.setdefault(step, {})
        inner[last] = to
        return _that_says(case, told)

    return change


def _told(case: Case) -> dict[str, Any]:
    told: dict[str, Any] = case.recorded.written.model_dump(mode="json", exclude_none=True)
    return told


def _that_says(case: Case, told: dict[str, Any]) -> Case:
    return replace(case, recorded=replace(case.recorded, written=Handover.model_validate(told)))


def issued(equipment: str, day: date | None) -> Change:
    """A sticker whose code was issued on that day, or never."""

    def change(case: Case) -> Case:
        others = {name: on for name, on in case.stickers.items() if name != equipment}
        return replace(case, stickers=others if day is None else {**others, equipment: day})

    return change


RECORD_OF_THE_DAY = "records/01/2026-03-31-demonstration.json"


def kept(**told: Any) -> Change:
    """A plot with a record of its demonstration, which says no more than this."""

    def change(case: Case) -> Case:
        record = {
            "form": "handover-demonstration", "version": 1, "plot": case.prepared.plot.reference,
            "sheet": "0" * 12, "day": "2026-03-31", "by": "customer-care", **told,
        }  # fmt: skip
        text = json.dumps({**record, "digest": digest_of(record)})
        findings = Findings()
        source = read_record(text.encode(), RECORD_OF_THE_DAY, findings)
        assert source is not None, list(findings)
        recorded = replace(case.recorded, kept=(*case.recorded.kept, source))
        return replace(case, recorded=recorded)

    return change


def gap_in_the_clock(case: Case) -> Case:
    """The structural cover begins a month late, and the owner's part ends after ten years."""

    def late(line: CoverLine) -> CoverLine:
        builder, cover, *others = line.periods
        return replace(line, periods=(builder, replace(cover, first=date(2028, 5, 1)), *others))

    def ends(line: CoverLine) -> CoverLine:
        return replace(line, periods=(replace(line.periods[0], last=date(2036, 3, 31)),))

    changes: dict[str, Callable[[CoverLine], CoverLine]] = {"structure": late, "upkeep": ends}
    guide = case.prepared.guide
    clock = tuple(changes.get(line.id, lambda same: same)(line) for line in guide.schedule.clock)
    changed = replace(guide, schedule=replace(guide.schedule, clock=clock))
    return replace(case, prepared=replace(case.prepared, guide=changed))


def unusable(case: Case) -> Case:
    return replace(case, recorded=replace(case.recorded, unusable=(WARNING,)))


def each_of(*changes: Change) -> Change:
    """Several changes, one after the other."""

    def change(case: Case) -> Case:
        for one in changes:
            case = one(case)
        return case

    return change


def home(case: Case, **sections: Any) -> Case:
    """A home with other sections. Its guide stays as it was."""
    changed = case.home.model_copy(update=sections)
    prepared = case.prepared
    traced = replace(prepared.traced, home=changed)
    return replace(
        case,
        recorded=replace(case.recorded, home=changed),
        prepared=replace(prepared, traced=traced, about=About(changed, prepared.selection)),
    )


def other_home(changed: Callable[[Home], dict[str, Any]]) -> Change:
    return lambda case: home(case, **changed(case.home))


def guide_of(*articles: str) -> Change:
    """A guide with these articles alone."""

    def change(case: Case) -> Case:
        prepared = case.prepared
        chosen = tuple(
            each
            for each in prepared.selection.choices
            if each.chosen and each.article.id in articles
        )
        kept = {f"article:{each}" for each in articles}
        pages = tuple(
            page for page in prepared.guide.pages if page.layout != "article" or page.id in kept
        )
        about = About(case.home, Selection(chosen))
        guide = replace(prepared.guide, pages=pages)
        return replace(case, prepared=replace(prepared, about=about, guide=guide))

    return change


def no_page(*names: str) -> Change:
    def change(case: Case) -> Case:
        gone = {f"equipment:{each}" for each in names}
        guide = case.prepared.guide
        pages = tuple(page for page in guide.pages if page.id not in gone)
        return replace(case, prepared=replace(case.prepared, guide=replace(guide, pages=pages)))

    return change


def with_findings(*findings: Finding) -> Change:
    return lambda case: replace(case, findings=findings)


def on(day: date) -> Change:
    return lambda case: replace(case, day=day)


def _piece(of: Home, name: str, **fields: Any) -> dict[str, Any]:
    return {"equipment": {**of.equipment, name: of.equipment[name].model_copy(update=fields)}}


def _no_filter_fact(of: Home) -> dict[str, Any]:
    return _piece(of, "ventilation-unit", facts={})


def _only_emergencies(of: Home) -> dict[str, Any]:
    return {"contacts": {name: each for name, each in of.contacts.items() if each.emergency}}


def _only_cycles(of: Home) -> dict[str, Any]:
    return {"stores": {name: each for name, each in of.stores.items() if each.kind == "cycle"}}


def _nobody_for_gas(of: Home) -> dict[str, Any]:
    return {
        "utilities": {
            name: each for name, each in of.utilities.items() if each.meter != "gas-meter"
        }
    }


def _not_completed(of: Home) -> dict[str, Any]:
    return {"plot": of.plot.model_copy(update={"completion": None})}


_DEMONSTRATION = ("demonstration", "day")
_AIR = ("commissioning", "ventilation")

CASES: tuple[Lacking, ...] = (
    Lacking("rules.warnings", GAS, with_findings(WARNING, WAIVED), ("This is wrong. This is right.",)),
    Lacking("plot.completion", GAS, other_home(_not_completed), ("The legal completion of the home is not known.",)),
    Lacking("meters.serial", GAS, other_home(lambda of: _piece(of, "gas-meter", serial=None)),
            ("Gas meter: no serial number.",)),
    Lacking("meters.reading", GAS, without("meters", "electric-meter"), ("Electricity meter: not read.",)),
    Lacking("serials.serviced", GAS, other_home(lambda of: _piece(of, "boiler", serial=None)),
            ("Gas combination boiler: no serial number.",)),
    Lacking("serials.serviced", GAS, other_home(lambda of: _piece(of, "boiler", serial=None, kind="open-fire")), ()),
    Lacking("keys.counted", GAS, without("keys", "windows"),
            ("Window keys: not counted; the schedule says 11.",)),
    Lacking("keys.counted", GAS, written("keys", "front-door", to=2),
            ("Front door keys: 2 counted; the schedule says 3.",)),
    Lacking("keys.counted", GAS, written("keys", "front-door", to=4),
            ("Front door keys: 4 counted; the schedule says 3.",)),
    Lacking("documents.given", AIR, without("documents", "energy-certificate"),
            ("Energy performance certificate: not given.",)),
    Lacking("alarms.tested", GAS, without("alarms_tested"), ("The alarms have not been tested.",)),
    Lacking("stickers.issued", GAS, issued("boiler", None),
            ("Gas combination boiler: no sticker code is issued. Run: handover stickers issue mill-lane/01",)),
    Lacking("stickers.fixed", GAS, issued("boiler", date(2026, 3, 23)),
            ("Gas combination boiler: its sticker was issued on 2026-03-23, and the stickers were fixed on 2026-03-22.",)),
    Lacking("stickers.scanned", GAS, issued("boiler", date(2026, 3, 24)),
            ("Gas combination boiler: its sticker was issued on 2026-03-24, and the stickers were scanned on 2026-03-23.",)),
    Lacking("stickers.fixed", GAS, without("stickers", "fixed"), ("The stickers have not been fixed.",)),
    Lacking("stickers.scanned", GAS, without("stickers", "scanned"), ("The stickers have not been scanned.",)),
    Lacking("demonstration.given", GAS, without("demonstration"),
            ("The home has not been shown to its buyer.",)),
    Lacking("record.whole", GAS, unusable, ("This is wrong. This is right.",)),
    Lacking("record.agrees", GAS, each_of(written(*_DEMONSTRATION, to="2026-03-31"), kept(keys={"front-door": 2})),
            ("Front door keys: the plot's file counts 3, the record of the day 2. The record stands: mend the file.",)),
    Lacking("record.agrees", GAS, each_of(
                written(*_DEMONSTRATION, to="2026-03-31"),
                kept(meters={"gas-meter": {"reading": "00417", "day": "2026-03-31", "serial": "ANOTHER"}})),
            ("Gas meter: the plot's file and the record have two readings of one day. The record stands: mend the file.",
             "Gas meter: the plot's file and the record have two serial numbers. The record stands: mend the file.")),
    Lacking("record.agrees", GAS, each_of(
                written(*_DEMONSTRATION, to="2026-03-31"), written("documents", "manuals", to="2026-04-02"),
                kept(documents=["manuals", "drawings"])),
            ("Manuals of the appliances, the heating and the ventilation: the plot's file says given on 2026-04-02, the record on 2026-03-31. The record stands: mend the file.",)),
    Lacking("record.agrees", GAS, kept(day="2026-04-01", by="sales", signatures={"buyer": {"name": "A"}}),
            ("The plot's file says that the home was shown on 2026-03-27 (customer care), the record on 2026-04-01 (sales). The record stands: mend the file.",
             "The plot's file says that the home was signed for on 2026-03-31, the record on 2026-04-01. The record stands: mend the file.")),
    Lacking("record.agrees", GAS, each_of(
                written(*_DEMONSTRATION, to="2026-03-31"),
                kept(outstanding={"hall-paint": {"note": "Paint", "due": "2026-04-13"}})),
            ("'hall-paint': the plot's file promises it for 2026-04-14, the record for 2026-04-13. The record stands: mend the file.",)),
    Lacking("outstanding.promised", GAS, kept(outstanding={"tap": {"note": "The tap drips"}}),
            ("'tap': no day is promised for it.",)),
    Lacking("outstanding.promised", GAS, written("outstanding", "tap", to={"due": "2026-04-14"}),
            ("'tap': nothing says what is to be done.",)),
    Lacking("keys.counted", GAS, kept(keys={"front-door": 2}),
            ("Front door keys: 2 counted; the schedule says 3. That is what the record says; a later record takes its place.",)),
    Lacking("days.demonstration", GAS, kept(day="2026-03-08"),
            ("The home was shown on 2026-03-08, before the last test on 2026-03-11. That is what the record says; a later record takes its place.",)),
    Lacking("outstanding.done", GAS, kept(outstanding={"tap": {"note": "The tap drips"}}),
            ("'tap' is not done; no day is promised for it.",)),
    Lacking("handover.signed", GAS, each_of(
                without("signed"), kept(day="2026-03-30", signatures={"buyer": {"name": "A"}})),
            ("The buyer has not signed for the home.",)),
    Lacking("commissioning.ventilation", AIR, without(*_AIR), ("The ventilation has not been measured.",)),
    Lacking("commissioning.air-rates", GAS, written(*_AIR, "rates", "toilet", to=8.5),
            ("Downstairs toilet, air out (toilet): 8.5 l/s measured; the design is 9 l/s, so it falls short.",)),
    Lacking("commissioning.air-rates", GAS, without(*_AIR, "rates", "bathroom"),
            ("Bathroom, air out (bathroom): no air flow is measured; the design is 17 l/s.",)),
    Lacking("commissioning.boost-rates", AIR, written(*_AIR, "boost_rates", "kitchen", to=19.9),
            ("Kitchen and dining room, air out (kitchen) on boost: 19.9 l/s measured; the design is 20 l/s, so it falls short.",)),
    Lacking("commissioning.whole-home-rate", AIR, written(*_AIR, "whole_home_rate", to=40),
            ("The whole home: 40 l/s measured; the design is 43 l/s, so it falls short.",)),
    Lacking("commissioning.whole-home-rate", AIR, without(*_AIR, "whole_home_rate"),
            ("The whole home: no air flow is measured; the design is 43 l/s.",)),
    Lacking("commissioning.water", GAS, without("commissioning", "water"), ("The water has not been tried.",)),
    Lacking("commissioning.water", GAS, written("commissioning", "water", "stopcock_tried", to=False),
            ("The stopcock has not been turned off and on.",)),
    Lacking("commissioning.water", GAS, without("commissioning", "water", "bath_temperature"),
            ("The hottest water of the bath tap is not measured.",)),
    Lacking("commissioning.water", GAS, written("commissioning", "water", "bath_temperature", to=48.5),
            ("The bath tap gives 48.5 °C; the most is 48 °C. Very hot water can scald: a registered plumber must set its valve.",)),
    Lacking("commissioning.heating", GAS, without("commissioning", "heating"),
            ("The heating has not been set going.",)),
    Lacking("commissioning.heating", GAS, without("commissioning", "heating", "pressure"),
            ("The cold pressure of the heating is not measured.",)),
    Lacking("commissioning.heating", GAS, written("commissioning", "heating", "pressure", to=0.6),
            ("The heating stands at 0.6 bar when cold; 1 to 1.5 bar is right.",)),
    Lacking("commissioning.electricity", GAS, without("commissioning", "electricity"),
            ("The electricity has not been tested.",)),
    Lacking("commissioning.electricity", GAS, without("commissioning", "electricity", "certificate"),
            ("The number of the electrical certificate is not written down.",)),
    Lacking("commissioning.gas", GAS, without("commissioning", "gas"), ("The gas has not been tested.",)),
    Lacking("days.not-ahead", GAS, written("alarms_tested", to="2027-01-02"),
            ("Alarms tested: 2027-01-02 is still to come.",)),
    Lacking("days.tested-first", GAS, written("commissioning", "gas", "day", to="2026-04-01"),
            ("Commissioning gas: 2026-04-01 is after legal completion on 2026-03-31.",)),
    Lacking("days.demonstration", GAS, written(*_DEMONSTRATION, to="2026-04-02"),
            ("The home was shown on 2026-04-02, after the day it was signed for, 2026-03-31.",)),
    Lacking("days.demonstration", GAS,
            lambda case: written(*_DEMONSTRATION, to="2026-04-02")(without("signed")(case)),
            ("The home was shown on 2026-04-02, after legal completion, 2026-03-31.",)),
    Lacking("days.demonstration", GAS, written(*_DEMONSTRATION, to="2026-03-08"),
            ("The home was shown on 2026-03-08, before the last test on 2026-03-11.",)),
    Lacking("days.stickers", GAS, written("stickers", "scanned", to="2026-03-01"),
            ("The stickers were scanned on 2026-03-01, before they were fixed on 2026-03-22.",)),
    Lacking("handover.signed", GAS, without("signed"), ("The buyer has not signed for the home.",)),
    Lacking("outstanding.done", GAS, without("outstanding", "hall-paint", "done"),
            ("'hall-paint' is not done; it is promised for 2026-04-14, which is past.",)),
    Lacking("outstanding.done", GAS,
            lambda case: on(date(2026, 4, 14))(without("outstanding", "hall-paint", "done")(case)),
            ("'hall-paint' is not done; it is promised for 2026-04-14.",)),
    Lacking("care.call", GAS, without("care_call"), ("The buyer has not been called.",)),
    Lacking("snags.closed", GAS, without("snags_closed"), ("The snags are not closed.",)),
    Lacking("days.closing", GAS, written("signed", to="2026-03-30"),
            ("The home was signed for on 2026-03-30, before legal completion on 2026-03-31.",)),
    Lacking("days.closing", GAS, written("care_call", to="2026-03-01"),
            ("Care call: 2026-03-01 is before the home was signed for on 2026-03-31.",)),
    Lacking("days.closing", GAS, written("snags_closed", to="2027-02-01"),
            ("Snags closed: 2027-02-01 is still to come.",)),
    Lacking("guide.ventilation-how", AIR, guide_of(), ("No article is about the continuous extract unit.",)),
    Lacking("guide.ventilation-how", AIR, other_home(lambda _: {"ventilation": None}),
            ("Nothing says how this home is aired.",)),
    Lacking("guide.ventilation-why", AIR, guide_of(), ("No article says why a home needs fresh air.",)),
    Lacking("guide.ventilation-places", AIR, no_page("kitchen-boost"),
            ("The guide has no page for fan boost switch, Kitchen and dining room.",)),
    Lacking("guide.ventilation-places", AIR, other_home(_no_filter_fact),
            ("Continuous extract unit: nothing says how often its filter is seen to.",)),
    Lacking("guide.heating-how", GAS, guide_of("boiler-care"),
            ("No article is about the radiator.", "No article is about the towel rail.")),
    Lacking("guide.heating-how", GAS, other_home(lambda _: {"heating": None, "zones": {}}),
            ("Nothing says how this home is heated.",)),
    Lacking("guide.heating-controls", GAS, guide_of(),
            ("No article is about the room thermostat.", "No article says how the heating is set.")),
    Lacking("guide.overheating", GAS, guide_of("windows-and-escape", "trickle-vents"),
            ("No article says how to keep this home cool: shade by day, open windows at night.",)),
    Lacking("guide.safe-windows", GAS, guide_of("trickle-vents"),
            ("No article says how windows are opened without a child falling out.",)),
    Lacking("guide.maintenance", GAS, guide_of(),
            ("No article says what is done for the gas combination boiler, and when.",)),
    Lacking("guide.cover", GAS, guide_of("trickle-vents"),
            ("No article says what is covered, and until when.",)),
    Lacking("guide.cover-clock", GAS, other_home(lambda of: {"covers": {
                name: each for name, each in of.covers.items() if name != "managing-agent"}}),
            ("Shared parts: nobody puts it right.",)),
    Lacking("guide.cover-clock", GAS, gap_in_the_clock,
            ("Damage to the structure: nobody puts it right from 2028-04-01 to 2028-04-30.",
             "Care and wear: nobody puts it right after 2036-03-31.")),
    Lacking("guide.contacts", GAS, other_home(_only_emergencies),
            ("No contact is there for a fault that is no emergency.",)),
    Lacking("guide.owner-duties", GAS, guide_of("warranty-cover"),
            ("No article says what the owner looks after.",)),
    Lacking("guide.residual-risks", GAS, guide_of("drilling-into-walls"),
            ("No article says which walls and beams must not be cut.",)),
    Lacking("guide.residual-risks", GAS, guide_of("alterations"),
            ("No article says where cables and pipes run before you drill.",)),
    Lacking("guide.fire-alarms", GAS, guide_of("carbon-monoxide-alarm-sounds"),
            ("No article is about the smoke alarm.", "No article is about the heat alarm.")),
    Lacking("guide.ways-out", GAS, guide_of("smell-of-gas"), ("No article says how to leave in a fire.",)),
    Lacking("guide.test-buttons", GAS, guide_of("no-electricity"),
            ("No article says how the test buttons of the consumer unit are pressed.",)),
    Lacking("guide.manuals", GAS, guide_of("warranty-cover"),
            ("No article says where the manuals and certificates of this home are.",)),
    Lacking("guide.bins", GAS, other_home(_only_cycles), ("Nothing says where the bins stand.",)),
    Lacking("guide.suppliers", GAS, other_home(_nobody_for_gas), ("Gas meter: no supplier is named.",)),
)  # fmt: skip

ENOUGH: dict[str, tuple[str, tuple[str, ...]]] = {
    "guide.ventilation-how": (AIR, ("continuous-extract",)),
    "guide.ventilation-why": (AIR, ("why-ventilation-runs",)),
    "guide.heating-how": (GAS, ("boiler-care", "radiator-valves")),
    "guide.heating-controls": (GAS, ("room-thermostats", "heating-controls-and-zones")),
    "guide.overheating": (GAS, ("hot-weather",)),
    "guide.safe-windows": (GAS, ("windows-and-escape",)),
    "guide.maintenance": (GAS, ("boiler-care",)),
    "guide.cover": (GAS, ("warranty-cover",)),
    "guide.owner-duties": (GAS, ("who-is-responsible",)),
    "guide.residual-risks": (GAS, ("alterations", "drilling-into-walls")),
    "guide.fire-alarms": (GAS, ("smoke-and-heat-alarms", "carbon-monoxide-alarm-sounds")),
    "guide.ways-out": (GAS, ("fire-and-how-to-leave",)),
    "guide.test-buttons": (GAS, ("consumer-unit",)),
    "guide.manuals": (GAS, ("papers-and-manuals",)),
}
"""The fewest articles of the library that give an owner what a need asks for."""
