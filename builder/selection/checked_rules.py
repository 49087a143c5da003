"""All rules that every home is checked by: those of the trade, and those that ask conditions."""

from builder.rules.home import HOME_RULES
from builder.rules.rule import HomeRule
from builder.selection.condition_rules import CONDITION_RULES
from builder.selection.papers import papers_of_law_are_given

CHECKED_RULES: tuple[HomeRule, ...] = (*HOME_RULES, *CONDITION_RULES, papers_of_law_are_given)
