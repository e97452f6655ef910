"""Renders a drawing in quarter blocks, as large as the given cells allow. Pure.

A cell is assumed to be twice as high as it is wide. Every font with block characters has quarter blocks. Braille
characters are finer but fade at a distance.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import pairwise

from bench.pictures.scene import Area, Label, Line, Point, Scene, Tone
from bench.screen.lettering import lettering
from bench.screen.rows import Row
from bench.screen.themes import Role

_BLOCKS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"
"""Characters by the bits of a cell's quarters: 1 and 2 above, 4 and 8 below."""

ROLES = {
    Tone.PIPE: Role.PIPE,
    Tone.GHOST: Role.QUIET,
    Tone.TOOL: Role.VERB,
    Tone.MARK: Role.MARK,
    Tone.CURRENT: Role.NUMBER,
    Tone.WAY: Role.METER,
    Tone.FLOOR: Role.QUIET,
}
_TONES = tuple(Tone)
_HAIR = 0.3
"""Half the width of the thinnest line, in cell widths."""
_DASH, _GAP = 2.2, 1.6
"""Drawn and blank lengths of a dashed line, in cell widths."""
_LARGE, _LARGE_FIGURES = 20, 12
"""Rows from which the most important words and figures are in block letters."""
_AIR = 1
"""Cells kept blank beside words."""
_CLOSER = 1.1
"""Cells per inch below which only the focus is drawn: a 1-inch pipe is then one cell thick."""
_HALO = 0.5
"""Cell widths left blank around the bender, so that it also stands out without color."""


@lru_cache(maxsize=64)
def raster(scene: Scene, width: int, height: int) -> tuple[Row, ...]:
    """The drawing in `height` rows of `width` cells."""
    sheet = _Sheet(width, height)
    placed = _Placed(scene, width, height)
    for shape in scene.shapes:
        tone = _TONES.index(shape.tone) + 1
        points = [placed.put(point) for point in shape.points]
        half = max(_HAIR, shape.width * placed.scale / 2) if isinstance(shape, Line) else 0.0
        if shape.tone is Tone.TOOL:
            around = points if isinstance(shape, Line) else [*points, points[0]]
            sheet.stroke(around, half + _HALO, 0, spared=tone)
        if isinstance(shape, Area):
            sheet.fill(points, tone)
        else:
            for run in _dashes(points, half) if shape.dashed else [points]:
                sheet.stroke(run, half, tone)
    words = _Words(sheet)
    for label in scene.labels:
        words.write(label, placed.put(label.at), _is_large(label, height))
    return words.rows()


class _Placed:
    """Maps inches to cells: the whole drawing centered, with space at the edges for its words."""

    def __init__(self, scene: Scene, width: int, height: int) -> None:
        beside, over, under = _room(scene, height)
        left, low, right, high = scene.box

        def scale() -> float:
            across, up = max(right - left, 1e-6), max(high - low, 1e-6)
            return max(0.05, min((width - 2 * beside - 1) / across, (height - over - under - 0.2) * 2 / up))

        if scene.focus and scale() < _CLOSER:
            left, low, right, high = scene.focus
        across, up = right - left, high - low
        self.scale = scale()
        self._left = (width - across * self.scale) / 2 - left * self.scale
        self._top = over + ((height - over - under) - up * self.scale / 2) / 2 + high * self.scale / 2

    def put(self, point: Point) -> Point:
        """A point in cell widths across and rows down."""
        return self._left + point[0] * self.scale, self._top - point[1] * self.scale / 2


def _room(scene: Scene, height: int) -> tuple[float, float, float]:
    """Space for words: cells beside the drawing, rows above it and rows below it."""
    _, low, _, high = scene.box
    near = (high - low) * 0.12
    up = [label for label in scene.labels if label.toward[1] > 0.5 and label.at[1] > high - near]
    down = [label for label in scene.labels if label.toward[1] < -0.5 and label.at[1] < low + near]
    beside = max((len(label.words) for label in scene.labels if abs(label.toward[1]) < 0.5), default=0)

    def rows(labels: Sequence[Label]) -> float:
        return max((4.0 if _is_large(label, height) else 1.0 for label in labels), default=0.0)

    return min(beside, 8.0), rows(up), rows(down)


def _is_large(label: Label, height: int) -> bool:
    """Whether a label is set in block letters in a drawing `height` rows high."""
    return label.large and height >= (_LARGE_FIGURES if label.words[:1].isdigit() else _LARGE)


