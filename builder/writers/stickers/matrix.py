"""The symbol of a sticker: which modules are dark.

Capacities and sizes are those of ISO/IEC 18004 (from memory, checked in the tests against two other
libraries). Level Q mends about a quarter of the codewords.
"""

from collections.abc import Mapping
from types import MappingProxyType

from qrcode.constants import ERROR_CORRECT_Q  # type: ignore[import-untyped]
from qrcode.main import QRCode  # type: ignore[import-untyped]
from qrcode.util import MODE_ALPHA_NUM, QRData  # type: ignore[import-untyped]

from builder.craft.symbols import Matrix
from builder.errors import HandoverError

ALPHANUMERIC = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"
"""The 45 characters of the alphanumeric mode."""

CAPACITIES: Mapping[int, int] = MappingProxyType({1: 16, 2: 29, 3: 47, 4: 67})
"""Characters that a version holds in alphanumeric mode at level Q."""


def symbol(address: str) -> Matrix:
    """The modules of the smallest symbol that holds an address, without its quiet zone."""
    code = QRCode(version=version(address), error_correction=ERROR_CORRECT_Q, border=0)
    code.add_data(QRData(address, mode=MODE_ALPHA_NUM), optimize=0)
    code.make(fit=False)
    return tuple(tuple(bool(module) for module in row) for row in code.modules)


def version(address: str) -> int:
    """The smallest version that holds an address; an address that none holds is refused."""
    strange = sorted(set(address) - set(ALPHANUMERIC))
    if strange or not address:
        raise HandoverError(
            f"'{address}' cannot be a sticker's address: it has "
            f"{' '.join(map(repr, strange)) or 'no characters'}. "
            "It is written in capital letters, digits and '$%*+-./:' alone."
        )
    for number, capacity in CAPACITIES.items():
        if len(address) <= capacity:
            return number
    raise HandoverError(_too_long(address))


def modules(number: int) -> int:
    """Modules along one side of a version."""
    return 17 + 4 * number


def _too_long(address: str) -> str:
    longest, room = max(CAPACITIES.items())
    return (
        f"'{address}' has {len(address)} characters; the largest symbol of a sticker "
        f"(version {longest}, level Q) holds {room}. "
        f"Shorten the development's web address by {len(address) - room}."
    )
