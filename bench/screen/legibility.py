"""How large the number is to the eye, at the distance it is read from.

Character height in minutes of arc is the measure of ISO 9241-303 (before it ISO 9241-3) and NUREG-0700: 16 at
least, 20 to 22 preferred for reading.
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
    """A common screen: diagonal in inches, and width to height."""

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
    """How large figures are to the eye: the panel, meters, minutes of arc of whole and fraction figures."""

    panel: Panel
    distance: float
    whole: float
    fraction: float

    @property
    def enough(self) -> bool:
        """Whether even the smallest figure reaches the least height of the standard."""
        return self.fraction >= LEAST_ARC_MINUTES


def arc_minutes(height: float, distance: float) -> float:
    """The angle that a character `height` millimeters high covers at `distance` meters, in minutes of arc."""
    return math.degrees(2 * math.atan(height / (2 * distance * 1000))) * 60


def number_rows(width: int, height: int, text: str) -> int:
    """Rows to a figure of the huge number in a terminal of `width` by `height` cells, 0 for plain text.

    Taken on the screen that is read from furthest away: a mark, with the pipe drawn. The figures of a stacked
    fraction are `fraction_rows(rows)` high.
    """
    view = View(
        "MARK", text, "title", ("one line",), (1, 3), ("next",), said="words", stick=Stick(120.0, (), None)
    )
    return plan(view, width, height).size


def instruction_rows(view: View, width: int, height: int) -> int:
    """Rows to a capital of the smallest letters that the step's instruction and number are set in, 0 for plain
    text. What is over or under them is for those who stand near."""
    warned = len(notices(view, width - 2 * MARGIN, height))
    arranged = arrange(view, width, height, warned)
    planned = arranged.plan
    if arranged.grid is not None:
        return arranged.grid.size
    sizes = [planned.size] if planned.number else []
    return min([*sizes, planned.action_size] if view.action else sizes, default=0)


def readings(width: int, height: int, text: str) -> tuple[Reading, ...]:
    """The number's size to the eye on each common panel that the terminal fills, at each distance."""
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
    """Minutes of arc of the smallest letters of a step's instruction on a panel that the terminal fills."""
    return _seen(instruction_rows(view, width, height), panel, height, distance)
