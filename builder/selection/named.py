"""The named conditions that ship: what is true of a home, by name."""

from collections.abc import Mapping
from functools import cache
from importlib.resources import files

import yaml

from builder.model.naming import NamedCondition
from builder.sources.yaml_plain import FAST_LOADER


@cache
def shipped_conditions() -> Mapping[str, NamedCondition]:
    """Every named condition that ships, by name; they never change while the builder runs."""
    text = (files("builder.selection") / "conditions.yaml").read_text(encoding="utf-8")
    read = yaml.load(text, Loader=FAST_LOADER)  # noqa: S506 - a safe one
    return {name: NamedCondition.model_validate(each) for name, each in read.items()}
