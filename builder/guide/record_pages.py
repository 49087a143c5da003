"""The pages that an owner asks for years later: details of the home, finishes, contacts."""

from builder.guide.about import About
from builder.guide.pages import Page, looked_for
from builder.guide.pieces import Piece
from builder.guide.schedule.entries import Schedule
from builder.guide.urgent import is_urgent, urgent_contacts


def record_pages(about: About, schedule: Schedule) -> tuple[Page, ...]:
    """Details and contacts always; finishes where the home has a schedule of them."""
    pages = [_details(about)]
    if about.home.finishes:
        pages.append(_finishes(about))
    return (*pages, _contacts(about, schedule), _keep(about))


def _keep(about: About) -> Page:
    """How the guide stays on a device."""
    return Page(
        id="page:keep",
        path="keep",
        title=about.say("Keep this guide on your device"),
        layout="keep",
        summary=about.say("All of it, to open without a network."),
        values={},
        called=looked_for(about.say("offline|no signal|download|save this guide")),
    )


def _details(about: About) -> Page:
    home = about.home
    return Page(
        id="page:details",
        path="details",
        title=about.say("Facts about this home"),
        layout="details",
        summary=about.say("Options, supplies, keys, boundaries and what is shared."),
        values={
            "options": tuple(home.options.values()),
            "utilities": about.utilities,
            "heating": home.heating,
            "heating_source": _heating_source(about),
            "ventilation": home.ventilation,
            "air_valves": tuple(
                {"room": home.rooms[valve.room].name, "valve": valve}
                for valve in (home.ventilation.air_valves.values() if home.ventilation else ())
                if valve.direction
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
        called=looked_for(
            about.say("address|postcode"),
            about.say("plot number|house type|size of this home"),
            about.say("parking|parking space|where to park") if home.parking else "",
        ),
    )


def _heating_source(about: About) -> Piece | None:
    """The one thing that heats the home; none where each room has a heater of its own."""
    heating = about.home.heating
    in_rooms = {each.kind for zone in about.zones for each in zone.emitters}
    found = (each for each in about.pieces if heating and each.id == heating.source)
    return next((each for each in found if each.kind not in in_rooms), None)


def _finishes(about: About) -> Page:
    home = about.home
    return Page(
        id="page:finishes",
        path="finishes",
        title=about.say("Finishes, room by room"),
        layout="finishes",
        summary=about.say("Paint, floors, tiles and worktops, for when you decorate or repair."),
        values={
            "rooms": tuple(
                {"room": room.name, "finishes": finishes}
                for name, room in home.rooms.items()
                if (finishes := tuple(each for each in home.finishes.values() if each.room == name))
            )
        },
        called=looked_for(about.say("paint colour|which paint|tiles|type of floor")),
    )


def _contacts(about: About, schedule: Schedule) -> Page:
    """Whom to call in the order of need: what cannot wait, then faults by who answers for them, then
    everyone else."""
    return Page(
        id="page:contacts",
        path="contacts",
        title=about.say("Whom to call"),
        layout="contacts",
        summary=about.say("Everyone who helps with this home."),
        values={
            "urgent": urgent_contacts(about),
            "clock": tuple(
                line for line in schedule.clock if any(each.call for each in line.periods)
            ),
            "others": tuple(each for each in about.contacts.values() if not is_urgent(each)),
        },
        called=looked_for(
            about.say(
                "who do I call|phone number|telephone|contact|contacts|call|emergency number"
                "|customer care|builder|report a fault|plumber|electrician|engineer"
            ),
            about.say(
                "who do I ring|ring|out of hours|council|water company|electricity company|agent"
            ),
            about.say("speak to someone|who fixes it|who mends it"),
            about.home.terms["agent"],
            "|".join(each["name"] for each in about.contacts.values()),
            *(word for name in about.contacts for word in about.home.contacts[name].words),
        ),
    )
