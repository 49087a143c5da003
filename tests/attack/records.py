"""Records of demonstrations that came damaged from a tablet. What is signed is kept; nothing kept is lost."""

import json
import random
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

from tests.attack.fields import addresses_in
from tests.attack.forms import CHANGES
from tests.attack.ground import DAY, Ground, contents
from tests.attack.outcomes import Outcome
from tests.attack.values import ALL
from tests.conftest import COTTAGE
from tests.demonstrations import signed, whole_record, workspace_sheet

PLOT = "riverside/02"


@cache
def _whole() -> dict[str, Any]:
    found: dict[str, Any] = whole_record(workspace_sheet(COTTAGE, PLOT))
    return found


@dataclass(frozen=True, slots=True)
class RecordTry:
    """A record with a value at a place, signed again or not, or its file in another form."""

    address: tuple[str | int, ...]
    value: Any
    signed_again: bool
    form: str
    seed: int

    @property
    def name(self) -> str:
        return self.form or f"{'.'.join(map(str, self.address))} = {json.dumps(self.value)[:80]}"

    def make(self, ground: Ground) -> tuple[Outcome, str]:
        kept = ground.root / "developments/riverside/records"
        first = ground.folder / "first.json"
        first.write_text(signed(_whole()), encoding="utf-8")
        ground.run("record", str(first), "--date", DAY)
        before = contents(kept)
        file = ground.folder / "export.json"
        file.write_bytes(self._content())
        outcome, seen = ground.told(ground.run("record", str(file), PLOT, "--date", DAY))
        after = contents(kept)
        if any(after.get(name) != content for name, content in before.items()):
            return Outcome.LOST, "a record that was kept is gone or another"
        if outcome is Outcome.HARMLESS:
            outcome, seen = ground.checked_and_built()
        return outcome, seen

    def _content(self) -> bytes:
        if self.form:
            whole = signed(_whole()).encode("utf-8")
            return CHANGES[self.form](whole, random.Random(self.seed))
        placed = _placed(_whole(), self.address, self.value)
        text = signed(placed) if self.signed_again else json.dumps(placed)
        return text.encode("utf-8", "surrogatepass")


def _placed(data: Any, address: tuple[str | int, ...], value: Any) -> Any:
    if not address:
        return value
    step, *rest = address
    if isinstance(data, list) and isinstance(step, int):
        return [_placed(each, tuple(rest), value) if at == step else each for at, each in enumerate(data)]  # fmt: skip
    return {**data, step: _placed(data[step], tuple(rest), value)}


def tries(rng: random.Random, number: int) -> Iterator[RecordTry]:
    """So many records: values at every place of one, and its file in every form."""
    every, forms = list(addresses_in(_whole())), list(CHANGES)
    signable = [each for each in ALL if _can_be_signed(each)]
    for turn in range(number):
        form = forms[turn // 3 % len(forms)] if turn % 3 == 2 else ""
        again = rng.random() < 0.6
        value = rng.choice(signable if again else ALL)
        yield RecordTry(every[turn % len(every)], value, again, form, rng.randrange(2**32))


def _can_be_signed(value: Any) -> bool:
    """Whether canonical JSON has a form for a value at all."""
    try:
        signed({"value": value}).encode("utf-8")
    except (ValueError, OverflowError, TypeError, AssertionError, UnicodeError):
        return False
    return True
