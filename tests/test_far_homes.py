"""Homes unlike those of the demo, written from the documentation alone: nothing is said of them that
their data does not say. Each was read as its buyer would; what was false once stands here by its home."""

import re

import pytest

from builder.guide.changes import without_changes
from builder.guide.walk.script import Script
from builder.preparing import Preparation
from builder.shipped import layered
from builder.writers.site.pages import Pages
from tests.absence import foreign_in, texts_of
from tests.conftest import FAR
from tests.demonstrations import prepared_demo, script
from tests.test_demo_texts import SLIPS

PLOTS = (
    "afon/1",
    "cei/12",
    "close/2-3",
    "croft/1",
    "fenland/3",
    "glen/1",
    "gors/2",
    "haugh/4",
    "holm/2",
    "mere/3",
    "nant/4",
    "orchard/9",
    "rath/2",
    "station/7",
    "wharf/51",
)

UNTRUE = {
    "close/2-3": (  # a flat on a deck: rain water that the factor looks after, heat that nobody meters
        r"[Cc]orridor", r"(?m)^.{0,9}Clean leaves out", r"filter four times a year", r"Keep the cover of the tank",
        r"Front door\W+Keep the key near", r"Never go to bed before everyone knows",
    ),
    "afon/1": (  # a terraced house beside a river, with a fan that always runs in each damp room, and panels alone
        r"[Aa]ir valves?", r"filter flap", r"Look after the filters", r"Never push a pipe flat",
        r"solar panels and the battery", r"Lights that you share", r"Shared parts: tell",
        r"house share it\.\)", r"with its pole", r"paths, lights and gardens", r"knows: ",
    ),
    "cei/12": (  # a flat at the top of a warehouse: mist in place of sprinklers, air conditioning, a roof terrace
        r"(?i)sprinkler(?!s(?:\.|$|\n))", r"(?i)your balcony|the balcony", r"68 °C", r"45 cm clear", r"Water between the panes",
        r"new head", r"Escape windows",
    ),
    "croft/1": (  # a steading with a cesspool, a tank of LPG under the ground and sash windows
        r"what cleans (the|your waste) water", r"small sewage discharges", r"(?m)^your council",
        r"Keep grass short round it", r"kept from overheating", r"oil on its hinges", r"Tank of the drains",
        r"Report a fob", r"A light with a sensor",
    ),
    "fenland/3": (  # a coach house that is held by a lease, with one fire door
        r"Insure the building\.", r"have the gutters cleared", r"Shut them by hand", r"Powered gate\W+It does not open by itself",
        r"Powered gate[^\n]*and Gates",
        r"take its closer off", r"times for heating and hot water", r"Between 1 and 1\.5 bar",
        r"door to the garage holds back", r"windows on the ground floor", r"Run the hood while",
        r"Clearing leaves is your own", r"gutter cleaner", r"Your deeds", r"It comes from the toilet and",
    ),
    "glen/1": (  # oil and a stove, LPG for the hob alone, a well, a gallery, no neighbour near
        r"service by a registered gas engineer every year", r"Gallery\W* has no door",
        r"No light, or a needle", r"Look that the lamp is lit", r"Walls between homes",
        r"[Pp]ush gently at each post", r"timber fences", r"Bins, rates", r"Wildlife and Countryside Act",
        r"Switch off every fan in this room", r"Put one bin back", r"Use the handle\. Keep fingers",
        r"the oven, the hob and the iron", r"by a registered plumber.*lid in the paddock",
        r"kitchen and the bathrooms", r"The turf", r"Help with bills: Citizens Advice",
    ),
    "gors/2": (  # a bungalow with a car port, windows without a lock, a plant room entered from outside
        r"(?i)\bgarage\b(?! door engineer)", r"way out: \W*Plant room door", r"turns yellow",
        r"off the stairs", r"Windows and stairs", r"Guests: ask", r"a way out in a fire",
        r"Shared parts: tell", r"Do it with two people", r"at its switch first",
        r"tank: have it emptied", r"You, and Gwastraff", r"Keep every receipt for emptying",
        r"[Ss]hut and lock (the )?windows(?! and doors)", r"Keep its key close by", r"nobody can unlock",
    ),
    "haugh/4": (  # a terraced house with floor heating, for somebody who does not hear
        r"(?i)your landlord", r"(?i)dishwasher", r"for your radiators and hot water", r"listen for it in each bedroom",
        r"Run the hood", r"Turn the heating of the room down first", r"Set one valve to 3\.\n(?:.*\n)?.*Landing",
        r"a battery is in the home", r"(?s)## Isolator switches.{1,250}Turn it off when that appliance",
    ),
    "holm/2": (  # a croft house that burns oil in a cooker alone, with roof windows, and a battery that feeds a part of it
        r"(?i)\bboiler", r"No window in this home is a way out", r"This is a way out when smoke",
        r"It stops in a power cut", r"also in sunshine", r"Leave one light switched on",
        r"Never run a fan in the room of the stove", r"smell of gas", r"the hob\b", r"\boven and the iron",
        r"Oven dead", r"Lights that you share", r"Shared parts: tell", r"owners (knows|looks)", r"shared hedges, ponds",
    ),
    "mere/3": (  # a lodge that makes its own electricity, burns pellets and heats water with the sun
        r"(?i)the street dark", r"\b105\b", r"(?i)electricity network", r"(?i)priority list", r"out to the street",
        r"It stops in a power cut", r"also in sunshine", r"sale of power", r"windows of your neighbours",
        r"(?i)the rest of your home is dark", r"Ask a neighbour whether theirs", r"every meter", r"Read the meters",
        r"of the stove and its flue", r"building with flats", r"(?i)hot water cylinder",
        r"White steam", r"ground floor keeps it out",
    ),
    "nant/4": (  # a terraced house of three storeys: rain water for the toilets, sprinklers by a tank, a lift
        r"It stops at \[?the stop", r"turn off its small valve", r"out of its filter", r"Report a fob",
        r"(?i)\bdishwasher", r"the outside tap",
    ),
    "orchard/9": (  # a bungalow for somebody old who hears badly: storage heaters, scooters, a lease
        r"where the key of the front door", r"Front door\W+Keep the key near", r"Front door\W+keep its key",
        r"Listen for it in each room", r"large batteries there", r"batteries, petrol and hot ash",
        r"gutter cleaner", r"Clearing leaves is your own", r"Turn every zone up", r"The time is on",
        r"Pipes tick", r"Set the times first", r"Turn the heating on for an hour", r"(?m)^.{0,3}Listen under each",
        r"Lift the handle fully, then turn the key",
    ),
    "rath/2": (  # an open fire that heats water, the sun, a tank in the roof, and a wheelchair upstairs
        r"(?i)\bstove", r"keep its door shut", r"glass and the door seals", r"open fire needs no power", r"It comes from the heating",
        r"Take people and pets upstairs", r"Go upstairs",
    ),
    "station/7": (  # a flat over shops: electric heaters alone, no window to climb out of, a refuge
        r"A small electric heater in place", r"A window that nobody can unlock", r"Leave the vents open",
        r"Where broadband and television come in", r"Let the fan run", r"your radiators",
        r"Insure the building\.", r"a carbon monoxide alarm sounds\?", r"The fire is in another home", r"Turn the gas off",
    ),
    "wharf/51": (  # a flat at the top with one electric towel rail, and a charger that others look after
        r"Set the warmth of each room", r"Never dry clothes on a heater", r"[Ww]alls and ceilings shared",
        r"the building's pipes", r"Turn the unit off at its switch", r"socket in the house",
        r"[Kk]eep vents open", r"Leave the vents open in the cold", r"Let the fan run",
    ),
}  # fmt: skip
"""For each home what was said of it once, and was false."""

