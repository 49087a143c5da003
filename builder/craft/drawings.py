"""Drawings of a page as files of their own, for what reads no style sheet beside them."""

import re

_WIDTH = re.compile(r'(<svg\b[^>]*?) width="[^"]*"')
_NAMESPACE = "http://www.w3.org/2000/svg"


def standing_alone(svg: str, style: str) -> str:
    """A whole document: the namespace that HTML leaves out, and the style inside."""
    spaced = svg if "xmlns=" in svg else svg.replace("<svg", f'<svg xmlns="{_NAMESPACE}"', 1)
    plain = _WIDTH.sub(r"\1", spaced, count=1)
    return plain.replace(">", f"><style>{style}</style>", 1)
