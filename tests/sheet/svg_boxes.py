"""What a reader of SVG sees: where every shape and every line of type lies, worked out from the file alone.

A second road: nothing here shares code with the drawing. Widths of type are those that the file states
(`textLength`), heights those of Helvetica: capitals 0.718 and descenders 0.207 of the size (Adobe Font Metrics
of Helvetica, CapHeight and Descender).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from xml.etree import ElementTree

SVG = "{http://www.w3.org/2000/svg}"
_CAPITAL, _DESCENDER = 0.718, 0.207

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
    return list(_boxes(ElementTree.fromstring(svg), _IDENTITY))


def lines_of_type(svg: str) -> list[Box]:
    """Every line of type."""
    return [box for box in boxes(svg) if box.text]


def _boxes(element: ElementTree.Element, above: Matrix) -> Iterator[Box]:
    own = _times(above, _matrix(element.get("transform", "")))
    if element.tag == f"{SVG}text":
        size = float(re.search(r"font-size: ([\d.]+)px", element.get("style", ""))[1])  # type: ignore[index]
        x, y, width = (float(element.get(key, "")) for key in ("x", "y", "textLength"))
        corners = [(x, y + _DESCENDER * size), (x + width, y - _CAPITAL * size)]
        yield _box([_at(own, *corner) for corner in corners], 0.0, (element.text or "").strip())
    elif element.tag in {f"{SVG}{tag}" for tag in ("path", "polygon", "polyline", "line", "rect")}:
        style = element.get("style", "")
        thick = None if "stroke: none" in style.lower() else re.search(r"stroke-width: ([\d.]+)", style)
        yield _box([_at(own, *point) for point in _points(element)], float(thick[1]) / 2 if thick else 0.0)
    if element.tag != f"{SVG}clipPath":
        for child in element:
            yield from _boxes(child, own)


def _points(element: ElementTree.Element) -> list[tuple[float, float]]:
    if element.tag == f"{SVG}rect":
        x, y, width, height = (float(element.get(key, "")) for key in ("x", "y", "width", "height"))
        return [(x, y), (x + width, y + height)]
    numbers = [
        float(n)
        for n in re.findall(
            r"-?(?:\d+\.?\d*|\.\d+)(?:e-?\d+)?", element.get("points") or element.get("d") or ""
        )
    ]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def _box(points: list[tuple[float, float]], around: float, text: str = "") -> Box:
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


def _at(matrix: Matrix, x: float, y: float) -> tuple[float, float]:
    return matrix[0] * x + matrix[2] * y + matrix[4], matrix[1] * x + matrix[3] * y + matrix[5]
