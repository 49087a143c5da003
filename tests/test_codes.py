"""Address codes and their register, against an independent library of Crockford's base 32."""

import multiprocessing
from datetime import date
from pathlib import Path

import base32_crockford
from hypothesis import given
from hypothesis import strategies as st

from builder.errors import Findings
from builder.publish.codes import ALPHABET, SYMBOLS, draw, normal, sound
from builder.publish.register import issue_guides, read_register
from builder.sources.folder import Folder

DAY = date(2026, 3, 1)


def test_the_alphabet_is_the_published_one() -> None:
    """Crockford, "Base 32": the digits and the letters without I, L, O and U (from memory)."""
    assert base32_crockford.symbols[:32] == ALPHABET


def test_codes_agree_with_an_independent_library() -> None:
    """The library ``base32-crockford`` computes the same check symbol and accepts every code."""
    for _ in range(500):
        code = draw()
        number = base32_crockford.decode(code, checksum=True, strict=True)
        assert base32_crockford.encode(number, checksum=True).rjust(SYMBOLS + 1, "0") == code
        assert sound(code)


def test_a_code_has_more_than_sixty_random_bits() -> None:
    assert SYMBOLS * 5 - 1 >= 60
    assert len({draw() for _ in range(2000)}) == 2000


@given(st.integers(0, SYMBOLS), st.sampled_from(ALPHABET))
def test_one_wrong_symbol_is_caught(position: int, symbol: str) -> None:
    code = draw()
    wrong = code[:position] + symbol + code[position + 1 :]
    assert sound(wrong) is (wrong == code)


def test_codes_are_read_as_people_type_them() -> None:
    assert normal("0ohk-85m5 5r7p4e") == "00HK85M55R7P4E"
    assert normal("il1") == "111"


def issue(root: Path, plots: list[str]) -> dict[str, str]:
    return issue_guides(Folder(root), "riverside", plots, DAY)


def test_a_code_is_issued_once(cottage: Path) -> None:
    first = issue(cottage, ["01", "02"])
    register = cottage / "developments" / "riverside" / "register.csv"
    written = register.read_bytes()
    assert issue(cottage, ["01", "02"]) == first
    assert register.read_bytes() == written
    assert issue(cottage, ["03"])["01"] == first["01"]
    assert register.read_bytes().startswith(written)


def test_the_register_reads_what_was_written(cottage: Path) -> None:
    codes = issue(cottage, ["01", "02"])
    findings = Findings()
    issued = read_register(Folder(cottage), "riverside", findings)
    assert not list(findings)
    assert [(each.plot, each.code, each.issued, each.leads_to) for each in issued] == [
        (plot, code, DAY, "guide") for plot, code in codes.items()
    ]


def test_builders_that_issue_at_once_agree(cottage: Path) -> None:
    plots = [f"{number:02}" for number in range(1, 21)]
    with multiprocessing.get_context("spawn").Pool(4) as pool:
        answers = pool.starmap(issue, [(cottage, plots)] * 8)
    assert all(answer == answers[0] for answer in answers)
    assert len(read_register(Folder(cottage), "riverside", Findings())) == len(plots)
