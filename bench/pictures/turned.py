"""Draws how far to turn the pipe about its axis, seen from the tape end."""

from __future__ import annotations

import math
from collections.abc import Mapping

from bench.pictures.scene import Area, Label, Line, Point, Scene, Tone, arrow_head

_PIPE = 1.0
_BEND = 2.6
"""Length of the projecting bend, in pipe radii."""
_WAY = 3.3


def turned(by: float, words: Mapping[str, str]) -> Scene:
    """The end of the pipe with the last bend upright and, dashed, its position after a turn of `by` degrees to the left
    (0 to 360; over 180 is a turn to the right). `words`: seen_from_end, and turn_left, turn_right with {angle}.
    """
    left = by if by <= 180 else by - 360
    last = 90.0 + left
    sweep = [math.radians(90 + left * n / 24) for n in range(2, 24)]
    curve = [_at(_WAY, angle) for angle in sweep]
    circle = [_at(_PIPE, math.radians(15 * n)) for n in range(24)]
    shapes: list[Line | Area] = [
        Line((_at(0.0, 0.0), _at(_BEND, math.radians(last))), Tone.GHOST, 0.9, dashed=True),
        Line((_at(0.0, 0.0), _at(_BEND, math.radians(90))), Tone.PIPE, 0.9),
        Area(tuple(circle), Tone.PIPE),
        Line(tuple(curve[:-1]), Tone.WAY, 0.22),
        arrow_head(curve[-1], curve[-3], 0.9),
    ]
    return Scene(tuple(shapes), (Label((0.0, -_WAY), words["seen_from_end"], Tone.MARK, (0.0, -1.0)),))


def _at(reach: float, angle: float) -> Point:
    return reach * math.cos(angle), reach * math.sin(angle)
