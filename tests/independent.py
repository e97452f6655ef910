"""A second road to the bent shape, sharing no code with the product: matrices of scipy, from the two measures
of a bender alone.

The formulas are those of a 90 measured to the outside: gain = (2 - pi/2) R + d, take-up = b + R + d/2.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from bench.core.plan import Mark

Point = NDArray[np.float64]


@dataclass(frozen=True)
class Straight:
    """A straight of the bent conduit: where it begins and ends, and its direction; inches."""

    start: Point
    end: Point
    along: Point


@dataclass(frozen=True)
class Shape:
    """Every straight in order, and the arcs in material inches (start, end) with their rolls, degrees."""

    straights: tuple[Straight, ...]
    arcs: tuple[tuple[float, float], ...]
    rolls: tuple[float, ...]


def shape(marks: Iterable[Mark], take_up: float, gain: float, od: float, length: float) -> Shape:
    """What these marks make on a bender."""
    radius = (gain - od) / (2 - math.pi / 2)
    lead = take_up - radius - od / 2
    points = {"arrow": 0.0, "star": take_up - gain, "notch": lead + radius * math.pi / 8}
    arcs = []
    for mark in marks:
        bend, point = math.radians(mark.bend), points[mark.reference.value]
        if mark.hook.value == "away":
            start = float(mark.at) + point - lead - radius * bend
        else:
            start = float(mark.at) - point + lead
        arcs.append((start, start + radius * bend, bend, math.radians(mark.roll)))
    arcs.sort()
    here, frame, at = np.zeros(3), np.eye(3), 0.0
    straights = []
    for start, end, bend, roll in arcs:
        there = here + frame[0] * (start - at)
        straights.append(Straight(here, there, frame[0].copy()))
        toward = math.cos(roll) * frame[1] + math.sin(roll) * frame[2]
        here = there + radius * (math.sin(bend) * frame[0] + (1 - math.cos(bend)) * toward)
        axis = np.cross(frame[0], toward)
        frame = Rotation.from_rotvec(bend * axis).apply(frame)
        at = end
    straights.append(Straight(here, here + frame[0] * (length - at), frame[0].copy()))
    rolls = tuple(math.degrees(roll) for *_, roll in arcs)
    return Shape(tuple(straights), tuple((start, end) for start, end, _, _ in arcs), rolls)
