"""What a reader of SVG sees: where every shape and every line of type lies, worked out from the file alone.

Nothing here shares code with the drawing. Type is where its outlines are: the fonts of the machine that shows the file
have no part in it. The words are in the file too, unseen, after their outlines.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import zip_longest
from xml.etree import ElementTree

SVG = "{http://www.w3.org/2000/svg}"
_CAPITAL = 700
"""Height of capitals in outlines 1000 high (`sCapHeight` of the typeface is 668, round letters are higher). Accents
on them reach into the line above, as they do in print."""
_HREF = "{http://www.w3.org/1999/xlink}href"

Point = tuple[float, float]
Matrix = tuple[float, float, float, float, float, float]
_IDENTITY: Matrix = (1, 0, 0, 1, 0, 0)


@dataclass(frozen=True)
class Box:
    """Where something lies, in the units of the view box; `text` where it is type."""

    left: float
    top: float
    right: float
    bottom: float
    text: str = ""

    def touches(self, other: Box) -> bool:
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def inside(self, other: Box) -> bool:
        return (
            other.left <= self.left
            and other.top <= self.top
            and self.right <= other.right
            and self.bottom <= other.bottom
        )


def view_box(svg: str) -> Box:
    """What the file shows."""
    left, top, width, height = map(float, ElementTree.fromstring(svg).get("viewBox", "").split())
    return Box(left, top, left + width, top + height)


def boxes(svg: str) -> list[Box]:
    """Every shape and every line of type."""
    root = ElementTree.fromstring(svg)
    letters = {path.get("id", ""): _corners(path) for path in root.iterfind(f"{SVG}defs/{SVG}path")}
    return list(_Reader(letters).boxes(root, _IDENTITY))


def lines_of_type(svg: str) -> list[Box]:
    """Every line of type."""
    return [box for box in boxes(svg) if box.text]


@dataclass(frozen=True)
class _Reader:
    letters: Mapping[str, tuple[Point, Point]]
    """By the names of outlines, two corners of the box about each."""

    def boxes(self, element: ElementTree.Element, above: Matrix) -> Iterator[Box]:
        if element.tag in (f"{SVG}clipPath", f"{SVG}defs", f"{SVG}text"):
            return
        own = _times(above, _matrix(element.get("transform", "")))
        if element.tag in {f"{SVG}{tag}" for tag in ("path", "polygon", "polyline", "line", "rect")}:
            yield _box([_at(own, *point) for point in _points(element)], _half_of_line(element))
        for child, after in zip_longest(element, list(element)[1:]):
            if child.find(f"{SVG}use") is None:
                yield from self.boxes(child, own)
            else:
                assert after.tag == f"{SVG}text", "the words of these outlines"
                yield self._line(child, own, (after.text or "").strip())

    def _line(self, outlines: ElementTree.Element, above: Matrix, said: str) -> Box:
        """A line of type: as large as the ink of its letters, without what stands on capitals."""
        own = _times(above, _matrix(outlines.get("transform", "")))
        corners = [
            _at(own, x + float(letter.get("x", "0")), min(y, _CAPITAL))
            for letter in outlines
            for x, y in self.letters[letter.get(_HREF, "").removeprefix("#")]
        ]
        return _box(corners, 0.0, said)


def _corners(outline: ElementTree.Element) -> tuple[Point, Point]:
    box = _box(_points(outline), 0.0)
    return (box.left, box.top), (box.right, box.bottom)


def _half_of_line(element: ElementTree.Element) -> float:
    style = element.get("style", "")
    thick = None if "stroke: none" in style.lower() else re.search(r"stroke-width: ([\d.]+)", style)
    return float(thick[1]) / 2 if thick else 0.0


_NUMBER = r"-?(?:\d+\.?\d*|\.\d+)(?:e-?\d+)?"


def _points(element: ElementTree.Element) -> list[Point]:
    """Points between which a shape lies: corners, and for curves those that control them."""
    if element.tag == f"{SVG}rect":
        x, y, width, height = (float(element.get(key, "")) for key in ("x", "y", "width", "height"))
        return [(x, y), (x + width, y + height)]
    found: list[Point] = []
    for command, given in re.findall(
        r"([A-Za-z]?)([^A-DF-Za-df-z]*)", element.get("points") or element.get("d") or ""
    ):
        numbers = [float(number) for number in re.findall(_NUMBER, given)]
        match command:
            case "H":
                found += [(x, found[-1][1]) for x in numbers]
            case "V":
                found += [(found[-1][0], y) for y in numbers]
            case "" | "M" | "L" | "Q" | "C" | "Z" | "z":
                found += zip(numbers[::2], numbers[1::2], strict=True)
            case _:
                raise ValueError(command)
    return found


def _box(points: list[Point], around: float, text: str = "") -> Box:
    xs, ys = zip(*points, strict=True)
    return Box(min(xs) - around, min(ys) - around, max(xs) + around, max(ys) + around, text)


def _matrix(transform: str) -> Matrix:
    made = _IDENTITY
    for name, arguments in re.findall(r"(\w+)\(([^)]*)\)", transform):
        values = [float(value) for value in re.split(r"[ ,]+", arguments.strip())]
        if name == "matrix":
            own: Matrix = (values[0], values[1], values[2], values[3], values[4], values[5])
        elif name == "translate":
            own = (1, 0, 0, 1, values[0], values[1])
        elif name == "scale":
            own = (values[0], 0, 0, values[1], 0, 0)
        else:
            raise ValueError(name)
        made = _times(made, own)
    return made


def _times(a: Matrix, b: Matrix) -> Matrix:
    return (
        a[0] * b[0] + a[2] * b[1],
        a[1] * b[0] + a[3] * b[1],
        a[0] * b[2] + a[2] * b[3],
        a[1] * b[2] + a[3] * b[3],
        a[0] * b[4] + a[2] * b[5] + a[4],
        a[1] * b[4] + a[3] * b[5] + a[5],
    )


def _at(matrix: Matrix, x: float, y: float) -> Point:
    return matrix[0] * x + matrix[2] * y + matrix[4], matrix[1] * x + matrix[3] * y + matrix[5]
