"""What nobody said of supplies, the building, its fabric and how it is owned, no guide can tell."""

from collections import defaultdict
from collections.abc import Iterator
from itertools import islice

from builder.errors import Severity
from builder.home.survey import Survey
from builder.model.equipment import Equipment
from builder.rules.measures import listed, quoted
from builder.rules.rule import Address, HomeRule, Problem, rule

_SAID = "house rule: a guide says nothing that nobody said, and owners need this in an emergency"
_OWNED = "common practice: what an owner may change, and who answers for what, follow from it"
_BUILT = "common practice: how a home dries, and what may be fixed to its walls, follow from it"
_COMMON_PRACTICE = "common practice: whoever lives there is shown what each valve and switch serves"


def fuel_of(home: Survey, piece: Equipment) -> str | None:
    """What a piece burns, stores, meters or shuts off: by itself, or by its kind."""
    return piece.fuel or home.home.kinds[piece.kind].fuel


@rule("water.source-unsaid", "Something says where the water comes from.", basis=_SAID)
def the_source_of_water_is_said(home: Survey) -> Iterator[Problem]:
    if home.home.water is None:
        yield Problem(
            ("form",),
            "Nothing says where the water of this home comes from, and whom to call when none comes.",
            "Add 'water: {source: mains, metered: true, contact: water-company}' to the development.",
        )


@rule("drains.unsaid", "Something says where waste water goes.", basis=_SAID)
def the_way_of_waste_water_is_said(home: Survey) -> Iterator[Problem]:
    if home.home.foul_drainage is None:
        yield Problem(
            ("form",),
            "Nothing says where the waste water of this home goes, and whom to call.",
            "Add 'foul_drainage: {to: sewer, contact: water-company}' to the development.",
        )


@rule("tenure.unsaid", "A home says how it is owned.", basis=_OWNED)
def the_tenure_is_said(home: Survey) -> Iterator[Problem]:
    if home.home.tenure is None:
        yield Problem(
            ("form",),
            "Nothing says how this home is owned: the guide cannot tell what its owner keeps and may change.",
            f"Add 'tenure:' to the house type, or to the development: {listed(home.home.nation.tenures, 'or')}.",
        )


@rule("fabric.unsaid", "A home says what it is built of.", basis=_BUILT)
def the_fabric_is_said(home: Survey) -> Iterator[Problem]:
    fabric, alone = home.home.fabric, home.home.form in ("house", "bungalow")
    names = ("origin", "walls") if alone else ("origin",)
    lacking = [name for name in names if fabric is None or getattr(fabric, name) is None]
    if lacking:
        yield Problem(
            ("form",),
            f"Nothing says {quoted(lacking)} of this home's 'fabric': the guide cannot tell what its walls bear.",
            "Add 'fabric: {origin: new, walls: cavity}' to the house type.",
        )


def _first_unsaid(home: Survey, kind: str, said: object) -> Iterator[str]:
    """The first piece of a kind, where nothing is said of what it hangs on."""
    if said is None:
        yield from islice((name for name, _ in home.pieces(kind)), 1)


@rule("sprinklers.feed-unsaid", "Sprinklers say how they get their water.", basis=_SAID)
def the_feed_of_sprinklers_is_said(home: Survey) -> Iterator[Problem]:
    for valve in _first_unsaid(home, "sprinkler-valve", home.home.sprinklers):
        yield Problem(
            ("equipment", valve),
            "Nothing says what feeds the sprinklers, and whether a stopcock stops them.",
            "Add 'sprinklers: {fed_by: mains, branch: before-stopcock}', or 'fed_by: tank'.",
        )
    fed = home.home.sprinklers
    if fed is not None and fed.fed_by == "mains" and fed.branch is None:
        yield Problem(
            ("sprinklers",),
            "Nothing says whether the stopcock inside stops the sprinklers too.",
            "Add 'branch: before-stopcock', or 'branch: after-stopcock'.",
        )


@rule("heating.network-unsaid", "A heat interface unit says who runs its network.", basis=_SAID)
def the_heat_network_is_said(home: Survey) -> Iterator[Problem]:
    for unit in _first_unsaid(home, "heat-interface-unit", home.home.heat_network):
        yield Problem(
            ("equipment", unit),
            "Nothing says who runs the heat network, who bills the heat and what a resident may touch.",
            "Add 'heat_network: {operator: …, billed_by: …, may_touch: …}'.",
        )
    network = home.home.heat_network
    if network is not None:
        lacking = [name for name in ("billed_by", "may_touch") if getattr(network, name) is None]
        if lacking and any(home.pieces("heat-interface-unit")):
            yield Problem(
                ("heat_network",),
                f"Nothing says {quoted(lacking)} of the 'heat_network'.",
                "Name the contact that bills the heat, and in words what of the unit a resident uses.",
            )


@rule("apartment.building-unsaid", "A flat says where it stands in its building.", basis=_SAID)
def flats_say_where_they_stand(home: Survey) -> Iterator[Problem]:
    if home.home.form not in ("apartment", "maisonette"):
        return
    building = home.home.building
    names = ["storey", "own_entrance", "homes_above", "homes_below", "in_fire"]
    if building is None or not building.own_entrance:
        names.append("lift")
    lacking = [name for name in names if building is None or getattr(building, name) is None]
    if lacking:
        yield Problem(
            ("form",),
            f"Nothing says {quoted(lacking)} of this {home.home.form} in its 'building'.",
            "Add 'building: {storey: 1, own_entrance: false, lift: true, homes_above: true,"
            " homes_below: true, in_fire: stay}'.",
        )


