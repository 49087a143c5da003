"""``handover rules``: every rule that homes and articles are checked by, and where it comes from."""

import json
from collections.abc import Iterator

import click

from builder.guide.nation_texts import NATION_RULES
from builder.guide.titles import TITLE_RULES
from builder.rules.articles import ARTICLE_RULES
from builder.rules.checking import WAIVER_RULES
from builder.rules.dates import DAY_RULES
from builder.rules.handover import HANDOVER_RULES
from builder.rules.invented import INVENTED
from builder.rules.look import LOOK_RULES
from builder.rules.photographs import PHOTOGRAPH_RULES
from builder.rules.reference import EVERY, Table, library
from builder.rules.rule import Rule
from builder.rules.terms import TERM_RULES
from builder.rules.unmade import NOT_MADE
from builder.rules.words import PAPER_LETTER, WORD_RULES
from builder.selection.checked_rules import CHECKED_RULES
from builder.selection.checking import SELECTION_RULES
from builder.selection.coverage import COVERAGE_RULES, PEOPLE_RULES
from builder.selection.duties import DUTY_RULES
from builder.selection.symptoms import SYMPTOM_RULES

ALL_RULES: tuple[Rule, ...] = (
    *(each.rule for each in CHECKED_RULES),
    *NOT_MADE.values(),
    *WAIVER_RULES,
    INVENTED,
    *HANDOVER_RULES,
    *DAY_RULES,
    *WORD_RULES,
    *TERM_RULES,
    PAPER_LETTER,
    *PHOTOGRAPH_RULES,
    *LOOK_RULES,
    *ARTICLE_RULES,
    *SELECTION_RULES,
    *SYMPTOM_RULES,
    *COVERAGE_RULES,
    *DUTY_RULES,
    *PEOPLE_RULES,
    *TITLE_RULES,
    *NATION_RULES,
)
_PAGE_HEAD = """# The rules

`handover check` runs these rules. `handover rules --format markdown` writes this page.

An **error** would make a guide wrong or unsafe to follow, and stops it. A **warning** is where a home, as recorded, falls short of a standard: its guide is published, and the home is not ready to hand over. A **note** is advice.

A rule that reads a standard runs in each nation and edition listed; the development names its edition. "From memory" stands where nobody has read the value at its source yet. The values, each with its source, are in `builder/rules/reference/`.
"""


@click.command()
@click.option("--format", "form", type=click.Choice(["text", "json", "markdown"]), default="text",
              help="How the rules are printed.")  # fmt: skip
def rules(form: str) -> None:
    """List every rule: what it asks for, how much it matters, and its basis."""
    if form == "json":
        click.echo(
            json.dumps([_rule_as_data(rule) for rule in ALL_RULES], indent=2, ensure_ascii=False)
        )
    elif form == "markdown":
        click.echo(rules_page(), nl=False)
    else:
        _print()


def rules_page() -> str:
    """The page of the documentation that lists the rules."""
    return "\n".join([_PAGE_HEAD, *_sections()])


def _sections() -> Iterator[str]:
    subject = ""
    for rule in sorted(ALL_RULES, key=lambda each: each.id):
        if rule.id.partition(".")[0] != subject:
            subject = rule.id.partition(".")[0]
            yield f"## {subject.replace('-', ' ').capitalize()}\n"
            yield "| rule | what holds | severity | basis |\n| --- | --- | --- | --- |"
        following = "\n" if _last_of_subject(rule) else ""
        yield f"| `{rule.id}` | {rule.says} | {rule.severity.word} | {'<br>'.join(_bases(rule))} |{following}"


def _last_of_subject(rule: Rule) -> bool:
    subject = rule.id.partition(".")[0]
    return rule.id == max(each.id for each in ALL_RULES if each.id.partition(".")[0] == subject)


def _tables(rule: Rule) -> tuple[Table, ...]:
    return tuple(
        each
        for each in library().tables
        if each.subject == rule.standard and not each.lacks(rule.values)
    )


def _bases(rule: Rule) -> tuple[str, ...]:
    """Where a rule stands, for each nation and edition that it is run in."""
    if rule.standard is None:
        return (rule.basis,)
    editions: dict[tuple[str, str], list[str]] = {}
    for table in _tables(rule):
        editions.setdefault((table.nation, rule.basis_in(table)), []).append(table.edition)
    return tuple(
        f"{_nation_name(nation)}, {', '.join(listed)}: {basis}"
        for (nation, basis), listed in editions.items()
    )


def _nation_name(nation: str) -> str:
    return f"{nation.replace('-', ' ').title()}{' nation' if nation == EVERY else ''}"


def _rule_as_data(rule: Rule) -> dict[str, object]:
    return {
        "id": rule.id,
        "says": rule.says,
        "severity": rule.severity.word,
        "standard": rule.standard,
        "editions": [
            {"nation": table.nation, "edition": table.edition, "basis": rule.basis_in(table)}
            for table in _tables(rule)
        ],
        "basis": rule.basis,
    }


def _print() -> None:
    for rule in sorted(ALL_RULES, key=lambda each: each.id):
        click.secho(rule.id, bold=True, nl=False)
        click.echo(f"  {rule.severity.word}\n  {rule.says}")
        for basis in _bases(rule):
            click.echo(f"  Basis: {basis}.")
    click.echo(f"{len(ALL_RULES)} rules.")