class _Sheet:
    """Quarters of cells, each 0 or the number of a tone."""

    def __init__(self, width: int, height: int) -> None:
        self.width, self.height = width, height
        self.quarters = [bytearray(2 * width) for _ in range(2 * height)]

    def stroke(self, points: Sequence[Point], half: float, tone: int, spared: int = -1) -> None:
        """Draw a line with round ends and half-width `half`, in cell widths. Quarters of tone `spared` are kept."""
        for start, end in pairwise(points):
            self._segment(start, end, half, tone, spared)

    def _segment(self, start: Point, end: Point, half: float, tone: int, spared: int) -> None:
        (x0, y0), (x1, y1) = (start[0], start[1] * 2), (end[0], end[1] * 2)
        dx, dy = x1 - x0, y1 - y0
        long = dx * dx + dy * dy
        reach = max(half, 0.5)
        for row in range(
            max(0, math.floor(min(y0, y1) - reach)), min(2 * self.height, math.ceil(max(y0, y1) + reach))
        ):
            line, y = self.quarters[row], row + 0.5
            first = max(0, math.floor(2 * (min(x0, x1) - reach)))
            last = min(2 * self.width, math.ceil(2 * (max(x0, x1) + reach)))
            for column in range(first, last):
                x = (column + 0.5) / 2
                along = 0.0 if not long else max(0.0, min(1.0, ((x - x0) * dx + (y - y0) * dy) / long))
                ox, oy = x - x0 - along * dx, y - y0 - along * dy
                if ox * ox + oy * oy <= reach * reach and line[column] != spared:
                    line[column] = tone

    def fill(self, points: Sequence[Point], tone: int) -> None:
        """Fill an outline (even-odd rule, row by row)."""
        outline = [(x * 2, y * 2) for x, y in points]
        sides = list(zip(outline, [*outline[1:], outline[0]], strict=True))
        for row in range(2 * self.height):
            y = row + 0.5
            crossings = sorted(
                x0 + (y - y0) * (x1 - x0) / (y1 - y0) for (x0, y0), (x1, y1) in sides if (y0 > y) != (y1 > y)
            )
            for left, right in zip(crossings[::2], crossings[1::2], strict=True):
                for column in range(max(0, round(left)), min(2 * self.width, round(right))):
                    self.quarters[row][column] = tone

    def empty(self, left: int, top: int, right: int, bottom: int) -> bool:
        """Whether these cells are all on the sheet and blank."""
        if left < 0 or top < 0 or right > self.width or bottom > self.height:
            return False
        return not any(any(line[2 * left : 2 * right]) for line in self.quarters[2 * top : 2 * bottom])

    def cell(self, column: int, row: int) -> tuple[str, int]:
        """A cell's block character and its most frequent tone."""
        above, below = self.quarters[2 * row], self.quarters[2 * row + 1]
        four = (above[2 * column], above[2 * column + 1], below[2 * column], below[2 * column + 1])
        bits = sum(1 << at for at, tone in enumerate(four) if tone)
        return _BLOCKS[bits], max(four, key=four.count) or max(four)


class _Words:
    """Words on the drawing, each placed where it hides nothing."""

    def __init__(self, sheet: _Sheet) -> None:
        self._sheet = sheet
        self._taken: list[tuple[int, int, int, int]] = []
        self._over: dict[tuple[int, int], tuple[str, Role]] = {}

    def write(self, label: Label, at: Point, large: bool) -> None:
        """Write a label as near its point as possible: small if large letters do not fit, omitted if neither fits."""
        faces = [lettering(label.words, 3)] if large else []
        for face in (*faces, (label.words,)):
            for left, top in _places(at, label.toward, len(face[0]), len(face)):
                box = (left, top, left + len(face[0]), top + len(face))
                if self._free(box):
                    self._put(face, box, ROLES[label.tone])
                    return

    def _free(self, box: tuple[int, int, int, int]) -> bool:
        left, top, right, bottom = box
        inside = left >= 0 and right <= self._sheet.width
        around = (max(0, left - _AIR), top, min(self._sheet.width, right + _AIR), bottom)
        return (
            inside
            and self._sheet.empty(*around)
            and all(
                right + _AIR <= other[0] or other[2] + _AIR <= left or bottom <= other[1] or other[3] <= top
                for other in self._taken
            )
        )

    def _put(self, face: Sequence[str], box: tuple[int, int, int, int], role: Role) -> None:
        self._taken.append(box)
        for row, line in enumerate(face):
            for column, character in enumerate(line):
                self._over[box[0] + column, box[1] + row] = (character, role)

    def rows(self) -> tuple[Row, ...]:
        """The rows of the drawing with its words."""
        return tuple(tuple(self._spans(row)) for row in range(self._sheet.height))

    def _spans(self, row: int) -> Iterator[tuple[str, Role]]:
        text, role = "", Role.PAGE
        for column in range(self._sheet.width):
            there = self._over.get((column, row))
            if there is None:
                block, tone = self._sheet.cell(column, row)
                there = (block, ROLES[_TONES[tone - 1]] if tone else Role.PAGE)
            if there[1] is not role and text:
                yield text, role
                text = ""
            text, role = text + there[0], there[1]
        yield text, role


def _places(at: Point, toward: Point, width: int, height: int) -> Iterator[tuple[int, int]]:
    """Candidate corners for words of this size: toward the preferred side, then around it, nearest first."""
    wanted = math.atan2(toward[1], toward[0])
    for away in (0.6, 1.6, 3.0, 5.0, 7.0):
        for turn in (0.0, 0.5, -0.5, 1.0, -1.0, 1.6, -1.6):
            angle = wanted + turn
            across, up = math.cos(angle), math.sin(angle)
            x = at[0] + across * (away * 2 + width / 2)
            y = at[1] - up * (away + height / 2)
            yield round(x - width / 2), round(y - height / 2)


def _dashes(points: Sequence[Point], half: float) -> Iterator[list[Point]]:
    """The dashes of a line. Their round ends extend into the gaps. A line too short for three dashes is solid."""
    dash, gap = max(_DASH, 2 * half), _GAP + 2 * max(half, 0.5)
    if (
        sum(math.hypot(x1 - x0, 2 * (y1 - y0)) for (x0, y0), (x1, y1) in pairwise(points))
        < 3 * dash + 2 * gap
    ):
        yield list(points)
        return
    drawing, left = True, dash
    run: list[Point] = [points[0]] if points else []
    for start, end in pairwise(points):
        long = math.hypot(end[0] - start[0], 2 * (end[1] - start[1]))
        gone = 0.0
        while long - gone >= left:
            gone += left
            share = gone / long
            here = (start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share)
            if drawing:
                yield [*run, here]
            run, drawing = [here], not drawing
            left = dash if drawing else gap
        left -= long - gone
        if drawing:
            run.append(end)
    if drawing and len(run) > 1:
        yield run
