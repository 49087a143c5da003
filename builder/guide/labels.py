"""What a sticker says: plain values that the printed sheet and the sticker's page share."""

from dataclasses import dataclass
from typing import Literal

from builder.guide.wall.view import WallView

LabelSize = Literal["small", "standard", "large"]


@dataclass(frozen=True, slots=True)
class Label:
    """One sticker for one piece of equipment in one plot.

    ``address`` is what the symbol holds, in upper case: ``HTTPS://HOST/Q/CODE``. ``where`` is the
    full place, for the person who fixes the sticker, and ``wall`` the wall that the piece is on, if
    one is known.
    """

    code: str
    address: str
    plot: str
    equipment: str
    room: str
    where: str
    caution: str | None
    size: LabelSize
    wall: WallView | None = None
