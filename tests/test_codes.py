"""Address codes and their register, against an independent library of Crockford's base 32."""

import multiprocessing
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import base32_crockford
import pytest
from hypothesis import given
from hypothesis import strategies as st

from builder import disk
from builder.errors import Findings, HandoverError
from builder.register.codes import ALPHABET, SYMBOLS, draw, normal, sound
from builder.register.lines import Register, WantedCode
from builder.register.reading import read_register
from builder.register.register import issue, take_back
from builder.sources.folder import Folder

DAY = date(2026, 3, 1)


def test_the_alphabet_is_the_published_one() -> None:
    """Crockford, "Base 32": the digits and the letters without I, L, O and U (from memory)."""
    published = base32_crockford.symbols[:32]
    assert published == ALPHABET


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


def issued(root: Path, plots: list[str]) -> dict[str, str]:
    """The guide codes of plots, after those that had none were issued one."""

    def missing(register: Register) -> Iterator[WantedCode]:
        for plot in plots:
            if register.guide([plot]) is None:
                yield WantedCode("guide", plot)

    register = issue(Folder(root), "riverside", missing, DAY)
    return {plot: register.guide([plot]) or "" for plot in plots}


def register_file(root: Path) -> Path:
    return root / "developments" / "riverside" / "register.csv"


def test_a_code_is_issued_once(cottage: Path) -> None:
    first = issued(cottage, ["01", "02"])
    written = register_file(cottage).read_bytes()
    assert issued(cottage, ["01", "02"]) == first
    assert register_file(cottage).read_bytes() == written
    assert issued(cottage, ["03", "01"])["01"] == first["01"]
    assert register_file(cottage).read_bytes().startswith(written)


def test_the_register_reads_what_was_written(cottage: Path) -> None:
    codes = issued(cottage, ["01", "02"])
    findings = Findings()
    register = read_register(Folder(cottage), "riverside", findings)
    assert not list(findings)
    assert [(each.wanted, each.code, each.issued) for each in register.codes] == [
        (WantedCode("guide", plot), code, DAY) for plot, code in codes.items()
    ]


def test_builders_that_issue_at_once_agree(cottage: Path) -> None:
    plots = [f"{number:02}" for number in range(1, 21)]
    with multiprocessing.get_context("spawn").Pool(4) as pool:
        answers = pool.starmap(issued, [(cottage, plots)] * 8)
    assert all(answer == answers[0] for answer in answers)
    assert len(read_register(Folder(cottage), "riverside", Findings()).codes) == len(plots)


def test_a_code_that_was_taken_back_stays_in_the_register(cottage: Path) -> None:
    code = issued(cottage, ["01"])["01"]
    written = register_file(cottage).read_bytes()
    register = take_back(Folder(cottage), "riverside", code, DAY)
    assert register.void == {code}
    assert [each.code for each in register.codes] == [code]
    assert register_file(cottage).read_bytes().startswith(written)
    again = register_file(cottage).read_bytes()
    assert take_back(Folder(cottage), "riverside", code, DAY) == register
    assert register_file(cottage).read_bytes() == again
    with pytest.raises(HandoverError, match="was not issued in 'riverside'"):
        take_back(Folder(cottage), "riverside", draw(), DAY)


def test_a_full_disk_leaves_the_register_as_it_was(
    cottage: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    issued(cottage, ["01"])
    written = register_file(cottage).read_bytes()

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(disk.os, "fsync", full)
    with pytest.raises(HandoverError, match="cannot be written: No space left on device"):
        issued(cottage, ["02"])
    assert register_file(cottage).read_bytes() == written
    assert not list(register_file(cottage).parent.glob("*.new"))


def test_a_killed_run_leaves_the_register_as_it_was(
    cottage: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = issued(cottage, ["01"])
    written = register_file(cottage).read_bytes()

    def killed(_: int) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(disk.os, "fsync", killed)
        with pytest.raises(KeyboardInterrupt):
            issued(cottage, ["02"])
    assert register_file(cottage).read_bytes() == written
    assert issued(cottage, ["01", "02"])["01"] == first["01"]


def test_a_last_line_without_its_end_is_not_run_into(cottage: Path) -> None:
    code = issued(cottage, ["01"])["01"]
    register_file(cottage).write_bytes(register_file(cottage).read_bytes().rstrip(b"\n"))
    assert issued(cottage, ["01", "02"])["01"] == code