TRUE = {
    "cei/12": (
        r"Your mist nozzles", r"spray a fine mist of water", r"The mist nozzles stop too", r"Mist pump\W+The mist nozzles give",
        r"Air conditioner\W+It stands still", r"With the air conditioning(?s:.{1,60})high above the terrace door",
        r"Choose heating, and set", r"Its pipes and cables run there", r"high above the terrace door. It warms the room too",
        r"Keep every outlet for rain clear", r"Roof garden\*\*: over the north wing", r"Clear the roof terrace",
        r"It calls the house keeper, day and night", r"call Cei house keeper on", r"It serves the light\.",
        r"Between the window and the inner window", r"These have an inner window behind them: Living room window and Window of bedroom 1",
    ),
    "close/2-3": (
        r"Only the access deck is dark", r"Cooper Factors looks after the tank",
        r"every year, by Annoch Heat",
    ),
    "orchard/9": (
        r"texted the word register to 999", r"somebody here does not hear well", r"Text the word register to",
        r"Storage heater\W+It gives out the heat that it holds", r"Bring its own charger, and charge by day",
        r"There is no hot water from the electric heater", r"Back door\W+Keep the key near",
        r"Look for what it flashes", r"Ask somebody who hears to listen under each",
    ),
    "afon/1": (
        r"Is it dry outside too\? Put these up(?s:.{1,300})Flood cover",
        r"Take each flood cover off its vent", r"Wipe the grille of each fan", r"They take damp air out",
        r"Boundaries that you share, seen from the street \(left\)",
    ),
    "holm/2": (
        r"stand where people see you, and wait for help(?s:.{1,80})West bedroom roof window",
        r"The battery goes on feeding the lights and the sockets that are marked red",
        r"keeps this live: the lights and the sockets", r"Turn off what burns the oil",
        r"The flue of the stove roars or glows", r"a registered engineer for wood heating",
        r"Garage consumer unit(?s:.{1,90})Turns off the electricity to the garage and the car charger",
    ),
    "fenland/3": (r"At the entrance of the court\W+a motor opens it. By hand: pull the red cord", r"Cold, 1\W+3 bar", r"Your lease\. It says what needs", r"Press boost while you cook\. Steam", r"something that rain water feeds \(the toilet and the washing machine\)\?"),
    "croft/1": (
        r"Passage, then Outside",
        r"to a cesspool", r"A sash slides up and down", r"past the chapel and left at the fork",
        r"Dig, drive, plant and build nothing over it", r"(?m)^1\. Call Tarrish Springs on",
    ),
    "glen/1": (
        r"service by a registered oil engineer every year", r"cannot be shut off",
        r"electricity, the gas and the oil", r"by an engineer for private water",
        r"Commissioning record of the stove", r"Last test of your own water",
        r"Treatment plant \| You, and Keerin Drains on",
    ),
    "gors/2": (r"way out: \W*Back door", r"Shut the windows on the ground floor when", r"call Diferyn Sprinklers on", r"septic tank, and not to a public sewer\. Other homes share it"),
    "haugh/4": (r"Annoch Shared Equity paid for a part of its price", r"steps of 5 per cent", r"Insure the building\.", r"The agreement on the part that you did not pay for", r"what tells whoever does not hear it", r"fit no numbered valve", r"Leave the switch of the heat pump on, all year"),
    "mere/3": (
        r"No cable from the street reaches you", r"The generator does not stop with this switch", r"Is the battery empty\? Turn off all that heats",
        r"\| What makes your electricity \| Sallow Off-grid", r"that nobody goes in: Outside: against the end wall",
        r"Is the wood boiler alight\? Leave it", r"Ask Sallow Off-grid whether your electricity lasts",
        r"Commissioning record of the wood boiler", r"For this, call(?s:.{1,90})Sallow Pellets",
        r"Cut no reeds and pull nothing out before Sallow Drains",
    ),
    "nant/4": (r"A key is lost", r"Cwm Lifts services this", r"Rain water stopcock\W+Kitchen", r"It only drips.*Cwm Sprinklers", r"turn off the water that is used again too"),
    "rath/2": (
        r"Put no more wood on, and let it burn out", r"stays full at first, and goes on feeding the bathroom and the hot taps",
        r"Drink from the cold kitchen tap", r"Never take the home lift", r"You are upstairs and cannot use the stairs\?",
        r"Somebody here cannot use the stairs: call", r"Turn the immersion heater on for hot water meanwhile", r"Without power, it goes down by the red handle",
        r"The chimney of the open fire roars", r"the electricity, the oil and the water",
    ),
    "station/7": (
        r"Repairs outside and in the structure that no cover pays for, in the first 10 years of your lease \| Fordside Homes", r"up to £500 a year from Fordside Homes",
        r"The building\*\*: Fordside Homes insures it", r"fire alarm of the bakery sounds in your home too", r"You smell gas, and your home has none",
        r"Nothing in your home turns this gas off", r"The bakery \| Below your home, on the ground floor \| Tarn and Rye", r"The offices \| Below your home, on the first floor \| Fordside Homes",
        r"Warn the people below you", r"Your stairs lead there too",
        r"Report a fob at once", r"on the landing beside the lift", r"(?s)If anyone is in danger.{1,200}Say how they get in: from Station Road"),
    "wharf/51": (r"Call Ampmoor", r"no hot water \| Wharf Heat on", r"The evacuation alert sounds\?"),
}  # fmt: skip
"""What stands in its place."""

