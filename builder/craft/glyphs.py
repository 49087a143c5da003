"""Which characters the fonts of printed papers have, and what is printed of the others.

Papers are set with the fonts inside Typst alone, so that they come out the same everywhere. A standard
for lasting and accessible documents refuses a character without a shape, so that one Chinese name
would stop a whole book. What has no shape is printed by its number in Unicode, and said to be.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass

_KNOWN = """
0020-007E 00A0-0377 037A-037F 0384-038A 038C 038E-03A1 03A3-04FF 0510-0513 051A-051D 0531-0556
0559-058A 058D-058F 0591-05C7 05D0-05EA 05EF-05F4 0606-060C 0615 061B-061C 061F 0621-063A
0640-0655 065A 0660-066D 0674 0679-067B 067E-0680 0683-0684 0686-0687 0691 0698 06A4 06A9 06AF
06BE 06CC 06F0-06F9 0900-097F 0E3F 0E81-0E82 0E84 0E87-0E88 0E8A 0E8D 0E94-0E97 0E99-0E9F
0EA1-0EA3 0EA5 0EA7 0EAA-0EAB 0EAD-0EB9 0EBB-0EBC 0EC8-0ECD 10D0-10FF 115F-1160 13A0-13F5
13F8-13FD 17B4-17B5 17C1-17C3 180B-180F 1AB0-1ACE 1D00-1F15 1F18-1F1D 1F20-1F45 1F48-1F4D
1F50-1F57 1F59 1F5B 1F5D 1F5F-1F7D 1F80-1FB4 1FB6-1FC4 1FC6-1FD3 1FD6-1FDB 1FDD-1FEF 1FF2-1FF4
1FF6-1FFE 2000-2040 2042 2044-2052 2054-2064 2066-2071 2074-208E 2090-209C 20A0-20C0 20D0-20F0
2100-211E 2120 2122 2124 2126-2151 2153-2184 2189 2190-23FF 2422-2423 2460-2606 2609-262F
2638-268B 2690-269C 26A0-26A7 26AA-26AF 26B2 2701-2704 2706-2709 270C-2714 2717-2726 272A-274B
274D 274F-2752 2756 2758-275E 2761-277F 2794 2798-27AF 27B1-2B73 2B76-2B95 2B97-2BFF 2C60-2CF3
2CF9-2CFF 2E02-2E05 2E08-2E0A 2E17-2E18 2E1F 2E22-2E25 2E2E 3000 3012 3016-3017 301A-301B
302E-3030 3036 306E 3164 A46A-A46B A640-A641 A648-A649 A656-A657 A708-A716 A71B-A727 A72D A730
A735 A765 A789-A78E A790-A791 A793 A7AA A7F8-A7F9 AB52 AB66 AB70-ABBF FB00-FB06 FB13-FB17
FB1D-FB36 FB38-FB3C FB3E FB40-FB41 FB43-FB44 FB46-FB4F FB52-FB81 FB8A-FB95 FB9E-FB9F FBAA-FBAD
FBE8-FBE9 FBFC-FBFF FE00-FE0F FE20-FE2F FE66 FE70-FE74 FE76-FEFC FEFF FFA0 FFF9-FFFD 10140-1018E
102E0-102FB 1BCA0-1BCA3 1D106-1D107 1D173-1D17A 1D400-1D454 1D456-1D49C 1D49E-1D49F 1D4A2
1D4A5-1D4A6 1D4A9-1D4AC 1D4AE-1D4B9 1D4BB 1D4BD-1D4C3 1D4C5-1D505 1D507-1D50A 1D50D-1D514
1D516-1D51C 1D51E-1D539 1D53B-1D53E 1D540-1D544 1D546 1D54A-1D550 1D552-1D6A5 1D6A8-1D7CB
1D7CE-1D7FF 1EE00-1EE03 1EE05-1EE1F 1EE21-1EE22 1EE24 1EE27 1EE29-1EE32 1EE34-1EE37 1EE39 1EE3B
1EE42 1EE47 1EE49 1EE4B 1EE4D-1EE4F 1EE51-1EE52 1EE54 1EE57 1EE59 1EE5B 1EE5D 1EE5F 1EE61-1EE62
1EE64 1EE67-1EE6A 1EE6C-1EE72 1EE74-1EE77 1EE79-1EE7C 1EE7E 1EE80-1EE89 1EE8B-1EE9B 1EEA1-1EEA3
1EEA5-1EEA9 1EEAB-1EEBB 1EEF0-1EEF1 1F12F 1F6D1 1F780-1F7D8 1F7E0-1F7EB 1F800-1F80B 1F810-1F847
1F850-1F859 1F860-1F887 1F890-1F8AD 1F8B0-1F8B1
"""
"""Ranges of characters that Typst 0.15 shows with its own fonts. ``python -m tests.paper_letters``
asks it again."""

_UNSEEN = "\u200b\u200c\u200d\u2060\ufe00-\ufe0f\U000e0100-\U000e01ef"
"""Characters that change how their neighbours look, and are nothing by themselves."""

_SCRIPTS = (
    (0x0530, 0x058F, "Armenian"), (0x0590, 0x05FF, "Hebrew"), (0x0600, 0x08FF, "Arabic"),
    (0x0900, 0x097F, "Devanagari"), (0x0980, 0x09FF, "Bengali"), (0x0A00, 0x0A7F, "Gurmukhi"),
    (0x0A80, 0x0AFF, "Gujarati"), (0x0B80, 0x0BFF, "Tamil"), (0x0C00, 0x0C7F, "Telugu"),
    (0x0D80, 0x0DFF, "Sinhala"), (0x0E00, 0x0E7F, "Thai"), (0x1200, 0x139F, "Ethiopic"),
    (0x3040, 0x30FF, "Japanese"), (0x3400, 0x9FFF, "Chinese"), (0xAC00, 0xD7AF, "Korean"),
    (0x20000, 0x3FFFF, "Chinese"), (0x2600, 0x27BF, "picture"), (0x1F000, 0x1FAFF, "picture"),
)  # fmt: skip
"""What characters are called (blocks of the Unicode Standard, from memory)."""

_OTHER = "sign"


@dataclass(frozen=True, slots=True)
class Lacking:
    """Characters beside each other that have no shape, where they begin, and what is printed."""

    place: int
    characters: str
    printed: str


def lacking(text: str) -> Iterator[Lacking]:
    """The characters of a text that the fonts of papers have no shape for."""
    for found in _LACKING.finditer(text):
        yield Lacking(found.start(), found.group(), _name_of_characters(found.group()))


def printable_on_paper(text: str) -> str:
    """A text with what stands on paper for characters that have no shape there."""
    return (
        text
        if text.isascii()
        else _LACKING.sub(lambda found: _name_of_characters(found.group()), text)
    )


def _pattern() -> re.Pattern[str]:
    known = "\n\r\t"
    for each in _KNOWN.split():
        first, _, last = each.partition("-")
        known += f"\\U{int(first, 16):08x}-\\U{int(last or first, 16):08x}"
    return re.compile(f"(?:[^{known}]|[{_UNSEEN}])+")


_LACKING = _pattern()
_UNSEEN_ALONE = re.compile(f"[{_UNSEEN}]")


def _name_of_characters(characters: str) -> str:
    """A name for characters in a row: ``[Chinese: U+9648 U+4F1F]``."""
    shown = _UNSEEN_ALONE.sub("", characters)
    if not shown:
        return ""
    names = dict.fromkeys(_script(ord(each)) for each in shown)
    numbers = " ".join(f"U+{ord(each):04X}" for each in shown)
    return f"[{', '.join(names)}: {numbers}]"


def _script(number: int) -> str:
    return next((name for first, last, name in _SCRIPTS if first <= number <= last), _OTHER)
