"""Places to tap: what each does, and how small it may be for a finger in a glove."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from bench.dialogue.events import Key

LEAST_MM = 15.0
"""A finger in a work glove: half as much again as the 10 mm of ISO 9241-411 and of the usual guides for bare ones
(from memory)."""
TABLET_MM = (217.6, 136.0)
"""Width and height of the picture of a tablet of 10.1 inches at 16 to 10, which the terminal fills."""


class Own(StrEnum):
    """What the screen does by itself."""

    MENU = "menu"
    MORE = "more"
    CLOSE = "close"


Act = Key | Own | str
"""A key, something of the screen's own, or a phrase that is said."""


@dataclass(frozen=True, slots=True)
class Target:
    """A place to tap: cells from `left` up to `right`, rows from `top` up to `bottom`."""

    left: int
    right: int
    top: int
    bottom: int
    act: Act

    def holds(self, x: int, y: int) -> bool:
        """Whether a tap at this cell is meant for it."""
        return self.left <= x < self.right and self.top <= y < self.bottom

    def moved(self, across: int, down: int) -> Target:
        """The target as many cells to the right and down."""
        return Target(self.left + across, self.right + across, self.top + down, self.bottom + down, self.act)

    def millimeters(self, width: int, height: int) -> tuple[float, float]:
        """How wide and high it is on the tablet, of a screen of so many cells."""
        return (self.right - self.left) * TABLET_MM[0] / width, (self.bottom - self.top) * TABLET_MM[
            1
        ] / height


def least_rows(height: int) -> int:
    """Rows that a target takes at the least on a screen of so many."""
    return math.ceil(LEAST_MM * height / TABLET_MM[1])


def least_columns(width: int) -> int:
    """Columns that a target takes at the least on a screen of so many."""
    return math.ceil(LEAST_MM * width / TABLET_MM[0])