SWALLOWED = re.compile(
    r"^ *(?:[-*]|\d+\.) .+\n(?! *(?:[-*]|\d+\.) )(?=\S)(?!<|\{|\||#)(.+)", re.MULTILINE
)
"""A paragraph right below an entry of a list, which becomes the end of that entry."""
EMPTY = re.compile(
    r"^(?=(#{2,}) )(.+)\n\s*(?=\1 |##? |\Z)|(?=<(h[2-6]))(<h.*)</h[2-6]>\s*(?=<\3|<h[12]|\Z)",
    re.MULTILINE,
)
"""A heading with nothing beneath it, before one as high or higher, or at the end of a page."""


@pytest.fixture(scope="module")
def texts(far: Preparation) -> dict[str, tuple[tuple[str, str], ...]]:
    words: Script = script(far)
    return {plot: tuple(texts_of(far.homes[plot], words)) for plot in PLOTS}


@pytest.fixture(scope="module")
def told(texts: dict[str, tuple[tuple[str, str], ...]]) -> dict[str, str]:
    return {plot: "\n".join(text for _, text in each) for plot, each in texts.items()}


def test_every_home_can_be_told_of(far: Preparation) -> None:
    assert sorted(far.homes) == sorted(PLOTS)


@pytest.mark.parametrize("plot", PLOTS)
def test_nothing_false_is_said_again(told: dict[str, str], plot: str) -> None:
    assert {each for each in UNTRUE[plot] if re.search(each, told[plot])} == set()