@rule(
    "fuel.two-gases", "A home has natural gas or LPG, and not both.", severity=Severity.ERROR,
    basis="common practice: the two have other emergency numbers and gather in other places",
)  # fmt: skip
def no_home_has_two_gases(home: Survey) -> Iterator[Problem]:
    by_fuel: dict[str | None, list[str]] = defaultdict(list)
    for name, piece in home.home.equipment.items():
        by_fuel[fuel_of(home, piece)].append(name)
    natural, lpg = by_fuel["natural-gas"], by_fuel["lpg"]
    if natural and lpg:
        yield Problem(
            ("equipment", natural[0]),
            f"{quoted(natural)} {'is' if len(natural) == 1 else 'are'} for natural gas, and {quoted(lpg)} for LPG.",
            "Say 'fuel: lpg' of each piece, or of its kind in the development, where the home has LPG.",
        )


@rule(
    "fuel.unsaid", "What burns fuel says which.",
    basis="house rule: whom to call in an emergency follows from the fuel",
)  # fmt: skip
def what_burns_says_its_fuel(home: Survey) -> Iterator[Problem]:
    for name, piece in home.home.equipment.items():
        if home.home.kinds[piece.kind].burns_fuel and fuel_of(home, piece) is None:
            yield Problem(
                ("equipment", name),
                f"'{name}' burns fuel, and nothing says which.",
                f"Say 'fuel:' of it or of its kind: {listed(home.home.fuels, 'or')}.",
            )


@rule(
    "supplies.serves-missing", "Of two valves or switches of a kind, each says what it serves.",
    basis=_COMMON_PRACTICE,
)  # fmt: skip
def each_of_two_says_what_it_serves(home: Survey) -> Iterator[Problem]:
    by_kind: dict[str, list[str]] = defaultdict(list)
    for name, piece in home.home.equipment.items():
        if home.home.kinds[piece.kind].turns_off:
            by_kind[piece.kind].append(name)
    for names in by_kind.values():
        silent = [name for name in names if home.home.equipment[name].serves is None]
        if len(names) > 1 and silent:
            yield Problem(
                ("equipment", silent[0]),
                f"{quoted(names)} turn off one supply, and nothing says what"
                f" {quoted(silent)} {'serves' if len(silent) == 1 else 'serve'}.",
                "Add 'serves:' to each, in words: the water of the annexe.",
            )


@rule(
    "combustion.fan-beside-open-flue", "No fan takes air from the room of an open flue.",
    basis="Approved Document J, paragraph 1.20, as its readers quote it; common practice elsewhere",
)  # fmt: skip
def no_fan_beside_an_open_flue(home: Survey) -> Iterator[Problem]:
    rooms = {
        piece.room: (name, piece.facts.get("open-flue"))
        for name, piece in home.home.equipment.items()
        if piece.facts.get("open-flue", _may_be_open(home, piece)) is True
    }
    for room, name, address in _taking_air_out(home):
        if room in rooms:
            yield _beside(name, address, *rooms[room])


def _taking_air_out(home: Survey) -> Iterator[tuple[str, str, Address]]:
    """Each room that air is taken out of: by which piece, and where that is said. A unit that takes it
    out all day does so through valves in other rooms; one that brings in as much is another thing."""
    fans = home.pieces("extract-fan", "cooker-hood-extracting", "continuous-extract-unit")
    yield from ((piece.room, name, ("equipment", name)) for name, piece in fans)
    ventilation = home.home.ventilation
    if ventilation is None or ventilation.system != "continuous-extract":
        return
    for name, valve in ventilation.air_valves.items():
        moved_by = home.home.equipment.get(valve.by)
        if valve.direction != "supply" and moved_by and moved_by.room != valve.room:
            yield valve.room, valve.by, ("ventilation", "air_valves", name)


def _may_be_open(home: Survey, piece: Equipment) -> bool:
    """Whether a piece is of a kind that is asked where it takes its air from."""
    return "open-flue" in home.home.kinds[piece.kind].facts


def _beside(fan: str, address: Address, fire: str, said: object) -> Problem:
    """``address`` is where it is said that the fan takes air out, ``said`` what the record of the fire says
    of its flue: open, or nothing."""
    if said is None:
        return Problem(
            ("equipment", fire),
            f"'{fan}' takes air out of the room of '{fire}', and nothing says where that takes its own air from.",
            "Add 'open-flue: true' or 'open-flue: false' to its 'facts': true if it takes its air from the room.",
        )
    return Problem(
        address,
        f"'{fan}' takes air out of the room of '{fire}', which takes its air from there:"
        " it can pull poison gas into the room.",
        "Move the fan, fit an appliance that takes its air from outside, or have it tested and waive this.",
    )


SUPPLIES: tuple[HomeRule, ...] = (
    the_source_of_water_is_said,
    the_way_of_waste_water_is_said,
    the_tenure_is_said,
    the_fabric_is_said,
    the_feed_of_sprinklers_is_said,
    the_heat_network_is_said,
    flats_say_where_they_stand,
    no_home_has_two_gases,
    what_burns_says_its_fuel,
    each_of_two_says_what_it_serves,
    no_fan_beside_an_open_flue,
)
