"""Stub: one 90 with a leg of a given height, measured to the back."""

from __future__ import annotations

from fractions import Fraction

from bench.core.bender import Setup
from bench.core.bends.base import Bend, Bending, Given, length
from bench.core.finished import back_of_bend, dogleg
from bench.core.path import Path
from bench.core.plan import Finished, Hook, Method, Reference

LEG = length("leg", "1", "1200", optional=True)
"""The other leg, from the back of the 90 to its end; gives the cut mark."""


class Stub(Bend):
    """`height` of the stub from its end to the back of the 90."""

    key = "stub"
    measures = (length("height", "1", "240"),)
    extras = (LEG,)
    hooks = (Hook.TAPE_END,)
    room = "height"

    def book(self, given: Given, setup: Setup, hook: Hook) -> tuple[Bending, ...]:
        """Height less take-up, arrow on the mark, hook towards the end that was measured from."""
        at = Fraction(given["height"]) - setup.bender.take_up
        return (Bending(at, Reference.ARROW, hook, 90.0, 0.0, 1),)

    def true(self, given: Given, setup: Setup, hook: Hook) -> tuple[Bending, ...]:
        """The same: take-up is this bender's own measure."""
        return self.book(given, setup, hook)

    def finished(self, path: Path, given: Given, setup: Setup) -> Finished:
        """The stub from its end to the back."""
        return Finished(rise=back_of_bend(path, setup.od), dogleg=dogleg(path))

    def shrink(self, path: Path, given: Given, setup: Setup, method: Method) -> float:
        """A 90 has no shrink."""
        return 0.0

    def gain(self, path: Path, given: Given, setup: Setup) -> float:
        """The bender's gain: both legs are measured to the outside."""
        return float(setup.bender.gain)

    def cut(self, given: Given, setup: Setup, shrink: float) -> Fraction | None:
        """Both legs less the gain."""
        if "leg" not in given:
            return None
        return Fraction(given["height"]) + Fraction(given["leg"]) - setup.bender.gain
