"""The visual size of the number at its reading distance.

ISO 9241-303 (formerly ISO 9241-3) and NUREG-0700 measure character height in minutes of arc: at least 16, with 20
to 22 preferred for reading.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from bench.dialogue.effects import Stick, View
from bench.screen.arrange import arrange
from bench.screen.lettering import fraction_rows, has_fraction
from bench.screen.page import notices
from bench.screen.sharing import MARGIN, plan

LEAST_ARC_MINUTES = 16.0
PREFERRED_ARC_MINUTES = 20.0
STANDARD = "ISO 9241-303"

DISTANCES = (2.0, 3.0, 5.0)
"""Meters."""

_INCH = 25.4


@dataclass(frozen=True, slots=True)
class Panel:
    """A common screen: diagonal in inches and ratio of width to height."""

    name: str
    diagonal: float
    aspect: float

    @property
    def height(self) -> float:
        """Height of the picture in millimeters."""
        return self.diagonal * _INCH / math.hypot(self.aspect, 1)


PANELS = (
    Panel("10 inch tablet", 10.1, 16 / 10),
    Panel("14 inch laptop", 14.0, 16 / 9),
    Panel("24 inch monitor", 24.0, 16 / 9),
    Panel("55 inch wall display", 55.0, 16 / 9),
)


@dataclass(frozen=True, slots=True)
class Reading:
    """Visual size of figures: the panel, the distance in meters, minutes of arc of whole and fraction figures."""

    panel: Panel
    distance: float
    whole: float
    fraction: float

    @property
    def enough(self) -> bool:
        """Whether even the smallest figure reaches the minimum height of the standard."""
        return self.fraction >= LEAST_ARC_MINUTES


def arc_minutes(height: float, distance: float) -> float:
    """The visual angle of a character `height` millimeters high at `distance` meters, in minutes of arc."""
    return math.degrees(2 * math.atan(height / (2 * distance * 1000))) * 60


def number_rows(width: int, height: int, text: str) -> int:
    """Height in rows of the huge number's figures in a terminal of `width` by `height` cells, 0 for plain text.

    Measured on the screen that is read from furthest away: a mark, with the pipe drawn. The figures of a stacked
    fraction are `fraction_rows(rows)` high.
    """
    view = View(
        "MARK", text, "title", ("one line",), (1, 3), ("next",), said="words", stick=Stick(120.0, (), None)
    )
    return plan(view, width, height).size


def instruction_rows(view: View, width: int, height: int) -> int:
    """Capital height in rows of the smallest letters of the step's instruction and number, 0 for plain text. Text
    above or below them is meant for people standing near."""
    warned = len(notices(view, width - 2 * MARGIN, height))
    arranged = arrange(view, width, height, warned)
    planned = arranged.plan
    if arranged.grid is not None:
        return arranged.grid.size
    sizes = [planned.size] if planned.number else []
    return min([*sizes, planned.action_size] if view.action else sizes, default=0)


def readings(width: int, height: int, text: str) -> tuple[Reading, ...]:
    """Visual size of the number on each common panel filled by the terminal, at each distance."""
    rows = number_rows(width, height, text)
    part = fraction_rows(rows) if rows and has_fraction(text) else rows
    return tuple(
        Reading(panel, distance, _seen(rows, panel, height, distance), _seen(part, panel, height, distance))
        for panel in PANELS
        for distance in DISTANCES
    )


def _seen(rows: int, panel: Panel, height: int, distance: float) -> float:
    return arc_minutes(max(1, rows) * panel.height / height, distance)


def of_step(view: View, width: int, height: int, panel: Panel, distance: float) -> float:
    """Minutes of arc of the smallest letters of a step's instruction on a panel filled by the terminal."""
    return _seen(instruction_rows(view, width, height), panel, height, distance)
