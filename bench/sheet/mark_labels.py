"""The labels of the marks below a stick: beside one another, in one row or two, each joined to its mark by a line."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from reportlab.graphics.shapes import Shape

from bench.core.lengths import Units, angle_text, text
from bench.core.plan import Mark
from bench.sheet.drawing import BODY, LEADING, line, spread, width_of, words

_FARTHEST = 70.0
"""Most points between a label and its mark. If that is not enough, only the numbers of the marks are shown."""
_APART = 0.7
"""Space between two labels, in sizes of their largest type."""
_PASSAGE = 8.0
"""Space between two labels where a line passes to the row below them."""
_LOWER = 5.0
"""Height of the lines that lead from between the upper labels to the lower ones."""

_Drawn = tuple[list[Shape], float]
"""Shapes, and how far down they reach."""


@dataclass(frozen=True, slots=True)
class _Label:
    """The lines of type below a mark, with their sizes."""

    at: Fraction
    lines: tuple[tuple[str, float], ...]

    @property
    def width(self) -> float:
        largest = max(size for _, size in self.lines)
        return max(width_of(said, size, bold=True) for said, size in self.lines) + _APART * largest

    @property
    def height(self) -> float:
        return sum(_line_height(size) for _, size in self.lines)


def labels_of(
    marks: Sequence[Mark], cut_at: Fraction | None, units: Units, scale: Fraction, size: float
) -> list[list[_Label]]:
    """The full labels and the labels with numbers only, in order of position. `size` 0 omits the positions."""

    def label(at: Fraction, title: str) -> _Label:
        place = ((text(at, units, scale), size),) if size else ()
        return _Label(at, ((title, BODY), *place))

    cut = [] if cut_at is None else [label(cut_at, "CUT")]
    full = [label(mark.at, f"{mark.name}  {angle_text(mark.bend)}") for mark in marks]
    short = [_Label(mark.at, ((mark.name, BODY),)) for mark in marks]
    cut_short = [_Label(label.at, label.lines[:1]) for label in cut]
    return [sorted(each, key=lambda label: label.at) for each in ([*full, *cut], [*short, *cut_short])]


def joined_labels(
    choices: Sequence[Sequence[_Label]],
    put: Callable[[Fraction], float],
    leader: tuple[float, float],
    width: float,
) -> _Drawn:
    """The labels in full, in one row or else in two; if they do not fit near their marks, the short ones. A line joins
    each to its mark between the two heights of `leader`."""
    full, short = choices
    if not full:
        return [], 0.0
    return (
        _one_row(full, put, leader, width, _FARTHEST)
        or (_two_rows(full, put, leader, width) if len(full[0].lines) > 1 else None)
        or _one_row(short, put, leader, width, width)
        or ([], 0.0)
    )


def _one_row(
    labels: Sequence[_Label],
    put: Callable[[Fraction], float],
    leader: tuple[float, float],
    width: float,
    farthest: float,
) -> _Drawn | None:
    top, upper = leader
    wanted = [put(label.at) for label in labels]
    places = _near(wanted, [label.width for label in labels], width, farthest)
    if places is None:
        return None
    shapes: list[Shape] = [
        line((want, top), (place, upper + 1), 0.5) for want, place in zip(wanted, places, strict=True)
    ]
    shapes += _typed(labels, places, upper)
    return shapes, top - upper + max(label.height for label in labels)


def _two_rows(
    labels: Sequence[_Label], put: Callable[[Fraction], float], leader: tuple[float, float], width: float
) -> _Drawn | None:
    """Every second label in a lower row, its line passing between the labels of the upper one."""
    top, upper = leader
    wanted = [put(label.at) for label in labels]
    widths = [_PASSAGE if number % 2 else label.width for number, label in enumerate(labels)]
    passing = _near(wanted, widths, width, _FARTHEST)
    if passing is None:
        return None
    above, below = labels[::2], labels[1::2]
    places = _near(passing[1::2], [label.width for label in below], width, _FARTHEST)
    if places is None:
        return None
    turn = upper - max(label.height for label in above)
    lower = turn - _LOWER
    shapes: list[Shape] = [
        line((want, top), (place, upper + 1), 0.5) for want, place in zip(wanted, passing, strict=True)
    ]
    for x, place in zip(passing[1::2], places, strict=True):
        shapes += [line((x, upper + 1), (x, turn), 0.5), line((x, turn), (place, lower + 1), 0.5)]
    shapes += [*_typed(above, passing[::2], upper), *_typed(below, places, lower)]
    return shapes, top - lower + max(label.height for label in below)


def _near(
    wanted: Sequence[float], widths: Sequence[float], width: float, farthest: float
) -> list[float] | None:
    """Centers of items beside one another; None if they do not fit, or not all within `farthest` of where wanted."""
    places = spread(wanted, widths, 0, width)
    if places is None or any(abs(one - other) > farthest for one, other in zip(places, wanted, strict=True)):
        return None
    return places


def _typed(labels: Sequence[_Label], places: Sequence[float], top: float) -> list[Shape]:
    """The type of labels, each centered at its place, downward from `top`."""
    shapes: list[Shape] = []
    for label, place in zip(labels, places, strict=True):
        y = top
        for said, size in label.lines:
            shapes.append(words(place, y - size * 0.8, said, size, bold=True, anchor="middle"))
            y -= _line_height(size)
    return shapes


def _line_height(size: float) -> float:
    return size * LEADING / BODY
