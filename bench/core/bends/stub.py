"""Ninety: one 90-degree bend with a stub of a given height, measured to the back."""

from __future__ import annotations

from fractions import Fraction

from bench.core.bender import Setup
from bench.core.bends.base import Bend, Bending, Hold, Way, length, longer
from bench.core.finished import back_of_bend, dogleg
from bench.core.gauges import SQUARE, Gauge
from bench.core.given import Given
from bench.core.path import Path
from bench.core.plan import Finished, Hook, Method, Reference

LEG = length("leg", "1", "1200", optional=True, label="other leg")
"""The other leg, from the back of the 90 to its end; gives the cut mark."""


def _stub(path: Path, given: Given, setup: Setup) -> float:
    return back_of_bend(path, setup.od)


STUB_HEIGHT = Gauge(
    "rise", "Measure the stub, end to back: {planned}.", _stub, trims=True, asked=("height", "stub")
)


class Stub(Bend):
    """`height` of the stub from its end to the back of the 90."""

    key = "stub"
    name = "ninety"
    measures = (length("height", "1", "240", label="stub height"),)
    extras = (LEG,)
    ways = ((Hold(Reference.ARROW, Hook.TAPE_END, 1),),)
    room = "height"
    gauges = (SQUARE, STUB_HEIGHT)

    def book(self, given: Given, setup: Setup, way: Way) -> tuple[Bending, ...]:
        """Height less take-up, arrow on the mark, hook towards the end that was measured from."""
        at = given.length("height") - setup.bender.take_up
        return (Bending(at, *way[0][:2], 90.0, 0.0, 1),)

    def true(self, given: Given, setup: Setup, way: Way) -> tuple[Bending, ...]:
        """The same: take-up is this bender's own measure."""
        return self.book(given, setup, way)

    def finished(self, path: Path, given: Given, setup: Setup) -> Finished:
        """The stub from its end to the back."""
        return Finished(rise=back_of_bend(path, setup.od), dogleg=dogleg(path))

    def shrink(self, path: Path, given: Given, setup: Setup, method: Method) -> float:
        """A 90 has no shrink."""
        return 0.0

    def gain(self, path: Path, given: Given, setup: Setup) -> float:
        """The bender's gain: both legs are measured to the outside."""
        return float(setup.bender.gain)

    def neighbor(self, given: Given, setup: Setup, out: float, ahead: float = 0.0) -> Given:
        """Both legs are longer by the distance: a stub of 12 with its neighbor 2 outside is a stub of 14."""
        return longer(longer(given, "height", out + ahead), "leg", out)

    def cut(self, given: Given, setup: Setup, shrink: float, path: Path) -> Fraction | None:
        """Both legs less the gain."""
        if "leg" not in given:
            return None
        return given.length("height") + given.length("leg") - setup.bender.gain