@pytest.mark.parametrize("plot", sorted(TRUE))
def test_what_is_true_is_said_in_its_place(told: dict[str, str], plot: str) -> None:
    assert {each for each in TRUE[plot] if not re.search(each, told[plot])} == set()


@pytest.mark.parametrize("plot", PLOTS)
def test_no_slip_of_a_template_or_a_merge_is_left(told: dict[str, str], plot: str) -> None:
    found = {name: re.findall(slip, told[plot])[:3] for name, slip in SLIPS.items()}
    assert {name: each for name, each in found.items() if each} == {}


@pytest.mark.parametrize("plot", PLOTS)
def test_no_word_of_other_homes_is_read(
    far: Preparation, texts: dict[str, tuple[tuple[str, str], ...]], plot: str
) -> None:
    assert foreign_in(far.homes[plot].traced.home, texts[plot]) == []


def test_no_heading_is_empty_and_no_paragraph_ends_an_entry_of_a_list(far: Preparation) -> None:
    pages = Pages(layered(FAR.parent.parent.parent, "site_templates/pages"))
    homes = {**prepared_demo().homes, **far.homes}
    found = {
        (each.page.id, wrong)
        for home in homes.values()
        for each in pages.of(without_changes(home.guide))
        for pattern in (SWALLOWED, EMPTY)
        for wrong in pattern.findall(each.markdown)
    }
    assert found == set()
