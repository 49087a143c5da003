"""Address codes: unguessable, easy to read aloud, and with a check character against slips.

Crockford's base 32 in upper case (crockford.com/base32.html, from memory): no I, L, O or U, and a
check symbol that is the number modulo 37. Codes whose check symbol is one of ``*~$=U`` are drawn
again, so that every code stays in the 32 letters and digits.
"""

import secrets

REGISTER = "register.csv"
"""The file of a development's codes, in its folder."""

SEAL = "register.seal"
"""The file beside it that says how many lines it has, and how the last one ends."""

ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
SYMBOLS = 13
"""Random symbols of a code: 65 bits, of which drawing again costs a fifth of one."""

_CHECK_MODULUS = 37
_MISREAD = str.maketrans({"I": "1", "L": "1", "O": "0", "-": None, " ": None})


def draw() -> str:
    """A new code: 13 random symbols and a check symbol."""
    while True:
        code = "".join(secrets.choice(ALPHABET) for _ in range(SYMBOLS))
        check = _value(code) % _CHECK_MODULUS
        if check < len(ALPHABET):
            return code + ALPHABET[check]


def normal(typed: str) -> str:
    """A code as it is printed, from what somebody typed: case, hyphens and O for 0 forgiven."""
    return typed.upper().translate(_MISREAD)


def sound(code: str) -> bool:
    """Whether a code has the right length, letters and check symbol."""
    if len(code) != SYMBOLS + 1 or any(symbol not in ALPHABET for symbol in code):
        return False
    return _value(code[:-1]) % _CHECK_MODULUS == ALPHABET.index(code[-1])


def _value(code: str) -> int:
    number = 0
    for symbol in code:
        number = number * len(ALPHABET) + ALPHABET.index(symbol)
    return number
