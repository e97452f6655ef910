"""Letters of the typeface as outlines."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from io import BytesIO

from fontTools.pens.svgPathPen import SVGPathPen
from fontTools.ttLib import TTFont

from bench.data.files import read_bytes
from bench.sheet.typeface import file_of


@dataclass(frozen=True, slots=True)
class Glyph:
    """A letter in type of size 1000: a name for it, its outline as SVG path data with y upward, and how far beyond its
    beginning the next letter begins."""

    name: str
    outline: str
    advance: int


@cache
def glyph(letter: str, bold: bool) -> Glyph:
    """A letter of the regular or the bold face, which must have it."""
    font = _font(bold)
    name = font.getBestCmap()[ord(letter)]
    glyphs = font.getGlyphSet()
    pen = SVGPathPen(glyphs)
    glyphs[name].draw(pen)
    return Glyph(f"{'bold' if bold else 'regular'}-{ord(letter)}", pen.getCommands(), glyphs[name].width)


@cache
def _font(bold: bool) -> TTFont:
    return TTFont(BytesIO(read_bytes(file_of(bold))))
