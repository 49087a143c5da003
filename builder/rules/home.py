"""The rules that every home is checked by, subject by subject."""

from builder.rules.editions import EDITIONS
from builder.rules.essentials import ESSENTIALS
from builder.rules.facts import FACTS
from builder.rules.openings import OPENINGS
from builder.rules.rooms import ROOMS
from builder.rules.rule import HomeRule

HOME_RULES: tuple[HomeRule, ...] = (*ESSENTIALS, *ROOMS, *OPENINGS, *FACTS, *EDITIONS)
