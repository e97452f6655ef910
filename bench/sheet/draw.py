"""Lines, words and signs for paper. One drawing serves PDF and SVG: the shapes are reportlab's.

Sizes are points (1/72 inch). A block is drawn downwards from its own top left corner, so its y is 0 or less.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from reportlab.graphics.shapes import Line, Polygon, PolyLine, Shape, String
from reportlab.lib.colors import black, white
from reportlab.pdfbase.pdfmetrics import stringWidth

BODY = 10.0
"""The smallest type on the sheet: read at arm's length in poor light, from a worn printer."""
LEADING = 13.0
REGULAR, BOLD = "Helvetica", "Helvetica-Bold"

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Block:
    """Something drawn, and how much height it takes."""

    height: float
    shapes: tuple[Shape, ...]


def words(
    x: float, y: float, said: str, size: float = BODY, bold: bool = False, anchor: str = "start"
) -> Shape:
    """One line of type with its baseline at y."""
    font = BOLD if bold else REGULAR
    return String(x, y, said, fontName=font, fontSize=size, textAnchor=anchor, fillColor=black)


def width_of(said: str, size: float = BODY, bold: bool = False) -> float:
    """How wide a line of type is."""
    return float(stringWidth(said, BOLD if bold else REGULAR, size))


def wrapped(said: str, width: float, size: float = BODY, bold: bool = False) -> list[str]:
    """`said` in lines no wider than `width`; a word wider than that stands alone."""
    lines: list[str] = []
    for word in said.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width_of(longer, size, bold) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def line(start: Point, end: Point, thick: float = 0.8, dashes: Sequence[float] | None = None) -> Shape:
    """A straight line, dashed where `dashes` are given."""
    return Line(*start, *end, strokeWidth=thick, strokeColor=black, strokeDashArray=dashes)


def tube(points: Sequence[Point], thick: float) -> list[Shape]:
    """A conduit along `points`: two walls with white between, so that crossings and marks stay readable."""
    flat = [value for point in points for value in point]
    wall = PolyLine(flat, strokeWidth=thick, strokeColor=black, strokeLineJoin=1, strokeLineCap=0)
    bore = PolyLine(flat, strokeWidth=thick - 1.8, strokeColor=white, strokeLineJoin=1, strokeLineCap=0)
    return [wall, bore]


def filled(points: Iterable[Point]) -> Shape:
    """A solid shape."""
    return Polygon(
        [value for point in points for value in point], fillColor=black, strokeColor=black, strokeWidth=0.5
    )


def triangle(x: float, y: float, size: float, towards: float) -> Shape:
    """A solid arrow head with its tip at (x, y), pointing `towards` degrees (0 right, 90 up)."""
    sides = (math.radians(towards) + math.pi + turn for turn in (-0.45, 0.45))
    return filled([(x, y), *((x + size * math.cos(side), y + size * math.sin(side)) for side in sides)])


def star(x: float, y: float, size: float) -> Shape:
    """A solid five-pointed star about (x, y)."""
    corners = []
    for corner in range(10):
        reach = size if corner % 2 == 0 else size * 0.42
        angle = math.pi / 2 + corner * math.pi / 5
        corners.append((x + reach * math.cos(angle), y + reach * math.sin(angle)))
    return filled(corners)


def dimension(start: Point, end: Point, said: str, aside: float = 4) -> list[Shape]:
    """A measured distance with an arrow head at both ends and its figure beside the middle."""
    angle = math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    upright = abs(end[0] - start[0]) < abs(end[1] - start[1])
    place = (middle[0] + aside, middle[1] - BODY / 3) if upright else (middle[0], middle[1] + aside)
    return [
        line(start, end, 0.6),
        triangle(*start, 6, angle + 180),
        triangle(*end, 6, angle),
        words(*place, said, bold=True, anchor="start" if upright else "middle"),
    ]


def spread(wanted: Sequence[float], gap: float, least: float, most: float) -> list[float]:
    """Places near `wanted` (rising) at least `gap` apart and within `least` to `most` where there is room."""
    places = list(wanted)
    for _ in range(200):
        moved = False
        for index in range(1, len(places)):
            lack = gap - (places[index] - places[index - 1])
            if lack > 1e-6:
                places[index - 1] -= lack / 2
                places[index] += lack / 2
                moved = True
        if places:
            places[0] = max(places[0], least)
            places[-1] = min(places[-1], most)
        if not moved:
            break
    return places
