"""The rules that every home is checked by, subject by subject."""

from builder.rules.alarms import ALARMS
from builder.rules.alarms_beyond import ALARMS_BEYOND
from builder.rules.apartment import APARTMENT
from builder.rules.combustion import COMBUSTION
from builder.rules.dates import DATES
from builder.rules.drying import DRYING
from builder.rules.editions import EDITIONS
from builder.rules.electricity import ELECTRICITY
from builder.rules.escape import ESCAPE
from builder.rules.essentials import ESSENTIALS
from builder.rules.facts import FACTS
from builder.rules.falling import FALLING
from builder.rules.fire_doors import FIRE_DOORS
from builder.rules.gas import GAS
from builder.rules.heating import HEATING
from builder.rules.nation import NATION
from builder.rules.openings import OPENINGS
from builder.rules.outside import OUTSIDE
from builder.rules.parts import PARTS
from builder.rules.placing import PLACING
from builder.rules.premises import PREMISES
from builder.rules.private_supplies import PRIVATE_SUPPLIES
from builder.rules.reach import REACH
from builder.rules.records import RECORDS
from builder.rules.rooms import ROOMS
from builder.rules.rule import HomeRule
from builder.rules.supplies import SUPPLIES
from builder.rules.tanks import TANKS
from builder.rules.tenure import TENURE
from builder.rules.units import UNITS
from builder.rules.ventilation import VENTILATION
from builder.rules.ventilation_kit import VENTILATION_KIT
from builder.rules.ventilators import VENTILATORS
from builder.rules.water import WATER
from builder.rules.windows import WINDOWS
from builder.rules.zones import ZONES

HOME_RULES: tuple[HomeRule, ...] = (
    *ESSENTIALS,
    *SUPPLIES,
    *PRIVATE_SUPPLIES,
    *PARTS,
    *ROOMS,
    *OPENINGS,
    *FACTS,
    *UNITS,
    *DATES,
    *EDITIONS,
    *NATION,
    *PLACING,
    *OUTSIDE,
    *TENURE,
    *APARTMENT,
    *PREMISES,
    *RECORDS,
    *ALARMS,
    *ALARMS_BEYOND,
    *FIRE_DOORS,
    *ESCAPE,
    *WATER,
    *ELECTRICITY,
    *REACH,
    *WINDOWS,
    *FALLING,
    *VENTILATORS,
    *VENTILATION_KIT,
    *DRYING,
    *VENTILATION,
    *ZONES,
    *HEATING,
    *GAS,
    *COMBUSTION,
    *TANKS,
)
