"""Lines, words and signs for paper. PDF and SVG share the same reportlab shapes.

Sizes are points (1/72 inch). A block is drawn downward from its top left corner, so its y is 0 or less. All text goes
through `words`, which replaces characters that cannot be printed.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from reportlab.graphics.shapes import Group, Line, Polygon, PolyLine, Shape, String
from reportlab.lib.colors import black, white
from reportlab.pdfbase.pdfmetrics import stringWidth

from bench.language.write import printable
from bench.sheet.typeface import face, has

BODY = 10.0
"""The smallest type on the sheet: capitals of 13.5 minutes of arc at arm's length (0.6 m)."""
LEADING = 11.0
GAP = 2.0
_HEAD = 5.0
"""Length of an arrow head."""
_LABEL = 56.0
"""Width of the column of labels before running text."""

_WORD = re.compile(r"""(?:-?\d+'\ )?(?:-?\d+\ )?\d+/\d+"\S*|-?\d+'\ \d+"\S*|-?\d+\ mm\S*|\S+""")

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Block:
    """Shapes and the height they take."""

    height: float
    shapes: tuple[Shape, ...]


def shown(said: str) -> str:
    """`said` reduced to printable characters: control characters are removed, and letters that the typeface lacks
    become question marks."""
    return "".join(letter if has(letter) else "?" for letter in printable(said))


def words(
    x: float, y: float, said: str, size: float = BODY, bold: bool = False, anchor: str = "start"
) -> String:
    """One line of type with its baseline at y."""
    return String(x, y, shown(said), fontName=face(bold), fontSize=size, textAnchor=anchor, fillColor=black)


def width_of(said: str, size: float = BODY, bold: bool = False) -> float:
    """Width of a line of type in points."""
    return float(stringWidth(shown(said), face(bold), size))


def shortened(said: str, width: float, size: float = BODY, bold: bool = False) -> str:
    """`said` cut to `width`, with dots where it was cut."""
    said = shown(said)
    if width_of(said, size, bold) <= width:
        return said
    while said and width_of(f"{said}…", size, bold) > width:
        said = said[:-1]
    return f"{said.rstrip()}…"


def wrapped(said: str, width: float, size: float = BODY, bold: bool = False) -> list[str]:
    """`said` in lines no wider than `width`. A measure is never split; a word wider than a line is broken."""
    lines: list[str] = []
    for word in _words(shown(said)):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width_of(longer, size, bold) <= width:
            lines[-1] = longer
        else:
            lines += _broken(word, width, size, bold)
    return lines


def _words(said: str) -> Iterator[str]:
    """The words of a text. A measure (4' 2 3/8", 635 mm) counts as one word."""
    return (match[0] for match in _WORD.finditer(said))


def _broken(said: str, width: float, size: float, bold: bool) -> Iterator[str]:
    """The parts of a word that is too wide for a line."""
    while width_of(said, size, bold) > width and len(said) > 1:
        end = next(
            (end for end in range(len(said) - 1, 1, -1) if width_of(said[:end], size, bold) <= width), 1
        )
        yield said[:end]
        said = said[end:]
    yield said


def line(start: Point, end: Point, thick: float = 0.8, dashes: Sequence[float] | None = None) -> Shape:
    """A straight line, dashed if `dashes` are given."""
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


def dimension(x: float, low: float, high: float, said: str) -> list[Shape]:
    """A vertical dimension with arrow heads at both ends, outside if they do not fit inside, and its figure to the
    right of the middle."""
    outside = high - low < 3 * _HEAD
    reach = 2 * _HEAD if outside else 0.0
    return [
        line((x, low - reach), (x, low if outside else high), 0.6),
        line((x, high), (x, high + reach), 0.6),
        triangle(x, low, _HEAD, 90 if outside else 270),
        triangle(x, high, _HEAD, 270 if outside else 90),
        words(x + 4, (low + high) / 2 - BODY / 3, said, bold=True),
    ]


def spread(wanted: Sequence[float], widths: Sequence[float], least: float, most: float) -> list[float] | None:
    """Centers as near `wanted` (ascending) as possible for items of these widths, such that none overlap and all lie
    within `least` to `most`. None if they do not fit.

    Touching items are centered on the mean of their wanted positions (isotonic least squares by pool adjacent
    violators: Barlow et al., Statistical Inference under Order Restrictions, 1972, chapter 1).
    """
    offsets = [0.0]
    for left, right in pairwise(widths):
        offsets.append(offsets[-1] + (left + right) / 2)
    if not widths or sum(widths) > most - least:
        return None if widths else []
    pools: list[tuple[float, int]] = []
    for want, offset in zip(wanted, offsets, strict=True):
        total, count = want - offset, 1
        while pools and pools[-1][0] / pools[-1][1] > total / count:
            before, members = pools.pop()
            total, count = total + before, count + members
        pools.append((total, count))
    low, high = least + widths[0] / 2, most - widths[-1] / 2 - offsets[-1]
    starts = [max(low, min(total / count, high)) for total, count in pools for _ in range(count)]
    return [start + offset for start, offset in zip(starts, offsets, strict=True)]


def stacked(parts: Sequence[Block], gap: float = GAP) -> Block:
    """Blocks stacked into one block."""
    shapes: list[Shape] = []
    y = 0.0
    for part in parts:
        shapes.append(moved(part, 0, y))
        y -= part.height + gap
    return Block(-y - gap if parts else 0.0, tuple(shapes))


def moved(block: Block, x: float, y: float) -> Shape:
    """The block with its top left corner at (x, y)."""
    return Group(*block.shapes, transform=(1, 0, 0, 1, x, y))


def labeled(label: str, said: str, width: float, bold: bool = False) -> Block:
    """Running text in a separate column, with a bold label before its first line."""
    lines = wrapped(said, width - _LABEL, bold=bold)
    shapes = [words(_LABEL, -BODY - i * LEADING, each, bold=bold) for i, each in enumerate(lines)]
    return Block(
        len(lines) * LEADING, (words(0, -BODY, shortened(label, _LABEL - 4, bold=True), bold=True), *shapes)
    )
