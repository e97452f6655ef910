"""Tap targets: the action of each, and the smallest size for a gloved finger."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from bench.dialogue.events import Key

LEAST_MM = 15.0
"""Millimeters for a finger in a work glove: 1.5 times the 10 mm for bare fingers in ISO 9241-411 and the usual
guidelines (from memory)."""
TABLET_MM = (217.6, 136.0)
"""Width and height in millimeters of a 10.1-inch tablet's 16:10 display, which the terminal fills."""


class Own(StrEnum):
    """Actions of the screen itself."""

    MENU = "menu"
    MORE = "more"
    CLOSE = "close"


Act = Key | Own | str
"""A key, an action of the screen itself, or a spoken phrase."""


@dataclass(frozen=True, slots=True)
class Target:
    """A tap target: cells from `left` up to `right`, rows from `top` up to `bottom`."""

    left: int
    right: int
    top: int
    bottom: int
    act: Act

    def holds(self, x: int, y: int) -> bool:
        """Whether this cell is inside the target."""
        return self.left <= x < self.right and self.top <= y < self.bottom

    def moved(self, across: int, down: int) -> Target:
        """The target moved right and down by so many cells."""
        return Target(self.left + across, self.right + across, self.top + down, self.bottom + down, self.act)

    def millimeters(self, width: int, height: int) -> tuple[float, float]:
        """Width and height of the target on the tablet, for a screen of `width` by `height` cells."""
        return (self.right - self.left) * TABLET_MM[0] / width, (self.bottom - self.top) * TABLET_MM[
            1
        ] / height


def least_rows(height: int) -> int:
    """Minimum rows of a target on a screen `height` rows high."""
    return math.ceil(LEAST_MM * height / TABLET_MM[1])


def least_columns(width: int) -> int:
    """Minimum columns of a target on a screen `width` columns wide."""
    return math.ceil(LEAST_MM * width / TABLET_MM[0])
