"""Where the bends of a stick lie along the straight conduit: where each one's measures begin, and its marks there."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from bench.core.bender import Setup
from bench.core.bends.layout import on_the_tape
from bench.core.path import TAPE_END, Arc, Frame, bend_on
from bench.core.plan import Mark, Plan
from bench.core.simulate import arcs as arcs_of
from bench.core.vectors import Vector, dot, minus

_A_CORNER = 60.0
"""A bend that turns the run by this much or more is measured from its back afterwards, as a 90 is."""


@dataclass(frozen=True, slots=True)
class Zero:
    """Where the next bend's measures begin: `at` on the straight conduit, seen from `corner`, the point where the arc
    of the last 90 starts, with half a diameter `back` of it; inches. `bends` are the arcs of each bend so far and
    `frame` is where they have got to."""

    at: float = 0.0
    corner: Vector = TAPE_END.point
    back: float = 0.0
    frame: Frame = TAPE_END
    bends: tuple[tuple[Arc, ...], ...] = ()

    def after(self, setup: Setup, placed: Sequence[Mark]) -> Zero:
        """Where they begin once `placed` is bent too."""
        own = arcs_of(placed, setup.bender)
        if not own or own[0].start >= self.frame.at:
            return self._beyond(setup, own)
        zero = Zero()
        for bend in sorted((*self.bends, own), key=lambda arcs: arcs[0].start):
            zero = zero._beyond(setup, bend)
        return zero

    def _beyond(self, setup: Setup, own: tuple[Arc, ...]) -> Zero:
        """The same for a bend that lies beyond all that there are."""
        if not own:
            return self
        frame, corner, back = self.frame, self.corner, self.back
        starts = []
        for arc in own:
            _, curve, frame = bend_on(frame, arc, setup.bender.radius)
            starts.append(curve.origin)
        if dot(self.frame.along, frame.along) <= math.cos(math.radians(_A_CORNER)):
            corner, back = starts[0], setup.od / 2
        reach = dot(minus(frame.point, corner), frame.along) + back
        return Zero(frame.at - reach, corner, back, frame, (*self.bends, own))


def moved(plan: Plan, roll: float, start: float, setup: Setup) -> list[Mark]:
    """The marks of a bend that begins at `start` inches, turned by `roll` degrees, rounded once."""
    marks = [exactly(mark, start, roll) for mark in plan.marks]
    places = on_the_tape(marks, setup, plan.chosen.method)
    return [replace(mark, at=at) for mark, at in zip(marks, places, strict=True)]


def exactly(mark: Mark, start: float, roll: float) -> Mark:
    """A mark of a bend that begins at `start` inches, turned by `roll` degrees, before it is rounded."""
    exact = mark.place + Fraction(start)
    return replace(mark, at=exact, exact=exact, roll=(mark.roll + roll) % 360)
