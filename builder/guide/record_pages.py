"""The pages that an owner asks for years later: details of the home, finishes, contacts."""

from builder.guide.about import About
from builder.guide.pages import Page


def record_pages(about: About) -> tuple[Page, ...]:
    """Details and contacts always; finishes where the home has a schedule of them."""
    pages = [_details(about)]
    if about.home.finishes:
        pages.append(_finishes(about))
    return (*pages, _contacts(about))


def _details(about: About) -> Page:
    home = about.home
    return Page(
        id="page:details",
        path="details",
        title="Facts about this home",
        layout="details",
        summary="Options, supplies, keys, boundaries and what is shared.",
        values={
            "options": tuple(home.options.values()),
            "utilities": about.utilities,
            "heating": home.heating,
            "heating_source": next(
                (each for each in about.pieces if home.heating and each.id == home.heating.source),
                None,
            ),
            "ventilation": home.ventilation,
            "air_valves": tuple(
                {"room": home.rooms[valve.room].name, "valve": valve}
                for valve in (home.ventilation.air_valves.values() if home.ventilation else ())
            ),
            "keys": tuple(home.keys.values()),
            "fences": tuple(home.fences.values()),
            "gates": tuple(home.gates.values()),
            "lawns": tuple(home.lawns.values()),
            "garage": home.garage,
            "parking": tuple(home.parking.values()),
            "stores": tuple(home.stores.values()),
            "communal": tuple(
                {"thing": each, "contact": home.contacts[each.looked_after_by]}
                for each in home.communal.values()
            ),
        },
        called=("parking", "parking space", "where to park") if home.parking else (),
    )


def _finishes(about: About) -> Page:
    home = about.home
    return Page(
        id="page:finishes",
        path="finishes",
        title="Finishes, room by room",
        layout="finishes",
        summary="Paint, floors, tiles and worktops, for when you decorate or repair.",
        values={
            "rooms": tuple(
                {"room": room.name, "finishes": finishes}
                for name, room in home.rooms.items()
                if (finishes := tuple(each for each in home.finishes.values() if each.room == name))
            )
        },
    )


def _contacts(about: About) -> Page:
    return Page(
        id="page:contacts",
        path="contacts",
        title="Whom to call",
        layout="contacts",
        summary="Everyone who helps with this home.",
        values={"contacts": tuple(about.contacts.values())},
        called=(
            "who do I call",
            "phone number",
            "telephone",
            "contact",
            "contacts",
            "call",
            "emergency number",
            "customer care",
            "builder",
            "report a fault",
        ),
    )
